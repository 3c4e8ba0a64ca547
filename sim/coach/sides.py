"""On which side each rail has been proved to be, by the meter or by an engine that ran: the others are bare metal.

A reading tells of the position of the points in which it was taken, and of others as far as no lever that may decide
the feed of its two ends has been thrown. What was wired since may have made it untrue, so that nothing is shown that is
not so now.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from sim.bench.levers import filed_settings, levers, with_settings
from sim.bench.model import Bench
from sim.bench.table import Table
from sim.session.snapshot import Evidence, Snapshot
from sim.track.layout import Layout
from sim.wiring.conductors import Conductors
from sim.wiring.names import section_of, tabs
from sim.wiring.switched import SwitchedCircuit

__all__ = ["BARE", "proved_sides", "seen_sides", "sides_hidden"]

BARE = ""
"""In place of a side: it has not been proved."""

_OTHER = {"A": "B", "B": "A"}


def sides_hidden(bench: Bench) -> bool:
    """Whether the bench's job shows a rail's side only once it has been proved."""
    return bench.level is not None and bench.level.sides == "proved"


def seen_sides(now: Snapshot, *, bare: bool = False) -> Mapping[str, str]:
    """The side of every rail as a player may see it; `bare`: only what is proved, whatever the job says."""
    return proved_sides(now) if bare or sides_hidden(now.bench) else now.feeds


def proved_sides(now: Snapshot) -> Mapping[str, str]:
    """The side of every rail that has been proved, "" for each of the others."""
    return _proved(_Moment(now))


@dataclass(frozen=True, slots=True, eq=False)
class _Moment:
    """A moment, equal to another of the same bench, feeds and points with the same evidence."""

    now: Snapshot

    def _key(self) -> tuple[object, ...]:
        return self.now.evidence, tuple(sorted(self.now.travel.items()))

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, _Moment):
            return NotImplemented
        same = self.now.bench is other.now.bench and self.now.feeds is other.now.feeds
        return same and self._key() == other._key()

    def __hash__(self) -> int:
        return hash((id(self.now.bench), id(self.now.feeds)))


class _Deciding:
    """Which levers decide the feed of each terminal of a bench."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._tabs = tabs(bench)
        self._movers = {lever.id: lever.movers for lever in levers(bench)}
        self._found: dict[str, frozenset[str] | None] = {}

    @cached_property
    def _switched(self) -> SwitchedCircuit:
        return SwitchedCircuit(self._bench, Layout(self._bench))

    @cached_property
    def _conductors(self) -> Conductors:
        return Conductors(self._bench, self._switched)

    def of(self, terminal: str) -> frozenset[str] | None:
        """The points and switches; None for a terminal that is not there."""
        if terminal not in self._found:
            node = self._switched.bare.index.get(self._tabs.get(terminal, terminal))
            near = () if node is None else self._conductors.near([node]).levers
            moved = frozenset(mover for lever in near for mover in self._movers[lever])
            self._found[terminal] = None if node is None else moved
        return self._found[terminal]


@lru_cache(maxsize=2)
def _deciding(bench: Bench) -> _Deciding:
    return _Deciding(bench)


def _wiring_alone(bench: Bench) -> Bench:
    """The bench without what decides nothing: how its levers stand, its trains, its job."""
    still = with_settings(bench, dict.fromkeys(filed_settings(bench), "normal"))
    return replace(still, trains=(), level=None, title="")


@lru_cache(maxsize=4)
def _proved(moment: _Moment) -> Mapping[str, str]:
    now = moment.now
    known: dict[str, set[str]] = defaultdict(set)
    for terminal, side in _buses(now.bench):
        known[terminal].add(side)
    holding = list(_holding(now))
    for seen in holding:
        if seen.what == "ran" and {now.feeds.get(end) for end in seen.ends} == {"A", "B"}:
            for end in seen.ends:
                known[end].add(now.feeds[end])
    _spread(known, [seen for seen in holding if seen.what in ("joined", "apart")])
    open_to: dict[str, set[str]] = defaultdict(set)
    for seen in holding:
        if seen.what == "open":
            for end, other in (seen.ends, seen.ends[::-1]):
                open_to[section_of(end)] |= known.get(other, set())
    shown = {}
    for rail, side in now.feeds.items():
        found = open_to[rail] if side == "none" else known.get(rail, set())
        needed = {side} if side in _OTHER else set(_OTHER)
        shown[rail] = side if needed <= found else BARE
    return Table(shown)


def _buses(bench: Bench) -> Iterator[tuple[str, str]]:
    """Terminals whose side is written on them."""
    for supply in bench.supplies:
        yield supply.a, "A"
        yield supply.b, "B"
    for tap in bench.bus.taps if bench.bus is not None else ():
        for side in _OTHER:
            yield f"{tap}.{side}", side


def _holding(now: Snapshot) -> Iterator[Evidence]:
    """Evidence that tells of the bench with its points as they stand."""
    if not now.evidence:
        return
    stand = {name: "normal" if at == 0.0 else "diverging" for name, at in now.travel.items() if at in (0.0, 1.0)}
    deciding = _deciding(_wiring_alone(now.bench))
    for seen in now.evidence:
        matter = [deciding.of(end) for end in seen.ends]
        then = dict(seen.points)
        if all(each is not None and all(stand.get(m, "") == then.get(m) for m in each) for each in matter):
            yield seen


def _spread(known: dict[str, set[str]], pairs: list[Evidence]) -> None:
    """From ends whose side is known to those that are measured against them."""
    beside: dict[str, list[tuple[str, bool]]] = defaultdict(list)
    for seen in pairs:
        for one, other in (seen.ends, seen.ends[::-1]):
            beside[one].append((other, seen.what == "joined"))
    todo = [(end, side) for end, sides in known.items() for side in sides]
    while todo:
        end, side = todo.pop()
        for other, joined in beside[end]:
            its = side if joined else _OTHER[side]
            if its not in known[other]:
                known[other].add(its)
                todo.append((other, its))

"""Each wire, contact, joiner, bond and touch of a bench opened once, alone: what dies by it, and what has a second way.

The way a builder would do it with a pair of pliers: take one thing off, run every route, put it back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from sim.bench.model import Bench
from sim.bench.table import Table
from sim.electric.feeds import joined
from sim.electric.parts import Part, PartRef
from sim.proof.compare import wire_words
from sim.proof.prove import steps
from sim.proof.verdict import Position, Verdict
from sim.track.layout import Layout
from sim.wiring.feeds import Feeds
from sim.wiring.names import part_words, place_ref, section_words
from sim.wiring.positions import points_of, positions
from sim.wiring.switched import SwitchedCircuit, circuit
from sim.wiring.telling import listed

__all__ = ["MOST_ROUTES", "Broken", "Fate", "break_each", "breakable", "fate_words"]

MOST_ROUTES = 1000
"""Paths run in all, every thing's together; on a bench that would need more only the rails' feeds are looked at."""

Fate = Literal["dies", "second way", "nothing hangs on it"]

_BREAKABLE = ("wire", "contact", "joint", "bond", "jumper", "blade", "bus", "lamp", "unit")


@dataclass(frozen=True, slots=True)
class Broken:
    """One thing opened, and what came of it.

    ref: the thing; words: the same in words of the trade
    rails: (points, rails) for each position of the points in which rails have lost their feed
    dead, short: how many of the `routes` that were run before die of it, and how many short by it
    fate: "second way" if nothing dies because its two ends are joined by another way too
    """

    ref: PartRef
    words: str
    rails: tuple[tuple[Table[str, str], tuple[str, ...]], ...]
    dead: int
    short: int
    routes: int
    fate: Fate

    @property
    def weight(self) -> tuple[int, int]:
        """How much it matters: routes lost, then rails lost."""
        return self.dead + self.short, sum(len(rails) for _, rails in self.rails)


def breakable(bench: Bench) -> tuple[PartRef, ...]:
    """Names of all that conducts in one position of the points or another and that could come off, as wires come first.

    Lengths of rail and supplies are not among them, nor the gaps that a piece comes without, one rail all through; a
    gap that it comes with and that is bridged is.
    """
    bridged = {
        place_ref(place.name) for piece in bench.tracks for place in piece.places()
        if place.kind == "gap" and place.state != place.usual
    }  # fmt: skip
    layout = Layout(bench)
    found: dict[PartRef, None] = {}
    for travel in positions(bench):
        for part in circuit(bench, layout, travel).parts:
            if (part.ref.kind in _BREAKABLE or part.ref in bridged) and _conducts(part):
                found.setdefault(part.ref)
    order = [*_BREAKABLE, "gap"]
    return tuple(sorted(found, key=lambda ref: order.index(ref.kind)))


def _conducts(part: Part) -> bool:
    return part.stamp().siemens > 0


def _second_way(bench: Bench, ref: PartRef) -> bool:
    """Whether wherever it conducts its ends are joined without it too."""
    layout = Layout(bench)
    ways = []
    for travel in positions(bench):
        parts = [part for part in circuit(bench, layout, travel).parts if part.ref.kind != "supply"]
        own = next((part.stamp() for part in parts if part.ref == ref), None)
        if own is None or own.siemens <= 0:
            continue
        branches = [part.stamp() for part in parts if part.ref != ref]
        group = joined(((b.a, b.b) for b in branches if b.siemens > 0), nodes=(own.a, own.b))
        ways.append(group[own.a] == group[own.b])
    return bool(ways) and all(ways)


def _sides(bench: Bench, opened: frozenset[PartRef]) -> tuple[Position, ...]:
    switched = SwitchedCircuit(bench, Layout(bench), opened=opened)
    feeds = Feeds(bench, switched)
    return tuple(Position(points_of(travel), feeds.rails(switched.made(travel))) for travel in positions(bench))


def _lost(before: Position, after: Position) -> tuple[str, ...]:
    return tuple(rail for rail, side in before.feeds.items() if side != "none" and after.feeds[rail] == "none")


def _told(bench: Bench, ref: PartRef) -> str:
    if ref.kind == "wire":
        return wire_words(bench, bench.wires[int(ref.detail[0])])
    named = part_words(bench, ref)
    return named[:1].upper() + named[1:]


def break_each(bench: Bench) -> Iterator[float | tuple[Broken, ...]]:
    """The work in slices: yields the share done, and at last everything opened, what matters most first."""
    refs = breakable(bench)
    paths = sum(len(Layout(bench).geometry(piece.id).tracks) for piece in bench.tracks)
    run = bool(paths) and paths * (len(refs) + 1) <= MOST_ROUTES
    whole: Verdict | None = None
    yield 0.0
    if run:
        for step in steps(bench):
            if isinstance(step, Verdict):
                whole = step
            else:
                yield step / (len(refs) + 1)
    rows_before = _sides(bench, frozenset())
    out = []
    for number, ref in enumerate(refs, 1):
        opened = frozenset({ref})
        verdict: Verdict | None = None
        if whole is None:
            yield number / (len(refs) + 1)
        else:
            for step in steps(bench, opened):
                if isinstance(step, Verdict):
                    verdict = step
                else:
                    yield (number + step) / (len(refs) + 1)
        out.append(_row(bench, ref, rows_before, _sides(bench, opened), whole, verdict))
    yield tuple(sorted(out, key=lambda row: row.weight, reverse=True))


def _row(
    bench: Bench,
    ref: PartRef,
    before: tuple[Position, ...],
    after: tuple[Position, ...],
    whole: Verdict | None,
    verdict: Verdict | None,
) -> Broken:
    rails = tuple(
        (Table(one.points), lost) for one, other in zip(before, after, strict=True) if (lost := _lost(one, other))
    )
    dead = short = count = 0
    if whole is not None and verdict is not None:
        runs = {(each.path, each.vehicle, each.direction): each for each in verdict.routes}
        for one in whole.routes:
            other = runs.get((one.path, one.vehicle, one.direction), one)
            died = one.live and not other.live
            dead += died
            short += one.safe and not other.safe and not died
            count += 1
    fate: Fate = "dies"
    if not (rails or dead or short):
        fate = "second way" if _second_way(bench, ref) else "nothing hangs on it"
    return Broken(ref, _told(bench, ref), rails, dead, short, count, fate)


def fate_words(bench: Bench, row: Broken) -> str:
    """What came of it, in a sentence or two."""
    if row.fate == "second way":
        return "Nothing dies: it has a second way."
    if row.fate == "nothing hangs on it":
        return "Nothing dies: nothing hangs on it."
    places: dict[str, tuple[Mapping[str, str], ...]] = {
        rail: tuple(points for points, rails in row.rails if rail in rails)
        for rail in sorted({rail for _, rails in row.rails for rail in rails})
    }
    together: dict[str, list[str]] = {}
    for rail, where in places.items():
        when = "" if len(where) == len(list(positions(bench))) else f" with {_points_words(where)}"
        together.setdefault(when, []).append(f"the {section_words(bench, rail)}")
    told = []
    if row.dead:
        told.append(f"{row.dead} of {row.routes} runs die.")
    if row.short:
        told.append(f"{row.short} of {row.routes} runs short.")
    told += [f"No feed for {listed(rails)}{when}." for when, rails in together.items()]
    return " ".join(told)


def _points_words(where: Sequence[Mapping[str, str]]) -> str:
    """ "points normal", or "T1 normal and T2 diverging" where there are several."""
    said = [
        f"points {next(iter(points.values()))}" if len(points) == 1 else listed([f"{p} {s}" for p, s in points.items()])
        for points in where
    ]
    return " or ".join(said)

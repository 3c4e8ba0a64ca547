"""Each wire, contact, joiner, bond and touch of a bench opened once, alone: what dies by it, and what has a second way.

The way a builder would do it with a pair of pliers: take one thing off, run every route, put it back.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from sim.bench.levers import levers
from sim.bench.model import Bench
from sim.bench.table import Table
from sim.electric.parts import PartRef
from sim.proof.again import Again
from sim.proof.compare import wire_words
from sim.proof.hanging import Hanging
from sim.proof.subject import Subject
from sim.track.layout import Layout
from sim.wiring.names import part_words, place_ref, section_words
from sim.wiring.positions import points_of, positions
from sim.wiring.switched import SwitchedCircuit
from sim.wiring.telling import listed

__all__ = ["MOST_ROUTES", "Broken", "Fate", "break_each", "breakable", "fate_words"]

MOST_ROUTES = 4000
"""Paths run in all, every thing's together; on a bench that would need more only the rails' feeds are looked at.

Only the paths of pieces that can feel it that a thing is off are run for it.
"""

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
    switched = SwitchedCircuit(bench, Layout(bench))
    return _breakable(bench, switched, _hanging(bench, switched))


def _hanging(bench: Bench, switched: SwitchedCircuit) -> Hanging:
    return Hanging(bench, switched, [lever.movers for lever in levers(bench)])


def _breakable(bench: Bench, switched: SwitchedCircuit, hanging: Hanging) -> tuple[PartRef, ...]:
    bridged = {
        place_ref(place.name) for piece in bench.tracks for place in piece.places()
        if place.kind == "gap" and place.state != place.usual
    }  # fmt: skip
    refs = [switched.bare.parts[place].ref for place in hanging.conducting()]
    order = {kind: k for k, kind in enumerate([*_BREAKABLE, "gap"])}
    some = [ref for ref in refs if ref.kind in _BREAKABLE or ref in bridged]
    return tuple(sorted(some, key=lambda ref: order[ref.kind]))


def _told(bench: Bench, ref: PartRef) -> str:
    if ref.kind == "wire":
        return wire_words(bench, bench.wires[int(ref.detail[0])])
    named = part_words(bench, ref)
    return named[:1].upper() + named[1:]


def break_each(bench: Bench) -> Iterator[float | tuple[Broken, ...]]:
    """The work in slices: yields the share done, and at last everything opened, what matters most first."""
    subject = Subject(bench, Layout(bench))
    switched = subject.switched
    hanging = _hanging(bench, switched)
    refs = _breakable(bench, switched, hanging)
    paths = {piece.id: len(subject.layout.geometry(piece.id).tracks) for piece in bench.tracks}
    whole = sum(paths.values())
    again = Again(bench, subject) if 0 < whole <= MOST_ROUTES else None
    yield 0.0
    if again is not None:
        for share in again.whole():
            yield share / (len(refs) + 1)
        if whole + sum(paths[piece] for ref in refs for piece in again.pieces(ref)) > MOST_ROUTES:
            again = None
    count = len(again.routes) if again is not None else 0
    tables = [Table(points_of(travel)) for travel in positions(bench)]
    out = []
    for number, ref in enumerate(refs, 1):
        yield number / (len(refs) + 1)
        place = switched.place[ref]
        rails = tuple((tables[position], lost) for position, lost in hanging.lost(place).items())
        dead = short = 0
        if again is not None:
            dead, short = yield from _shares(again.lost(ref), number, len(refs) + 1)
        fate: Fate = "dies"
        if not (rails or dead or short):
            fate = "second way" if hanging.second_way(place) else "nothing hangs on it"
        out.append(Broken(ref, _told(bench, ref), rails, dead, short, count, fate))
    yield tuple(sorted(out, key=lambda row: row.weight, reverse=True))


def _shares(
    work: Generator[float, None, tuple[int, int]], number: int, count: int
) -> Generator[float, None, tuple[int, int]]:
    """A piece of work, the `number`th of `count`, with its shares among those of all."""
    while True:
        try:
            share = next(work)
        except StopIteration as done:
            found: tuple[int, int] = done.value
            return found
        yield (number + share) / count


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

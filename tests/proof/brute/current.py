"""Whole circuits of a bench, each made anew and solved alone, and what their supplies do."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

import numpy as np

from sim.bench.levers import levers
from sim.bench.model import Bench
from sim.bench.point_set import full_id
from sim.electric.circuit import Circuit
from sim.electric.parts import Part, PartRef, Source
from sim.electric.solve import Solution, solve
from sim.track.layout import Layout
from sim.wiring.switched import SwitchedCircuit, with_standing
from sim.wiring.wheels import Standing

__all__ = ["WORDS", "Current", "Settings", "Words"]

Settings = Mapping[str, str]
Words = tuple[str, ...]
"""The settings of all levers, in their order."""

WORDS = ("normal", "diverging")
HOT_AMPS = 0.1
_AT = {"normal": 0.0, "diverging": 1.0}


class Current:
    """What flows on one bench."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.layout = Layout(bench)
        self.switched = SwitchedCircuit(bench, self.layout)
        self.levers = levers(bench)
        self.names = tuple(lever.id for lever in self.levers)
        self.lever_of = {mover: lever.id for lever in self.levers for mover in lever.movers}
        self.every = tuple(itertools.product(WORDS, repeat=len(self.names)))
        self.dc = all(supply.kind == "dc" for supply in bench.supplies)
        self.most_volts = max((supply.volts for supply in bench.supplies), default=0.0)
        self.units = tuple(unit.id for unit in bench.polarities)
        self._quiet: dict[Words, int] = {}

    def needs(self, piece: str, track: int) -> dict[str, str]:
        """The levers that a track needs, and how."""
        path = self.layout.geometry(piece).tracks[track]
        return {self.lever_of[full_id(piece, name)]: setting for name, setting in path.needs.items()}

    def made(self, words: Words, units: Settings | None = None, moving: Mapping[str, float] | None = None) -> Circuit:
        """The circuit with the levers so; `moving`: of those that are on their way, how far they are."""
        travel = {
            mover: (moving or {}).get(lever.id, _AT[word])
            for lever, word in zip(self.levers, words, strict=True)
            for mover in lever.movers
        }
        return self.switched.circuit(self.switched.made(travel, units))

    def _volts(self) -> Iterator[dict[str, float]]:
        """The supplies' volts in each way in which their kinds can meet."""
        supplies = self.bench.supplies
        yield {supply.id: supply.volts for supply in supplies}
        if len({supply.kind for supply in supplies}) > 1:
            yield {supply.id: supply.volts * (-1.0 if supply.kind == "dc" else 1.0) for supply in supplies}

    def _alike(self, volts: Mapping[str, float]) -> dict[str, float]:
        most: dict[str, float] = {}
        for supply in self.bench.supplies:
            most[supply.kind] = max(most.get(supply.kind, 0.0), supply.volts)
        return {s.id: math.copysign(most[s.kind], volts[s.id]) for s in self.bench.supplies}

    @staticmethod
    def _with_volts(circuit: Circuit, volts: Mapping[str, float]) -> Circuit:
        parts: list[Part] = [
            Source(part.ref, part.plus, part.minus, volts[part.ref.owner], part.ohms)
            if isinstance(part, Source)
            else part
            for part in circuit.parts
        ]
        return Circuit(circuit.nodes, tuple(parts))

    def level(self, solution: Solution) -> tuple[int, int, float]:
        """The worst supply's level, its number, and what really flows over what would."""
        found = (0, 0, 1.0)
        best = (-1, 0.0)
        for k, supply in enumerate(self.bench.supplies):
            whole = abs(solution.amps[PartRef("supply", supply.id)])
            amps = min(whole, supply.most_amps)
            level = 2 if amps >= supply.trip_amps else 1 if amps > HOT_AMPS else 0
            if (level, amps) > (best[0], best[1] + 1e-6) or level > best[0]:
                best, found = (level, amps), (level, k, amps / whole if whole > amps else 1.0)
        return found

    def fault(
        self, words: Words, standing: Sequence[Standing], moving: Mapping[str, float] | None = None
    ) -> tuple[int, bool, Solution, list[Settings]]:
        """The worst of all polarities: level after units have done what they can, whether a current only evens out
        volts, the solution in that polarity at rest, and throws in which it is clean."""
        found: list[tuple[int, bool, Solution, list[Settings]]] = []
        for volts in self._volts():
            level, evens, solution, supply, scale = self.at_rest(words, {}, standing, moving, volts)
            clean: list[Settings] = []
            if level and self.units:
                able = self._able(solution, supply, scale)
                for size in range(1, len(able) + 1):
                    for some in itertools.combinations(able, size):
                        throw = dict.fromkeys(some, "b")
                        if not self.at_rest(words, throw, standing, moving, volts)[0]:
                            clean.append(throw)
                if clean:
                    level = 0
            found.append((level, evens, solution, clean))
        return max(found, key=lambda one: one[0])

    def throws(self) -> list[Settings]:
        """Every way in which some of the automatic polarity units can have turned."""
        sizes = range(1, len(self.units) + 1)
        return [dict.fromkeys(some, "b") for size in sizes for some in itertools.combinations(self.units, size)]

    @property
    def as_is(self) -> dict[str, float]:
        """The supplies' volts as filed."""
        return {supply.id: supply.volts for supply in self.bench.supplies}

    def at_rest(
        self, words: Words, units: Settings, standing: Sequence[Standing], moving: Mapping[str, float] | None,
        volts: Mapping[str, float],
    ) -> tuple[int, bool, Solution, int, float]:  # fmt: skip
        """Level, whether a current only evens out volts, the solution, the worst supply, and the share that flows."""
        bare = self.made(words, units, moving)
        circuit = with_standing(bare, standing) if standing else bare
        solution = solve(self._with_volts(circuit, volts))
        level, supply, scale = self.level(solution)
        evens = False
        alike = self._alike(volts)
        if level and alike != volts and not self.level(solve(self._with_volts(circuit, alike)))[0]:
            level, evens = 0, True
        return level, evens, solution, supply, scale

    def _able(self, solution: Solution, supply: int, scale: float) -> list[str]:
        model = self.bench.supplies[supply]
        if model.kind != "dcc":
            return []
        found = []
        for unit in self.bench.polarities:
            amps = max(
                (abs(solution.amps[ref]) for ref in solution.amps if ref.kind == "unit" and ref.owner == unit.id),
                default=0.0,
            )
            if amps * scale >= unit.turns_at_amps and unit.turn_seconds < model.trip_seconds:
                found.append(unit.id)
        return found

    def quiet(self, words: Words) -> int:
        """The level of fault with nothing on the track."""
        if words not in self._quiet:
            self._quiet[words] = self.fault(words, ())[0]
        return self._quiet[words]

    @cached_property
    def faulty(self) -> dict[Words, int]:
        """The combinations that are at fault with nothing on the track."""
        return {words: level for words in self.every if (level := self.quiet(words))}

    def thrown(self) -> set[str]:
        """Levers in whose throw there is a fault though both its ends are clean."""
        found: set[str] = set()
        for k, lever in enumerate(self.levers):
            for words in self.every:
                other = (*words[:k], "diverging", *words[k + 1 :])
                if words[k] != "normal" or self.quiet(words) or self.quiet(other):
                    continue
                if any(self.fault(words, (), {lever.id: at})[0] for at in np.linspace(0.005, 0.995, 100).tolist()):
                    found.add(lever.id)
                    break
        return found

    def sides(self, circuit: Circuit, node: str) -> set[tuple[int, int]]:
        """The supplies, and their sides, to which a node is joined by metal."""
        links: dict[str, set[str]] = {}
        for part in circuit.parts:
            branch = part.stamp()
            if branch.siemens and part.ref.kind != "supply":
                links.setdefault(branch.a, set()).add(branch.b)
                links.setdefault(branch.b, set()).add(branch.a)
        seen, queue = {node}, [node]
        while queue:
            for one in links.get(queue.pop(), ()):
                if one not in seen:
                    seen.add(one)
                    queue.append(one)
        return {
            (k, side)
            for k, supply in enumerate(self.bench.supplies)
            for side, end in enumerate((supply.a, supply.b))
            if end in seen
        }

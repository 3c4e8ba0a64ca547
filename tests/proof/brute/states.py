"""What it comes to where wheels stand on rails, with the levers in one way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from sim.bench.model import Vehicle
from sim.electric.solve import Solution, solve
from sim.wiring.switched import with_standing
from sim.wiring.wheels import Standing, load_ohms
from tests.proof.brute.current import Current, Words
from tests.proof.brute.ways import Pattern

__all__ = ["State", "States"]


class State(NamedTuple):
    """What a pattern comes to with the levers in one way: 0 nothing, 1 hot, 2 short; volts across each vehicle's
    pick-ups; the rails by which most current enters and leaves the wheels."""

    level: int
    evens: bool
    volts: tuple[float, ...]
    rails: frozenset[str]

    def starves(self, vehicles: Sequence[Vehicle]) -> bool:
        """Whether one of the vehicles has less than it works from."""
        return any(volts < of.works_from_volts for volts, of in zip(self.volts, vehicles, strict=True))


class States:
    """Every state asked for so far, each solved once."""

    def __init__(self, current: Current) -> None:
        self.current = current
        self._states: dict[tuple[object, ...], State] = {}

    def of(self, words: Words, vehicles: tuple[Vehicle, ...], pattern: Pattern) -> State:
        key = (words, tuple(one.name for one in vehicles), pattern)
        if key not in self._states:
            self._states[key] = self._judged(words, vehicles, pattern)
        return self._states[key]

    def _judged(self, words: Words, vehicles: tuple[Vehicle, ...], pattern: Pattern) -> State:
        each = enumerate(zip(vehicles, pattern, strict=True))
        lifted = [Standing(f"test:{k}", vehicle, axles) for k, (vehicle, axles) in each]
        level, evens, solution, throws = self.current.fault(words, lifted)
        if not level and self.current.units and not throws:  # units that have turned elsewhere stay so
            every, volts_now = self.current.throws(), self.current.as_is
            throws = [throw for throw in every if not self.current.at_rest(words, throw, lifted, None, volts_now)[0]]
            throws.append({})
        rails: frozenset[str] = frozenset()
        if level:
            rails = self._crossed(solution, lifted)
        running = [replace(one, load_ohms=load_ohms(one.vehicle, self.current.most_volts)) for one in lifted]
        volts = [math.nan] * len(vehicles)
        if not level:
            for throw in throws or [{}]:
                now = solve(with_standing(self.current.made(words, throw), running))
                for k, vehicle in enumerate(vehicles):
                    if vehicle.draws_amps > 0:
                        a, b = f"test.{k}.pickup.left", f"test.{k}.pickup.right"
                        across = abs(now.volts[a] - now.volts[b])
                        volts[k] = across if math.isnan(volts[k]) else max(volts[k], across)
        return State(level, evens, tuple(volts), rails)

    @staticmethod
    def _crossed(solution: Solution, standing: Sequence[Standing]) -> frozenset[str]:
        """The rail by which most current enters metal, and that by which most leaves the same."""
        into: dict[str, float] = {}
        piece_of: dict[str, set[str]] = {}
        links: list[set[str]] = []
        for ref, amps in solution.amps.items():
            if ref.kind == "wheel":
                rail = str(ref.detail[3])
                into[rail] = into.get(rail, 0.0) - amps
                stem = f"{ref.owner}.{ref.detail[0]}.{ref.detail[2]}"
                piece_of.setdefault(stem, set()).add(rail)
        for one in standing:
            for side, collecting in (("left", one.vehicle.pickup_left), ("right", one.vehicle.pickup_right)):
                joined: set[str] = set()
                for axle in range(1, len(one.axles) + 1):
                    rails = piece_of.get(f"{one.name}.{axle}.{side}", set())
                    if axle in collecting:
                        joined |= rails
                    else:
                        links.append(set(rails))
                links.append(joined)
        merged: list[set[str]] = []
        for link in links:
            mine = [other for other in merged if other & link]
            merged = [other for other in merged if not other & link]
            merged.append(link.union(*mine))
        first = max(into, key=lambda rail: into[rail])
        island = next(other for other in merged if first in other)
        second = min(sorted(island), key=lambda rail: into[rail])
        return frozenset((first.split("/")[0], second.split("/")[0]))

    def spans(self, words: Words, vehicles: Sequence[Vehicle], pattern: Pattern) -> bool:
        """Whether a vehicle collects on its left from one piece and on its right from another, and both are fed."""
        circuit = self.current.made(words)
        for vehicle, axles in zip(vehicles, pattern, strict=True):
            left = {rail for k in vehicle.pickup_left for rail in axles[k - 1][0]}
            right = {rail for k in vehicle.pickup_right for rail in axles[k - 1][1]}
            pieces = [{rail.partition(".")[0] for rail in side} for side in (left, right)]
            fed = all(any(self.current.sides(circuit, rail) for rail in side) for side in (left, right))
            if vehicle.draws_amps > 0 and fed and not pieces[0] & pieces[1]:
                return True
        return False

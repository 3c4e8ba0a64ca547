"""One situation of a bench solved whole, so that what flows in it can be told part by part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from sim.bench.model import Bench, Supply
from sim.electric.circuit import Circuit
from sim.electric.parts import PartRef, Source
from sim.electric.solve import Solution, solve
from sim.proof.subject import HOT_AMPS, Subject
from sim.wiring.loop import LoopStep, trace
from sim.wiring.names import section_of
from sim.wiring.switched import with_standing
from sim.wiring.wheels import Standing

__all__ = ["Instant", "instant"]

_ALIKE = 1e-6  # A
_SHARE = 0.25  # of the fault's current: a rail that carries less is not told


@dataclass(frozen=True, eq=False)
class Instant:
    """A circuit with what stands on the track, supplies' breakers held closed."""

    bench: Bench
    circuit: Circuit

    @cached_property
    def solution(self) -> Solution:
        """The circuit solved, as if supplies could give any current."""
        return solve(self.circuit)

    @cached_property
    def worst(self) -> tuple[int, float, Supply]:
        """0 nothing, 1 hot, 2 short; the amperes, at most what the supply can give; and the supply. Of supplies that
        give alike the first is told."""
        found: tuple[int, float, Supply] | None = None
        for supply in self.bench.supplies:
            amps = min(abs(self.solution.amps[PartRef("supply", supply.id)]), supply.most_amps)
            level = 2 if amps >= supply.trip_amps else 1 if amps > HOT_AMPS else 0
            if found is None or (level, amps - _ALIKE) > found[:2]:
                found = (level, amps, supply)
        if found is None:
            raise ValueError("a bench without a supply")
        return found

    @property
    def scale(self) -> float:
        """What really flows over what would flow from supplies without limit."""
        _, amps, supply = self.worst
        whole = abs(self.solution.amps[PartRef("supply", supply.id)])
        return amps / whole if whole > amps else 1.0

    @cached_property
    def loop(self) -> tuple[LoopStep, ...]:
        """The way of the worst supply's current from its side A to its side B."""
        supply = self.worst[2]
        forward = self.solution.amps[PartRef("supply", supply.id)] >= 0
        start, goal = (supply.a, supply.b) if forward else (supply.b, supply.a)
        return trace(self.bench, self.circuit, self.solution.amps, start, goal)

    @property
    def volts_left(self) -> float:
        """Volts across the worst supply's terminals."""
        supply = self.worst[2]
        return abs(self.solution.volts[supply.a] - self.solution.volts[supply.b]) * self.scale

    @cached_property
    def hottest(self) -> tuple[PartRef, float]:
        """The part that takes the most watts, and the watts; supplies left out."""
        watts = {ref: power for ref, power in self.solution.watts.items() if ref.kind != "supply"}
        ref = max(watts, key=lambda name: (watts[name], name))
        return ref, watts[ref] * self.scale**2

    @cached_property
    def rails(self) -> tuple[str, ...]:
        """Sections that a quarter of the worst supply's current or more runs through, sorted."""
        into: dict[str, float] = {}
        for part in self.circuit.parts:
            branch, amps = part.stamp(), self.solution.amps[part.ref]
            head = branch.b if (amps > 0) != branch.delivers else branch.a
            into[head] = into.get(head, 0.0) + abs(amps)
        sections = {node: section_of(node) for piece in self.bench.tracks for node in piece.nodes()}
        least = _SHARE * abs(self.solution.amps[PartRef("supply", self.worst[2].id)]) * (1 - 1e-9)
        return tuple(sorted({section for node, section in sections.items() if into.get(node, 0.0) >= least}))

    def amps(self, ref: PartRef) -> float:
        """The size of the current in a part."""
        return abs(self.solution.amps.get(ref, 0.0)) * self.scale


def instant(
    subject: Subject,
    settings: Mapping[str, str],
    *,
    units: Mapping[str, str] | None = None,
    moving: Mapping[str, float] | None = None,
    sources: int | None = None,
    standing: Sequence[Standing] = (),
) -> Instant:
    """A situation of a bench.

    Args:
        settings: levers; those left out as in the base. moving: levers on their way, with their travel.
        sources: number of the set of the supplies' volts; left out, as they are.
    """
    circuit = subject.circuit(settings, units, moving)
    factors = subject.sources[subject.real[0] if sources is None else sources]
    if (factors != 1.0).any():
        of = {PartRef("supply", s.id): factor for s, factor in zip(subject.bench.supplies, factors, strict=True)}
        parts = tuple(
            Source(part.ref, part.plus, part.minus, part.volts * of[part.ref], part.ohms)
            if isinstance(part, Source)
            else part
            for part in circuit.parts
        )
        circuit = Circuit(circuit.nodes, parts)
    return Instant(subject.bench, with_standing(circuit, standing) if standing else circuit)

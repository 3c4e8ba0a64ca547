"""What flows in a bench that stands still, and whether that is a fault."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from sim.bench.model import Bench
from sim.electric.circuit import Circuit
from sim.electric.parts import PartRef
from sim.electric.solve import Solution, solve
from sim.proof.subject import Relays

__all__ = ["HOT_AMPS", "Quiet", "worst"]

_ALIKE = 1e-6  # A: what differs by less is alike
HOT_AMPS = 0.1  # a fault current above this that opens no breaker burns something (model.md section 5)


def worst(bench: Bench, amps: Mapping[str, float]) -> tuple[str, str, float] | None:
    """The fault that these supply currents are: ("short" or "hot", supply id, amps), or None.

    Of supplies that give alike, as two in one loop do, the first is told.
    """
    found: tuple[str, str, float] | None = None
    for supply in bench.supplies:
        current = abs(amps[supply.id])
        if current >= supply.trip_amps:
            if found is None or found[0] == "hot" or current > found[2] + _ALIKE:
                found = ("short", supply.id, current)
        elif current > HOT_AMPS and (found is None or (found[0] == "hot" and current > found[2] + _ALIKE)):
            found = ("hot", supply.id, current)
    return found


@dataclass(frozen=True)
class Quiet:
    """A circuit with nothing on the track, or with what stands there.

    relays: the throw of them that stands
    calm: no supply is known to give so much that it would be a fault
    """

    bench: Bench
    circuit: Circuit
    relays: Relays
    calm: bool = False

    @cached_property
    def solution(self) -> Solution:
        """The circuit solved."""
        return solve(self.circuit)

    @cached_property
    def fault(self) -> tuple[str, str, float] | None:
        """Its fault, if any, as `worst` tells it."""
        if self.calm:
            return None
        return worst(
            self.bench,
            {supply.id: self.solution.amps[PartRef("supply", supply.id)] for supply in self.bench.supplies},
        )

"""A resistance: a wire, a rail, a contact, a joiner, a wheel on a rail, a load."""

from __future__ import annotations

from dataclasses import dataclass

from sim.electric.parts.part import Branch, PartError
from sim.electric.parts.ref import PartRef

__all__ = ["Resistor"]


@dataclass(frozen=True)
class Resistor:
    """`ohms` between `a` and `b`. More than zero; infinite joins nothing."""

    ref: PartRef
    a: str
    b: str
    ohms: float

    def __post_init__(self) -> None:
        if not self.ohms > 0.0:
            raise PartError(f"{self.ref}: ohms must be more than 0, not {self.ohms!r}")

    def stamp(self) -> Branch:
        """See `Part`."""
        return Branch(self.a, self.b, 1.0 / self.ohms)

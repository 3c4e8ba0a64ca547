"""A source of steady volts behind its own resistance: a supply, or the cell inside a meter."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.electric.parts.part import Branch, PartError
from sim.electric.parts.ref import PartRef

__all__ = ["Source"]


@dataclass(frozen=True)
class Source:
    """`volts` (either sign, or 0: switched off but still joined) behind `ohms`, from `minus` to `plus`.

    `ohms` is more than zero; infinite joins nothing. Its current is told as what flows out of `plus`.
    """

    ref: PartRef
    plus: str
    minus: str
    volts: float
    ohms: float

    def __post_init__(self) -> None:
        if not self.ohms > 0.0:
            raise PartError(f"{self.ref}: ohms must be more than 0, not {self.ohms!r}")
        if not math.isfinite(self.volts):
            raise PartError(f"{self.ref}: volts must be a number, not {self.volts!r}")

    def stamp(self) -> Branch:
        """See `Part`."""
        return Branch(self.plus, self.minus, 1.0 / self.ohms, emf=self.volts, delivers=True)

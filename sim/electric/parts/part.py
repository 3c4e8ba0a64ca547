"""What every part of a circuit has in common: it stamps itself as one branch between two nodes."""

from __future__ import annotations

from typing import NamedTuple, Protocol

from sim.electric.parts.ref import PartRef

__all__ = ["Branch", "Part", "PartError"]


class PartError(ValueError):
    """A part that cannot exist, such as a resistance below zero."""


class Branch(NamedTuple):
    """One branch of a circuit, as the solver sees it.

    The current from `a` to `b`, in amperes, is siemens * (volts(a) - volts(b) - emf). A part with a bent characteristic
    gives its greatest slope as `siemens` and its rated volts as `filament`; the solver then takes off what the bend
    takes off.
    """

    a: str
    b: str
    siemens: float
    emf: float = 0.0
    delivers: bool = False  # told as current out of `a` (a source) instead of into it
    filament: float = 0.0  # rated volts of a filament; 0: a straight line


class Part(Protocol):
    """A part of a circuit: a name that is its own in the circuit, and a stamp."""

    @property
    def ref(self) -> PartRef:
        """The part's own name, under which its current is told."""

    def stamp(self) -> Branch:
        """The branch that stands for the part in the circuit's equations."""

"""A filament lamp: little resistance cold, a dozen times as much when it glows.

The filament's resistance is taken as cold_ohms * (1 + (v / knee)**2) ** (1/4) at v volts across it, with the knee put
where the lamp takes its rated watts at its rated volts. Far above the knee the current then grows as the square root of
the volts.

* Cold to hot as 1 to 14: tungsten's resistivity rises 13 to 15 times from room temperature to a filament's 2,700 to
  2,900 K (common knowledge of lamps, from memory).
* Square root: handbooks give powers of the volts from 0.5 to 0.6 (from memory); 0.5 is the one that meets the trade's
  figures for a 12 V 21 W lamp in a frog's feed (trade.md F: cold under 1 ohm, 0.2 to 0.4 V at running current, about
  2 A on a short).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.electric.parts.part import Branch, PartError
from sim.electric.parts.ref import PartRef

__all__ = ["COLD_TO_HOT", "Lamp", "chord", "settle", "slope"]

Array = NDArray[np.float64]

COLD_TO_HOT = 14.0
_KNEE = 1.0 / math.sqrt(COLD_TO_HOT**4 - 1.0)  # volts at the knee, in rated volts

# `settle`: chords come nearer from anywhere, because a filament's conductance only falls with the volts, each at least
# halving the error; tangents, once near, double the number of right digits. Eight steps in all are the rule.
_CHORDS = 3
_STEPS = 50
_CLOSE = 1e-12


@dataclass(frozen=True)
class Lamp:
    """A filament lamp between `a` and `b`, by its rated `volts` and `watts`."""

    ref: PartRef
    a: str
    b: str
    volts: float
    watts: float

    def __post_init__(self) -> None:
        for name, value in (("volts", self.volts), ("watts", self.watts)):
            if not 0.0 < value < math.inf:
                raise PartError(f"{self.ref}: {name} must be more than 0, not {value!r}")

    @property
    def hot_ohms(self) -> float:
        """Resistance at the rated volts."""
        return self.volts**2 / self.watts

    @property
    def cold_ohms(self) -> float:
        """Resistance at room temperature."""
        return self.hot_ohms / COLD_TO_HOT

    def amps(self, volts: float) -> float:
        """Steady current, A, with `volts` across it."""
        return volts / self.cold_ohms * float(chord(np.asarray(volts / self.volts)))

    def stamp(self) -> Branch:
        """See `Part`."""
        return Branch(self.a, self.b, 1.0 / self.cold_ohms, filament=self.volts)


def chord(volts: Array) -> Array:
    """Steady current per volt of a filament at `volts` (in rated volts), as a part of its cold conductance."""
    return np.asarray((1.0 + (volts / _KNEE) ** 2) ** -0.25)


def slope(volts: Array) -> Array:
    """Rise of the steady current per volt at `volts` (in rated volts), as a part of the cold conductance."""
    square = (volts / _KNEE) ** 2
    return np.asarray((1.0 + 0.5 * square) * (1.0 + square) ** -1.25)


def settle(open_volts: Array, answer: Array, cold: Array, rated: Array) -> Array:
    """Find what hot filaments take off the current that they would take if they stayed cold.

    A circuit with its lamps cold is a straight-line one. A filament at v volts takes j(v) amperes less than a cold one.
    Putting j back in at the lamps' terminals gives the volts across them as open_volts + answer @ j(v), which is solved
    here.

    `open_volts` (S, L): volts across the L lamps, all cold, in S circuits. `answer` (S, L, L) or (L, L): volts across
    lamp k per ampere put in at lamp l. `cold` (L,): cold conductances, S. `rated` (L,): rated volts. Returns j, (S, L)
    A.
    """
    volts = open_volts
    eye = np.eye(len(cold))
    for step in range(_STEPS):
        ratio = volts / rated
        less = cold * (1.0 - chord(ratio))
        bend = less if step < _CHORDS else cold * (1.0 - slope(ratio))
        right = open_volts[..., None] + answer @ ((less - bend) * volts)[..., None]
        before = volts
        volts = np.asarray(np.linalg.solve(eye - answer * bend[..., None, :], right)[..., 0], dtype=np.float64)
        if np.all(np.abs(volts - before) <= _CLOSE * (1.0 + np.abs(volts))):
            break
    return np.asarray(cold * (1.0 - chord(volts / rated)) * volts)

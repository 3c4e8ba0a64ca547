"""What is measured, in what unit, and what it should be at most."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Sequence
from typing import NamedTuple

__all__ = ["AIMS", "MEMORY_SECONDS", "Aim", "Taken", "row"]

Taken = dict[str, list[float]]
"""What was measured, by the name of the aim."""

MEMORY_SECONDS = 3600
"""Of play, in the bench's own time."""


class Aim(NamedTuple):
    """most: of the `share` of what was measured (0.5: the median), in `unit`, of which there are `per` to the measured.

    Measured are seconds, shares and bytes.
    """

    most: float
    share: float = 0.5
    unit: str = "ms"
    per: float = 1000.0


AIMS: dict[str, Aim] = {
    "test of every route, one turnout, cold": Aim(0.100),
    "the same after a change of wiring": Aim(0.010),
    "one step of the running bench": Aim(0.0005),
    "start to first frame": Aim(1.5),
    "frame, train running, 1920 x 1080, median": Aim(0.008),
    "the same, 95 of 100 frames": Aim(0.008, 0.95),
    "the same, 99 of 100 frames": Aim(0.008, 0.99),
    "frame, train running, 3840 x 2160, median": Aim(1 / 60),
    "the same at that size, 99 of 100 frames": Aim(1 / 60, 0.99),
    "core's share while nothing moves": Aim(0.03, unit="%", per=100.0),
    "more memory after an hour of play": Aim(16e6, unit="MB", per=1e-6),
    "more in its second half": Aim(4e6, unit="MB", per=1e-6),
}
"""In the order in which they are printed. Where there is no outside measure the number is a choice of ours."""


def _at_share(values: Sequence[float], share: float) -> float:
    if share == 0.5:
        return statistics.median(values)
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, math.ceil(share * len(ordered)) - 1)]


def row(name: str, values: Sequence[float], *, width: int = 44) -> tuple[str, bool]:
    """A line of the table, and whether the aim is met."""
    aim = AIMS[name]
    shown: Callable[[float], str] = lambda value: f"{value * aim.per:>7.2f} {aim.unit:2}"  # noqa: E731
    reached = _at_share(values, aim.share)
    cells = " ".join(shown(value) for value in (reached, min(values), max(values), aim.most))
    return f"{name:{width}} {cells} {reached / aim.most:>7.2f}x", reached <= aim.most

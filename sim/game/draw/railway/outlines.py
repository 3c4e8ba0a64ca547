"""The shape of a vehicle as it is seen from above, and its paint: what stands where on its frame.

A frame is in mm: along it from its leading axle backwards, across it, left positive.
"""

from __future__ import annotations

from typing import NamedTuple

from sim.game.look.theme import Colour, Theme
from sim.game.paper.view import Point

__all__ = [
    "HALF_MM", "Frame", "Look", "cab_of", "hood_of", "lamps_of", "look_of", "paint_of", "roof_of", "window_depth",
]  # fmt: skip

HALF_MM = 15.2
"""Half the width of a footplate, HO."""


class Look(NamedTuple):
    """How a vehicle looks: what stands on its frame, and its paint, as a role of the theme."""

    style: str
    paint: str


class Frame(NamedTuple):
    """The shape of a vehicle's frame: its ends along it, mm, front first, and how large it is beside HO."""

    front: float
    back: float
    share: float

    @property
    def long(self) -> float:
        """From end to end, mm."""
        return self.front - self.back

    @property
    def half(self) -> float:
        """Half its width, mm."""
        return HALF_MM * self.share


_PAINTS = {
    "four-wheel shunter": "paint-shunter",
    "bogie diesel": "paint-diesel",
    "tender engine": "paint-tender",
    "metal-wheel wagon": "paint-wagon",
}
_OTHERS = ("paint-plum", "paint-teal", "paint-ochre", "paint-slate")


def look_of(name: str, axles: int) -> Look:
    """The look of a vehicle of that name, with so many axles."""
    paint = _PAINTS.get(name) or _OTHERS[sum(ord(letter) for letter in name) % len(_OTHERS)]
    if "wagon" in name or "car" in name.split():
        return Look("wagon", paint)
    if "tender" in name:
        return Look("tender", paint)
    return Look("shunter" if axles <= 3 else "diesel", paint)


def paint_of(look: Look, theme: Theme) -> Colour:
    """The middle tone of a vehicle's paint: at least 3:1 against the sleepers."""
    return theme[look.paint]


def hood_of(look: Look, frame: Frame) -> tuple[float, float, float]:
    """The longest body of a vehicle but its cab: front, back, half width, mm."""
    front, back, share = frame.front, frame.back, frame.share
    if look.style == "diesel":
        return front - 0.46 * frame.long, back + 5 * share, 7.0 * share
    if look.style == "shunter":
        return front - 5 * share, back + 0.44 * frame.long, 7.0 * share
    if look.style == "tender":
        return front - 3 * share, front - 0.5 * frame.long, 6.4 * share
    return front - 3 * share, back + 3 * share, 12.6 * share


def cab_of(look: Look, frame: Frame) -> tuple[float, float, float] | None:
    """The cab: front, back, half width, mm; None for what has none."""
    front, back, share = frame.front, frame.back, frame.share
    if look.style == "diesel":
        return front - 0.3 * frame.long, front - 0.46 * frame.long, 13.4 * share
    if look.style == "shunter":
        return back + 0.44 * frame.long, back + 5 * share, 13.4 * share
    if look.style == "tender":
        return front - 0.5 * frame.long, front - 0.5 * frame.long - 15 * share, 13.0 * share
    return None


def window_depth(cab: tuple[float, float, float], share: float) -> float:
    """How deep the windows at a cab's ends are, seen from above, mm."""
    return min(3.0 * share, (cab[0] - cab[1]) * 0.22)


def roof_of(cab: tuple[float, float, float], share: float) -> tuple[float, float, float] | None:
    """The roof between a cab's windows: front, back, half width, mm; None where the cab is too small for one."""
    front, back, half = cab
    inside = window_depth(cab, share) + 1.7 * share
    if front - back - 2 * inside < 2.4 * share:
        return None
    return front - inside, back + inside, half - 4.4 * share


def lamps_of(look: Look, frame: Frame, end: int) -> tuple[Point, ...]:
    """Where the headlamps of an end (1 front, -1 back) are, along and across, mm; none on a wagon."""
    if look.style == "wagon":
        return ()
    edge = frame.front if end > 0 else frame.back
    return tuple((edge - end * 1.6 * frame.share, side * 7.6 * frame.share) for side in (-1.0, 1.0))

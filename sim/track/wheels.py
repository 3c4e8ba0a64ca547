"""Wheels: the contours of the standard, and the lateral play of a wheelset between the rails."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sim.bench.model import WheelSize
from sim.track.rails import INCH_MM
from sim.track.standards import Scale

__all__ = ["RP25_INCHES", "Wheel", "play_mm", "standard_wheel", "wheel"]

# NMRA RP-25, track_wheel.toml nmra_rp25.code_*: wheel width N', flange width T, inches.
RP25_INCHES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "RP-25 code 54": (0.054, 0.014),
        "RP-25 code 72": (0.072, 0.020),
        "RP-25 code 79": (0.079, 0.023),
        "RP-25 code 88": (0.088, 0.025),
        "RP-25 code 110": (0.110, 0.030),
        "RP-25 code 116": (0.116, 0.031),
        "RP-25 code 126": (0.126, 0.036),
        "RP-25 code 175": (0.175, 0.048),
    }
)


@dataclass(frozen=True)
class Wheel:
    """A wheelset, in millimetres.

    ``back_to_back_mm``: between the backs of its two wheels. ``flange_mm``: thickness of a flange, measured across
    the track. ``width_mm``: of a whole wheel, flange and tread. ``radius_mm``: of the tread.
    """

    back_to_back_mm: float
    flange_mm: float
    width_mm: float
    radius_mm: float

    @property
    def tread_mm(self) -> float:
        """Width of the tread, from the root of the flange to the wheel's face."""
        return self.width_mm - self.flange_mm

    @property
    def reach_mm(self) -> float:
        """From the middle of the axle to the outer face of a wheel."""
        return self.back_to_back_mm / 2 + self.width_mm


def standard_wheel(scale: Scale) -> Wheel:
    """The wheel that the scale's turnouts are made for: least back-to-back, thinnest flange, ordinary width."""
    return Wheel(scale.back_to_back_mm, scale.flange_mm, scale.wheel_width_mm, scale.wheel_radius_mm)


def wheel(spec: str | WheelSize, scale: Scale) -> Wheel:
    """The wheel that a vehicle names: a row of RP-25, with back-to-back and radius from the scale, or sizes of its own.

    Raises ValueError for a name that is not a row.
    """
    if not isinstance(spec, str):
        return Wheel(spec.back_to_back_mm, spec.flange_mm, spec.width_mm, spec.radius_mm)
    if spec not in RP25_INCHES:
        raise ValueError(f"no wheel {spec!r}; known are {', '.join(RP25_INCHES)}")
    width, flange = RP25_INCHES[spec]
    return Wheel(scale.back_to_back_mm, flange * INCH_MM, width * INCH_MM, scale.wheel_radius_mm)


def play_mm(gauge_mm: float, wheelset: Wheel) -> float:
    """How far a wheelset can go to either side from the middle until a flange meets its rail; 0 for one too wide."""
    return max(0.0, (gauge_mm - wheelset.back_to_back_mm - 2 * wheelset.flange_mm) / 2)

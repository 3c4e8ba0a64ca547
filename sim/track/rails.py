"""Rail sections: how wide the head is and how high the rail stands."""

from __future__ import annotations

from dataclasses import dataclass

from sim.bench.vocabulary import RAILS

__all__ = ["INCH_MM", "RAIL_SECTIONS", "RailSection", "rail_section"]

INCH_MM = 25.4


@dataclass(frozen=True)
class RailSection:
    """A rail section. ``head_mm``: width of the head; ``height_mm``: of the whole rail; ``base_mm``: of the foot."""

    name: str
    height_mm: float
    base_mm: float
    head_mm: float


# NMRA RP-15.1, track_wheel.toml nmra_rp15_1.code_*: height A, base width B, head width C, inches.
_RP15_1_INCHES = {
    "code 32": (0.032, 0.032, 0.016),
    "code 40": (0.040, 0.040, 0.020),
    "code 55": (0.055, 0.055, 0.028),
    "code 70": (0.070, 0.070, 0.035),
    "code 83": (0.083, 0.080, 0.040),
    "code 100": (0.100, 0.090, 0.045),
    "code 125": (0.125, 0.125, 0.063),
    "code 148": (0.148, 0.132, 0.066),
    "code 172": (0.172, 0.156, 0.078),
    "code 208": (0.208, 0.188, 0.094),
    "code 250": (0.250, 0.224, 0.112),
    "code 297": (0.297, 0.250, 0.125),
}

RAIL_SECTIONS = {name: RailSection(name, *(inches * INCH_MM for inches in _RP15_1_INCHES[name])) for name in RAILS}
"""Every rail section that a bench file may name, lowest first."""


def rail_section(name: str) -> RailSection:
    """The section of that name, "code 83". Raises ValueError for a name that is not in the standard."""
    try:
        return RAIL_SECTIONS[name]
    except KeyError:
        raise ValueError(f"no rail section {name!r}; known are {', '.join(RAIL_SECTIONS)}") from None

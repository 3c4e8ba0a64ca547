"""The scales: gauge, wheels and rail of each, from the published track and wheel standards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sim.track.rails import INCH_MM

__all__ = ["SCALES", "Scale", "scale_named"]


@dataclass(frozen=True)
class Scale:
    """One row of the standards, in millimetres.

    ``gauge_mm``: between the rails' inner faces. ``back_to_back_mm``: least distance between the backs of a
    wheelset's wheels. ``wheel_width_mm``, ``flange_mm``: the narrowest RP-25 wheel that is not under the standard's
    least width. ``wheel_radius_mm`` and ``rail``: our choice of an ordinary wheel and rail. ``flangeway_mm``: widest
    flangeway at the frog. ``check_gauge_mm``: least distance from a frog's gauge line to the working face of the check
    rail that keeps wheels off its point. ``point_spread_mm``: from the gauge face of a stock rail to the back of the
    opposite, open blade, where that blade is of the other polarity; None where the sheet was not found. ``sources``:
    the documents.
    """

    name: str
    gauge_mm: float
    back_to_back_mm: float
    wheel_width_mm: float
    flange_mm: float
    wheel_radius_mm: float
    rail: str
    flangeway_mm: float
    check_gauge_mm: float
    point_spread_mm: float | None
    sources: tuple[str, ...]


_S32 = "NMRA S-3.2 Standard Scale Trackwork"
_S42 = "NMRA S-4.2 Standard Scale Wheels"
_RP25 = "NMRA RP-25 Wheel Contour"

_ROWS = (
    Scale(
        name="HO",
        gauge_mm=16.5,  # NMRA S-3.2, printed beside 0.649 in, track_wheel.toml nmra_s3_2.HO.track_gauge min_mm
        back_to_back_mm=0.566 * INCH_MM,  # NMRA S-4.2, track_wheel.toml nmra_s4_2.HO.back_to_back min
        wheel_width_mm=0.110
        * INCH_MM,  # RP-25 code 110, nmra_rp25.code_110; least width 0.108 in, nmra_s4_2.HO.wheel_width
        flange_mm=0.030 * INCH_MM,  # RP-25 code 110, nmra_rp25.code_110.flange_width
        wheel_radius_mm=5.25,  # our choice: a 36 in wheel at 1:87
        rail="code 83",  # our choice
        flangeway_mm=0.050 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.HO.flangeway_width max
        check_gauge_mm=0.605 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.HO.check_gauge min
        point_spread_mm=0.590 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.HO.point_spread_electrical max
        sources=(_S32, _S42, _RP25),
    ),
    Scale(
        name="S",
        gauge_mm=0.883 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.S.track_gauge min
        back_to_back_mm=0.800 * INCH_MM,  # NMRA S-4.2, nmra_s4_2.S.back_to_back min
        wheel_width_mm=0.110 * INCH_MM,  # RP-25 code 110; least width 0.108 in, nmra_s4_2.S.wheel_width
        flange_mm=0.030 * INCH_MM,  # RP-25 code 110
        wheel_radius_mm=6.5,  # our choice
        rail="code 100",  # our choice
        flangeway_mm=0.050 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.S.flangeway_width max
        check_gauge_mm=0.839 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.S.check_gauge min
        point_spread_mm=0.814 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.S.point_spread_electrical max
        sources=(_S32, _S42, _RP25),
    ),
    Scale(
        name="O",
        gauge_mm=1.250 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.O.track_gauge min
        back_to_back_mm=1.118 * INCH_MM,  # NMRA S-4.2, nmra_s4_2.O.back_to_back min
        wheel_width_mm=0.175
        * INCH_MM,  # RP-25 code 175, nmra_rp25.code_175; least width 0.172 in, nmra_s4_2.O.wheel_width
        flange_mm=0.048 * INCH_MM,  # RP-25 code 175, nmra_rp25.code_175.flange_width
        wheel_radius_mm=10.0,  # our choice
        rail="code 148",  # our choice
        flangeway_mm=0.079 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.O.flangeway_width max
        check_gauge_mm=1.179 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.O.check_gauge min
        point_spread_mm=1.159 * INCH_MM,  # NMRA S-3.2, nmra_s3_2.O.point_spread_electrical max
        sources=(_S32, _S42, _RP25),
    ),
    Scale(
        name="N",
        gauge_mm=9.0,  # NEM 110:2009, nem_110_2009.G_9.track_gauge
        back_to_back_mm=0.297 * INCH_MM,  # NMRA S-4.2, nmra_s4_2.N.back_to_back min
        wheel_width_mm=0.072
        * INCH_MM,  # RP-25 code 72, nmra_rp25.code_72; least width 0.071 in, nmra_s4_2.N.wheel_width
        flange_mm=0.020 * INCH_MM,  # RP-25 code 72, nmra_rp25.code_72.flange_width
        wheel_radius_mm=2.7,  # our choice
        rail="code 55",  # our choice
        flangeway_mm=0.9,  # NEM 110:2009, nem_110_2009.G_9.flangeway_width max
        check_gauge_mm=8.1,  # NEM 110:2009, nem_110_2009.G_9.check_gauge min
        # NEM 110:2009, nem_110_2009.G_9.open_blade_distance max 7.8, less opposite_polarity_reduction 0.2
        point_spread_mm=7.8 - 0.2,
        sources=("NEM 110:2009", _S42, _RP25),
    ),
    Scale(
        name="16.5",
        gauge_mm=16.5,  # NEM 310 sheet of 2002, nem_310_gauge_2002.G_16_5.track_gauge min
        back_to_back_mm=14.4,  # NEM 310:2009, nem_310_2009.G_16_5.back_to_back min
        wheel_width_mm=2.9,  # NEM 310:2009, nem_310_2009.G_16_5.wheel_width max
        flange_mm=0.7,  # NEM 310:2009, nem_310_2009.G_16_5.flange_width min
        wheel_radius_mm=5.25,  # our choice
        rail="code 100",  # our choice
        flangeway_mm=1.3,  # NEM 310 sheet of 2002, nem_310_gauge_2002.G_16_5.flangeway_width max
        check_gauge_mm=15.2,  # NEM 310 sheet of 2002, nem_310_gauge_2002.G_16_5.check_gauge min
        point_spread_mm=None,  # the 16.5 mm row of NEM 110:2009 was not found
        sources=("NEM 310:2009", "NEM 310 sheet of 2002"),
    ),
)

SCALES: Mapping[str, Scale] = MappingProxyType({row.name: row for row in _ROWS})
"""Every scale by name."""


def scale_named(name: str) -> Scale:
    """The scale of that name. Raises ValueError for a name that is not a row of the standards."""
    try:
        return SCALES[name]
    except KeyError:
        raise ValueError(f"no scale {name!r}; known are {', '.join(SCALES)}") from None

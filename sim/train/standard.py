"""The four standard vehicles of every scale, as data.

Lengths are millimetres from the leading axle, masses grams. Sizes for HO, N and O are from the trade's usual ranges
(trade.md E5); S and the 16.5 mm gauge are HO by the ratio of the scales.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from sim.bench.model import Vehicle, WheelSize
from sim.bench.vocabulary import STANDARD_VEHICLES
from sim.track.standards import SCALES
from sim.track.wheels import RP25_INCHES, standard_wheel, wheel

__all__ = ["RATIOS", "SupplyKind", "overhang_of", "standard_set", "wagon_ounces"]

SupplyKind = Literal["dcc", "dc"]

# Full size over model. NMRA S-1.2 names the ratios of O (1:48), S (1:64), HO (1:87.1) and N (1:160); from memory.
# On 16.5 mm track to the European sheet the scale is HO, 1:87 (NEM 010, from memory).
RATIOS: Mapping[str, float] = {"HO": 87.1, "S": 64.0, "O": 48.0, "N": 160.0, "16.5": 87.1}

# Supply on which a vehicle still works. Digital: "decoders must still work near 7 V" (trade.md E1, common practice).
# DC: a quarter of the 12 V of full throttle, the volts at which a small geared motor starts (from memory).
_WORKS_FROM: Mapping[str, float] = {"dcc": 7.0, "dc": 3.0}

_OUNCE = 28.35  # grams, avoirdupois
_INCH = 25.4


@dataclass(frozen=True, slots=True)
class _Sizes:
    """What differs from scale to scale; mm, ounces, and currents over HO's."""

    shunter: float
    bogie: float
    centres: float
    coupled: float
    ounces: float
    ounces_per_inch: float
    current: float


# Trade.md E5, common practice: four-wheel wheelbase N 14-18, HO 25-34, O 55-70 (we take the short end: the hardest
# to carry over a frog); bogie wheelbase and centres N 17 and 60-75, HO 32 and 105-140, O 58 and 210-260;
# six-wheel (three coupled axles) N 22-30, HO 42-55, O 85-110 (about the middle).
# Wagon weights: NMRA RP-20.1 car weight, track_wheel.toml nmra_rp20_1.<scale>.initial and .per_inch.
# Currents: HO engines 0.1-0.4 A; decoder ratings N 0.5-1, HO 1-1.5, O 3-5 A give the ratios (trade.md E2); S between.
_HO = _Sizes(26.0, 32.0, 120.0, 48.0, 1.0, 0.5, 1.0)
_BIGGER = RATIOS["HO"] / RATIOS["S"]
_SIZES: Mapping[str, _Sizes] = {
    "HO": _HO,
    "16.5": _HO,
    "N": _Sizes(14.0, 17.0, 67.0, 26.0, 0.5, 0.15, 0.6),
    "O": _Sizes(55.0, 58.0, 235.0, 96.0, 5.0, 1.0, 2.5),
    "S": _Sizes(
        round(26.0 * _BIGGER, 1),
        round(32.0 * _BIGGER, 1),
        round(120.0 * _BIGGER, 1),
        round(48.0 * _BIGGER, 1),
        2.0,
        0.5,
        1.4,
    ),
}


def _size(scale: str, ho_mm: float) -> float:
    """A length given for HO in the scale, to a tenth of a millimetre."""
    return round(ho_mm * RATIOS["HO"] / RATIOS[scale], 1)


def overhang_of(scale: str) -> float:
    """Millimetres from an end axle to the face of the coupling: 22 in HO (common practice, no source)."""
    return _size(scale, 22.0)


def _engine_grams(scale: str, ho_grams: float) -> float:
    """Weights of engines: HO common practice, no source; others by the square of the scales' ratio (cast bodies)."""
    return float(round(ho_grams * (RATIOS["HO"] / RATIOS[scale]) ** 2))


def wagon_ounces(scale: str, body_inches: float) -> float:
    """What a wagon should weigh by the length of its body: NMRA RP-20.1. Raises KeyError for no such scale."""
    sizes = _SIZES[scale]
    return sizes.ounces + sizes.ounces_per_inch * body_inches


def _wheel(scale: str) -> str | WheelSize:
    """The wheel that the scale's track is made for: by its name in the wheel standard where it is a row of it."""
    row = SCALES[scale]
    for name in RP25_INCHES:
        if wheel(name, row) == standard_wheel(row):
            return name
    size = standard_wheel(row)
    return WheelSize(
        back_to_back_mm=size.back_to_back_mm, flange_mm=size.flange_mm, width_mm=size.width_mm, radius_mm=size.radius_mm
    )


@lru_cache(maxsize=32)
def standard_set(scale: str, kind: SupplyKind = "dcc") -> tuple[Vehicle, ...]:
    """The standard vehicles of a scale, in the order of STANDARD_VEHICLES.

    Args:
        kind: the supply's kind; it decides from how many volts the engines work.

    Raises KeyError for a scale that has no row in the standards.
    """
    sizes, wheels, works = _SIZES[scale], _wheel(scale), _WORKS_FROM[kind]
    bogie, centres, coupled = sizes.bogie, sizes.centres, sizes.coupled
    behind = coupled + round(coupled * 2 / 3, 1)  # first axle of the tender, common practice, no source
    tender = round(coupled * 5 / 12, 1)  # spacing of the tender's axles, common practice, no source
    wagon = _size(scale, 35.0)  # 10 ft, a usual wheelbase of a four-wheel wagon; from memory
    body_inches = (wagon + 2 * overhang_of(scale)) / _INCH
    return (
        Vehicle(
            name=STANDARD_VEHICLES[0],
            scale=scale,
            axles_mm=(0.0, sizes.shunter),
            wheel=wheels,
            pickup_left=(1, 2),
            pickup_right=(1, 2),
            draws_amps=round(0.2 * sizes.current, 3),
            works_from_volts=works,
            stored_joules=0.0,
            grams=_engine_grams(scale, 150.0),
        ),
        Vehicle(
            name=STANDARD_VEHICLES[1],
            scale=scale,
            axles_mm=(0.0, bogie, centres, round(centres + bogie, 1)),
            wheel=wheels,
            pickup_left=(1, 2, 3, 4),
            pickup_right=(1, 2, 3, 4),
            draws_amps=round(0.3 * sizes.current, 3),
            works_from_volts=works,
            stored_joules=0.0,
            grams=_engine_grams(scale, 350.0),
        ),
        Vehicle(
            name=STANDARD_VEHICLES[2],
            scale=scale,
            axles_mm=(
                0.0,
                round(coupled / 2, 1),
                coupled,
                round(behind, 1),
                round(behind + tender, 1),
                round(behind + 2 * tender, 1),
            ),
            wheel=wheels,
            pickup_left=(4, 5, 6),
            pickup_right=(1, 2, 3),
            draws_amps=round(0.25 * sizes.current, 3),
            works_from_volts=works,
            stored_joules=0.0,
            grams=_engine_grams(scale, 300.0),
        ),
        Vehicle(
            name=STANDARD_VEHICLES[3],
            scale=scale,
            axles_mm=(0.0, wagon),
            wheel=wheels,
            pickup_left=(),
            pickup_right=(),
            draws_amps=0.0,
            works_from_volts=0.0,
            stored_joules=0.0,
            grams=float(round(wagon_ounces(scale, body_inches) * _OUNCE)),
        ),
    )

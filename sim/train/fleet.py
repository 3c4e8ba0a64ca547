"""Which vehicles a bench has: its own beside the standard ones, which of them are tested, and how a train stands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from difflib import get_close_matches

from sim.bench.model import Bench, Train, Vehicle
from sim.bench.vocabulary import STANDARD_VEHICLES
from sim.train.standard import SupplyKind, overhang_of, standard_set

__all__ = [
    "COUPLING_MM",
    "VehicleUnknown",
    "axle_places",
    "known_names",
    "meter_ohms",
    "overhang",
    "supply_kind",
    "tested",
    "train_vehicles",
    "vehicle",
]

COUPLING_MM = 4.0  # between the faces of two vehicles standing easy, HO (common practice, no source)

_MOTOR_VOLTS = 12.0  # DC full throttle at the rail, trade.md E1
_DECODER_OHMS = 220e3  # a rectifier before a capacitor: what is left once it has charged (trade.md C6; from memory)


class VehicleUnknown(ValueError):
    """A vehicle's name that neither the bench nor the standard set of the scale has."""


def supply_kind(bench: Bench) -> SupplyKind:
    """Digital or DC, by the bench's first supply."""
    return "dc" if bench.supplies and bench.supplies[0].kind == "dc" else "dcc"


def known_names(bench: Bench) -> tuple[str, ...]:
    """Names that a train or a [test] table may use: the standard ones, then the bench's own, each once."""
    return tuple(dict.fromkeys([*STANDARD_VEHICLES, *(own.name for own in bench.vehicles)]))


def vehicle(bench: Bench, name: str, scale: str) -> Vehicle:
    """The vehicle of that name and scale: the bench's own first, else the standard one.

    Raises VehicleUnknown, naming the nearest that there is.
    """
    for own in bench.vehicles:
        if own.name == name and own.scale == scale:
            return own
    for standard in standard_set(scale, supply_kind(bench)):
        if standard.name == name:
            return standard
    near = get_close_matches(name, known_names(bench), n=1)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise VehicleUnknown(f"no vehicle {name!r} in scale {scale}{hint}")


def _scales_of(bench: Bench, name: str) -> tuple[str, ...]:
    return tuple(own.scale for own in bench.vehicles if own.name == name)


def tested(bench: Bench, scale: str) -> tuple[Vehicle, ...]:
    """The vehicles that the test of every route runs over track of a scale, each alone.

    Those of [test], or else the standard set and every vehicle named in a [[vehicle]] or a [[train]]; a vehicle of
    the bench's own that is of another scale only is left out.
    """
    if bench.test is not None:
        names = list(bench.test)
    else:
        names = [*STANDARD_VEHICLES, *(own.name for own in bench.vehicles)]
        names += [name for train in bench.trains for name in train.vehicles]
    found = []
    for name in dict.fromkeys(names):
        if name not in STANDARD_VEHICLES and _scales_of(bench, name) and scale not in _scales_of(bench, name):
            continue
        found.append(vehicle(bench, name, scale))
    return tuple(found)


def train_vehicles(bench: Bench, train: Train, scale: str) -> tuple[Vehicle, ...]:
    """The vehicles of a train from its leading end back. Raises VehicleUnknown."""
    return tuple(vehicle(bench, name, scale) for name in train.vehicles)


def overhang(of: Vehicle) -> float:
    """Millimetres by which a vehicle reaches beyond its end axles, to the faces of its couplings."""
    return overhang_of(of.scale)


def axle_places(vehicles: Sequence[Vehicle]) -> tuple[tuple[float, ...], ...]:
    """Millimetres of every axle behind the train's leading axle, vehicle by vehicle, couplings standing easy."""
    places: list[tuple[float, ...]] = []
    start = 0.0
    for number, each in enumerate(vehicles):
        if number:
            before = vehicles[number - 1]
            gap = COUPLING_MM * overhang(each) / overhang_of("HO")
            start += before.axles_mm[-1] + overhang(before) + gap + overhang(each)
        places.append(tuple(start + axle for axle in each.axles_mm))
    return tuple(places)


def meter_ohms(of: Vehicle, kind: SupplyKind) -> float:
    """Ohms that a meter sees between a vehicle's pick-up rails at its small test current; infinite for a wagon.

    On DC the motor: 12 V over its running current, so 40 to 120 ohm in HO (trade.md C6 gives 50 to over 200 ohm
    at an HO motor). A decoder first beeps, then reads high.
    """
    if of.draws_amps <= 0:
        return math.inf
    return _DECODER_OHMS if kind == "dcc" else _MOTOR_VOLTS / of.draws_amps

"""Vehicles standing on the track: which rails each wheel touches where it stands, and a bench's trains as filed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from sim.bench.model import Bench, Vehicle
from sim.track.layout import Layout
from sim.track.route import route_contacts
from sim.track.walk import Spot, advance, spot_at
from sim.track.wheels import wheel
from sim.train.fleet import axle_places, meter_ohms, supply_kind, train_vehicles
from sim.wiring.wheels import Standing

__all__ = ["filed_standing", "standing_at", "touching"]

_REACH_MM = 5.0  # rail beyond a piece's ends that a wheel on the piece can still touch


def touching(
    layout: Layout, travel: Mapping[str, float], spot: Spot, vehicle: Vehicle
) -> tuple[frozenset[str], frozenset[str]]:
    """Rails under the left and the right wheel of an axle of `vehicle`, centred between the rails.

    Args:
        spot: where the axle is; `forward` when the vehicle's leading end looks along the path.
    """
    size = wheel(vehicle.wheel, layout.scale(spot.piece))
    contacts = route_contacts(layout, travel, spot.piece, spot.path, _REACH_MM, size, 0.0)
    left, right = contacts.touching(spot.s_mm)
    return (left, right) if spot.forward else (right, left)


def standing_at(
    layout: Layout,
    travel: Mapping[str, float],
    name: str,
    vehicle: Vehicle,
    spots: Sequence[Spot],
    load_ohms: float = math.inf,
) -> Standing:
    """A vehicle with its axles at these places, leading axle first."""
    return Standing(name, vehicle, tuple(touching(layout, travel, spot, vehicle) for spot in spots), load_ohms)


def filed_standing(bench: Bench, layout: Layout, travel: Mapping[str, float]) -> tuple[Standing, ...]:
    """Every vehicle of the bench's trains where the file puts it, with what a meter sees of it as its load."""
    found: list[Standing] = []
    kind = supply_kind(bench)
    for train in bench.trains:
        lead = spot_at(layout, train.end, train.mm, travel)
        vehicles = train_vehicles(bench, train, layout.scale(lead.piece).name)
        for k, (vehicle, axles) in enumerate(zip(vehicles, axle_places(vehicles), strict=True)):
            spots = [advance(layout, lead, -place, travel) for place in axles]
            found.append(standing_at(layout, travel, f"{train.id}:{k}", vehicle, spots, meter_ohms(vehicle, kind)))
    return tuple(found)

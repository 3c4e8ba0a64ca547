"""What a vehicle's wheels join: as parts of a circuit, and as matrices for many positions at once.

The two wheels of an axle are insulated from each other. A wheel stands on each rail that it touches through
0.1 ohm; one that collects is joined to its side's pick-up rail through 0.001 ohm (model.md section 4). Left and
right are those of someone on the vehicle who looks towards its leading axle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Vehicle
from sim.electric.conditions import PICKUP_OHMS, WHEEL_OHMS
from sim.electric.parts import PartRef, Resistor

__all__ = ["Standing", "collects", "foot", "load_ohms", "pickup_nodes", "stamps", "standing_parts"]

Rails = frozenset[str]

_LOAD_OHMS = (1e-3, 1e7)  # as a pick-up, as a voltmeter: what is beyond would be lost in a sum beside the others


@dataclass(frozen=True, slots=True)
class Standing:
    """A vehicle on the track: which rails the left and right wheel of each axle touch, leading axle first.

    name: "train:index", unique on the bench
    load_ohms: what runs between its pick-up rails; infinite when lifted out
    """

    name: str
    vehicle: Vehicle
    axles: tuple[tuple[Rails, Rails], ...]
    load_ohms: float = math.inf


def pickup_nodes(name: str) -> tuple[str, str]:
    """The two pick-up rails of the vehicle "train:index"."""
    stem = name.replace(":", ".")
    return f"{stem}.pickup.left", f"{stem}.pickup.right"


def load_ohms(vehicle: Vehicle, volts: float) -> float:
    """The running load between the pick-up rails: the supply's volts over what the vehicle draws; inf for a wagon.

    Kept within `_LOAD_OHMS`: a file may give a supply next to no volts, or an engine that draws next to nothing.
    """
    least, most = _LOAD_OHMS
    return min(max(volts / vehicle.draws_amps, least), most) if vehicle.draws_amps > 0 else math.inf


def collects(vehicle: Vehicle) -> NDArray[np.bool_]:
    """(axles, 2) bool: which wheels collect; column 0 is the left side."""
    table = np.zeros((len(vehicle.axles_mm), 2), dtype=bool)
    for axle in vehicle.pickup_left:
        table[axle - 1, 0] = True
    for axle in vehicle.pickup_right:
        table[axle - 1, 1] = True
    return table


def foot(wheel: PartRef) -> str:
    """The node that a wheel stands on."""
    return str(wheel.detail[3])


def standing_parts(standing: Standing) -> tuple[list[str], list[Resistor]]:
    """Nodes and parts that the vehicle adds to a circuit."""
    rails = pickup_nodes(standing.name)
    stem = standing.name.replace(":", ".")
    nodes = list(rails)
    parts: list[Resistor] = []
    count = len(standing.axles)
    collecting = collects(standing.vehicle)
    for axle, touched in enumerate(standing.axles, 1):
        for side, (word, rail) in enumerate(zip(("left", "right"), rails, strict=True)):
            wheel = f"{stem}.wheel.{axle}.{word}"
            nodes.append(wheel)
            which = (axle, count, word)
            parts += [
                Resistor(PartRef("wheel", standing.name, (*which, node)), wheel, node, WHEEL_OHMS)
                for node in sorted(touched[side])
            ]
            if collecting[axle - 1, side]:
                parts.append(Resistor(PartRef("pickup", standing.name, which), wheel, rail, PICKUP_OHMS))
    if math.isfinite(standing.load_ohms):
        parts.append(Resistor(PartRef("load", standing.name), *rails, standing.load_ohms))
    return nodes, parts


def stamps(
    touches: NDArray[np.bool_], collecting: NDArray[np.bool_], pickups: Sequence[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Conductance that the wheels add between ports, each wheel eliminated by the star-mesh rule.

    Args:
        touches: (states, axles, 2, ports) bool, which port each wheel stands on.
        collecting: (axles, 2) bool, from `collects`.
        pickups: the ports that are the left and the right pick-up rail.

    Returns the (states, ports, ports) stamp in siemens, and the (states, axles, 2, ports) branch conductances.
    """
    branch = touches / WHEEL_OHMS
    for side, port in enumerate(pickups):
        branch[:, :, side, port] += collecting[:, side] / PICKUP_OHMS
    states, axles, sides, ports = branch.shape
    wheels = branch.reshape(states, axles * sides, ports)
    total = wheels.sum(axis=2, keepdims=True)
    scaled = np.divide(wheels, np.sqrt(total), out=np.zeros_like(wheels), where=total > 0)
    stamp = -np.einsum("swp,swq->spq", scaled, scaled, optimize=True)
    diagonal = wheels.sum(axis=1)
    index = np.arange(ports)
    stamp[:, index, index] += diagonal
    return stamp, branch

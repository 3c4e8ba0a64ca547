"""What is run over the track as it stands where something was seen, to be solved whole."""

from __future__ import annotations

import math

import numpy as np

from sim.proof.meeting import Meeting
from sim.proof.sighting import Sighting
from sim.wiring.wheels import Standing, load_ohms

__all__ = ["item_standing"]


def item_standing(meeting: Meeting, sighting: Sighting, *, running: bool = False) -> list[Standing]:
    """What is run, where it is shown, with its loads lifted out, or with them."""
    run = sighting.run
    touches = run.touches[run.state[sighting.cell]]
    found, begin = [], 0
    for k, vehicle in enumerate(meeting.sweep.items[run.item].vehicles):
        axles = []
        for row in touches[begin : begin + len(vehicle.axles_mm)]:
            left, right = (
                frozenset(meeting.names[column] for column in np.flatnonzero(side).tolist()) for side in row
            )
            axles.append((left, right))
        begin += len(vehicle.axles_mm)
        ohms = load_ohms(vehicle, meeting.subject.volts) if running else math.inf
        found.append(Standing(f"test:{k}", vehicle, tuple(axles), ohms))
    return found

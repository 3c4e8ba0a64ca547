"""What a train that trails in against the set points does: where it derails, and where it shorts before."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.bench.model import Vehicle
from sim.proof.judge import Judge, Outcome
from sim.proof.settings import points_of
from sim.proof.states import Batch, Direction, States
from sim.proof.verdict import Finding
from sim.track.contact import trap_mm
from sim.track.wheels import wheel
from sim.wiring.names import section_of, section_words
from sim.wiring.telling import amps_words, end_words, opening

__all__ = ["AGAINST", "against"]

AGAINST: tuple[Direction, ...] = ("backward",)
"""The direction of a train that trails in."""


def against(judge: Judge, piece: str, index: int, path: tuple[str, str], batch: Batch) -> Iterator[Finding]:
    """The finding of the first vehicle that shorts on the way to where it derails, else of the first that derails.

    Args:
        judge: the bench with this piece set against the path.
        path: the ends of the path that the train comes along, from the last to the first.
        batch: the path's runs in the directions `AGAINST`.
    """
    first: Finding | None = None
    for (vehicle, _, states), outcome in zip(batch.runs, judge.outcomes(batch, running=False), strict=True):
        size = wheel(vehicle.wheel, judge.subject.layout.scale(piece))
        derails = trap_mm(judge.subject.layout.geometry(piece), index, size, judge.travel[piece])
        if derails is None:
            continue
        finding = _trailing(judge, path, vehicle, states, outcome, derails)
        if finding.amps is not None:
            yield finding
            return
        first = first or finding
    if first is not None:
        yield first


def _trailing(
    judge: Judge, path: tuple[str, str], vehicle: Vehicle, states: States, outcome: Outcome, derails: float
) -> Finding:
    points = points_of(judge.travel)
    came = (
        f"{opening(points)}set them before a train trails in from {end_words(judge.bench, path[1])}. "
        f"Else the {vehicle.name}"
    )
    wrong = (outcome.fault[states.state] > 0) & (states.to_mm >= derails)
    if not wrong.any():
        text = f"{came} derails at {derails:.0f} mm, where the blades are set against it."
        return Finding(
            "points-against", "wheel", points, path, "backward", vehicle.name, derails, derails, (), None, None, text
        )
    first = int(np.flatnonzero(wrong)[np.argmax(states.to_mm[wrong])])
    state = int(states.state[first])
    rails = tuple(sorted({section_of(states.nodes[k]) for k in outcome.crossed[state]}))
    at, amps = float(states.to_mm[first]), float(outcome.amps[state])
    names = " and the ".join(section_words(judge.bench, rail) for rail in rails)
    what = "shorts" if outcome.fault[state] == 2 else "makes a current that burns"
    text = (
        f"{came} {what} at {at:.0f} mm ({names}, {amps_words(amps)}) and derails at {derails:.0f} mm, as on every "
        "powered frog."
    )
    return Finding(
        "points-against", "wheel", points, path, "backward", vehicle.name, derails, at, rails, amps, None, text
    )

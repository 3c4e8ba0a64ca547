"""By how much every way to a piece of track can get worse before anything that is seen there is another."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.proof.against import ALIKE
from sim.proof.latest import MOST_PIECES, Latest
from sim.proof.meeting import Meeting, Outcome
from sim.proof.remembered import FAR, MOST_OHMS, SURE
from sim.proof.subject import HOT_AMPS, Subject
from sim.wiring.wheels import load_ohms

__all__ = ["run_ohms", "seen_ohms"]

Floats = NDArray[np.float64]

_CLOSE = 0.02  # of the most current
_WEAK = 0.9  # of the open volts (model.md section 5)


def run_ohms(meeting: Meeting) -> float:
    """Ohms that every way to a piece can get more without any run dying, or its fault becoming another; at most
    `MOST_OHMS`, less than 0 where there is no telling."""
    subject = meeting.subject
    trips = np.array([one.trip_amps for one in subject.bench.supplies])
    works, loads = _vehicles(meeting)
    least = MOST_OHMS
    for of_item, outcome in _outcomes(meeting):
        if outcome.blocked:
            return -1.0  # without that fault it may be a place that is dead
        alive = _alive(outcome, works[of_item], loads[of_item]) / works.shape[1]
        least = min(least, alive, _faulty(subject, outcome, trips))
    return least * SURE


_SHARED: Latest[float] = Latest(MOST_PIECES)


def seen_ohms(meeting: Meeting) -> float:
    """The same for a piece on which nothing is seen, without any change in what is told of it, its amounts included;
    worked out once for all that are alike."""
    key = (*meeting.alike, meeting.subject.bench.supplies, float(meeting.subject.rated_amps.min(initial=np.inf)))
    return _SHARED.of(key, lambda: _seen_ohms(meeting))


def _seen_ohms(meeting: Meeting) -> float:
    subject = meeting.subject
    limits = np.array([one.most_amps for one in subject.bench.supplies])
    rated = float(subject.rated_amps.min(initial=np.inf))
    works, loads = _vehicles(meeting)
    least = MOST_OHMS
    for of_item, outcome in _outcomes(meeting):
        hot = (outcome.level == 1) | ((outcome.level == 0) & (outcome.amps > FAR * HOT_AMPS))
        heavy = (outcome.level < 2) & (np.abs(outcome.drawn).sum(axis=1) > 2 * FAR * rated)
        if outcome.blocked or hot.any() or heavy.any() or _on_the_edge(outcome):
            return -1.0
        alive = _alive(outcome, works[of_item], loads[of_item])
        steady = _steady(outcome, loads[of_item])
        least = min(least, alive / works.shape[1], steady / works.shape[1], _faulty(subject, outcome, limits))
    return least * SURE


def _on_the_edge(outcome: Outcome) -> bool:
    """Whether it is a close thing by which rails a short is told to go."""
    for amps in (outcome.injected[outcome.level == 2], -outcome.injected[outcome.level == 2]):
        share = amps / np.maximum(amps.max(axis=1, keepdims=True, initial=0.0), 1e-12)
        if (np.abs(share - ALIKE) < _CLOSE).any():
            return True
    return False


def _vehicles(meeting: Meeting) -> tuple[Floats, Floats]:
    """(items, vehicles) volts from which each works, and ohms of its load; 0 and infinity where there is none."""
    sweep = meeting.sweep
    vehicles = sweep.trailers // 2
    works, loads = np.zeros((len(sweep.items), vehicles)), np.full((len(sweep.items), vehicles), np.inf)
    for k, item in enumerate(sweep.items):
        works[k, : len(item.vehicles)] = [vehicle.works_from_volts for vehicle in item.vehicles]
        loads[k, : len(item.vehicles)] = [load_ohms(vehicle, meeting.subject.volts) for vehicle in item.vehicles]
    return works, loads


def _outcomes(meeting: Meeting) -> list[tuple[NDArray[np.intp], Outcome]]:
    """Every outcome, with the item of each of its rows."""
    sweep = meeting.sweep
    return [
        (sweep.of_item[sweep.situations[case.rows, 0]], outcome) for case in meeting.cases for outcome in case.outcomes
    ]


def _alive(outcome: Outcome, works: Floats, loads: Floats) -> float:
    """Ohms until the first vehicle that runs no longer does."""
    drawing = np.isfinite(outcome.volts) & np.isfinite(loads) & (works > 0) & (outcome.volts >= works)
    if not drawing.any():
        return np.inf
    return float((loads[drawing] * (outcome.volts[drawing] / works[drawing] - 1.0)).min())


def _steady(outcome: Outcome, loads: Floats) -> float:
    """Ohms until the first vehicle that has nearly all of the open volts no longer has."""
    drawing = np.isfinite(outcome.volts) & np.isfinite(loads) & (outcome.volts > 0)
    drawing &= outcome.volts >= _WEAK * outcome.idle
    if not drawing.any():
        return np.inf
    return float((loads[drawing] * (1.0 / _WEAK - outcome.idle[drawing] / outcome.volts[drawing])).min())


def _faulty(subject: Subject, outcome: Outcome, shorting: Floats) -> float:
    """Ohms until the first fault is another or none; `shorting`: (supplies,) A that a short of each takes at least."""
    rows = np.flatnonzero(outcome.level > 0)
    if not len(rows):
        return np.inf
    supply = outcome.supply[rows]
    volts = np.array([one.volts for one in subject.bench.supplies])[supply]
    least = np.where(outcome.level[rows] == 2, shorting[supply], HOT_AMPS)
    flows = outcome.amps[rows] / outcome.scale[rows]
    return float((volts / least - volts / flows).min())

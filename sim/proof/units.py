"""Automatic polarity units in the test: a fault stands only where no throw that they really make clears it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.proof.view import Faults, View

__all__ = ["Throws", "throws"]

Floats = NDArray[np.float64]

_MOST = 6  # units that are tried in every combination; of more, each alone and all together


@dataclass(frozen=True, eq=False)
class Throws:
    """What units make of S states.

    faults: what is left; turned: (S,) number of the combination that clears the state, -1 for none
    combinations: units that have turned, by id, each combination with what it adds to the circuit
    """

    faults: Faults
    turned: NDArray[np.intp]
    combinations: tuple[tuple[Mapping[str, str], Floats], ...]


def _combinations(ids: Sequence[str]) -> list[tuple[str, ...]]:
    if len(ids) <= _MOST:
        return [some for size in range(1, len(ids) + 1) for some in itertools.combinations(ids, size)]
    return [*((one,) for one in ids), tuple(ids)]


def throws(view: View, units: Sequence[str], extra: Floats, faults: Faults, polarity: int) -> Throws:
    """Turn the units that a fault's current makes turn before the breaker opens, in every combination.

    Args:
        units: those that can be reached. extra: (S, Q, Q) as it was solved, all units at rest.
    """
    bench = view.subject.bench
    rows = np.flatnonzero(faults.level > 0)
    turned = np.full(len(extra), -1, dtype=np.intp)
    kinds = np.array([supply.kind == "dcc" for supply in bench.supplies])
    trips = np.array([supply.trip_seconds for supply in bench.supplies])
    volts = view.solve(extra[rows], view.subject.real[polarity])
    able = np.zeros((len(rows), len(units)), dtype=bool)
    models = {unit.id: unit for unit in bench.polarities}
    for k, name in enumerate(units):
        places = [p for p in view.subject.switched.moved_by(name) if p in view.subject.switched.made_by(name, "a")]
        if not places:
            continue
        amps = np.abs(view.flow(volts, places)).max(axis=1) * faults.scale[rows]
        quick = models[name].turn_seconds < trips[faults.supply[rows]]
        able[:, k] = (amps >= models[name].turns_at_amps) & quick & kinds[faults.supply[rows]]
    candidates = [name for k, name in enumerate(units) if able[:, k].any()]
    found: list[tuple[Mapping[str, str], Floats]] = []
    level, amps_now = faults.level.copy(), faults.amps.copy()
    for some in _combinations(candidates):
        throw = dict.fromkeys(some, "b")
        added = view.extra({}, throw)
        found.append((throw, added))
        chosen = [k for k, name in enumerate(units) if name in some]
        ready = able[:, chosen].all(axis=1) & (turned[rows] < 0)
        if not ready.any():
            continue
        some_rows = rows[ready]
        trial = extra[some_rows].copy()
        trial[:, : len(added), : len(added)] += added
        clean = view.judged(trial, polarity).level == 0
        turned[some_rows[clean]] = len(found) - 1
        level[some_rows[clean]] = 0
        amps_now[some_rows[clean]] = 0.0
    return Throws(replace(faults, level=level, amps=amps_now), turned, tuple(found))

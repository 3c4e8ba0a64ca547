"""Where each run shows a finding: the stretches of its track."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from sim.proof.sighting import Sighting
from sim.proof.verdict import Stretch

__all__ = ["RunId", "Runs", "seen_at", "told_stretches"]

RunId = tuple[tuple[str, str], str, str]
"""A run: the ends of its track, what is run, and the direction."""

Runs = dict[RunId, list[tuple[float, float]]]
"""The runs that show something, and of each the stretches (from, to) of its track, mm from its first end."""

_TOUCH_MM = 1e-6


def seen_at(sighting: Sighting) -> list[tuple[float, float]]:
    """The stretches on which a run shows it, from its track's first end on; what touches is one."""
    run, cells = sighting.run, sighting.cells if sighting.every is None else sighting.every
    order = np.argsort(run.from_mm[cells], kind="stable")
    found: list[tuple[float, float]] = []
    for begin, end in zip(run.from_mm[cells][order].tolist(), run.to_mm[cells][order].tolist(), strict=True):
        if found and begin <= found[-1][1] + _TOUCH_MM:
            found[-1] = found[-1][0], max(found[-1][1], end)
        else:
            found.append((begin, end))
    return found


def told_stretches(runs: Mapping[RunId, list[tuple[float, float]]]) -> tuple[Stretch, ...]:
    """The same as values of a verdict, run by run."""
    return tuple(
        Stretch(path, name, "forward" if direction == "forward" else "backward", begin, end)
        for (path, name, direction), stretches in runs.items()
        for begin, end in stretches
    )

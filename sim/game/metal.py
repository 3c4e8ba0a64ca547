"""Metal that a probe's tip can be put on: screws, tabs and rails."""

from __future__ import annotations

import math

import numpy as np

from sim.game.area import away
from sim.game.draw.ink import Point
from sim.game.stage import Stage, section_of

__all__ = ["nearest_metal"]


def nearest_metal(stage: Stage, point: Point, reach: float) -> tuple[str, Point, bool] | None:
    """The metal within reach of a probe's tip: (terminal, where it rests px, whether that is on a rail)."""
    best: tuple[float, str, Point, bool] | None = None
    for name, spots in stage.fixtures.spots.items():
        for spot in spots:
            apart = math.hypot(spot.probe_x - point[0], spot.probe_y - point[1])
            if apart <= max(reach, spot.radius) and (best is None or apart < best[0]):
                best = (apart, name, (spot.probe_x, spot.probe_y), False)
    if best is not None:
        return best[1:]
    for node, lines in stage.lines.items():
        for line in lines:
            apart = away([(x, y) for x, y in line.tolist()], point) if len(line) > 1 else math.inf
            if apart <= reach and (best is None or apart < best[0]) and section_of(node) in stage.fixtures.spots:
                k = int(np.argmin(np.hypot(line[:, 0] - point[0], line[:, 1] - point[1])))
                best = (apart, section_of(node), (float(line[k, 0]), float(line[k, 1])), True)
    return best[1:] if best is not None else None

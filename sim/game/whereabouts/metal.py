"""Metal that a probe's tip can be put on: screws, tabs and rails."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from sim.game.paper.view import Point
from sim.game.whereabouts.area import away
from sim.game.whereabouts.handles import screws
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target
from sim.wiring.names import section_of

__all__ = ["SNAP_PX", "Metal", "metal_of", "nearest_metal"]

SNAP_PX = 15.0
"""So near to metal a tip or the end of a wire in hand is on it, layout px."""

Metal = tuple[str, Point, bool]
"""What a tip rests on: the terminal, where, px, and whether that is on a rail."""


def nearest_metal(stage: Stage, point: Point, reach: float, rails_only: bool = False) -> Metal | None:
    """The metal within reach of a probe's tip; screws and tabs before rails, unless rails alone are asked for."""
    best: tuple[float, str, Point, bool] | None = None
    for name, spots in () if rails_only else stage.fixtures.spots.items():
        for spot in spots:
            for place in screws(stage, spot):
                apart = math.dist(place, point)
                if apart <= max(reach, spot.radius) and (best is None or apart < best[0]):
                    best = (apart, name, place, False)
    if best is not None:
        return best[1:]
    for node, lines in stage.lines.items():
        for line in lines:
            apart = away([(x, y) for x, y in line.tolist()], point) if len(line) > 1 else math.inf
            if apart <= reach and (best is None or apart < best[0]) and section_of(node) in stage.fixtures.spots:
                k = int(np.argmin(np.hypot(line[:, 0] - point[0], line[:, 1] - point[1])))
                best = (apart, section_of(node), (float(line[k, 0]), float(line[k, 1])), True)
    return best[1:] if best is not None else None


def metal_of(stage: Stage, travel: Mapping[str, float], target: Target, at: Point, reach: float) -> Metal | None:
    """The metal of a thing that is pointed at, at a place on it; None for what is no metal.

    travel: of each set of points
    """
    if target.kind == "terminal":
        return target.name, at, False
    if target.kind == "blade":
        blades = []
        points = next(each for each in stage.bench.point_sets if each.id == target.name)
        own = {blade.section for blade in points.blades}
        for view in stage.views(points.piece, {points.id: 1.0 if travel.get(points.id, 0.0) > 0.5 else 0.0}):
            if view.part == "blade" and view.node in own:
                line = [stage.world.to_screen((x, y)) for x, y in view.middle.tolist()]
                near = min(line, key=lambda point: math.dist(point, at))
                blades.append((away(line, at), section_of(view.node), near))
        return None if not blades else (min(blades)[1], min(blades)[2], True)
    if target.kind in _ON_RAILS:
        return nearest_metal(stage, at, reach, rails_only=True)
    return None


_ON_RAILS = frozenset({"place", "joint", "rail"})

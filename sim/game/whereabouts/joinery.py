"""Where bonds, jumpers and joiners run on the screen, from rail to rail."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np

from sim.game.paper.view import Point
from sim.game.whereabouts.dressing import rounded_path
from sim.game.whereabouts.stage import PlaceMark, Stage
from sim.game.whereabouts.turning import turned_line, turned_x

__all__ = ["bond_way", "joiner_places", "jumper_way", "meeting"]


@lru_cache(maxsize=128)
def jumper_way(stage: Stage, mark: PlaceMark) -> tuple[Point, ...]:
    if stage.above is not None:
        return turned_line(jumper_way(stage.above, replace(mark, x=turned_x(mark.x, stage.rooms))), stage.rooms)
    ends = []
    for section in (mark.place.a, mark.place.b):
        lines = stage.lines.get(section, ())
        if not lines:
            return ()
        gaps = [
            other for other in stage.places if other.place.kind == "gap" and section in (other.place.a, other.place.b)
        ]
        near = gaps[0] if gaps else mark
        rows = np.concatenate(lines)
        away = np.hypot(rows[:, 0] - near.x, rows[:, 1] - near.y)
        far = 7.0 * stage.world.scale
        k = int(np.argmin(np.abs(away - far)))
        ends.append((round(float(rows[k, 0]), 1), round(float(rows[k, 1]), 1)))
    (x0, y0), (x1, y1) = ends
    scale = stage.world.scale * stage.plan.layout.geometry(mark.place.name.partition(".")[0]).gauge_mm / 16.5
    long = math.hypot(x1 - x0, y1 - y0) or 1.0
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    beside = _BESIDE_MM * scale
    out = 1.0 if (-ux < 0) == (mark.place.side == "left") else -1.0  # up on the screen at the left side
    nx, ny = -uy * out, ux * out
    lead = min(4.0 * scale, long / 3)
    corners = (
        (x0, y0), (x0 + nx * beside + ux * lead, y0 + ny * beside + uy * lead),
        (x1 + nx * beside - ux * lead, y1 + ny * beside - uy * lead), (x1, y1),
    )  # fmt: skip
    path = rounded_path(corners, scale / 4)
    return tuple((round(x, 1), round(y, 1)) for x, y in path)


_BESIDE_MM = 4.6  # so far from the rails that it joins a jumper lies, HO


@lru_cache(maxsize=128)
def meeting(stage: Stage, one: str, other: str) -> tuple[Point, float] | None:
    """Where the rails of two nodes meet, px, and the bearing there."""
    best: tuple[float, Point, float] | None = None
    for a in stage.lines.get(one, ()):
        for b in stage.lines.get(other, ()):
            for k, inner in ((0, 1), (-1, -2)):
                for end in (0, -1):
                    gap = float(np.hypot(*(a[k] - b[end])))
                    if best is None or gap < best[0]:
                        run = a[k] - a[inner]
                        best = (gap, ((a[k, 0] + b[end, 0]) / 2, (a[k, 1] + b[end, 1]) / 2), math.atan2(run[1], run[0]))
    if best is None or best[0] > 4 * stage.world.scale:
        return None
    return best[1], best[2]


@lru_cache(maxsize=128)
def bond_way(stage: Stage, mark: PlaceMark) -> tuple[Point, ...]:
    """From the stock rail to the blade's closure rail beside it, with a little bow."""
    if stage.above is not None:
        return turned_line(bond_way(stage.above, replace(mark, x=turned_x(mark.x, stage.rooms))), stage.rooms)
    ends = []
    for section in (mark.place.b, mark.place.a):
        rows = np.concatenate(stage.lines[section])
        shift = 2.0 * stage.world.scale if section == mark.place.a else -2.0 * stage.world.scale
        k = int(np.argmin(np.hypot(rows[:, 0] - (mark.x + shift), rows[:, 1] - mark.y)))
        ends.append((float(rows[k, 0]), float(rows[k, 1])))
    (x0, y0), (x1, y1) = ends
    bow = 2.2 * stage.world.scale
    out = []
    for k in range(9):
        t = k / 8
        x = (1 - t) ** 2 * x0 + 2 * t * (1 - t) * (max(x0, x1) + bow) + t * t * x1
        y = (1 - t) ** 2 * y0 + 2 * t * (1 - t) * (y0 + y1) / 2 + t * t * y1
        out.append((round(x, 1), round(y, 1)))
    return tuple(out)


@lru_cache(maxsize=4)
def joiner_places(stage: Stage) -> tuple[tuple[str, str, Point], ...]:
    """Every joiner: the end that writes its joint, its side, where it is."""
    out = []
    for joint in stage.plan.layout.joints:
        for side in joint.sides:
            meet = meeting(stage, side.one, side.other)
            if meet is not None:
                out.append((joint.end, side.side, meet[0]))
    return tuple(out)

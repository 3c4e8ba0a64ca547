"""The blades of points: a click throws them, with all that their lever throws."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import ClassVar

from sim.bench.levers import lever_named
from sim.bench.point_set import PointSet
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.items.panels.throttle_panel import lever_number, thrown
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area, along
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target
from sim.wiring.telling import listed

__all__ = ["Blades"]


class Blades(Thing):
    """The moving two thirds of both blades."""

    kinds = ("blade",)
    layer = "board"
    deep: ClassVar = 5.0  # an engine on them is meant first
    reads = "board"

    def areas(self, sight: Sight) -> Iterator[Area]:
        for points in sight.stage.bench.point_sets:
            yield from _areas(sight.stage, points, 1.0 if sight.snapshot.travel.get(points.id, 0.0) > 0.5 else 0.0)

    def words(self, sight: Sight, target: Target) -> str:
        lever = lever_named(sight.stage.bench, target.name)
        moved = lever.movers if lever is not None else (target.name,)
        what = f"Blades of {target.name}: a click throws {listed(moved) if len(moved) > 1 else 'them'}"
        number = lever_number(sight, target.name)
        return f"{what}. Key {number + 1}" if number is not None and number < 9 else what

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        return thrown(sight, target.name, None)


@lru_cache(maxsize=64)
def _areas(stage: Stage, points: PointSet, travel: float) -> tuple[Area, ...]:
    out = []
    blades = {blade.section for blade in points.blades}
    for view in stage.views(points.piece, {points.id: travel}):
        if view.part == "blade" and view.node in blades:
            rows = view.middle
            line = tuple(stage.world.to_screen((x, y)) for x, y in rows[: max(2, len(rows) * 2 // 3)].tolist())
            out.append(along(Target("blade", points.id), line, 7 * stage.unit))
    return tuple(out)

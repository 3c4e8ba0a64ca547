"""The slip of a piece of track, a motor or a fixture: what can be changed of it, and taking it away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from sim.bench.model import Bench
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.slips.choices import choice_slip
from sim.game.items.cards.piece_choices import piece_edit, piece_lines, piece_title
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target
from sim.session.acts import Do

__all__ = ["PieceSlip"]


class PieceSlip(Thing):
    """The slip that lies open beside a piece, motor or fixture."""

    kinds = ("piece-slip",)
    layer = "top"
    keeps_slips = True

    def areas(self, sight: Sight) -> Iterator[Area]:
        slip = _opened(sight)
        if slip is not None:
            yield from (Area(Target("piece-slip", name), rect) for name, rect in slip.places.items())
            yield Area(Target("paper", "piece-slip"), slip.box)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        slip = _opened(sight)
        if slip is not None:
            yield slip.sprite

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        name = sight.view.opened
        if name is None:
            return NOTHING
        if target.name in {"close", "remove"}:
            view = replace(sight.view, opened=None, hover=None)
            if view.focus is not None:
                view = replace(view, focus=_target_of(sight.stage.bench, name) if target.name == "close" else None)
            edit = piece_edit(sight.snapshot.bench, name, target.name)
            return Outcome((Do(edit),) if edit is not None else (), view=view)
        edit = piece_edit(sight.snapshot.bench, name, target.name)
        return Outcome((Do(edit),)) if edit is not None else NOTHING


def _target_of(bench: Bench, name: str) -> Target:
    if any(piece.id == name for piece in bench.tracks):
        return Target("piece", name)
    return Target("motor" if any(motor.id == name for motor in bench.motors) else "fixture", name)


def _opened(sight: Sight) -> Arrangement[str] | None:
    """The slip that lies open, beside its thing and inside the mat."""
    stage, name = sight.stage, sight.view.opened
    title = piece_title(stage.bench, name) if name is not None else ""
    if name is None or not title:
        return None
    slip = choice_slip(stage.unit, stage.theme, title, piece_lines(stage.bench, name))
    width, height = slip.box.size
    x, y = _anchor(stage, name)
    mat, edge = stage.rooms.mat, round(10 * stage.unit)
    left = min(max(round(x - width / 2), mat.x + edge), mat.right - width - edge)
    above = y - 46 * stage.unit - height
    top = above if above >= mat.y + edge and name in stage.plan.by_id else y + 46 * stage.unit
    return slip.moved(left, round(min(max(top, mat.y + edge), mat.bottom - height - edge)))


def _anchor(stage: Stage, name: str) -> Point:
    laid = stage.plan.by_id.get(name)
    if laid is not None:
        if not laid.geometry.tracks:
            return stage.world.to_screen((laid.x, laid.y))
        x, y, _ = stage.plan.layout.pose(name, 0, np.array([laid.geometry.tracks[0].length_mm / 2]))
        return stage.world.to_screen((float(x[0]), float(y[0])))
    for place in stage.fixtures.blocks:
        if place.motor == name:
            return float(place.housing.centerx), float(place.housing.y + 30 * stage.unit)
    for box in (*stage.fixtures.lamps, *stage.fixtures.polarities):
        if box.id == name:
            return float(box.rect.centerx), float(box.rect.bottom)
    for bar in stage.fixtures.bars:
        if bar.terminal.startswith(f"{name}."):
            return float(bar.rect.centerx), float(bar.rect.bottom)
    return float(stage.rooms.mat.centerx), float(stage.rooms.mat.centery)

"""The slip of a piece of track, a motor or a fixture: what can be changed of it, and taking it away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pygame

from sim.bench.model import Bench
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import Box
from sim.game.draw.slips.choices import Line, choice_places, choice_size, choice_slip
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
        opened = _opened(sight)
        if opened is None:
            return
        box, lines = opened
        places = choice_places(box, sight.stage.unit, sight.stage.theme, lines)
        for line in lines:
            for choice in line.choices:
                if choice.look != "value":
                    yield Area(Target("piece-slip", choice.name), places[choice.name])
        yield Area(Target("paper", "piece-slip"), pygame.Rect(box))

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        opened = _opened(sight)
        if opened is not None:
            title = piece_title(sight.stage.bench, sight.view.opened or "")
            yield choice_slip(opened[0], sight.stage.unit, sight.stage.theme, title, opened[1])

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


def _opened(sight: Sight) -> tuple[Box, tuple[Line, ...]] | None:
    """Box and lines of the slip that lies open, beside its thing and inside the mat."""
    stage, name = sight.stage, sight.view.opened
    if name is None or not piece_title(stage.bench, name):
        return None
    lines = piece_lines(stage.bench, name)
    width, height = choice_size(stage.unit, stage.theme, lines)
    x, y = _anchor(stage, name)
    mat, edge = stage.rooms.mat, round(10 * stage.unit)
    left = min(max(round(x - width / 2), mat.x + edge), mat.right - width - edge)
    above = y - 46 * stage.unit - height
    top = above if above >= mat.y + edge and name in stage.plan.by_id else y + 46 * stage.unit
    return (left, round(min(max(top, mat.y + edge), mat.bottom - height - edge)), width, height), lines


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

"""Vehicles where they stand on the mat."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import pygame

from sim.game.draw.pen.ink import Sprite, blank, cut
from sim.game.draw.railway.vehicle import Body, vehicle
from sim.game.paper.view import Point
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot, TrainView
from sim.track.standards import Scale
from sim.train.standard import overhang_of

__all__ = ["train_bodies", "trains"]


def train_bodies(stage: Stage, train: TrainView) -> list[tuple[Body, float, Point]]:
    """Each vehicle of a train as (body, bearing on the screen, its leading axle in px)."""
    out = []
    for vehicle_view in train.vehicles:
        axles = vehicle_view.axles
        (x0, y0, heading), (x1, y1, _) = axles[0], axles[-1]
        scale = _scale(stage)
        apart = len(axles) > 1 and math.hypot(x0 - x1, y0 - y1) > 1e-6
        bearing = math.atan2(y0 - y1, x0 - x1) if apart else heading
        c, s = math.cos(bearing), math.sin(bearing)
        local = []
        hand = -1.0 if stage.below else 1.0  # from below, a vehicle's left is on its other side
        for x, y, turn in axles:
            dx, dy = x - x0, y - y0
            turned = math.remainder(turn - bearing, math.pi)
            local.append((round(dx * c + dy * s, 1), round(hand * (-dx * s + dy * c), 1), round(hand * turned, 2)))
        body = Body(
            vehicle_view.name,
            tuple(local),
            overhang_of(scale.name),
            scale.gauge_mm,
            scale.wheel_radius_mm,
            train.derailed,
        )
        out.append((body, math.pi + bearing if stage.below else -bearing, stage.world.to_screen((x0, y0))))
    return out


def _scale(stage: Stage) -> Scale:
    layout = stage.plan.layout
    return layout.scale(next(iter(layout.pieces)))


def trains(stage: Stage, snapshot: Snapshot, skip: str | None = None) -> Iterator[Sprite]:
    """Every vehicle where it stands; `skip`: a train that is in hand."""
    for train in snapshot.trains:
        if train.id == skip:
            continue
        moving = abs(train.speed_mm_s) > 0.5
        for body, bearing, (x, y) in train_bodies(stage, train):
            sprite = _vehicle(body, bearing, x, y, stage, moving)
            yield _through_board(sprite) if stage.below else sprite


_FAINT: dict[int, tuple[pygame.Surface, pygame.Surface]] = {}
_FAINT_ALPHA = 150  # of 255


def _through_board(sprite: Sprite) -> Sprite:
    """A vehicle that stands on the other side of the board: fainter; kept, so that it is the same while it stands."""
    kept = _FAINT.get(id(sprite.surface))
    if kept is None or kept[0] is not sprite.surface:
        if len(_FAINT) > 24:
            _FAINT.clear()
        faint = sprite.surface.copy()
        faint.fill((_FAINT_ALPHA,) * 4, special_flags=pygame.BLEND_RGBA_MULT)
        kept = (sprite.surface, faint)
        _FAINT[id(sprite.surface)] = kept
    return sprite._replace(surface=kept[1])


def _vehicle(body: Body, bearing: float, x: float, y: float, stage: Stage, moving: bool) -> Sprite:
    """A vehicle's sprite, drawn once for every bearing and quarter of a pixel, then only moved."""
    turn = round(math.degrees(bearing) * 4) / 4
    px, py = math.floor(x), math.floor(y)
    part = (math.floor((x - px) * 4) / 4, math.floor((y - py) * 4) / 4)
    sprite = vehicle(body, math.radians(turn), stage.world.scale, part, stage.unit, stage.theme, 2 if moving else 3)
    return _on_mat(sprite.moved(px, py), stage.rooms.mat)


def _on_mat(sprite: Sprite, mat: pygame.Rect) -> Sprite:
    """The part of a vehicle that is over the mat; what has run off it is out of sight."""
    return next(cut([sprite], mat), Sprite(_nothing(), mat.x, mat.y))


@lru_cache(maxsize=1)
def _nothing() -> pygame.Surface:
    return blank(1, 1)

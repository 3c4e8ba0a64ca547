"""Vehicles where they stand on the mat."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pygame

from sim.game.draw.pen.ink import Sprite, blank, cut, toned
from sim.game.draw.pen.kept import kept
from sim.game.draw.railway.vehicle import Body, beam, vehicle
from sim.game.paper.view import Point
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot, TrainView, VehicleView
from sim.track.standards import Scale
from sim.train.fleet import VehicleUnknown
from sim.train.fleet import vehicle as fleet_vehicle
from sim.train.standard import overhang_of

__all__ = ["train_bodies", "trains"]

_CRAWL = 0.5  # mm/s
_LEAST_VOLTS = 0.5  # at which a lamp can be seen to glow


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
            *_power(stage, train, vehicle_view),
        )
        out.append((body, math.pi + bearing if stage.below else -bearing, stage.world.to_screen((x0, y0))))
    return out


def _power(stage: Stage, train: TrainView, seen: VehicleView) -> tuple[bool, int]:
    """Whether a vehicle has the volts that it needs, and which end it drives with; (True, 0) for one without motor."""
    try:
        known = fleet_vehicle(stage.bench, seen.name, _scale(stage).name)
    except VehicleUnknown:
        return True, 0
    if known.draws_amps <= 0:
        return True, 0
    onward = train.speed_mm_s if abs(train.speed_mm_s) > _CRAWL else train.direction
    return abs(seen.volts) >= max(known.works_from_volts, _LEAST_VOLTS), 1 if onward >= 0 else -1


def _scale(stage: Stage) -> Scale:
    layout = stage.plan.layout
    return layout.scale(next(iter(layout.pieces)))


def trains(stage: Stage, snapshot: Snapshot, skip: str | None = None) -> Iterator[Sprite]:
    """Every vehicle where it stands; `skip`: a train that is in hand."""
    for train in snapshot.trains:
        if train.id == skip:
            continue
        moving = abs(train.speed_mm_s) > _CRAWL
        for body, bearing, (x, y) in train_bodies(stage, train):
            if not stage.below:
                yield from _beam(body, bearing, x, y, stage)
            sprite = _vehicle(body, bearing, x, y, stage, moving)
            yield _through_board(sprite) if stage.below else sprite


_FAINT_ALPHA = 150  # of 255


def _through_board(sprite: Sprite) -> Sprite:
    """A vehicle that stands on the other side of the board: fainter."""
    return sprite._replace(surface=toned(sprite.surface, (_FAINT_ALPHA,) * 4))


def _vehicle(body: Body, bearing: float, x: float, y: float, stage: Stage, moving: bool) -> Sprite:
    """A vehicle's sprite, drawn once for every bearing and quarter of a pixel, then only moved."""
    turn, (px, py), part = _placed(bearing, x, y)
    sprite = vehicle(body, turn, stage.world.scale, part, stage.unit, stage.theme, 2 if moving else 3)
    return _on_mat(sprite.moved(px, py), stage.rooms.mat)


def _beam(body: Body, bearing: float, x: float, y: float, stage: Stage) -> Iterator[Sprite]:
    """The light before a vehicle that has its volts."""
    turn, (px, py), part = _placed(bearing, x, y)
    sprite = beam(body, turn, stage.world.scale, part, stage.theme)
    if sprite is not None:
        yield _on_mat(sprite.moved(px, py), stage.rooms.mat)


def _placed(bearing: float, x: float, y: float) -> tuple[float, tuple[int, int], Point]:
    """A bearing, a pixel and a part of one in the steps in which vehicles are drawn."""
    px, py = math.floor(x), math.floor(y)
    part = (math.floor((x - px) * 4) / 4, math.floor((y - py) * 4) / 4)
    return math.radians(round(math.degrees(bearing) * 4) / 4), (px, py), part


def _on_mat(sprite: Sprite, mat: pygame.Rect) -> Sprite:
    """The part of a vehicle that is over the mat; what has run off it is out of sight."""
    return next(cut([sprite], mat), Sprite(_nothing(), mat.x, mat.y))


@kept
def _nothing() -> pygame.Surface:
    return blank(1, 1)

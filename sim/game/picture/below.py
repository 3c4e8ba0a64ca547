"""What is drawn only from below: the track as traced, the holes of its tabs, the rods of the motors."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway import tracing
from sim.game.draw.railway.plywood import stencil_width
from sim.game.paper.view import Point
from sim.game.picture.nameplates import wire_boxes
from sim.game.whereabouts.fixtures import BlockPlace
from sim.game.whereabouts.parking import park
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot
from sim.wiring.names import section_of

__all__ = ["holes", "paper_box", "rods", "stencil_at", "told_below", "track", "wires_at_foot"]

_ORDER = {"check": 0, "blade": 1, "closure": 2, "stock": 4}
_TRAVELS = 48
_FOOT_PX = 76.0  # of the strip that the numbers of the board's lower edge stand in
_PIN_MM = 2.4  # how far the rod's pin goes in its slot, HO; common practice, no source


def paper_box(stage: Stage) -> pygame.Rect:
    """Where the tracing paper lies: round all the track, inside the frame."""
    unit, world = stage.unit, stage.world
    (x0, y0), (x1, y1) = stage.plan.box
    (a, foot), (b, top) = world.to_screen((x0, y0)), world.to_screen((x1, y1))
    left, right = min(a, b) - 10 * unit, max(a, b) + 10 * unit
    box = pygame.Rect(round(left), round(top - 32 * unit), round(right - left), round(foot - top + 56 * unit))
    return box.clip(stage.rooms.mat.inflate(-round(40 * unit), -round(56 * unit)))


def track(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    """Sleepers in pencil and every rail flat, blades as they lie."""
    unit, theme, world = stage.unit, stage.theme, stage.world
    for laid in stage.plan.laid:
        if laid.geometry.tracks:
            yield tracing.pencil_sleepers(laid, world, unit)
    bodies: list[tuple[int, Sprite]] = []
    travel = {points: _travel(snapshot, points) for points in snapshot.travel}
    for laid in stage.plan.laid:
        for view in stage.views(laid.id, travel):
            side = snapshot.feeds.get(section_of(view.node), "none") if view.node else ""
            bodies.append((_ORDER.get(view.part, 3), tracing.flat_rail(view, world, unit, theme, side)))
    yield from (sprite for _, sprite in sorted(bodies, key=lambda row: row[0]))


def _travel(snapshot: Snapshot, points: str) -> float:
    return round(snapshot.travel.get(points, 0.0) * _TRAVELS) / _TRAVELS


def holes(stage: Stage) -> Iterator[Sprite]:
    """The hole of every tab, soldered where a wire is."""
    wired = {end for wire in stage.bench.wires for end in wire.ends}
    for name, spots in stage.fixtures.spots.items():
        if spots[0].fixture == "tab":
            yield tracing.hole(round(spots[0].x, 1), round(spots[0].y, 1), stage.grain, stage.theme, name in wired)


def rods(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    """The slot at every toe that a motor drives, and the motor's rod to the pin in each."""
    unit, theme = stage.unit, stage.theme
    drives = {motor.id: motor.drives for motor in stage.bench.motors}
    driven = [(place, points) for place in stage.fixtures.blocks for points in drives[place.motor]]
    for number, (place, points) in enumerate(driven):
        toe = _toe(stage, points)
        if toe is None:
            continue
        laid = stage.plan.by_id[points.partition(".")[0]]
        x, foot = toe
        yield tracing.slot(x, foot - 40 * unit, foot, unit)
        share = laid.geometry.gauge_mm / 16.5
        pin = foot - 24 * unit + round(_travel(snapshot, points) * _PIN_MM * share * stage.world.scale, 1)
        y = place.housing.y + (118 - 10 * (number % 3)) * stage.grain
        if place.housing.left <= x <= place.housing.right:
            way: tuple[Point, ...] = ((x, place.face.bottom - 4 * stage.grain), (x, pin))
        else:
            way = _rod_way(stage, place, number, (x, pin), y)
        yield tracing.rod(tuple((round(px, 1), round(py, 1)) for px, py in way), unit, theme)


def _rod_way(stage: Stage, place: BlockPlace, number: int, pin: Point, y: float) -> tuple[Point, ...]:
    """A motor's rod out of its side and down to a pin; where the job sheet would hide it, round below the sheet."""
    right = pin[0] > place.housing.right
    edge = place.housing.right - 4 * stage.grain if right else place.housing.left + 4 * stage.grain
    sheet, unit = stage.rooms.sheet, stage.unit
    low = min(sheet.bottom + (10 + 8 * (number % 3)) * unit, pin[1] - 7 * unit)
    hidden = stage.bench.level is not None and sheet.inflate(round(8 * unit), 0).collidepoint(pin[0], y)
    if not hidden or low < sheet.bottom + 5 * unit:  # between sheet and slot there is no room either
        return (edge, y), (pin[0], y), pin
    down = (place.housing.right + 14 * unit) if right else (place.housing.left - 14 * unit)
    return (edge, y), (down, y), (down, low), (pin[0], low), pin


def told_below(stage: Stage) -> list[pygame.Rect]:
    """Where the stencil is, and at every toe the blades with the slot over them, px."""
    unit = stage.unit
    x, y = stencil_at(stage)
    half, high = stencil_width(stage.plan.zero_word, unit, stage.theme) / 2, 30 * unit
    out = [pygame.Rect(round(x - half), round(y - high), round(2 * half), round(2 * high))]
    for laid in stage.plan.laid:
        views = [view for view in stage.views(laid.id, {}) if view.part == "blade"]
        if not views:
            continue
        rows = np.array([stage.world.to_screen(point) for view in views for point in view.middle.tolist()])
        (left, top), (right, foot) = rows.min(axis=0), rows.max(axis=0)
        out.append(pygame.Rect(round(left), round(top), round(right - left), round(foot - top)))
    for motor in stage.bench.motors:
        for toe in (_toe(stage, points) for points in motor.drives):
            if toe is not None:
                wide, tall = round(18 * unit), round(44 * unit)
                out.append(pygame.Rect(round(toe[0]) - wide // 2, round(toe[1]) - tall, wide, tall))
    return out


def stencil_at(stage: Stage) -> Point:
    """The middle of the words FROM BELOW: where nothing lies over them, near where they are looked for; under the
    open sheet where there is no such place."""
    unit, mat = stage.unit, stage.rooms.mat
    half, high = stencil_width(stage.plan.zero_word, unit, stage.theme) / 2, 30 * unit
    held = () if stage.whole is not None else stage.fixtures.blocks  # a camera moves the blocks, not the words
    blocks = max((place.housing.right for place in held), default=0)
    first = max(float(stage.rooms.sheet.centerx), blocks + half + 12 * unit), 202 * unit
    busy = [stage.rooms.sheet, paper_box(stage), *(park(stage, tool) for tool in ("lens", "clip"))]
    busy += [stage.slip] if stage.slip.width else []
    for place in stage.fixtures.blocks:
        busy.append(place.housing.union(place.face).inflate(round(16 * unit), round(16 * unit)))
    busy += [bar.rect.inflate(round(12 * unit), round(12 * unit)) for bar in stage.fixtures.bars]
    busy += [box.rect for box in (*stage.fixtures.lamps, *stage.fixtures.polarities)]
    busy += wire_boxes(stage) + _rod_boxes(stage)
    under_cables, edge = round(104 * unit), round(36 * unit)
    room = pygame.Rect(mat.x + edge, mat.y + under_cables, mat.width - 2 * edge, mat.height - under_cables - edge)
    step = round(16 * unit)
    spots = [
        (x, y)
        for y in range(room.y + round(high), room.bottom - round(high) + 1, step)
        for x in range(room.x + round(half), room.right - round(half) + 1, step)
    ]
    for x, y in sorted(spots, key=lambda spot: math.dist(spot, first)):
        box = pygame.Rect(round(x - half), round(y - high), round(2 * half), round(2 * high))
        if box.collidelist(busy) < 0:
            return float(x), float(y)
    return first


def wires_at_foot(stage: Stage) -> list[tuple[int, int, int, int]]:
    """The boxes of wires near the lower edge of the board, where its numbers are, px."""
    mat, high = stage.rooms.mat, round(_FOOT_PX * stage.unit)
    foot = pygame.Rect(mat.x, mat.bottom - high, mat.width, high)
    return [(box.x, box.y, box.width, box.height) for box in wire_boxes(stage) if box.colliderect(foot)]


def _rod_boxes(stage: Stage) -> list[pygame.Rect]:
    """The upright stretches of all rods, from their motors to their slots, px."""
    drives = {motor.id: motor.drives for motor in stage.bench.motors}
    out = []
    for place in stage.fixtures.blocks:
        for toe in (_toe(stage, points) for points in drives[place.motor]):
            if toe is not None:
                left, wide = toe[0] - 8 * stage.unit, 16 * stage.unit
                out.append(pygame.Rect(round(left), place.housing.y, round(wide), round(toe[1] - place.housing.y)))
    return out


def _toe(stage: Stage, points: str) -> tuple[float, float] | None:
    """Where the slot at the tips of a set of points is: its x and its lower end, px; None for one that is not there."""
    laid = stage.plan.by_id.get(points.partition(".")[0])
    if laid is None:
        return None
    tips = stage.plan.tips(points)
    places = [stage.world.to_screen((tip.x, tip.y)) for tip in tips]
    share = laid.geometry.gauge_mm / 16.5
    x = sum(place[0] for place in places) / len(places) + 1.2 * share * stage.world.across
    return round(x, 1), round(min(place[1] for place in places) - 6.4 * share * stage.world.scale, 1)

"""What is drawn only from below: the track as traced, the holes of its tabs, the rods of the motors."""

from __future__ import annotations

from collections.abc import Iterator

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway import tracing
from sim.game.paper.view import Point
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot
from sim.wiring.names import section_of

__all__ = ["holes", "paper_box", "rods", "track"]

_ORDER = {"check": 0, "blade": 1, "closure": 2, "stock": 4}
_TRAVELS = 48
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
            edge = place.housing.right if x > place.housing.right else place.housing.left
            inside = -4 * stage.grain if x > place.housing.right else 4 * stage.grain
            way = ((edge + inside, y), (x, y), (x, pin))
        yield tracing.rod(tuple((round(px, 1), round(py, 1)) for px, py in way), unit, theme)


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

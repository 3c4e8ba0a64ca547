"""A place of the track looked at closely: what a lens shows of it, and the two pictures of what a gap does.

A picture is drawn anew from the real shapes for its own scale, and kept until something in it changes.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pygame

from sim.electric.parts import PartRef
from sim.game.draw.pen.ink import Pen, lay
from sim.game.draw.pen.kept import from_shelf, onto_shelf
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway import closer
from sim.game.draw.railway.track import Tube
from sim.game.draw.railway.vehicle import body_outline
from sim.game.look.theme import mix
from sim.game.paper.plan import Floats, Laid, sleepers
from sim.game.paper.railviews import FROG_PARTS, RailView
from sim.game.paper.view import Point, World
from sim.game.picture.flow import rail_arrows, rail_inputs
from sim.game.picture.rolling import train_bodies
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.ways import Ways
from sim.session.snapshot import Snapshot, TrainView
from sim.track.contact import contact_length_mm
from sim.track.geometry import Travel
from sim.track.wheels import wheel
from sim.train.fleet import VehicleUnknown, vehicle
from sim.wiring.names import section_of

__all__ = ["Seen", "WheelName", "closeup", "closeup_steps"]

WheelName = tuple[str, int, str]
"""Whose wheel ("train:index"), its axle from 1, its side."""

_TAG_PX, _LEAST_TAG_PX = 16.0, 12.0  # of a letter, layout px
_SPARK_PX = 22.0  # that a spark reaches
_WHOLE_PX = 176.0  # across a glass that shows them at their full size
_SLEEPER_MM = 3.4  # HO, as broad as on the mat


@dataclass(frozen=True)
class Seen:
    """What is looked at.

    centre: mm on the bench; scale: px per mm; size: of the picture, px
    feeds: side of every rail; amps: through every part, for arrowheads, or None for none
    closed: gaps that are bridged; hot: wheels that the current of a short runs through
    sparks: where these let it over, mm on the bench
    """

    centre: Point
    scale: float
    size: tuple[int, int]
    feeds: Mapping[str, str]
    amps: Mapping[PartRef, float] | None
    closed: frozenset[str]
    hot: frozenset[WheelName] = frozenset()
    sparks: tuple[Point, ...] = ()

    def world(self, below: bool) -> World:
        """The picture's own transform."""
        across = -self.scale if below else self.scale
        return World(
            self.size[0] / 2 - self.centre[0] * across,
            self.size[1] / 2 + self.centre[1] * self.scale,
            self.scale,
            below,
        )

    def reach(self) -> float:
        """How far from its middle the picture shows something, mm."""
        return math.hypot(*self.size) / 2 / self.scale


def closeup(stage: Stage, snapshot: Snapshot, seen: Seen) -> pygame.Surface:
    """The picture, opaque; the same surface as long as nothing in it has changed."""
    for _ in closeup_steps(stage, snapshot, seen):
        pass
    drawn = from_shelf(_key(stage, snapshot, seen), pygame.Surface)
    if drawn is None:
        raise ValueError("what was drawn just now is not there")
    return drawn


def closeup_steps(stage: Stage, snapshot: Snapshot, seen: Seen) -> Iterator[None]:
    """Draw the picture in a few steps, for one who cannot wait, and keep it."""
    key = _key(stage, snapshot, seen)
    if from_shelf(key, pygame.Surface) is None:
        drawn = yield from _drawn(stage, snapshot, seen)
        onto_shelf(key, drawn)


def _key(stage: Stage, snapshot: Snapshot, seen: Seen) -> tuple[object, ...]:
    axles = tuple(axle for train in snapshot.trains for v in train.vehicles for axle in v.axles)
    amps = None if seen.amps is None else tuple(sorted((k, round(a, 3)) for k, a in seen.amps.items()))
    return (
        "closeup", stage.plan, stage.below, stage.unit, stage.theme, seen.centre, round(seen.scale, 4), seen.size,
        tuple(sorted(seen.feeds.items())), seen.closed, seen.hot, seen.sparks,
        tuple(sorted(snapshot.travel.items())), axles, amps,
    )  # fmt: skip


def _drawn(stage: Stage, snapshot: Snapshot, seen: Seen) -> Generator[None, None, pygame.Surface]:
    theme, unit = stage.theme, stage.unit
    world = seen.world(stage.below)
    pen = Pen(pygame.Rect((0, 0), seen.size), 2)
    pen.sheet.fill(theme["mat"])
    _grid(pen, stage, seen, world)
    layout = stage.plan.layout
    near = [laid for laid in stage.plan.laid if _near(laid, seen)]
    for laid in near:
        share = laid.geometry.gauge_mm / 16.5
        for number, sleeper in enumerate(sleepers(laid)):
            if _within((sleeper.a, sleeper.b), seen):
                closer.near_sleeper(pen, sleeper, _SLEEPER_MM * share, world, theme, number)
    yield
    rails = [(laid, view) for laid in near for view in _rails(laid, layout.travel(laid.id, snapshot.travel), seen)]
    rails.sort(key=lambda row: row[1].part in ("stock", "check"))
    for laid, view in rails:
        if view.part in FROG_PARTS:
            _plate(pen, laid, view, world, stage)
    for _, view in rails:
        side = seen.feeds.get(section_of(view.node), "none") if view.node else ""
        closer.near_rail(pen, view, world, unit, theme, side)
    for laid in near:
        for name, mark in laid.geometry.marks.places.items():
            if name.startswith("gap.") and f"{laid.id}.{name}" in seen.closed:
                spot = laid.mark(mark)
                bearing = math.pi + spot.heading if stage.below else -spot.heading
                geometry = laid.geometry
                at = world.to_screen((spot.x, spot.y))
                closer.near_solder(pen, at, bearing, geometry.gap_mm, geometry.head_mm, world.scale, theme)
    yield
    for train in snapshot.trains:
        _train(pen, stage, train, seen, world)
    surface = _opaque(pen)
    _arrows(surface, stage, snapshot, seen, world)
    grain = stage.unit * min(1.0, seen.size[0] / stage.unit / _WHOLE_PX)
    bright = [_spark(surface, world.to_screen(place), grain, stage) for place in seen.sparks]
    _tags(surface, [view for _, view in rails], stage, seen, world, bright)
    return surface


def _spark(surface: pygame.Surface, at: Point, unit: float, stage: Stage) -> pygame.Rect:
    """Draw a spark; gives where it is."""
    reach = round(_SPARK_PX * unit)
    box = pygame.Rect(round(at[0]) - reach, round(at[1]) - reach, 2 * reach, 2 * reach)
    pen = Pen(box, 3)
    closer.spark(pen, at, unit, stage.theme)
    part = pen.done()
    lay(surface, part.surface, (part.x, part.y))
    return box


def _opaque(pen: Pen) -> pygame.Surface:
    part = pen.done().surface
    out = pygame.Surface(part.get_size())
    out.blit(part, (0, 0))
    return out


def _within(points: Sequence[Point], seen: Seen) -> bool:
    reach = seen.reach() + 20.0
    return any(math.dist(point, seen.centre) < reach for point in points)


def _near(laid: Laid, seen: Seen) -> bool:
    """Whether a piece comes into the picture at all."""
    reach = seen.reach() + 25.0
    for path in laid.geometry.tracks:
        x, y, _ = path.pose(np.arange(0.0, path.length_mm + 20.0, 20.0))
        points = laid.out(np.stack([x, y], axis=1))
        if float(np.min(np.hypot(*(points - np.array(seen.centre)).T))) < reach:
            return True
    return False


def _rails(laid: Laid, travel: Travel, seen: Seen) -> Iterator[RailView]:
    """The rails of a piece as they are, those that come into the picture."""
    shapes = [*laid.geometry.rails(travel), *laid.geometry.check_rails]
    reach = seen.reach() + 5.0
    views: list[RailView] = []
    for shape in shapes:
        left, right = laid.out(shape.left_edge), laid.out(shape.right_edge)
        node = f"{laid.id}.{shape.node}" if shape.part != "check" and shape.node else ""
        last = views[-1] if views else None
        if last is not None and last.node == node and last.part == shape.part == "wing":
            joint = math.dist(last.middle[-1], (left[0] + right[0]) / 2)
            if joint < laid.geometry.head_mm:  # a wing before and after its knuckle is one rail
                left, right = np.concatenate([last.left, left]), np.concatenate([last.right, right])
                views.pop()
        views.append(RailView(node, shape.part, left, right, shape.moves, shape.metal))
    yield from (view for view in views if _apart(view.middle, seen.centre) < reach)


def _apart(line: Floats, point: Point) -> float:
    a, run = line[:-1], line[1:] - line[:-1]
    long = np.maximum(np.sum(run * run, axis=1), 1e-12)
    share = np.clip(np.sum((np.array(point) - a) * run, axis=1) / long, 0, 1)[:, None]
    return float(np.min(np.hypot(*(a + run * share - np.array(point)).T)))


def _plate(pen: Pen, laid: Laid, view: RailView, world: World, stage: Stage) -> None:
    """The dark plate under a frog, which makes it one piece."""
    tube = Tube(view, world)
    pen.polygon(tube.outline(1.5 * laid.geometry.gauge_mm / 16.5 * world.scale, 0), stage.theme["plate"])


def _grid(pen: Pen, stage: Stage, seen: Seen, world: World) -> None:
    colour = mix(stage.theme["mat"], stage.theme["grid"], 0.5)
    reach = seen.reach()
    for k in range(math.floor((seen.centre[0] - reach) / 10), math.ceil((seen.centre[0] + reach) / 10) + 1):
        x = world.to_screen((10.0 * k, 0.0))[0]
        pen.span(x - 0.5 * stage.unit, 0, x + 0.5 * stage.unit, seen.size[1], colour)
    for k in range(math.floor((seen.centre[1] - reach) / 10), math.ceil((seen.centre[1] + reach) / 10) + 1):
        y = world.to_screen((0.0, 10.0 * k))[1]
        pen.span(0, y - 0.5 * stage.unit, seen.size[0], y + 0.5 * stage.unit, colour)


def _train(pen: Pen, stage: Stage, train: TrainView, seen: Seen, world: World) -> None:
    layout = stage.plan.layout
    scale = layout.scale(next(iter(layout.pieces)))
    gap = max((laid.geometry.gap_mm for laid in stage.plan.laid), default=0.0)
    for number, (view, (body, _, _)) in enumerate(zip(train.vehicles, train_bodies(stage, train), strict=True)):
        if not _within([axle[:2] for axle in view.axles], seen) and not _within(_middles(view.axles), seen):
            continue
        (x0, y0, heading), (x1, y1, _) = view.axles[0], view.axles[-1]
        bearing = math.atan2(y0 - y1, x0 - x1) if math.hypot(x0 - x1, y0 - y1) > 1e-6 else heading
        front, back, half = body_outline(body)
        c, s = math.cos(bearing), math.sin(bearing)
        corners = ((front, half), (back, half), (back, -half), (front, -half))
        closer.outline(
            pen,
            [world.to_screen((x0 + a * c - b * s, y0 + a * s + b * c)) for a, b in corners],
            stage.unit,
            stage.theme,
        )
        try:
            size = wheel(vehicle(stage.bench, view.name, scale.name).wheel, scale)
        except VehicleUnknown:
            continue
        inner = size.back_to_back_mm / 2
        zones = (inner, inner + size.flange_mm, size.reach_mm)
        touch = contact_length_mm(size, gap)
        for k, axle in enumerate(view.axles):
            for side, word in ((1, "left"), (-1, "right")):
                boxes = closer.WheelBoxes(axle, side, zones, size.radius_mm, touch, world)
                if side == 1:
                    pen.stroke(boxes.axle, 1.2 * world.scale, (24, 22, 20))
                    pen.stroke(boxes.axle, 0.7 * world.scale, (150, 150, 148))
                hot = (f"{train.id}:{number}", k + 1, word) in seen.hot
                closer.near_wheel(pen, boxes, stage.unit, stage.theme, hot)


def _middles(axles: Sequence[tuple[float, float, float]]) -> list[Point]:
    return [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(axles)]


def _arrows(surface: pygame.Surface, stage: Stage, snapshot: Snapshot, seen: Seen, world: World) -> None:
    """Arrowheads along the rails in the picture."""
    if seen.amps is None:
        return
    ways = Ways.now(stage, snapshot)

    def here(point: Point) -> Point:
        return world.to_screen(stage.world.to_bench(point))

    inputs = rail_inputs(ways, seen.amps)
    for node, lines in ways.lines.items():
        if node in inputs and len(lines) == 1:
            line = np.array([here((x, y)) for x, y in lines[0].tolist()])
            placed = [(here(point), value) for point, value in inputs[node]]
            for head in rail_arrows(line, placed, stage):
                if surface.get_rect().collidepoint(head.rect.center):
                    lay(surface, head.surface, (head.x, head.y))


def _tags(
    surface: pygame.Surface, views: Sequence[RailView], stage: Stage, seen: Seen, world: World,
    bright: Sequence[pygame.Rect],
) -> None:  # fmt: skip
    """A letter beside every rail in the picture, each rail once, none on another rail or letter, nor on a spark."""
    unit = stage.unit
    small = max(_LEAST_TAG_PX, _TAG_PX * min(1.0, seen.size[0] / unit / _WHOLE_PX))
    middle = (seen.size[0] / 2, seen.size[1] / 2)
    lines = [(view, np.array([world.to_screen((x, y)) for x, y in view.middle.tolist()])) for view in views]
    taken = [*bright]
    done: set[str] = set()
    for view, rows in sorted(lines, key=lambda row: _apart(row[1], middle)):
        section = section_of(view.node)
        side = seen.feeds.get(section, "none")
        if not view.node or not side or section in done:
            continue
        tag = side_tag(side, unit, stage.theme, small)
        spot = _tag_spot(rows, lines, tag.get_rect(), seen, world, taken, 14 * unit, 0.5)
        if spot is None and bright:  # the letters at a spark matter most: closer beside a rail
            spot = _tag_spot(rows, lines, tag.get_rect(), seen, world, taken, 4 * unit, 0.0)
        if spot is not None:
            taken.append(spot.inflate(6, 6))
            done.add(section)
            lay(surface, tag, spot.topleft)


def _tag_spot(
    rows: Floats, lines: Sequence[tuple[RailView, Floats]], tag: pygame.Rect, seen: Seen, world: World,
    taken: Sequence[pygame.Rect], every: float, light: float,
) -> pygame.Rect | None:  # fmt: skip
    """Where a letter stands beside a rail, tried `every` px along it, so many mm clear of the head of all rails."""
    steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
    away = (0.4 + light) * world.scale + tag.width / 2 + every / 5
    round_ = min(seen.size) / 2 - tag.width * 0.8
    middle = (seen.size[0] / 2, seen.size[1] / 2)
    best: tuple[float, pygame.Rect] | None = None
    for at in np.arange(0.0, steps[-1], every).tolist():
        x, y = float(np.interp(at, steps, rows[:, 0])), float(np.interp(at, steps, rows[:, 1]))
        if math.dist((x, y), middle) > round_ + away:
            continue
        ahead = float(np.interp(at + 2, steps, rows[:, 0])) - float(np.interp(at - 2, steps, rows[:, 0]))
        up = float(np.interp(at + 2, steps, rows[:, 1])) - float(np.interp(at - 2, steps, rows[:, 1]))
        norm = math.hypot(ahead, up) or 1.0
        for sign in (1, -1):
            px, py = x - up / norm * away * sign, y + ahead / norm * away * sign
            rect = tag.move(round(px - tag.width / 2), round(py - tag.height / 2))
            off = math.dist((px, py), middle)
            if off > round_ or rect.collidelist(list(taken)) >= 0:
                continue
            clear = min((_apart(other, (px, py)) for _, other in lines), default=away)
            if clear < tag.width / 2 + light * world.scale:
                continue
            cost = abs(off - 0.72 * round_)
            if best is None or cost < best[0]:
                best = (cost, rect)
    return best[1] if best is not None else None

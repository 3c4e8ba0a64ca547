"""Track from below: as on tracing paper, with the holes that its wires come through and the rod that throws it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, blank, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.railway.fittings import blob
from sim.game.draw.railway.track import Tube, area_of, on_screen, ticks, zigzag
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.plan import Laid, sleepers
from sim.game.paper.railviews import RailView
from sim.game.paper.view import Point, World

__all__ = ["flat_rail", "hole", "pencil_sleepers", "rod", "slot"]

_EDGE: Colour = (0x1D, 0x15, 0x08)
_PENCIL: Colour = (0x55, 0x45, 0x2E)
_HOLLOW: Colour = (0xF2, 0xEA, 0xD2)
_SIDE_B: Colour = (0x8B, 0x5C, 0xF6)  # 4.3:1 on the edge
_EDGE_MM = 0.34


@kept
def pencil_sleepers(laid: Laid, world: World, unit: float) -> Sprite:
    """The sleepers of a piece as dashed pencil outlines."""
    every = sleepers(laid)
    if not every:
        return Sprite(blank(1, 1), 0, 0)
    px = world.scale
    half = 1.7 * laid.geometry.gauge_mm / 16.5 * px
    ends = on_screen(np.array([point for sleeper in every for point in (sleeper.a, sleeper.b)]), world)
    pen = Pen(area_of(ends, half + 2 * unit), 3)
    for k in range(0, len(ends), 2):
        (ax, ay), (bx, by) = ends[k].tolist(), ends[k + 1].tolist()
        length = math.hypot(bx - ax, by - ay) or 1.0
        nx, ny = -(by - ay) / length * half, (bx - ax) / length * half
        outline = [(ax + nx, ay + ny), (bx + nx, by + ny), (bx - nx, by - ny), (ax - nx, ay - ny), (ax + nx, ay + ny)]
        for one, two in pairwise(outline):
            _dashes(pen, one, two, unit)
    return pen.done()


def _dashes(pen: Pen, a: Point, b: Point, unit: float) -> None:
    length = math.dist(a, b)
    count = max(1, round(length / (7 * unit)))
    for k in range(count):
        start, end = (k + 0.2) / count, (k + 0.8) / count
        line = [(a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share) for share in (start, end)]
        pen.stroke(line, 1.1 * unit, _PENCIL, 0.999)


@kept
def flat_rail(view: RailView, world: World, unit: float, theme: Theme, side: str) -> Sprite:
    """A rail as a flat strip with a dark edge, on the side "A", "B", "none", "both", or bare ("")."""
    tube = Tube(view, world)
    px = world.scale
    edge = max(_EDGE_MM * px, 1.2 * unit)
    least = max(0.0, 1.6 * unit - float(tube.half.max()))  # the strip inside the edge stays to be seen
    pen = Pen(area_of(np.concatenate([tube.left, tube.right]), edge + least + 0.5 * px + 3 * unit), 3)
    if view.part == "check":
        pen.polygon(tube.outline(0.1 * px, 0), mix(_PENCIL, _HOLLOW, 0.38))
        return pen.done()
    if not view.metal:
        pen.polygon(tube.outline(edge * 0.7, 0), _EDGE)
        pen.polygon(tube.outline(0, 0), mix(_PENCIL, _HOLLOW, 0.5))
        return pen.done()
    pen.polygon(tube.outline(edge + least, 0), _EDGE)
    inside = tube.outline(least, -0.1 * px)
    if side == "none":
        pen.polygon(inside, _HOLLOW)
    elif side == "A":
        pen.polygon(inside, theme["side-a"])
    elif side == "B":
        pen.polygon(inside, _SIDE_B)
        ticks(pen, tube, theme, px, unit)
    elif not side:
        pen.polygon(inside, theme["nickel"])
    else:
        pen.polygon(inside, theme["glow-wide"])
        zigzag(pen, tube.middle, unit, theme, max(1.5 * unit, float(tube.half.mean()) * 0.85))
    return pen.done()


@kept
def hole(x: float, y: float, unit: float, theme: Theme, soldered: bool) -> Sprite:
    """The drilled hole of a tab with its pale rim; with solder in it when a wire is there."""
    reach = math.ceil(14 * unit)
    pen = Pen(pygame.Rect(round(x) - reach, round(y) - reach, 2 * reach, 2 * reach), 4)
    pen.disc((x, y), 9.4 * unit, (58, 40, 20))
    pen.disc((x, y), 8.6 * unit, (236, 222, 186))
    pen.disc((x + 0.4 * unit, y + 0.6 * unit), 6.0 * unit, (92, 66, 36))
    pen.disc((x, y), 5.4 * unit, (20, 13, 6))
    pen.disc((x, y + 0.4 * unit), 2.6 * unit, mix(theme["copper"], (20, 13, 6), 0.45))
    part = pen.done()
    return merge([part, blob(x, y, 4.6 * unit, theme)]) if soldered else part


@kept
def slot(x: float, top: float, foot: float, unit: float) -> Sprite:
    """The slot at a toe that the rod's pin comes through."""
    area = pygame.Rect(round(x - 9 * unit), round(top - 3), round(18 * unit), round(foot - top + 6))
    pen = Pen(area, 3)
    pen.polygon(rounded((x - 6.4 * unit, top, 12.8 * unit, foot - top), 6.4 * unit), (222, 200, 158))
    pen.polygon(
        rounded((x - 5.2 * unit, top + 1.2 * unit, 10.4 * unit, foot - top - 2.4 * unit), 5.2 * unit), (20, 13, 6)
    )
    return pen.done()


@kept
def rod(points: tuple[Point, ...], unit: float, theme: Theme) -> Sprite:
    """A motor's brass rod from its housing to the pin in the slot, with a crank where it turns."""
    pen = Pen(area_of(np.array(points), 10 * unit), 3)
    for width, colour in ((4.6, theme["brass-dark"]), (3.0, theme["brass"])):
        pen.stroke(points, width * unit, colour)
    pen.stroke([(x - 0.5 * unit, y - 0.5 * unit) for x, y in points], 0.9 * unit, theme["brass-lit"])
    for x, y in points[1:]:
        pen.disc((x, y), 6 * unit, theme["brass-dark"])
        pen.disc((x, y), 5 * unit, theme["brass"])
        pen.disc((x, y), 1.8 * unit, _EDGE)
    part = pen.done()
    return merge([shade(part, (2 * unit, 3.4 * unit), 2.2 * unit, 0.5 * theme.shadow), part])

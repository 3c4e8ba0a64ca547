"""What the rails lie on: timber sleepers with their chairs, and the bar that throws the blades."""

from __future__ import annotations

import math

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, merge, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.railway.track import area_of, on_screen
from sim.game.look.theme import Theme, mix
from sim.game.paper.plan import Floats, Laid, sleepers
from sim.game.paper.railviews import RailView
from sim.game.paper.view import Point, World

__all__ = ["sleeper_bed", "throw_bar"]


_CHAIRS_FROM = 0.9  # px per mm of HO; smaller, chairs are less than a pixel


def _plank(pen: Pen, a: Point, b: Point, wide: float, seed: int, theme: Theme, px: float) -> None:
    """A sleeper from a to b (px) with grain, a lit left edge and a dark right edge."""
    rng = np.random.default_rng(seed)
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy) or 1.0
    ux, uy = dx / length, dy / length
    nx, ny = -uy, ux
    if nx > 0:
        nx, ny = -nx, -ny  # towards the left of the screen
    base = mix(theme["timber"], theme["timber-two"], float(rng.uniform(0, 1)))
    base = mix(base, (0, 0, 0), float(rng.uniform(0, 0.10)))

    def bar(low: float, high: float, start: float, end: float) -> list[Point]:
        return [
            (a[0] + ux * start + nx * low, a[1] + uy * start + ny * low),
            (a[0] + ux * end + nx * low, a[1] + uy * end + ny * low),
            (a[0] + ux * end + nx * high, a[1] + uy * end + ny * high),
            (a[0] + ux * start + nx * high, a[1] + uy * start + ny * high),
        ]

    half = wide / 2
    pen.polygon(bar(-half, half, 0, length), theme["timber-dark"])
    edge = max(0.6, 0.22 * px)
    pen.polygon(bar(-half + edge, half, edge * 0.4, length - edge * 0.6), base)
    pen.polygon(bar(half - edge, half, 0, length - edge), mix(base, theme["timber-lit"], 0.65))
    for _ in range(6):
        offset = max(0.0, half - 2 * edge) * float(rng.uniform(-1.0, 1.0))
        start = float(rng.uniform(0, length * 0.7))
        end = min(length - edge, start + float(rng.uniform(0.15, 0.6)) * length)
        tone = (
            mix(base, theme["timber-dark"], float(rng.uniform(0.25, 0.6)))
            if rng.uniform() < 0.7
            else mix(base, theme["timber-lit"], 0.3)
        )
        pen.polygon(bar(offset, offset + max(0.34, 0.12 * px), start, end), tone)


@kept
def sleeper_bed(laid: Laid, world: World, unit: float, theme: Theme, seed: int, chairs: tuple[RailView, ...]) -> Sprite:
    """All sleepers of a piece with their shadows, and a chair where each rail of `chairs` crosses one."""
    px = world.scale
    rng = np.random.default_rng(seed)
    share = laid.geometry.gauge_mm / 16.5
    every = sleepers(laid)
    if not every:
        return Sprite(pygame.Surface((1, 1), pygame.SRCALPHA), 0, 0)
    ends = on_screen(np.array([point for sleeper in every for point in (sleeper.a, sleeper.b)]), world)
    pen = Pen(area_of(ends, 4 * px), 2)
    wide = 3.4 * share * px
    planks: list[tuple[Point, Point]] = []
    for k, sleeper in enumerate(every):
        a, b = (world.to_screen(point) for point in (sleeper.a, sleeper.b))
        dx, dy = b[0] - a[0], b[1] - a[1]
        length = math.hypot(dx, dy)
        jitter = rng.uniform(-0.7, 0.7, 4) * px * share
        ux, uy = dx / length, dy / length
        a = (a[0] + ux * jitter[0] + -uy * jitter[2] * 0.3, a[1] + uy * jitter[0] + ux * jitter[2] * 0.3)
        b = (b[0] + ux * jitter[1] + -uy * jitter[3] * 0.3, b[1] + uy * jitter[1] + ux * jitter[3] * 0.3)
        _plank(pen, a, b, wide * float(rng.uniform(0.94, 1.06)), seed * 1000 + k, theme, px)
        planks.append((a, b))
    for view in chairs if px * share > _CHAIRS_FROM else ():
        _chairs(pen, view, planks, world, theme, share)
    part = pen.done()
    return merge([shade(part, (2 * unit, 3.2 * unit), 3 * unit, 0.55 * theme.shadow), part])


def _chairs(
    pen: Pen, view: RailView, planks: list[tuple[Point, Point]], world: World, theme: Theme, share: float
) -> None:
    left, right = on_screen(view.left, world), on_screen(view.right, world)
    for a, b in planks:
        for edge, other in ((left, right), (right, left)):
            hit = _crossing(edge, a, b)
            back = _crossing(other, a, b)
            if hit is None or back is None:
                continue
            length = math.hypot(hit[0] - back[0], hit[1] - back[1]) or 1.0
            out = ((hit[0] - back[0]) / length, (hit[1] - back[1]) / length)
            reach = 1.25 * share * world.scale
            centre = (hit[0] + out[0] * reach, hit[1] + out[1] * reach)
            radius = max(1.0, 0.62 * share * world.scale)
            pen.disc(centre, radius, theme["timber-dark"])
            pen.disc((centre[0] - radius * 0.25, centre[1] - radius * 0.3), radius * 0.55, theme["timber-lit"])


def _crossing(edge: Floats, a: Point, b: Point) -> Point | None:
    """Where a rail's edge crosses a sleeper's middle line."""
    d = np.array([b[0] - a[0], b[1] - a[1]])
    n = np.array([-d[1], d[0]])
    side = (edge - np.array(a)) @ n
    flips = np.flatnonzero(np.diff(np.sign(side)) != 0)
    for k in flips:
        share = side[k] / (side[k] - side[k + 1])
        point = edge[k] + (edge[k + 1] - edge[k]) * share
        along = float((point - np.array(a)) @ d / (d @ d))
        if 0.0 <= along <= 1.0:
            return float(point[0]), float(point[1])
    return None


@kept
def throw_bar(
    laid: Laid, world: World, unit: float, theme: Theme, tips: tuple[Point, ...],
    ends: tuple[tuple[Point, ...], tuple[Point, ...]],
) -> Sprite:  # fmt: skip
    """The bar that ties the blade tips (px): bright, in a dark bed between the two long sleepers, where it slides.

    ends: where the tips are with the points normal and diverging
    """
    px = world.scale * laid.geometry.gauge_mm / 16.5
    middle = [sum(x for x, _ in row) / len(row) for row in (tips, *ends)]
    top, foot = tips[0][1], tips[-1][1]
    first, last = min(row[0][1] for row in ends), max(row[-1][1] for row in ends)
    x, wide = sum(middle) / len(middle) + 1.2 * px, max(1.35 * px, 2.0 * unit)
    over = 13.5 * px
    high, low = first - over - 1.0 * px, last + 4.0 * px
    area = pygame.Rect(round(x - 6 * px), round(high - 4), round(12 * px), round(low - high + 8))
    pen = Pen(area, 3)
    pen.span(x - wide - 0.7 * px, high, x + wide + 0.7 * px, low, (14, 12, 10))
    pen.span(x - wide - 0.2 * px, high + 0.5 * px, x + wide + 0.2 * px, low - 0.5 * px, (34, 30, 26))
    start, end = top - over, foot + 3 * px
    steel = theme["nickel-dark"]
    pen.span(x - wide, start, x + wide, end, (10, 9, 8))
    pen.span(x - wide + 0.35 * px, start + 0.35 * px, x + wide - 0.35 * px, end - 0.35 * px, mix(steel, (0, 0, 0), 0.3))
    pen.span(x - wide + 0.35 * px, start + 0.35 * px, x - wide + 0.9 * px, end - 0.35 * px, theme["nickel"])
    pen.disc((x, start + 2.6 * px), max(1.25 * px, 2.0 * unit), theme["brass-dark"])
    pen.disc((x, start + 2.6 * px), max(1.0 * px, 1.6 * unit), theme["brass-lit"])
    pen.disc((x, start + 2.6 * px), max(0.45 * px, 0.7 * unit), (20, 16, 12))
    for row in ends:  # where the pin comes to rest
        y = row[0][1] - over + 2.6 * px
        for side in (-1, 1):
            at = x + side * (wide + 1.4 * px)
            pen.span(at - 0.8 * px, y - 0.4 * unit, at + 0.8 * px, y + 0.6 * unit, theme["brass-lit"])
    for tip_x, tip_y in tips:
        pen.disc((tip_x + 1.2 * px, tip_y), 0.95 * px, (16, 13, 10))
        pen.disc((tip_x + 1.2 * px, tip_y), 0.7 * px, theme["brass-lit"])
    part = pen.done()
    return merge([shade(part, (1.5 * unit, 2.4 * unit), 2 * unit, 0.5 * theme.shadow), part])

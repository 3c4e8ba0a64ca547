"""Track: rails filled with the colour of their side, and the frog's plate.

A rail is a tube that its feed fills: amber and plain on side A, violet and cross-ticked on side B, hollow without a
feed, a white-hot zigzag when both sides meet on it.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, merge, plate, shade
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Theme, mix
from sim.game.paper.plan import Floats
from sim.game.paper.railviews import RailView
from sim.game.paper.view import Point, World

__all__ = [
    "Tube",
    "area_of",
    "frog_plate",
    "grown",
    "on_screen",
    "plain_length",
    "rail",
    "rail_shadow",
    "ticks",
    "zigzag",
    "zigzag_points",
]

_FOOT_MM = 0.42
_UNDER_MM = 0.14
_EDGE_MM = 0.28
_CORE_MM = 0.34
_TICK_EVERY_MM = 3.1
_TICK_OVER_MM = 0.45
_TICK_MM = 0.38


def on_screen(points: Floats, world: World) -> Floats:
    """Points on the bench, (n, 2) mm, in device pixels."""
    return np.stack([world.left + points[:, 0] * world.across, world.base - points[:, 1] * world.scale], axis=1)


def area_of(points: Floats, margin: float) -> pygame.Rect:
    """The box of some points, px, with so much around it."""
    low, high = points.min(axis=0) - margin, points.max(axis=0) + margin
    return pygame.Rect(
        math.floor(low[0]),
        math.floor(low[1]),
        math.ceil(high[0]) - math.floor(low[0]) + 1,
        math.ceil(high[1]) - math.floor(low[1]) + 1,
    )


def _listed(points: Floats) -> list[Point]:
    return [(x, y) for x, y in points.tolist()]


class Tube:
    """A rail in pixels, from which narrower and wider outlines are taken."""

    def __init__(self, view: RailView, world: World) -> None:
        left, right = on_screen(view.left, world), on_screen(view.right, world)
        self.middle = (left + right) / 2
        self.half = np.hypot(*((left - right) / 2).T)
        along = np.gradient(self.middle, axis=0)
        length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)[:, None]
        self.along = along / length
        # to the left of the way the rail runs, on the screen (y down)
        self.normal = np.stack([self.along[:, 1], -self.along[:, 0]], axis=1)
        self.left, self.right = left, right
        self.px = world.scale
        self.below = world.below

    def outline(self, more: float, ends: float, least: float = 0.0) -> list[Point]:
        """The outline `more` px wider on each side (negative: narrower) and `ends` px longer at each end.

        least: half of its width at least, px
        """
        half = np.maximum(self.half + more, least)[:, None]
        middle = self.middle.copy()
        if ends:
            middle[0] -= self.along[0] * ends
            middle[-1] += self.along[-1] * ends
            if ends < 0 and len(middle) > 2:
                length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(self.middle, axis=0).T))])
                keep = (length > -ends) & (length < length[-1] + ends)
                keep[0] = keep[-1] = True
                middle, half = middle[keep], half[keep]
                normal = self.normal[keep]
                return _listed(np.concatenate([middle + normal * half, (middle - normal * half)[::-1]]))
        return _listed(np.concatenate([middle + self.normal * half, (middle - self.normal * half)[::-1]]))

    def strip(self, outer: float, inner: float, upper: bool) -> list[Point]:
        """A strip along the upper (or lower) edge, from `outer` px outside the head's edge to `inner` px inside."""
        up = self.normal * np.where(self.normal[:, 1:2] <= 0, 1.0, -1.0) * (1.0 if upper else -1.0)
        half = self.half[:, None]
        a = self.middle + up * (half + outer)
        b = self.middle + up * np.maximum(half - inner, 0.0)
        return _listed(np.concatenate([a, b[::-1]]))


@kept
def rail(view: RailView, world: World, unit: float, theme: Theme, side: str) -> Sprite:
    """A rail on the side "A", "B", "none" or "both", or bare ("") where that is not known, or it carries nothing."""
    tube = Tube(view, world)
    px = world.scale * view.share
    area = area_of(np.concatenate([tube.left, tube.right]), (_FOOT_MM + _TICK_OVER_MM) * px + 5 * unit)
    pen = Pen(area, 3)
    if view.part == "check":
        _plain(pen, tube, theme, px)
        return pen.done()
    if not view.metal:
        pen.polygon(tube.outline(0.25 * px, 0), (30, 28, 26))
        pen.polygon(tube.outline(0, 0), (78, 76, 72))
        pen.polygon(tube.strip(0, 0.3 * px, True), (112, 110, 104))
        return pen.done()
    grow = grown(theme, px, unit)
    ends = 0.18 * px
    tip = _TIP_PX * unit / 2 if view.moves else 0.0  # what is planed to a point can still be seen
    pen.polygon(tube.outline(_FOOT_MM * px + grow, ends, 2.0 * tip), theme["rail-foot"])
    pen.polygon(tube.outline(_UNDER_MM * px + grow, ends * 0.5, 1.4 * tip), theme["rail-under"])
    core = -_CORE_MM * px + grow
    inner = 0.9 * tip
    if side == "none":
        pen.polygon(tube.outline(grow, 0, tip), theme["none-line"])
        pen.polygon(tube.outline(core, -_CORE_MM * px, 0.5 * tip), theme["none-inside"])
        return pen.done()
    pen.polygon(tube.outline(grow, 0, tip), theme["nickel"])
    pen.polygon(tube.strip(grow, _EDGE_MM * px, False), theme["nickel-dark"])
    pen.polygon(tube.strip(grow, _EDGE_MM * px, True), theme["nickel-lit"])
    if side == "A":
        pen.polygon(tube.outline(core, -_CORE_MM * px, inner), theme["side-a"])
        lit = tube.strip(core, _CORE_MM * px + float(tube.half.mean()) * 0.42, True)
        pen.polygon(lit, theme["side-a-light"])
    elif side == "B":
        pen.polygon(tube.outline(core, -_CORE_MM * px, inner), theme["side-b"])
        ticks(pen, tube, theme, px, unit)
    elif side == "both":
        pen.polygon(tube.outline(core, -_CORE_MM * px, inner), theme["glow-wide"])
        zigzag(pen, tube.middle, unit, theme, max(1.5 * unit, float(tube.half.mean()) * 0.85))
    return pen.done()


_LEAST_CORE_PX = 2.5
_TIP_PX = 2.0


def grown(theme: Theme, px: float, unit: float) -> float:
    """How much wider than to scale a rail is drawn on each side, px, so that its colour can be seen from afar."""
    core = theme.rail_head_mm * px - 2 * _CORE_MM * px
    return max(0.0, (_LEAST_CORE_PX * unit - core) / 2)


@kept
def plain_length(
    x: float, y: float, turn: float, long: float, width: float, px: float, unit: float, theme: Theme
) -> Sprite:
    """A length of a rail on side B without its ticks, for an arrowhead to stand on.

    turn: its bearing, radians, y down; width: of its head, px; px: of a mm in its scale
    """
    grow = grown(theme, px, unit)
    c, s = math.cos(turn), math.sin(turn)

    def at(along: float, across: float) -> Point:
        return x + along * c - across * s, y + along * s + across * c

    reach = math.ceil(long / 2 + width)
    pen = Pen(pygame.Rect(math.floor(x) - reach, math.floor(y) - reach, 2 * reach + 1, 2 * reach + 1), 3)
    half = width / 2 + grow
    for more, role in (
        (_TICK_OVER_MM * px, "rail-foot"), (_UNDER_MM * px, "rail-under"), (0.0, "nickel"), (-_CORE_MM * px, "side-b"),
    ):  # fmt: skip
        pen.polygon(plate(at, -long / 2, -half - more, long / 2, half + more), theme[role])
    return pen.done()


def _plain(pen: Pen, tube: Tube, theme: Theme, px: float) -> None:
    pen.polygon(tube.outline(_FOOT_MM * 0.8 * px, 0), theme["rail-foot"])
    pen.polygon(tube.outline(0, 0), mix(theme["nickel-dark"], theme["nickel"], 0.25))
    pen.polygon(tube.strip(0, 0.4 * px, True), mix(theme["nickel"], theme["nickel-dark"], 0.3))


def _stations(middle: Floats, every: float, offset: float) -> tuple[Floats, Floats]:
    """Points every so many px along a polyline, and the direction there."""
    steps = np.hypot(*np.diff(middle, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    count = int((along[-1] - offset) // every) + 1
    if count < 1 or along[-1] < every * 0.4:
        return np.empty((0, 2)), np.empty((0, 2))
    at = offset + every * np.arange(count)
    points = np.stack([np.interp(at, along, middle[:, 0]), np.interp(at, along, middle[:, 1])], axis=1)
    ahead = np.stack([np.interp(at + 0.5, along, middle[:, 0]), np.interp(at + 0.5, along, middle[:, 1])], axis=1)
    behind = np.stack([np.interp(at - 0.5, along, middle[:, 0]), np.interp(at - 0.5, along, middle[:, 1])], axis=1)
    run = ahead - behind
    return points, run / np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-9)[:, None]


def ticks(pen: Pen, tube: Tube, theme: Theme, px: float, unit: float) -> None:
    """Cross ticks; they keep step with the mat, so that neighbouring rails and pieces agree."""
    every = max(_TICK_EVERY_MM * px, 7.0 * unit)
    first = float(tube.middle[0, 0])
    offset = (every - first % every) % every if abs(tube.along[0, 0]) > 0.5 else every / 2
    points, run = _stations(tube.middle, every, offset)
    order = slice(None) if tube.middle[0, 0] < tube.middle[-1, 0] else slice(None, None, -1)
    half = (
        np.interp(points[:, 0], tube.middle[order, 0], tube.half[order])
        if len(points) and (tube.middle[0, 0] < tube.middle[-1, 0] or tube.below)
        else np.full(len(points), float(tube.half.mean()))
    )
    wide = max(_TICK_MM * px, 1.2 * unit) / 2
    for (x, y), (dx, dy), h in zip(points.tolist(), run.tolist(), half.tolist(), strict=True):
        reach = h + _TICK_OVER_MM * px
        nx, ny = -dy * reach, dx * reach
        ax, ay = dx * wide, dy * wide
        pen.polygon(
            [
                (x + nx - ax, y + ny - ay),
                (x + nx + ax, y + ny + ay),
                (x - nx + ax, y - ny + ay),
                (x - nx - ax, y - ny - ay),
            ],
            theme["side-b-tick"],
        )


def zigzag(pen: Pen, middle: Floats, unit: float, theme: Theme, swing: float) -> None:
    """The white-hot zigzag along a polyline."""
    points = zigzag_points(middle, 3.8 * unit, 1.0 * unit, swing)
    if len(points) > 1:
        pen.stroke(points, 1.7 * unit, theme["short-core"])


def zigzag_points(middle: Floats, step: float, start: float, swing: float) -> list[Point]:
    """The corners of a zigzag along a polyline, the first `start` px along it, each a step on and a swing aside.

    One that starts two steps further on has its teeth at the same places.
    """
    points, run = _stations(middle, step, start)
    if len(points) < 2:
        return []
    sign = np.where(np.arange(len(points)) % 2 == 0, 1.0, -1.0)[:, None]
    return _listed(points + np.stack([-run[:, 1], run[:, 0]], axis=1) * sign * swing)


@kept
def rail_shadow(view: RailView, world: World, unit: float, theme: Theme) -> Sprite:
    """The shadow of a rail on sleepers and mat."""
    tube = Tube(view, world)
    pen = Pen(area_of(np.concatenate([tube.left, tube.right]), 3 * unit), 2)
    pen.polygon(tube.outline(_FOOT_MM * world.scale, 0), (0, 0, 0))
    return shade(pen.done(), (1.5 * unit, 2.6 * unit), 1.5 * unit, 0.62 * theme.shadow)


_PLATE_MM = 1.9


@kept
def frog_plate(views: tuple[RailView, ...], world: World, unit: float, theme: Theme) -> Sprite:
    """The one dark plate under everything that is a frog, with a lit rim.

    views: its rails, at least one
    """
    points = np.concatenate(
        [np.concatenate([on_screen(view.left, world), on_screen(view.right, world)]) for view in views]
    )
    hull = _hull(points)
    wide = max(_PLATE_MM * views[0].share * world.scale, 3.0 * unit)
    edges = [_around(hull, wide - inset) for inset in (0.0, 1.2 * unit, 2.6 * unit)]
    pen = Pen(area_of(edges[0], 3 * unit), 3)
    pen.polygon(_listed(edges[0]), (8, 7, 6))
    pen.polygon(_listed(edges[1]), mix(theme["plate"], theme["plate-rim"], 0.34))
    centre = hull.mean(axis=0)
    inner = np.concatenate([edges[1], edges[1][:1]])
    for one, other in pairwise(inner):
        out = (one + other) / 2 - centre
        lit = float(out @ np.array([-0.5, -0.87])) / max(1e-9, float(np.hypot(*out)))
        tone = mix(theme["plate"], theme["plate-rim"], max(0.22, min(1.0, 0.5 + 0.6 * lit)))
        pen.stroke(_listed(np.stack([one, other])), 2.8 * unit, tone)
    pen.wash(_listed(edges[2]), (theme["plate-top"], theme["plate"]))
    part = pen.done()
    return merge([shade(part, (1.5 * unit, 2.4 * unit), 1.6 * unit, 0.6 * theme.shadow), part])


def _around(hull: Floats, wide: float) -> Floats:
    """A convex hull grown by so many px on every side, its corners cut off."""
    turns = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    ring = np.stack([np.cos(turns), np.sin(turns)], axis=1) * wide
    return _hull((hull[:, None, :] + ring[None, :, :]).reshape(-1, 2))


def _hull(points: Floats) -> Floats:
    """Convex hull, counter-clockwise (monotone chain)."""
    order = points[np.lexsort((points[:, 1], points[:, 0]))]

    def chain(rows: Floats) -> list[Floats]:
        out: list[Floats] = []
        for p in rows:
            while len(out) >= 2:
                o, q = out[-2], out[-1]
                if (q[0] - o[0]) * (p[1] - o[1]) - (q[1] - o[1]) * (p[0] - o[0]) > 0:
                    break
                out.pop()
            out.append(p)
        return out[:-1]

    return np.array(chain(order) + chain(order[::-1]))

"""Something that can be pointed at, and where it is on the screen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import pygame

from sim.game.paper.view import Point
from sim.game.whereabouts.viewstate import Target

__all__ = ["LEAST", "Area", "along", "away", "disc", "middle_of", "nearest"]


LEAST = 24.0
"""A thing is met in a circle or band of so many layout px at least, unless another is nearer: WCAG 2.2, success
criterion 2.5.8 target size (minimum), with its exception for spacing."""


@dataclass(frozen=True)
class Area:
    """Something that can be pointed at: what it is, its box, whether it is round, the line that it follows."""

    target: Target
    rect: pygame.Rect
    round: bool = False
    line: tuple[Point, ...] = field(default=(), repr=False)
    reach: float = 0.0

    @property
    def whole(self) -> pygame.Rect:
        """The box of all of it, what lies beside its line included."""
        return self.rect.inflate(round(2 * self.reach), round(2 * self.reach))

    def holds(self, point: Point) -> bool:
        """Whether a point is on it."""
        if self.line:
            return bool(self.whole.collidepoint(point)) and away(self.line, point) <= self.reach
        if self.round:
            return math.hypot(point[0] - self.rect.centerx, point[1] - self.rect.centery) <= self.rect.width / 2
        return bool(self.rect.collidepoint(point))

    def beyond(self, point: Point) -> float:
        """How far outside of it a point is, px; 0 on it."""
        if self.line:
            return max(0.0, away(self.line, point) - self.reach)
        if self.round:
            return max(0.0, self.off_centre(point) - self.rect.width / 2)
        dx = max(self.rect.x - point[0], 0.0, point[0] - self.rect.right)
        dy = max(self.rect.y - point[1], 0.0, point[1] - self.rect.bottom)
        return math.hypot(dx, dy)

    @property
    def narrow(self) -> float:
        """Its smaller dimension, px."""
        return 2 * self.reach if self.line else float(min(self.rect.size))

    def off_centre(self, point: Point) -> float:
        """How far from its middle a point is, px, so that the nearer of two neighbours is meant."""
        if self.line:
            return away(self.line, point)
        return math.hypot(point[0] - self.rect.centerx, point[1] - self.rect.centery)


def away(line: Sequence[Point], point: Point) -> float:
    """Distance of a point from a polyline, px."""
    rows = np.asarray(line, dtype=np.float64)
    a, b = rows[:-1], rows[1:]
    run = b - a
    length = np.maximum(np.sum(run * run, axis=1), 1e-12)
    share = np.clip(np.sum((np.array(point) - a) * run, axis=1) / length, 0, 1)[:, None]
    return float(np.min(np.hypot(*(a + run * share - np.array(point)).T)))


def disc(target: Target, x: float, y: float, radius: float) -> Area:
    """A round thing."""
    return Area(target, pygame.Rect(round(x - radius), round(y - radius), round(2 * radius), round(2 * radius)), True)


def along(target: Target, line: tuple[Point, ...], reach: float) -> Area:
    """A thing that follows a line, and is met within `reach` px of it."""
    xs, ys = [p[0] for p in line], [p[1] for p in line]
    rect = pygame.Rect(
        math.floor(min(xs)),
        math.floor(min(ys)),
        max(1, math.ceil(max(xs) - min(xs))),
        max(1, math.ceil(max(ys) - min(ys))),
    )
    return Area(target, rect, False, line, reach)


def nearest(areas: Sequence[Area], point: Point, unit: float) -> Area | None:
    """The area that a point beside it is meant for, if any: one that is smaller than `LEAST`, and nearest to it."""
    close = []
    for k, area in enumerate(areas):
        spare = (LEAST * unit - area.narrow) / 2
        if spare <= 0 or not area.rect.inflate(2 * LEAST * unit, 2 * LEAST * unit).collidepoint(point):
            continue
        beyond = area.beyond(point)
        if beyond <= spare:
            close.append((beyond, area.off_centre(point), k))
    return areas[min(close)[2]] if close else None


def middle_of(area: Area) -> Point:
    """A point on a thing that stands for it."""
    if area.line:
        return area.line[len(area.line) // 2]
    return float(area.rect.centerx), float(area.rect.centery)

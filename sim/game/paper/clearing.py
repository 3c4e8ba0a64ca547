"""Where something can lie on the mat so that it covers nothing of a way of the current, nor what must be read."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
import pygame

from sim.game.paper.plan import Floats
from sim.game.paper.view import Point

__all__ = ["Disc", "Lying", "clear_box", "clear_disc", "dense"]

Bools = np.ndarray[Any, np.dtype[np.bool_]]

Soft = Sequence[tuple[pygame.Rect, float]]
"""Boxes that should rather not be covered, each with what it costs to cover the whole of it, px."""


def dense(path: Sequence[Point], every: float) -> Floats:
    """Points along a polyline, no further apart than `every` px, (n, 2)."""
    rows = np.asarray(path, dtype=np.float64).reshape(-1, 2)
    if len(rows) < 2:
        return rows
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
    at = np.linspace(0.0, along[-1], max(2, math.ceil(along[-1] / every) + 1))
    return np.stack([np.interp(at, along, rows[:, 0]), np.interp(at, along, rows[:, 1])], axis=1)


def _grid(room: pygame.Rect, step: float) -> Floats:
    x = np.arange(room.x, max(room.right, room.x + 1), step)
    y = np.arange(room.y, max(room.bottom, room.y + 1), step)
    columns, rows = np.meshgrid(x.astype(np.float64), y.astype(np.float64))
    return np.stack([columns.ravel(), rows.ravel()], axis=1)


class _Taken:
    """Which cells of a room the points of a way lie in, so that boxes without one are found at once."""

    def __init__(self, way: Floats, room: pygame.Rect, cell: float) -> None:
        self._corner, self._cell = np.array(room.topleft, dtype=np.float64), cell
        self._shape = int(room.width // cell) + 2, int(room.height // cell) + 2
        taken = np.zeros(self._shape)
        cells = np.floor((way - self._corner) / cell).astype(int) if len(way) else np.empty((0, 2), dtype=int)
        inside = (cells >= 0).all(axis=1) & (cells < self._shape).all(axis=1)
        taken[cells[inside, 0], cells[inside, 1]] = 1
        self._total = np.zeros((self._shape[0] + 1, self._shape[1] + 1))
        self._total[1:, 1:] = taken.cumsum(axis=0).cumsum(axis=1)

    def free(self, low: Floats, high: Floats) -> Bools:
        """Whether there is nothing in boxes from low to high corners, (n, 2) each, told by whole cells."""
        a = np.clip(np.floor((low - self._corner) / self._cell).astype(int), 0, self._shape)
        b = np.clip(np.ceil((high - self._corner) / self._cell).astype(int), 0, self._shape)
        b = np.maximum(a, b)
        total = self._total
        met = total[b[:, 0], b[:, 1]] - total[a[:, 0], b[:, 1]] - total[b[:, 0], a[:, 1]] + total[a[:, 0], a[:, 1]]
        return np.asarray(met == 0)


def _apart(points: Floats, way: Floats) -> float:
    """How far the nearest of some points is from the nearest of a way."""
    if not len(way):
        return math.inf
    return min(float(np.min(np.hypot(way[:, 0] - x, way[:, 1] - y))) for x, y in points)


def _off(points: Floats, box: pygame.Rect) -> Floats:
    """How far points are from a box, 0 in it, (n,)."""
    dx = np.maximum(np.maximum(box.x - points[:, 0], points[:, 0] - box.right), 0)
    dy = np.maximum(np.maximum(box.y - points[:, 1], points[:, 1] - box.bottom), 0)
    away: Floats = np.hypot(dx, dy)
    return away


class Disc(NamedTuple):
    """A disc that is to be laid down: its radius and the rim round it, px.

    tails: each gives, for a middle, the points along a tail of it, which must be clear too
    """

    radius: float
    rim: float
    tails: tuple[Callable[[Point], Sequence[Point]], ...]


class Lying(NamedTuple):
    """Where a disc can lie: its middle, its radius, which of its tails it has."""

    middle: Point
    radius: float
    tail: int


def clear_disc(
    near: Point, discs: Sequence[Disc], margin: float, room: pygame.Rect, way: Floats, keep_off: Sequence[pygame.Rect],
    soft: Soft, step: float,
) -> Lying | None:  # fmt: skip
    """Where one of some discs lies clear, near to a place; the first of them for which there is room at little cost.

    Args:
        margin: how much further off everything must be.
        way: points along what must not be covered; the place itself may lie among them.
    """
    spots, taken = _grid(room, step), _Taken(way, room, step / 2)
    off = np.full(len(spots), np.inf)
    for box in keep_off:
        off = np.minimum(off, _off(spots, box))
    edge = np.minimum(
        np.minimum(spots[:, 0] - room.x, room.right - spots[:, 0]),
        np.minimum(spots[:, 1] - room.y, room.bottom - spots[:, 1]),
    )
    far = np.hypot(spots[:, 0] - near[0], spots[:, 1] - near[1])
    best: tuple[float, Lying] | None = None
    for number, disc in enumerate(discs):
        grown = disc.radius + disc.rim
        within = (grown + margin) * 0.7 - step / 2  # of the square inside the disc, less a cell
        could = taken.free(spots - within, spots + within)
        fits = np.flatnonzero(could & (off >= grown + margin) & (edge >= grown))
        if not len(fits):
            continue
        cost = far[fits] + 60.0 * number
        for box, weight in soft:
            cost = cost + weight * np.clip(1 - _off(spots[fits], box) / grown, 0, 1)
        for k in np.argsort(cost, kind="stable")[:_TRIES]:
            if best is not None and cost[k] >= best[0]:
                break
            spot = spots[fits[k]]
            if _apart(spot[None, :], way) < grown + margin:
                continue
            middle = float(round(spot[0])), float(round(spot[1]))
            ways = (_is_clear(along(middle), margin, room, way, keep_off) for along in disc.tails)
            tail = next((n for n, clear in enumerate(ways) if clear), None)
            if tail is not None:
                best = float(cost[k]), Lying(middle, disc.radius, tail)
                break
    return None if best is None else best[1]


_TRIES = 250


def _is_clear(
    points: Sequence[Point], margin: float, room: pygame.Rect, way: Floats, keep_off: Sequence[pygame.Rect]
) -> bool:
    rows = np.asarray(points, dtype=np.float64)
    if not all(room.collidepoint(x, y) for x, y in points) or _apart(rows, way) < margin + 9:
        return False
    return all(float(_off(rows, box).min()) >= 6 for box in keep_off)


def clear_box(
    near: Point, sizes: Sequence[tuple[int, int]], margin: float, room: pygame.Rect, way: Floats,
    keep_off: Sequence[pygame.Rect], soft: Soft, step: float,
) -> pygame.Rect | None:  # fmt: skip
    """The box of one of some sizes that lies nearest to a place and covers nothing that must be seen; None without."""
    taken = _Taken(way, room, step / 2)
    best: tuple[float, pygame.Rect] | None = None
    for width, height in sizes:
        where = pygame.Rect(room.x, room.y, room.width - width, room.height - height)
        if where.width < 0 or where.height < 0:
            continue
        spots = _grid(where, step)
        spots = spots[taken.free(spots - margin, spots + np.array((width + margin, height + margin)))]
        for box in keep_off:
            apart_x = (spots[:, 0] + width < box.x) | (spots[:, 0] > box.right)
            spots = spots[apart_x | (spots[:, 1] + height < box.y) | (spots[:, 1] > box.bottom)]
        if not len(spots):
            continue
        cost = np.hypot(spots[:, 0] + width / 2 - near[0], spots[:, 1] + height / 2 - near[1])
        for box, weight in soft:
            wide = np.minimum(spots[:, 0] + width, box.right) - np.maximum(spots[:, 0], box.x)
            tall = np.minimum(spots[:, 1] + height, box.bottom) - np.maximum(spots[:, 1], box.y)
            cost = cost + weight * np.maximum(wide, 0) * np.maximum(tall, 0) / max(1, box.width * box.height)
        k = int(np.argmin(cost))
        if best is None or cost[k] < best[0]:
            best = float(cost[k]), pygame.Rect(round(spots[k, 0]), round(spots[k, 1]), width, height)
    return None if best is None else best[1]

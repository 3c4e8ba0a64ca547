"""Where something can lie on the mat so that it covers nothing of a way of the current, nor what must be read."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pygame

from sim.game.paper.plan import Floats
from sim.game.paper.view import Point

__all__ = ["clear_box", "clear_disc", "dense"]

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


def _apart(one: Floats, other: Floats) -> Floats:
    """How far each of some points is from the nearest of others, (n,)."""
    if not len(other):
        return np.full(len(one), np.inf)
    square = np.sum(one**2, axis=1)[:, None] + np.sum(other**2, axis=1)[None, :] - 2 * one @ other.T
    nearest: Floats = np.sqrt(np.maximum(square.min(axis=1), 0.0))
    return nearest


def _off(points: Floats, box: pygame.Rect) -> Floats:
    """How far points are from a box, 0 in it, (n,)."""
    dx = np.maximum(np.maximum(box.x - points[:, 0], points[:, 0] - box.right), 0)
    dy = np.maximum(np.maximum(box.y - points[:, 1], points[:, 1] - box.bottom), 0)
    away: Floats = np.hypot(dx, dy)
    return away


def clear_disc(
    near: Point, radius: float, tail: Sequence[Callable[[Point], Sequence[Point]]], margin: float, room: pygame.Rect,
    way: Floats, keep_off: Sequence[pygame.Rect], soft: Soft, step: float,
) -> tuple[Point, int] | None:  # fmt: skip
    """The middle of a disc nearest to a place, and which of its tails it can have; None where there is no room.

    Args:
        tail: each gives, for a middle, the points along a tail of it, which must be clear too.
        margin: how much further off everything must be.
        way: points along what must not be covered; the place itself may lie among them.
    """
    grown = math.ceil(radius + margin)
    inside = room.inflate(-2 * grown, -2 * grown)
    if inside.width < 1 or inside.height < 1:
        return None
    spots = _grid(inside, step)
    spots = spots[_apart(spots, way) >= radius + margin]
    for box in keep_off:
        spots = spots[_off(spots, box) >= radius + margin]
    if not len(spots):
        return None
    cost = np.hypot(spots[:, 0] - near[0], spots[:, 1] - near[1])
    for box, weight in soft:
        cost = cost + weight * np.clip(1 - _off(spots, box) / radius, 0, 1)
    for k in np.argsort(cost, kind="stable"):
        middle = float(round(spots[k, 0])), float(round(spots[k, 1]))
        for number, points in enumerate(tail):
            rows = np.asarray(points(middle), dtype=np.float64)
            free = float(_apart(rows, way).min()) >= margin + 9 and all(room.collidepoint(x, y) for x, y in rows)
            if free and all(float(_off(rows, box).min()) >= 6 for box in keep_off):
                return middle, number
    return None


def clear_box(
    near: Point, sizes: Sequence[tuple[int, int]], margin: float, room: pygame.Rect, way: Floats,
    keep_off: Sequence[pygame.Rect], soft: Soft, step: float,
) -> pygame.Rect | None:  # fmt: skip
    """The box of one of some sizes that lies nearest to a place and covers nothing that must be seen; None without."""
    best: tuple[float, pygame.Rect] | None = None
    for width, height in sizes:
        inside = pygame.Rect(room.x, room.y, room.width - width, room.height - height)
        if inside.width < 0 or inside.height < 0:
            continue
        spots = _grid(inside, step)
        for x, y in way:
            held = (spots[:, 0] <= x + margin) & (spots[:, 0] + width >= x - margin)
            spots = spots[~(held & (spots[:, 1] <= y + margin) & (spots[:, 1] + height >= y - margin))]
        for box in keep_off:
            apart_x = (spots[:, 0] + width < box.x) | (spots[:, 0] > box.right)
            spots = spots[apart_x | (spots[:, 1] + height < box.y) | (spots[:, 1] > box.bottom)]
        if not len(spots):
            continue
        cost = np.hypot(spots[:, 0] + width / 2 - near[0], spots[:, 1] + height / 2 - near[1])
        for box, weight in soft:
            wide = np.minimum(spots[:, 0] + width, box.right) - np.maximum(spots[:, 0], box.x)
            high = np.minimum(spots[:, 1] + height, box.bottom) - np.maximum(spots[:, 1], box.y)
            share = np.maximum(wide, 0) * np.maximum(high, 0) / max(1, box.width * box.height)
            cost = cost + weight * share
        k = int(np.argmin(cost))
        if best is None or cost[k] < best[0]:
            best = float(cost[k]), pygame.Rect(round(spots[k, 0]), round(spots[k, 1]), width, height)
    return None if best is None else best[1]

"""Ways round what is mounted on the board: a wire comes down from its bar beside a block, lamp or bar, never behind it.

Places are device pixels. A way is a level stretch under the bar and the column that the wire comes down in from there.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import islice

import numpy as np
import pygame

from sim.game.paper.plan import Floats

__all__ = ["Detours"]

_PITCH = 8.0
_TIGHT = 5.8  # where there is little room wires lie side by side and touch
_OVER = 3.0  # where there is still less one lies half over another
_CLEAR = 3.7  # from the middle of a wire to what it passes
_FIRST = 8.0  # from a bar's lower edge to the first level stretch
_TRIES = 40  # columns that are looked at, the nearest first
_LEVELS = 30
_COUNTED = 48  # ways whose crossings are counted
_PER_CROSSING, _PER_LEVEL = 60.0, 0.6


class Detours:
    """The free ways between bars and the lanes under what is mounted; each way given takes its place."""

    def __init__(self, solids: Sequence[pygame.Rect], left: float, right: float, foot: float, unit: float) -> None:
        """`left`, `right`: between which wires may come down; `foot`: the level that all of them come down to."""
        self._unit = unit
        away = _CLEAR * unit
        self._solids = [(r.left - away, r.top - away, r.right + away, r.bottom + away) for r in solids]
        self._left, self._right, self._foot = left, right, foot
        self._walls: Floats = np.array(self._solids, dtype=np.float64).reshape(-1, 4).T
        self._upright = _Rows()
        self._level = _Rows()
        self._free: dict[float, list[tuple[float, float]]] = {}

    @property
    def foot(self) -> float:
        """The level that all wires come down to."""
        return self._foot

    def free(self, x: float, top: float, jog: float | None = None, column: float | None = None) -> bool:
        """Whether a wire meets nothing that comes down at `x` from `top`, or goes over at `jog` to `column`."""
        if jog is None or column is None:
            return self._clear_down(x, top, self._foot)
        return (
            self._clear_down(x, top, jog) and self._clear_across(x, column, jog)
            and self._clear_down(column, jog, self._foot)
        )  # fmt: skip

    def take(self, x: float, top: float, jog: float | None = None, column: float | None = None) -> None:
        """A wire lies there from now on."""
        if jog is None or column is None:
            self._upright.add(x, top, self._foot)
            return
        self._upright.add(x, top, jog)
        self._upright.add(column, jog, self._foot)
        self._level.add(jog, min(x, column), max(x, column))

    def round(self, x: float, top: float, least: float = -math.inf) -> tuple[float, float] | None:
        """The best way from a screw at `x`, `top` the lower edge of its bar: (jog, column); None: there is none.

        least: the column must not be further left.
        """
        for pitch in (_PITCH, _TIGHT, _OVER, 0.0):
            best: tuple[float, float, float] | None = None
            levels, counted = self._levels(x, top, pitch), 0
            for column in islice(self._columns(x, top, least, pitch * self._unit), _TRIES):
                away = abs(column - x)
                for jog, low, high in levels:
                    cost = away + _PER_LEVEL * (jog - top)
                    if best is not None and cost >= best[0]:
                        break
                    if not low <= column <= high:
                        continue
                    counted += 1
                    cost += _PER_CROSSING * self._unit * self._crossings(x, top, jog, column)
                    if best is None or cost < best[0]:
                        best = (cost, jog, column)
                if best is not None and (away >= best[0] or counted > _COUNTED):
                    break
            if best is not None:
                return best[1], best[2]
        return None

    def _levels(self, x: float, top: float, pitch: float) -> list[tuple[float, float, float]]:
        """Levels that a wire can go over on: the level, and how far to the left and right nothing is in its way."""
        near = pitch * self._unit - 0.01
        a, b, c, d = self._walls
        y, left, right = self._level.columns
        jogs = top + (_FIRST + np.arange(_LEVELS) * (pitch or _OVER)) * self._unit
        deepest = np.min(b[(a < x) & (x < c) & (top < d) & (b > top - 1)], initial=self._foot)
        jogs = jogs[jogs <= deepest][:, None]
        starts, ends = np.concatenate([a, left - near]), np.concatenate([c, right + near])
        met = np.concatenate([(b < jogs) & (jogs < d), np.abs(y - jogs) < near], axis=1)
        before, after = ends <= x, (starts >= x) & (ends > x)
        low = np.max(np.where(met & before, ends, -math.inf), axis=1, initial=-math.inf)
        high = np.min(np.where(met & after, starts, math.inf), axis=1, initial=math.inf)
        free = ~np.any(met & ~before & ~after, axis=1) & (low < high)
        return list(zip(jogs[free, 0].tolist(), low[free].tolist(), high[free].tolist(), strict=True))

    def _clear_down(self, x: float, y0: float, y1: float) -> bool:
        a, b, c, d = self._walls
        return not np.any((a < x) & (x < c) & (y0 < d) & (b < y1) & (b > y0 - 1))

    def _clear_across(self, x0: float, x1: float, y: float) -> bool:
        low, high = (x0, x1) if x0 < x1 else (x1, x0)
        return not any(b < y < d and low < c and a < high for a, b, c, d in self._solids)

    def _columns(self, x: float, top: float, least: float, pitch: float) -> Iterator[float]:
        """Columns free from under a bar to the foot, the nearest to `x` first."""
        every = []
        for low, high in self._gaps(top):
            low = max(low, least)
            if low > high:
                continue
            step = max(pitch, _OVER * self._unit)
            count = int((high - low) // step)
            near = min(max(x, low), high)
            first = int((near - low) // step)
            every += [low + k * step for k in range(max(0, first - _TRIES), min(count, first + _TRIES) + 1)]
        at, _, foot = self._upright.columns
        used = np.sort(at[foot >= self._foot]).tolist()
        for column in sorted(every, key=lambda at: abs(at - x)):
            after = bisect_left(used, column - pitch + 0.01)
            if after == len(used) or used[after] >= column + pitch - 0.01:
                yield column

    def _gaps(self, top: float) -> list[tuple[float, float]]:
        """Where a wire can come down all the way to the foot, from left to right."""
        if top not in self._free:
            out, at = [], self._left
            for a, _, c, d in sorted(self._solids):
                if d <= top:
                    continue
                if a >= at:
                    out.append((at, a))
                at = max(at, c)
            out.append((at, self._right))
            self._free[top] = [(low, high) for low, high in out if high >= low]
        return self._free[top]

    def _crossings(self, x: float, top: float, jog: float, column: float) -> int:
        low, high = min(x, column), max(x, column)
        at, y0, y1 = self._upright.columns
        y, a, b = self._level.columns
        count = np.count_nonzero((low < at) & (at < high) & (y0 < jog) & (jog < y1))
        count += np.count_nonzero((a < x) & (x < b) & (top < y) & (y < jog))
        return int(count + np.count_nonzero((a < column) & (column < b) & (jog < y)))


class _Rows:
    """Rows of three numbers, more and more of them, as three columns."""

    def __init__(self) -> None:
        self._table = np.zeros((3, 16))
        self._count = 0

    def add(self, *row: float) -> None:
        """One more row."""
        if self._count == self._table.shape[1]:
            self._table = np.concatenate([self._table, np.zeros_like(self._table)], axis=1)
        self._table[:, self._count] = row
        self._count += 1

    @property
    def columns(self) -> Floats:
        """(3, rows)."""
        return self._table[:, : self._count]

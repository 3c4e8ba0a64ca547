"""Centre lines: straights and arcs one after the other, and the rails and points beside them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

__all__ = ["CentreLine", "Floats", "Run"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Run:
    """One straight or arc of a centre line.

    ``curvature``: 1/mm, positive turns left, 0 is straight. ``kink``: heading gained at once where the run begins, in
    radians.
    """

    length_mm: float
    curvature: float = 0.0
    kink: float = 0.0


@dataclass(frozen=True)
class _Placed:
    """A run with its place: station and pose (mm, radians) where it begins."""

    start: float
    x: float
    y: float
    heading: float
    length: float
    curvature: float


@dataclass(frozen=True)
class CentreLine:
    """The middle of a track by arc length: from the origin, heading along +x, y to the left.

    Stations are mm from its start. Before its start and beyond its end it runs on straight. Offsets from it are mm,
    positive to the left.
    """

    runs: tuple[Run, ...]

    @classmethod
    def of(cls, runs: Iterable[Run]) -> CentreLine:
        """A line of these runs, those of no length left out; a kink before one is kept for the next."""
        kept: list[Run] = []
        kink = 0.0
        for run in runs:
            kink += run.kink
            if run.length_mm > 0.0:
                kept.append(Run(run.length_mm, run.curvature, kink))
                kink = 0.0
        return cls(tuple(kept))

    @cached_property
    def length_mm(self) -> float:
        """From start to end."""
        return math.fsum(run.length_mm for run in self.runs)

    @cached_property
    def _placed(self) -> tuple[_Placed, ...]:
        placed = []
        s = x = y = heading = 0.0
        for run in self.runs:
            heading += run.kink
            placed.append(_Placed(s, x, y, heading, run.length_mm, run.curvature))
            turn = run.curvature * run.length_mm
            if run.curvature:
                x += (math.sin(heading + turn) - math.sin(heading)) / run.curvature
                y += (math.cos(heading) - math.cos(heading + turn)) / run.curvature
            else:
                x += run.length_mm * math.cos(heading)
                y += run.length_mm * math.sin(heading)
            heading += turn
            s += run.length_mm
        placed.append(_Placed(s, x, y, heading, 0.0, 0.0))
        return tuple(placed)

    @cached_property
    def _table(self) -> Floats:
        return np.array([(run.start, run.x, run.y, run.heading, run.curvature) for run in self._placed])

    @cached_property
    def joints(self) -> tuple[float, ...]:
        """Stations at which one run ends and the next begins."""
        return tuple(run.start for run in self._placed[1:-1])

    def pose(self, stations: Floats) -> tuple[Floats, Floats, Floats]:
        """x, y and heading at each station."""
        stations = np.asarray(stations, dtype=np.float64)
        starts = self._table[:, 0]
        rows = np.clip(np.searchsorted(starts, stations, side="right") - 1, 0, len(starts) - 1)
        start, x0, y0, heading0, curvature = self._table[rows].T
        along = stations - start
        curvature = np.where(along < 0.0, 0.0, curvature)  # before the start the line runs on straight
        turn = curvature * along
        # sin(t)/t and (1-cos(t))/t stay exact where the run is straight
        chord = along * np.sinc(turn / (2 * np.pi))
        heading_of_chord = heading0 + turn / 2
        return x0 + chord * np.cos(heading_of_chord), y0 + chord * np.sin(heading_of_chord), heading0 + turn

    def beside(self, stations: Floats, offsets: Floats | float) -> Floats:
        """(n, 2) points at these stations and offsets; at a kink, the corner where the two offset lines meet."""
        stations = np.asarray(stations, dtype=np.float64)
        x, y, heading = self.pose(stations)
        reach = np.ones_like(stations)
        for run, placed in zip(self.runs[1:], self._placed[1:], strict=False):
            if run.kink:
                at = np.abs(stations - placed.start) < 1e-9
                heading = np.where(at, placed.heading - run.kink / 2, heading)
                reach = np.where(at, 1 / math.cos(run.kink / 2), reach)
        across = reach * offsets
        return np.stack([x - across * np.sin(heading), y + across * np.cos(heading)], axis=-1)

    def stations(self, low: float, high: float, step: float) -> Floats:
        """Stations from ``low`` to ``high``, at most ``step`` apart, the ends and the joints of runs among them.

        None stands so near before or after a kink that its offset points would run backwards.
        """
        edges = [low, *(s for s in self.joints if low < s < high), high]
        kinks = [placed.start for run, placed in zip(self.runs[1:], self._placed[1:], strict=False) if run.kink]
        parts = []
        for a, b in itertools.pairwise(edges):
            count = max(1, math.ceil((b - a) / step))
            parts.append(np.linspace(a, b, count + 1)[:-1])
        found = np.concatenate([*parts, [high]])
        for kink in kinks:
            gap = np.abs(found - kink)
            found = found[(gap < 1e-9) | (gap > step / 2) | (found == low) | (found == high)]
        return found

    def seen(self, points: Floats) -> tuple[Floats, Floats]:
        """Station and offset of each of the (n, 2) points, from the nearest place of the line."""
        px, py = points[:, 0], points[:, 1]
        stations = np.empty(len(points))
        offsets = np.full(len(points), np.inf)

        def keep(better: NDArray[np.bool_], station: Floats, offset: Floats) -> None:
            np.copyto(stations, station, where=better)
            np.copyto(offsets, offset, where=better)

        for run in self._placed:
            c, s = math.cos(run.heading), math.sin(run.heading)
            u = c * (px - run.x) + s * (py - run.y)
            v = c * (py - run.y) - s * (px - run.x)
            if run is self._placed[0]:
                keep(u <= 0, run.start + u, v)
            if run is self._placed[-1]:
                keep((u >= 0) & (np.abs(v) < np.abs(offsets)), run.start + u, v)
                continue
            if run.curvature:
                radius = 1 / run.curvature
                sign = math.copysign(1.0, radius)
                along = np.arctan2(u, sign * (radius - v)) * abs(radius)
                across = radius - sign * np.hypot(u, radius - v)
            else:
                along, across = u, v
            inside = np.clip(along, 0.0, run.length)
            distance = np.hypot(across, along - inside)
            keep(distance < np.abs(offsets), run.start + inside, np.copysign(distance, across))
        return stations, offsets

    def station_along(self, start: float, distance: float, offset: float) -> float:
        """The station reached from ``start`` after ``distance`` mm measured along the rail at ``offset``.

        Negative distances go backwards. From a kink the rail is measured from its corner; a kink on the way adds
        nothing to its length.
        """
        step = 1 if distance >= 0 else -1
        placed = self._placed
        kink = next((run.kink for run, at in zip(self.runs, placed, strict=False) if at.start == start), 0.0)
        s, left = start, abs(distance) + offset * math.tan(kink / 2) if distance else 0.0
        while left > 0:
            if step > 0:
                run = next((r for r in placed[:-1] if r.start <= s < r.start + r.length), None)
                room = math.inf if run is None else run.start + run.length - s
            else:
                run = next((r for r in placed[:-1] if r.start < s <= r.start + r.length), None)
                room = math.inf if run is None else s - run.start
            stretch = 1.0 if run is None else 1.0 - run.curvature * offset
            taken = min(room, left / stretch)
            s += step * taken
            left = 0.0 if taken < room else left - taken * stretch
            if left < 1e-12:
                break
        return s

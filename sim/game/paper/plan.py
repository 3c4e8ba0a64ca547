"""The track as it lies on the mat: where each piece is, its sleepers, tabs and places, in bench millimetres."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from sim.track.geometry import Geometry, Mark
from sim.track.layout import Layout

__all__ = ["Floats", "Laid", "Plan", "PlanMark", "Sleeper", "plan_of", "sleepers"]

Floats = np.ndarray[Any, np.dtype[np.float64]]

_SLEEPER_PITCH_MM = 6.25  # HO; scaled by the gauge. Common practice, no source
_SLEEPER_REACH_MM = 6.8  # beyond the gauge line, HO


@dataclass(frozen=True)
class Sleeper:
    """A sleeper from end to end, mm in the bench's frame; `long` ones carry the throw bar."""

    a: tuple[float, float]
    b: tuple[float, float]
    long: bool = False


@dataclass(frozen=True)
class PlanMark:
    """A place in the bench's frame: mm, mm, radians."""

    x: float
    y: float
    heading: float


@dataclass(frozen=True, eq=False)
class Laid:
    """A piece of track where it lies: its name, its geometry and the pose of its frame.

    words: a few about it, "No. 6, right-hand, HO"
    """

    id: str
    words: str
    geometry: Geometry
    x: float
    y: float
    heading: float

    def out(self, points: Floats) -> Floats:
        """Points of the piece's frame, (n, 2), in the bench's frame."""
        c, s = math.cos(self.heading), math.sin(self.heading)
        turned: Floats = np.asarray(points, dtype=np.float64) @ np.array([[c, s], [-s, c]])
        moved: Floats = turned + np.array([self.x, self.y])
        return moved

    def mark(self, mark: Mark) -> PlanMark:
        """A mark of the piece in the bench's frame."""
        x, y = self.out(np.array([[mark.x, mark.y]]))[0]
        return PlanMark(float(x), float(y), mark.heading + self.heading)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right and foot of the piece with its sleepers, mm in the bench's frame."""
        points = [np.array([[self.x, self.y]])]
        for rail in self.geometry.rails({}):
            points += [self.out(rail.left_edge), self.out(rail.right_edge)]
        for sleeper in sleepers(self):
            points.append(np.array([sleeper.a, sleeper.b]))
        every = np.concatenate(points)
        low, high = every.min(axis=0), every.max(axis=0)
        return float(low[0]), float(high[1]), float(high[0]), float(low[1])


@dataclass(frozen=True, eq=False)
class Plan:
    """All the track of a bench. Compared by identity: the same pieces in the same places are one plan."""

    laid: tuple[Laid, ...]
    layout: Layout

    @cached_property
    def by_id(self) -> Mapping[str, Laid]:
        """Every piece by its name."""
        return {laid.id: laid for laid in self.laid}

    def tips(self, points: str) -> tuple[PlanMark, ...]:
        """The tips of the blades of a set of points."""
        laid = self.by_id[points.partition(".")[0]]
        return tuple(laid.mark(laid.geometry.marks.tips[blade.name]) for blade in self.layout.blades(points))

    @cached_property
    def zero_mm(self) -> float:
        """The place from which the mat's numbers count: the toe of the first turnout, else the first end of all.

        A finding on that turnout counts its millimetres from there too.
        """
        for laid in self.laid:
            if laid.geometry.marks.tips:
                return laid.x
        return self.laid[0].x if self.laid else 0.0

    @cached_property
    def zero_word(self) -> str:
        """What is there, "toe", where the numbers count from a piece with blades; else ""."""
        for laid in self.laid:
            if laid.geometry.marks.tips:
                piece = self.layout.pieces[laid.id]
                return piece.end_words(piece.ENDS[0]).removeprefix("the ")
        return ""

    @cached_property
    def box(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Lower left and upper right corner of everything, sleepers included, in mm."""
        if not self.laid:
            return (-30.0, -20.0), (262.0, 20.0)
        lefts, tops, rights, feet = zip(*(laid.bounds for laid in self.laid), strict=True)
        return (min(lefts), min(feet)), (max(rights), max(tops))


@lru_cache(maxsize=1024)
def sleepers(laid: Laid) -> tuple[Sleeper, ...]:
    """The sleepers of a piece: across its path, or, where paths part, across all of them."""
    reaches = _reaches(laid.geometry)
    if not reaches:
        return ()
    line = laid.geometry.tracks[0].line
    stations, high, low = (np.array(column) for column in list(zip(*reaches, strict=True))[:3])
    starts, ends = laid.out(line.beside(stations, low)).tolist(), laid.out(line.beside(stations, high)).tolist()
    return tuple(
        Sleeper((a[0], a[1]), (b[0], b[1]), throw) for a, b, (*_, throw) in zip(starts, ends, reaches, strict=True)
    )


@lru_cache(maxsize=256)
def _reaches(geometry: Geometry) -> tuple[tuple[float, float, float, bool], ...]:
    """Of every sleeper of a piece how far along its first track it lies, its ends to the left and right, and whether
    it carries the throw bar."""
    if not geometry.tracks:
        return ()
    share = geometry.gauge_mm / 16.5
    pitch, beyond = _SLEEPER_PITCH_MM * share, _SLEEPER_REACH_MM * share
    line = geometry.tracks[0].line
    count = max(1, round(line.length_mm / pitch))
    stations = (np.arange(count) + 0.5) * line.length_mm / count
    tips = [mark.stations[0] for mark in geometry.marks.tips.values() if mark.stations[0] is not None]
    beside_tips = set(sorted(stations.tolist(), key=lambda s: abs(s - tips[0]))[:2]) if tips else set()
    rails = [shape for shape in geometry.rails({}) if shape.part != "check"]
    seen = [tuple(line.seen(edge) for edge in (shape.left_edge, shape.right_edge)) for shape in rails]
    out = []
    for station in stations.tolist():
        spans = [geometry.gauge_mm / 2, -geometry.gauge_mm / 2]
        for (s_left, y_left), (s_right, y_right) in seen:
            for s, y in ((s_left, y_left), (s_right, y_right)):
                if s.min() - 0.5 <= station <= s.max() + 0.5:
                    spans.append(float(np.interp(station, np.maximum.accumulate(s), y)))
        high, low = max(spans) + beyond - geometry.head_mm, min(spans) - beyond + geometry.head_mm
        throw = station in beside_tips
        if throw:
            high += 8.0 * share
        out.append((station, high, low, throw))
    return tuple(out)


@lru_cache(maxsize=8)
def plan_of(layout: Layout) -> Plan:
    """The plan of a layout; the same object as long as the track lies the same."""
    laid = []
    for name, piece in layout.pieces.items():
        place = layout.placement(name)
        words = (piece.size_words, layout.scale(name).name)
        laid.append(
            Laid(name, ", ".join(filter(None, words)), layout.geometry(name), place.x, place.y, place.heading)
        )
    return Plan(tuple(laid), layout)

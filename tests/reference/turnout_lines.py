"""Measures the gauge lines of right-hand turnouts as their rails lie: leads, lengths, angles, radii, spreads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
import shapely

from sim.track.geometry import Geometry, RailShape
from sim.track.lines import Floats
from sim.track.rails import INCH_MM
from tests.reference.measuring import turnout
from tests.reference.published import entry

__all__ = ["Drawn", "arc", "published_row"]

SLOT_MM = 0.001
STRAIGHT_RAD = 1e-6


@dataclass(frozen=True)
class Drawn:
    """A right-hand turnout as it is drawn, both blades closed in turn; lengths in mm, angles in degrees.

    The straight way's frog-side rail is the right one, the diverging way's is the left one: each has its blade,
    closure rail and side of the frog, the edge that faces its own way being its gauge line.
    """

    geometry: Geometry

    def _rail(self, part: str, side: str, travel: float) -> RailShape:
        (found,) = [r for r in self.geometry.rails(travel) if r.part == part and r.node == f"blade.{side}"]
        return found

    def _frog_edges(self, part: str) -> tuple[Floats, Floats]:
        """Gauge lines of the two rails of that part that go through the frog: of the main way, of the diverging way."""
        rails = [r for r in self.geometry.rails(0.0) if r.part == part]
        # The main way's is the lower edge's neighbour: its gauge line is a left edge, the diverging way's a right edge.
        if part == "exit":
            by_node = {rail.node: rail for rail in rails}
            return by_node["exit.left"].left_edge, by_node["exit.right"].right_edge
        first = sorted(rails, key=lambda r: float(r.left_edge[0, 0]))[:2]
        low, high = sorted(first, key=lambda r: float(r.left_edge[0, 1]))
        return low.left_edge, high.right_edge

    @cached_property
    def blades(self) -> tuple[Floats, Floats]:
        """Gauge lines of the blades, each closed: of the main way, of the diverging way."""
        return self._rail("blade", "right", 0.0).left_edge, self._rail("blade", "left", 1.0).right_edge

    @cached_property
    def closures(self) -> tuple[Floats, Floats]:
        """Gauge lines of the closure rails."""
        return self._rail("closure", "right", 0.0).left_edge, self._rail("closure", "left", 1.0).right_edge

    @cached_property
    def vee(self) -> tuple[Floats, Floats]:
        """Both edges of the solid vee, from the frog point on: of the main way, of the diverging way."""
        (vee,) = [
            rail
            for rail in self.geometry.rails(0.0)
            if rail.part == "vee" and math.dist(rail.left_edge[0], rail.right_edge[0]) < 0.01
        ]
        return vee.left_edge, vee.right_edge

    @property
    def angle(self) -> float:
        """Between the two sides of the vee."""
        main, diverging = self.vee
        return _heading(main[-2:]) - _heading(diverging[-2:])

    @property
    def point(self) -> Floats:
        """Where the gauge lines cross."""
        main, diverging = (
            shapely.LineString(np.concatenate(parts))
            for parts in zip(self.blades, self.closures, self._frog_edges("wing"), self.vee, strict=True)
        )
        crossing = main.intersection(diverging)
        return np.array([crossing.x, crossing.y])

    @property
    def lead(self) -> float:
        """From the tips to the frog point, along the main track."""
        return float(self.point[0] - self.blades[0][0, 0])

    @property
    def point_rail(self) -> float:
        """Length of the straight blade."""
        return _length(self.blades[0])

    @property
    def heel_spread(self) -> float:
        """From the heel of the diverging way's blade to its stock rail, between gauge lines."""
        (stock,) = [rail for rail in self.geometry.rails(1.0) if rail.node == "stock.left"]
        return float(shapely.LineString(stock.right_edge).distance(shapely.Point(self.blades[1][-1])))

    @property
    def point_angle(self) -> float:
        """Of the diverging way's blade at its tip."""
        return -_heading_at_start(self.blades[1])

    @property
    def heel_angle(self) -> float:
        """The same at its heel."""
        return 180.0 - _heading_at_start(self.blades[1][::-1])

    @property
    def switch_radius(self) -> float:
        """Of the diverging way's blade, at its gauge line."""
        return _radius(self.blades[1])

    @property
    def arc_radius(self) -> float:
        """Of the centre line of the diverging way, from its blade's gauge line, the outer rail."""
        return self.switch_radius - self.geometry.gauge_mm / 2

    @property
    def closure_straight(self) -> float:
        return _length(self.closures[0])

    @property
    def closure_curved(self) -> float:
        return _length(self.closures[1])

    @property
    def point_rail_curved(self) -> float:
        return _length(self.blades[1])

    @property
    def closure_radius(self) -> float:
        """Of the diverging way's arc beyond its blade."""
        return _radius(self._beyond_blade[: self._bend + 1])

    @property
    def straight_before_point(self) -> float:
        """How far before the frog point the diverging way's gauge line is straight."""
        return math.dist(self._beyond_blade[self._bend], self.point)

    @cached_property
    def _beyond_blade(self) -> Floats:
        """The diverging way's gauge line from the blade to the frog's knuckle."""
        return np.concatenate([self.closures[1], self._frog_edges("wing")[1]])

    @cached_property
    def _bend(self) -> int:
        """Vertex of it from which on it is straight."""
        headings = np.arctan2(*np.diff(self._beyond_blade, axis=0).T[::-1])
        bent = np.flatnonzero(np.abs(headings - headings[-1]) > STRAIGHT_RAD)
        return int(bent[-1]) + 1

    @property
    def toe_spread(self) -> float:
        """Between the gauge lines where the frog begins."""
        main, diverging = self._frog_edges("wing")
        return math.dist(main[0], diverging[0])

    @property
    def heel_spread_of_frog(self) -> float:
        """Between the gauge lines where the frog ends."""
        main, diverging = self._frog_edges("exit")
        return math.dist(main[0], diverging[0])

    @property
    def number(self) -> float:
        """Length of the frog over the sum of its spreads."""
        toe, heel = (np.mean([a[0], b[0]], axis=0) for a, b in map(self._frog_edges, ("wing", "exit")))
        return math.dist(toe, heel) / (self.toe_spread + self.heel_spread_of_frog)

    @property
    def point_beyond_centres(self) -> float:
        """From where the centre lines of both ways cross to the frog point, along the main track."""
        main, diverging = (end for name, end in self.geometry.end_poses.items() if name != "toe")
        crossing = diverging.x - (diverging.y - main.y) / math.tan(diverging.heading)
        return float(self.point[0]) - crossing


def _heading(line: Floats) -> float:
    dx, dy = line[-1] - line[0]
    return math.degrees(math.atan2(dy, dx))


def _heading_at_start(line: Floats) -> float:
    """Of a curve at its first vertex, from the headings of its first two chords."""
    one, two = _heading(line[:2]), _heading(line[1:3])
    share = math.dist(line[0], line[1]) / (math.dist(line[0], line[1]) + math.dist(line[1], line[2]))
    return one - ((two - one + 180) % 360 - 180) * share


def _length(line: Floats) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def _radius(line: Floats) -> float:
    """Of the circle through a line's ends and its middle vertex."""
    a, b, c = line[0], line[len(line) // 2], line[-1]
    area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2
    return float(math.dist(a, b) * math.dist(b, c) * math.dist(c, a) / (4 * area))


@cache
def arc(scale: str, number: float) -> Drawn:
    """A turnout of one arc."""
    return Drawn(turnout(scale, number))


@cache
def published_row(number: int) -> Drawn:
    """A turnout with the straight points of a published row, its frog cut free where the row's frog ends."""
    toe, heel = (
        entry(f"turnout.nmra_rp12_7.no_{number}.frog_{end}_length").number() * INCH_MM for end in ("toe", "heel")
    )
    return Drawn(turnout("N", number, branch="straight-points", closure_mm=toe, exit_mm=heel, gap_mm=SLOT_MM))

"""What a formation is made of, as geometry: paths, rails, bands, marks and which rail ends where.

Frame of a piece: the first end of its first path lies at the origin and looks along +x into the piece; y is to the
left. All lengths are millimetres, headings radians, offsets positive to the left of a path that is run from its first
end.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from sim.track.lines import CentreLine, Floats

__all__ = ["Band", "BladeContact", "EndPose", "Geometry", "Mark", "Marks", "Path", "Rail", "RailShape", "Topology"]


@dataclass(frozen=True)
class Path:
    """One way through a piece. ``ends``: in order; ``setting``: of the points that it needs, None without points."""

    ends: tuple[str, str]
    setting: str | None
    line: CentreLine

    @property
    def length_mm(self) -> float:
        """From end to end."""
        return self.line.length_mm

    def pose(self, stations: Floats) -> tuple[Floats, Floats, Floats]:
        """x, y and heading, in the piece's frame, at each station; beyond the ends the path runs on straight."""
        return self.line.pose(stations)


@dataclass(frozen=True, eq=False)
class RailShape:
    """A piece of rail as seen from above, in the piece's frame.

    ``node``: which rail it is, in the piece ("blade.left"). ``left_edge``, ``right_edge``: (n, 2), running away from
    the piece's first end. ``moves``: part of a blade. ``part``: rail, stock, blade, closure, wing, vee, exit or
    check. ``metal``: False in a dead frog.
    """

    node: str
    left_edge: Floats
    right_edge: Floats
    moves: bool
    part: str
    metal: bool


@dataclass(frozen=True, eq=False)
class Rail:
    """A piece of rail as a formation makes it: a shape at travel 0, and how much of the throw each vertex takes.

    ``carrier``: index of the path beside which it lies, with its ``stations`` and offsets ``low`` and ``high`` there;
    None for a shape that follows no single path. ``throw_left``, ``throw_right``: (n,) mm to the left that the
    vertices of each edge move when the blade goes from closed to open; None for what is fixed. ``closed_at``: blade
    travel at which it is closed.
    """

    node: str
    part: str
    left: Floats
    right: Floats
    carrier: int | None = None
    stations: Floats | None = None
    low: Floats | None = None
    high: Floats | None = None
    throw_left: Floats | None = None
    throw_right: Floats | None = None
    closed_at: float = 0.0
    metal: bool = True

    @classmethod
    def beside(
        cls,
        node: str,
        part: str,
        carrier: int,
        line: CentreLine,
        stations: Floats,
        low: Floats | float,
        high: Floats | float,
        *,
        metal: bool = True,
    ) -> Rail:
        """A rail between two offsets from a path."""
        low, high = np.broadcast_to(low, stations.shape), np.broadcast_to(high, stations.shape)
        return cls(
            node,
            part,
            line.beside(stations, high),
            line.beside(stations, low),
            carrier,
            stations,
            low,
            high,
            metal=metal,
        )

    def at(self, travel: float) -> tuple[Floats, Floats]:
        """Its left and right edge, (n, 2) each, at that blade travel."""
        if self.throw_left is None or self.throw_right is None:
            return self.left, self.right
        openness = abs(travel - self.closed_at)
        left, right = self.left.copy(), self.right.copy()
        left[:, 1] += openness * self.throw_left
        right[:, 1] += openness * self.throw_right
        return left, right


@dataclass(frozen=True, eq=False)
class Band:
    """What a rail occupies across a path: offsets ``lo`` to ``hi`` at stations ``s``, straight between. (n,) each."""

    node: str
    s: Floats
    lo: Floats
    hi: Floats


@dataclass(frozen=True)
class BladeContact:
    """A blade and its stock rail. ``closed_at``: travel when it leans on it; ``touch``: within how much of that."""

    blade: str
    stock: str
    closed_at: float
    touch: float


@dataclass(frozen=True)
class Topology:
    """Names, inside the piece, of what is one conductor.

    ``nodes``: its sections, or the lengths that long ones are cut into. ``ends``: for each end, the nodes of the left
    and right rail as seen looking into the piece from there; an end without rails is left out.
    """

    sections: tuple[str, ...]
    nodes: tuple[str, ...]
    blades: tuple[BladeContact, ...]
    ends: Mapping[str, tuple[str, str]]


@dataclass(frozen=True)
class EndPose:
    """Where an end lies, and the heading of a train that leaves the piece there."""

    x: float
    y: float
    heading: float


@dataclass(frozen=True)
class Mark:
    """A place on a piece. ``stations``: along each path, None for a path that it lies away from."""

    x: float
    y: float
    heading: float
    stations: tuple[float | None, ...]


@dataclass(frozen=True)
class Marks:
    """Where things are, for drawing and for words. ``places``: by the place's name in the piece ("gap.closure.left").

    ``tabs``: by section, where a wire is soldered. ``tips``, ``hinges``: of the blades, by side. ``frog_point``:
    where the gauge lines cross.
    """

    tabs: Mapping[str, Mark]
    places: Mapping[str, Mark]
    tips: Mapping[str, Mark]
    hinges: Mapping[str, Mark]
    frog_point: Mark | None


@dataclass(frozen=True, eq=False)
class Geometry:
    """Everything geometric of one piece; made once for all pieces alike, and compared by identity.

    ``gap_mm``: width of its gaps' slots, 0 without gaps. ``end_poses``: by end. ``check_rails``: drawn beside the
    stock rails, no part of any section.
    """

    gauge_mm: float
    head_mm: float
    gap_mm: float
    paths: tuple[Path, ...]
    topology: Topology
    end_poses: Mapping[str, EndPose]
    make_marks: Callable[[], Marks]
    parts: tuple[Rail, ...]
    check_rails: tuple[RailShape, ...] = ()

    @cached_property
    def marks(self) -> Marks:
        """Where things are; worked out when first asked for."""
        return self.make_marks()

    def rails(self, travel: float) -> tuple[RailShape, ...]:
        """Every piece of rail at that blade travel (0 normal, 1 diverging), cut at every gap place."""
        return _rails(self, travel)

    def bands(self, path_index: int, travel: float) -> tuple[Band, ...]:
        """What every metal rail within reach occupies, as seen from a path, at that blade travel."""
        if not any(part.throw_left is not None for part in self.parts):
            return _fixed_bands(self, path_index)
        return _fixed_bands(self, path_index) + _moving_bands(self, path_index, travel)

    def travel_of(self, setting: str | None) -> float:
        """Blade travel of a setting: 1 for "diverging", 0 else."""
        return 1.0 if setting == "diverging" else 0.0


@lru_cache(maxsize=512)
def _rails(geometry: Geometry, travel: float) -> tuple[RailShape, ...]:
    shapes = []
    for part in geometry.parts:
        left, right = part.at(travel)
        shapes.append(RailShape(part.node, left, right, part.throw_left is not None, part.part, part.metal))
    return tuple(shapes)


@lru_cache(maxsize=2048)
def _fixed_bands(geometry: Geometry, path_index: int) -> tuple[Band, ...]:
    fixed = [part for part in geometry.parts if part.metal and part.throw_left is None]
    return _seen(geometry, path_index, fixed, 0.0)


@lru_cache(maxsize=2048)
def _moving_bands(geometry: Geometry, path_index: int, travel: float) -> tuple[Band, ...]:
    moving = [part for part in geometry.parts if part.metal and part.throw_left is not None]
    return _seen(geometry, path_index, moving, travel)


def _seen(geometry: Geometry, path_index: int, parts: list[Rail], travel: float) -> tuple[Band, ...]:
    line = geometry.paths[path_index].line
    bands = [_own(part) for part in parts if part.carrier == path_index and part.throw_left is None]
    others = [part for part in parts if part.carrier != path_index or part.throw_left is not None]
    if others:
        edges = [edge for part in others for edge in part.at(travel)]
        stations, offsets = line.seen(np.concatenate(edges))
        cuts = np.cumsum([len(edge) for edge in edges])[:-1]
        s_of, y_of = np.split(stations, cuts), np.split(offsets, cuts)
        for k, part in enumerate(others):
            band = _joined(part.node, s_of[2 * k], y_of[2 * k], s_of[2 * k + 1], y_of[2 * k + 1], geometry.gauge_mm)
            if band is not None:
                bands.append(band)
    return tuple(bands)


def _own(part: Rail) -> Band:
    if part.stations is None or part.low is None or part.high is None:
        raise ValueError(f"{part.node} follows no path")
    return Band(part.node, part.stations, part.low, part.high)


def _joined(node: str, s_left: Floats, y_left: Floats, s_right: Floats, y_right: Floats, reach: float) -> Band | None:
    """One band from a rail's two edges, slanting ends kept. None when it never comes within ``reach`` of the path."""
    near = (np.abs(y_left) <= reach) | (np.abs(y_right) <= reach)
    if not near.any():
        return None
    rows = np.flatnonzero(near)
    kept = slice(max(0, rows[0] - 1), rows[-1] + 2)
    s_left, y_left, s_right, y_right = (a[kept] for a in (s_left, y_left, s_right, y_right))
    upper_s, upper_y = _capped(s_left, y_left, s_right, y_right)
    lower_s, lower_y = _capped(s_right, y_right, s_left, y_left)
    s = np.union1d(upper_s, lower_s)
    if len(s) < 2:
        return None
    return Band(node, s, np.interp(s, lower_s, lower_y), np.interp(s, upper_s, upper_y))


def _capped(s: Floats, y: Floats, other_s: Floats, other_y: Floats) -> tuple[Floats, Floats]:
    """An edge, lengthened by the other edge's first or last vertex where that lies further out."""
    s = np.maximum.accumulate(s)
    if other_s[0] < s[0]:
        s, y = np.concatenate([other_s[:1], s]), np.concatenate([other_y[:1], y])
    if other_s[-1] > s[-1]:
        s, y = np.concatenate([s, other_s[-1:]]), np.concatenate([y, other_y[-1:]])
    return s, y


def moving(part: Rail, throw_left: Floats, throw_right: Floats, closed_at: float) -> Rail:
    """The same rail as part of a blade."""
    return replace(part, throw_left=throw_left, throw_right=throw_right, closed_at=closed_at)

"""What a formation is made of, as geometry: tracks, rails, bands, marks and which rail ends where.

Frame of a piece: the first end of its first track lies at the origin and looks along +x into the piece; y is to the
left. All lengths are millimetres, headings radians, offsets positive to the left of a track that is run from its first
end.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from sim.bench.point_set import travel_of
from sim.bench.table import Table
from sim.track.lines import CentreLine, Floats

__all__ = [
    "Band",
    "BladeContact",
    "EndPose",
    "Geometry",
    "Mark",
    "Marks",
    "Rail",
    "RailShape",
    "Stand",
    "Topology",
    "Track",
    "Travel",
]

Stand = tuple[float, ...]
"""Where the blades of a piece are, 0 normal to 1 diverging, as a value that can be a key: of each set of points, in the
order of the topology."""

Travel = float | Mapping[str, float] | Stand
"""The same as it may be told: of a piece's only set of points, of each set by the set's name inside the piece (0 for
one that is left out), or as a key already."""


@dataclass(frozen=True)
class Track:
    """One way through a piece.

    ``ends``: in order. ``needs``: how points must be set for it, by the name of the set inside the piece ("" for the
    only one); sets that it asks nothing of are left out.
    """

    ends: tuple[str, str]
    needs: Table[str, str]
    line: CentreLine

    @property
    def length_mm(self) -> float:
        """From end to end."""
        return self.line.length_mm

    @property
    def travel(self) -> dict[str, float]:
        """Travel of the blades that are set for it; without the sets that it asks nothing of."""
        return {name: travel_of(setting) for name, setting in self.needs.items()}

    def open_at(self, travel: Mapping[str, float]) -> bool:
        """Whether blades there are nearer to being set for it than against it, in every set that it needs."""
        return all((travel.get(name, 0.0) >= 0.5) == (at >= 0.5) for name, at in self.travel.items())

    def pose(self, stations: Floats) -> tuple[Floats, Floats, Floats]:
        """x, y and heading, in the piece's frame, at each station; beyond the ends the track runs on straight."""
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

    ``carrier``: index of the track beside which it lies, with its ``stations`` and offsets ``low`` and ``high`` there;
    None for a shape that follows no single track. ``throw_left``, ``throw_right``: (n,) mm to the left that the
    vertices of each edge move when the blade goes from closed to open; None for what is fixed. ``points``: the set that
    moves it, by its name inside the piece; ``closed_at``: the set's travel at which it is closed.
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
    points: str = ""
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
        """A rail between two offsets from a track."""
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

    def at(self, travel: Mapping[str, float]) -> tuple[Floats, Floats]:
        """Its left and right edge, (n, 2) each, at that blade travel of each set."""
        if self.throw_left is None or self.throw_right is None:
            return self.left, self.right
        openness = abs(travel[self.points] - self.closed_at)
        left, right = self.left.copy(), self.right.copy()
        left[:, 1] += openness * self.throw_left
        right[:, 1] += openness * self.throw_right
        return left, right


@dataclass(frozen=True, eq=False)
class Band:
    """What a rail occupies across a track: offsets ``lo`` to ``hi`` at stations ``s``, straight between. (n,) each."""

    node: str
    s: Floats
    lo: Floats
    hi: Floats


@dataclass(frozen=True)
class BladeContact:
    """A blade and its stock rail, by their names inside the piece; ``name``: of the contact between them.

    ``points``: the set that moves it, "" for the piece's only one. ``closed_at``: travel when it leans on the stock
    rail; ``touch``: within how much of that.
    """

    name: str
    points: str
    blade: str
    stock: str
    closed_at: float
    touch: float


@dataclass(frozen=True)
class Topology:
    """Names, inside the piece, of what is one conductor.

    ``nodes``: its sections, or the lengths that long ones are cut into. ``ends``: for each end, the nodes of the left
    and right rail as seen looking into the piece from there; an end without rails is left out. ``frogs``: the sections
    that are frogs. ``point_sets``: names of its sets of points, ("",) where it has one.
    """

    sections: tuple[str, ...]
    nodes: tuple[str, ...]
    blades: tuple[BladeContact, ...]
    ends: Mapping[str, tuple[str, str]]
    frogs: tuple[str, ...] = ()
    point_sets: tuple[str, ...] = ()


@dataclass(frozen=True)
class EndPose:
    """Where an end lies, and the heading of a train that leaves the piece there."""

    x: float
    y: float
    heading: float


@dataclass(frozen=True)
class Mark:
    """A place on a piece. ``stations``: along each track, None for a track that it lies away from."""

    x: float
    y: float
    heading: float
    stations: tuple[float | None, ...]


@dataclass(frozen=True)
class Marks:
    """Where things are, for drawing and for words. ``places``: by the place's name in the piece ("gap.closure.left").

    ``tabs``: by section, where a wire is soldered. ``tips``, ``hinges``: of the blades, by the names of their contacts.
    ``frog_points``: where gauge lines cross.
    """

    tabs: Mapping[str, Mark]
    places: Mapping[str, Mark]
    tips: Mapping[str, Mark]
    hinges: Mapping[str, Mark]
    frog_points: tuple[Mark, ...]


@dataclass(frozen=True, eq=False)
class Geometry:
    """Everything geometric of one piece; made once for all pieces alike, and compared by identity.

    ``gap_mm``: width of its gaps' slots, 0 without gaps. ``end_poses``: by end. ``check_rails``: drawn beside the
    stock rails, no part of any section.
    """

    gauge_mm: float
    head_mm: float
    gap_mm: float
    tracks: tuple[Track, ...]
    topology: Topology
    end_poses: Mapping[str, EndPose]
    make_marks: Callable[[], Marks]
    parts: tuple[Rail, ...]
    check_rails: tuple[RailShape, ...] = ()

    @cached_property
    def marks(self) -> Marks:
        """Where things are; worked out when first asked for."""
        return self.make_marks()

    def stand(self, travel: Travel) -> Stand:
        """Where its blades are, as a key. Raises ValueError for a float where there are several sets of points."""
        names = self.topology.point_sets
        if isinstance(travel, tuple):
            return travel
        if isinstance(travel, Mapping):
            return tuple(travel.get(name, 0.0) for name in names)
        if len(names) > 1:
            raise ValueError(f"one travel for {len(names)} sets of points")
        return (travel,) * len(names)

    def travel(self, stand: Stand) -> dict[str, float]:
        """Where its blades are, by the names of the sets inside the piece."""
        return dict(zip(self.topology.point_sets, stand, strict=True))

    def rails(self, travel: Travel) -> tuple[RailShape, ...]:
        """Every piece of rail with the blades there, cut at every gap place."""
        return _rails(self, self.stand(travel))

    def bands(self, index: int, travel: Travel) -> tuple[Band, ...]:
        """What every metal rail within reach occupies, as seen from a track, with the blades there."""
        if not any(part.throw_left is not None for part in self.parts):
            return _fixed_bands(self, index)
        return _fixed_bands(self, index) + _moving_bands(self, index, self.stand(travel))


@lru_cache(maxsize=512)
def _rails(geometry: Geometry, stand: Stand) -> tuple[RailShape, ...]:
    shapes, travel = [], geometry.travel(stand)
    for part in geometry.parts:
        left, right = part.at(travel)
        shapes.append(RailShape(part.node, left, right, part.throw_left is not None, part.part, part.metal))
    return tuple(shapes)


@lru_cache(maxsize=2048)
def _fixed_bands(geometry: Geometry, index: int) -> tuple[Band, ...]:
    fixed = [part for part in geometry.parts if part.metal and part.throw_left is None]
    return _seen(geometry, index, fixed, {})


@lru_cache(maxsize=2048)
def _moving_bands(geometry: Geometry, index: int, stand: Stand) -> tuple[Band, ...]:
    moving = [part for part in geometry.parts if part.metal and part.throw_left is not None]
    return _seen(geometry, index, moving, geometry.travel(stand))


def _seen(geometry: Geometry, index: int, parts: list[Rail], travel: Mapping[str, float]) -> tuple[Band, ...]:
    line = geometry.tracks[index].line
    bands = [_own(part) for part in parts if part.carrier == index and part.throw_left is None]
    others = [part for part in parts if part.carrier != index or part.throw_left is not None]
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
        raise ValueError(f"{part.node} follows no track")
    return Band(part.node, part.stations, part.low, part.high)


def _joined(node: str, s_left: Floats, y_left: Floats, s_right: Floats, y_right: Floats, reach: float) -> Band | None:
    """One band from a rail's two edges, slanting ends kept. None when it never comes within ``reach`` of the track."""
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


def moving(part: Rail, throw_left: Floats, throw_right: Floats, closed_at: float, points: str = "") -> Rail:
    """The same rail as part of a blade of that set of points."""
    return replace(part, throw_left=throw_left, throw_right=throw_right, closed_at=closed_at, points=points)

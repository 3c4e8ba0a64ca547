"""A bench's track as one whole: the scale and shape of every piece, where it lies, and what is joined to what."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from sim.bench.model import Bench
from sim.bench.point_set import full_id
from sim.bench.vocabulary import DEFAULT_SCALE
from sim.track.formations.formation import Formation, formation_of
from sim.track.frogs import Frog, frogs
from sim.track.geometry import BladeContact, Geometry
from sim.track.lines import Floats
from sim.track.rails import rail_section
from sim.track.standards import SCALES, Scale

__all__ = ["Joint", "JointSide", "Layout", "Placement"]

_BETWEEN_GROUPS_MM = 60.0


class JointSide(NamedTuple):
    """One side of a joint: ``one`` is the rail's node on the piece that writes the joint, ``other`` on the other piece.

    ``side``: left or right, as seen looking into the writing piece. ``state``: metal, insulated or bad.
    """

    side: str
    one: str
    other: str
    state: str


@dataclass(frozen=True)
class Joint:
    """Two ends that meet. ``end``: of the piece that writes the joint ("P1.a"); ``other``: of the other ("T1.main").

    ``sides``: left and right; none where one of the two has no rails, as a buffer stop.
    """

    end: str
    other: str
    sides: tuple[JointSide, ...]


@dataclass(frozen=True)
class Placement:
    """Where a piece's frame lies on the bench: its origin, mm, and the direction of its x axis, radians."""

    x: float
    y: float
    heading: float

    def points(self, local: Floats) -> Floats:
        """The (n, 2) points of the piece's frame, in the bench's."""
        c, s = math.cos(self.heading), math.sin(self.heading)
        x, y = local[:, 0], local[:, 1]
        return np.stack([self.x + c * x - s * y, self.y + s * x + c * y], axis=-1)


class Layout:
    """The track of a bench. It depends on no wiring: not on gaps, bonds, or how points are set.

    Layouts of benches whose track is alike are equal, so that what was worked out for one serves for the others.
    """

    def __init__(self, bench: Bench) -> None:
        self.pieces: dict[str, Formation] = {piece.id: formation_of(piece) for piece in bench.tracks}
        self._met: dict[tuple[str, str], tuple[str, str]] = {}
        for piece in bench.tracks:
            for end, target in piece.joins.items():
                other, _, other_end = target.rpartition(".")
                self._met[piece.id, end] = (other, other_end)
                self._met[other, other_end] = (piece.id, end)
        self._groups = tuple(self._grouped())
        self._scales = self._resolved_scales()
        self._rails = {
            piece.id: piece.rail if piece.rail is not None else self._scales[piece.id].rail for piece in bench.tracks
        }
        self._geometries: dict[str, Geometry] = {}
        self._blade_conditions: dict[str, str] = {}
        for name, formation in self.pieces.items():
            rail = rail_section(self._rails[name])
            self._geometries[name] = formation.geometry(self._scales[name], rail)
            self._blade_conditions[name] = formation.blade_condition
        self.joints: tuple[Joint, ...] = tuple(self._joints())
        self._key = (
            tuple((name, geometry, self._rails[name]) for name, geometry in self._geometries.items()),
            tuple(self._scales.values()),
            tuple(self._blade_conditions.values()),
            self.joints,
        )
        self._hash = hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Layout) and self._key == other._key

    def __hash__(self) -> int:
        return self._hash

    def scale(self, piece: str) -> Scale:
        """The scale of a piece: its own, that of the pieces it is joined to, or HO."""
        return self._scales[piece]

    def rail(self, piece: str) -> str:
        """The rail section of a piece, "code 83"."""
        return self._rails[piece]

    def geometry(self, piece: str) -> Geometry:
        """The shape of a piece."""
        return self._geometries[piece]

    def frogs(self, piece: str) -> tuple[Frog, ...]:
        """The frogs of a piece."""
        return frogs(self._geometries[piece])

    def travel(self, piece: str, settings: Mapping[str, float]) -> dict[str, float]:
        """Where the blades of a piece are, by the names of their sets inside it.

        Args:
            settings: blade travel by the full id of each set of points, 0 for those left out.
        """
        return {name: settings.get(full_id(piece, name), 0.0) for name in self._geometries[piece].topology.point_sets}

    def set_for(self, piece: str, index: int) -> dict[str, float]:
        """Blade travel, by the full ids of the sets, with the points of a piece set for one of its tracks."""
        needed = self._geometries[piece].tracks[index].travel
        return {full_id(piece, name): at for name, at in needed.items()}

    def blades(self, point_set: str) -> tuple[BladeContact, ...]:
        """The blades of a set of points, by its full id; none for a switch, which is none of the track."""
        piece, _, local = point_set.partition(".")
        if piece not in self._geometries:
            return ()
        return tuple(blade for blade in self._geometries[piece].topology.blades if blade.points == local)

    def blade_condition(self, piece: str) -> str:
        """How well a piece's closed blades conduct: good, worn, oxidised or open."""
        return self._blade_conditions[piece]

    def touch(self, piece: str) -> float:
        """Within which part of the throw a piece's blades touch their stock rails; 0 without blades."""
        return max((blade.touch for blade in self._geometries[piece].topology.blades), default=0.0)

    def node_mm(self, piece: str) -> float:
        """Length of rail that each node of plain track stands for; 0 for pieces with points or without rails."""
        geometry = self._geometries[piece]
        if geometry.topology.blades or len(geometry.tracks) != 1:
            return 0.0
        return geometry.tracks[0].length_mm * len(geometry.topology.sections) / len(geometry.topology.nodes)

    def neighbour(self, piece: str, end: str) -> tuple[str, str] | None:
        """The piece and end that meet that end; None where it is open."""
        return self._met.get((piece, end))

    @cached_property
    def open_ends(self) -> tuple[tuple[str, str], ...]:
        """Ends that meet nothing, as (piece, end)."""
        return tuple(
            (name, end) for name, piece in self.pieces.items() for end in piece.ENDS if (name, end) not in self._met
        )

    def entered(self, piece: str, end: str, settings: Mapping[str, float]) -> tuple[int, int] | None:
        """The track that a train takes which comes in at that end, and +1 if it runs it from its first end, else -1.

        Where several tracks begin there it takes the one that the points are set for. None for a piece without tracks:
        a buffer stop.

        Args:
            settings: blade travel by the full id of each set of points, 0 for those left out.
        """
        tracks = self._geometries[piece].tracks
        here = [k for k, track in enumerate(tracks) if end in track.ends]
        if not here:
            return None
        if len(here) > 1:
            travel = self.travel(piece, settings)
            here = [k for k in here if tracks[k].open_at(travel)] or here
        return here[0], 1 if tracks[here[0]].ends[0] == end else -1

    def tracks_from(self, piece: str, end: str) -> tuple[tuple[int, int], ...]:
        """The tracks that begin at an end, each with +1 if it is then run from its first end, else -1; see `entered`.

        None at a buffer stop.
        """
        tracks = self._geometries[piece].tracks
        return tuple((k, 1 if track.ends[0] == end else -1) for k, track in enumerate(tracks) if end in track.ends)

    def placement(self, piece: str) -> Placement:
        """Where a piece lies. The first piece of the first group is at the origin; other groups lie below."""
        return self._placements[piece]

    def pose(self, piece: str, path_index: int, stations: Floats) -> tuple[Floats, Floats, Floats]:
        """x, y and heading on the bench at stations along a path; beyond its ends the path runs on straight."""
        x, y, heading = self._geometries[piece].tracks[path_index].pose(stations)
        place = self.placement(piece)
        points = place.points(np.stack([x, y], axis=-1))
        return points[:, 0], points[:, 1], heading + place.heading

    def _grouped(self) -> Iterator[list[str]]:
        """The pieces of each connected group, the first of the bench first, then by nearness to it."""
        around: dict[str, list[str]] = defaultdict(list)
        for (piece, _), (other, _) in self._met.items():
            around[piece].append(other)
        seen: set[str] = set()
        for name in self.pieces:
            if name in seen:
                continue
            seen.add(name)
            group = [name]
            for member in group:
                for other in around[member]:
                    if other not in seen:
                        seen.add(other)
                        group.append(other)
            yield group

    def _resolved_scales(self) -> dict[str, Scale]:
        scales = {}
        for group in self._groups:
            told = next((scale for name in group if (scale := self.pieces[name].scale) is not None), DEFAULT_SCALE)
            for name in group:
                scales[name] = SCALES[self.pieces[name].scale or told]
        return scales

    def _joints(self) -> Iterator[Joint]:
        for name, piece in self.pieces.items():
            for end, target in piece.joins.items():
                other, _, other_end = target.rpartition(".")
                mine = self._geometries[name].topology.ends.get(end)
                theirs = self._geometries[other].topology.ends.get(other_end)
                sides: tuple[JointSide, ...] = ()
                if mine is not None and theirs is not None:
                    # Looking in from the other side of a joint, left and right change places.
                    states = piece.joint_states(end)
                    sides = tuple(
                        JointSide(side, f"{name}.{mine[k]}", f"{other}.{theirs[1 - k]}", states[k])
                        for k, side in enumerate(("left", "right"))
                    )
                yield Joint(f"{name}.{end}", target, sides)

    @cached_property
    def _placements(self) -> dict[str, Placement]:
        placed: dict[str, Placement] = {}
        floor = 0.0
        for number, group in enumerate(self._groups):
            mine = self._group_placements(group)
            if number:
                top = max(self._heights(name, mine[name])[1] for name in group)
                drop = floor - _BETWEEN_GROUPS_MM - top
                mine = {name: Placement(p.x, p.y + drop, p.heading) for name, p in mine.items()}
            floor = min(floor, *(self._heights(name, mine[name])[0] for name in group))
            placed |= mine
        return placed

    def _group_placements(self, group: list[str]) -> dict[str, Placement]:
        placed = {group[0]: Placement(0.0, 0.0, 0.0)}
        for name in group:
            place = placed[name]
            for end, pose in self._geometries[name].end_poses.items():
                met = self._met.get((name, end))
                if met is None or met[0] in placed:
                    continue
                other, other_end = met
                theirs = self._geometries[other].end_poses[other_end]
                x, y = place.points(np.array([[pose.x, pose.y]]))[0]
                # The two headings out of the pieces are opposite.
                turn = place.heading + pose.heading + math.pi - theirs.heading
                turn = math.remainder(turn, math.tau)
                c, s = math.cos(turn), math.sin(turn)
                placed[other] = Placement(
                    float(x) - c * theirs.x + s * theirs.y, float(y) - s * theirs.x - c * theirs.y, turn
                )
        return placed

    def _heights(self, piece: str, place: Placement) -> tuple[float, float]:
        """Lowest and highest y of a piece that lies there."""
        geometry = self._geometries[piece]
        points = [np.zeros((1, 2))]
        for path in geometry.tracks:
            x, y, _ = path.pose(np.linspace(0.0, path.length_mm, 25))
            points.append(np.stack([x, y], axis=-1))
        y = place.points(np.concatenate(points))[:, 1]
        return float(y.min()) - geometry.gauge_mm, float(y.max()) + geometry.gauge_mm

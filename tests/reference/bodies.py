"""Which rails a wheelset touches, a third way: the rails as bodies of pymunk, queried with a wheel's zones."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
import pymunk

from sim.track.contact import GIVE_MM
from sim.track.geometry import Geometry, RailShape
from sim.track.lines import Floats
from tests.reference.poses import Hits, Poses

__all__ = ["Metal", "colliding"]


def _lengths(rail: RailShape, least: float) -> Iterator[Floats]:
    """Four-cornered lengths of a rail, those that are at least so wide, cut where the width is just that."""
    width = np.hypot(*(rail.left_edge - rail.right_edge).T)
    for k, (a, b) in enumerate(itertools.pairwise(width)):
        start, end = (0.0, 1.0)
        if max(a, b) < least:
            continue
        if min(a, b) < least:
            cut = float((least - a) / (b - a))
            start, end = (cut, 1.0) if a < least else (0.0, cut)
        left, right = (
            edge[k] + np.outer([start, end], edge[k + 1] - edge[k]) for edge in (rail.left_edge, rail.right_edge)
        )
        yield np.array([left[0], left[1], right[1], right[0]])


class Metal:
    """The metal rails of a piece as fixed bodies."""

    def __init__(self, geometry: Geometry, travel: float, least: float) -> None:
        self.space = pymunk.Space()
        self.rails: dict[pymunk.Shape, int] = {}
        for rail in geometry.rails(travel):
            if rail.metal:
                for corners in _lengths(rail, least):
                    self.rails[pymunk.Poly(self.space.static_body, corners.tolist())] = geometry.topology.nodes.index(
                        rail.node
                    )
        self.space.add(*self.rails)

    def hit(self, poses: Poses, along: float, narrower: float) -> Hits:
        """By the wheels' zones, so long and narrower by so much on each side."""
        found = np.zeros((2, len(poses.rails), len(poses.stations)), dtype=bool)
        body = pymunk.Body(body_type=pymunk.Body.KINEMATIC)
        shapes = []
        for zone, (low, high) in enumerate(poses.zones):
            if high - low > 2 * narrower:
                box = [(x, y) for x in (-along, along) for y in (low + narrower, high - narrower)]
                shapes.append((zone // 2, pymunk.Poly(body, box)))
        placed = zip(
            *(values.tolist() for values in poses.geometry.tracks[poses.path].pose(poses.stations)), strict=True
        )
        for pose, (x, y, heading) in enumerate(placed):
            body.position, body.angle = (x, y), heading
            for wheel, shape in shapes:
                for info in self.space.shape_query(shape):
                    found[wheel, self.rails[info.shape], pose] = True
        return found


@lru_cache(maxsize=8)
def _metal(geometry: Geometry, travel: float, least: float) -> Metal:
    return Metal(geometry, travel, least)


def colliding(poses: Poses, along: float, across: float) -> Hits:
    """The rails touched by wheels with a longer contact, that may overlap by 2 ``across`` less than the give."""
    least = GIVE_MM - 2 * across
    return _metal(poses.geometry, poses.travel, least).hit(poses, poses.half_mm + along, least)

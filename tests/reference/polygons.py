"""Which rails a wheelset touches, a second way: the rails as polygons of shapely, queried with rectangles.

A wheel touches a rail where they overlap across the track by more than they give. That is where a rail made thinner
all round by half the give meets a zone made narrower by half the give on each side.
"""

from __future__ import annotations

import itertools
from functools import lru_cache

import numpy as np
import shapely

from sim.track.contact import GIVE_MM
from sim.track.geometry import Geometry
from tests.reference.measuring import outline
from tests.reference.poses import Hits, Poses

__all__ = ["Shaved", "overlapping"]

SLICE_MM = 12.0


class Shaved:
    """The metal rails of a piece, thinner all round, cut into short lengths, in a tree."""

    def __init__(self, geometry: Geometry, travel: float, by: float) -> None:
        pieces: list[shapely.Geometry] = []
        nodes: list[int] = []
        for rail in geometry.rails(travel):
            if not rail.metal:
                continue
            thin = outline(rail).buffer(-by, join_style="mitre")
            low, bottom, high, top = thin.bounds if not thin.is_empty else (0.0, 0.0, 0.0, 0.0)
            edges = np.linspace(low, high, max(2, int((high - low) / SLICE_MM) + 2))
            for west, east in itertools.pairwise(edges.tolist()):
                part = shapely.clip_by_rect(thin, west, bottom - 1, east, top + 1)
                if not part.is_empty:
                    pieces.append(part)
                    nodes.append(geometry.topology.nodes.index(rail.node))
        self.nodes = np.array(nodes)
        self.tree = shapely.STRtree(pieces)

    def hit(self, poses: Poses, along: float, narrower: float) -> Hits:
        """By rectangles so long and so much narrower."""
        corners = poses.corners(along, narrower)
        wide = poses.zones[:, 1] - poses.zones[:, 0] > 2 * narrower
        found = np.zeros((2, len(poses.rails), len(poses.stations)), dtype=bool)
        rectangles, pieces = self.tree.query(shapely.polygons(corners.reshape(-1, 4, 2)), predicate="intersects")
        zone, pose = np.divmod(rectangles, len(poses.stations))
        kept = wide[zone]
        found[zone[kept] // 2, self.nodes[pieces[kept]], pose[kept]] = True
        return found


@lru_cache(maxsize=8)
def _shaved(geometry: Geometry, travel: float, by: float) -> Shaved:
    return Shaved(geometry, travel, by)


def overlapping(poses: Poses, along: float, across: float) -> Hits:
    """The rails touched by wheels with a longer contact, that may overlap by 2 ``across`` less than the give.

    Both negative: the rails that are surely touched. Both positive: those that may be.
    """
    by = GIVE_MM / 2 - across
    # The thinner rail ends that much before the rail's own end.
    longer = along + GIVE_MM / 2 if along > 0 else along
    return _shaved(poses.geometry, poses.travel, by).hit(poses, poses.half_mm + longer, by)

"""Frogs, and which rail each must match on a track: read off the metal, by the wheel that runs over it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sim.bench.piece import Side
from sim.track.geometry import Band, Geometry
from sim.track.lines import Floats

__all__ = ["Frog", "frogs"]

_ON_LINE_MM = 0.02  # an edge so near to a gauge line is a running edge; curved rails are drawn to 0.001 mm


@dataclass(frozen=True, eq=False)
class Frog:
    """A frog of metal. ``section``: its name inside the piece, "frog"."""

    geometry: Geometry
    section: str

    def must_match(self, index: int) -> Side | None:
        """The rail, left or right as seen from the track's first end, whose polarity it must have on that track.

        On its metal lies a stretch of the gauge line along which one of the two wheels is led: that wheel comes from
        the rail of its side and goes on to it. None for a track that does not lead over this frog.
        """
        return _must_match(self.geometry, self.section, index)


def frogs(geometry: Geometry) -> tuple[Frog, ...]:
    """The frogs of a piece; one of plastic is none."""
    return tuple(Frog(geometry, section) for section in geometry.topology.frogs)


@lru_cache(maxsize=1024)
def _must_match(geometry: Geometry, section: str, index: int) -> Side | None:
    track = geometry.tracks[index]
    bands = [band for band in geometry.bands(index, track.travel) if band.node == section]
    half = geometry.gauge_mm / 2
    left = sum(_along(band, band.lo, half, track.length_mm) for band in bands)
    right = sum(_along(band, band.hi, -half, track.length_mm) for band in bands)
    if left == right:
        return None
    return "left" if left > right else "right"


def _along(band: Band, edge: Floats, line: float, length_mm: float) -> float:
    """How much of the track, mm, has an edge of the band on that gauge line."""
    on = np.abs(edge - line) <= _ON_LINE_MM
    s = np.clip(band.s, 0.0, length_mm)
    return float(np.sum(np.diff(s)[on[:-1] & on[1:]]))

"""Moving along the track: places on it, steps through joints, and how far there is to go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sim.track.layout import Layout

__all__ = ["BEYOND_END_MM", "Spot", "advance", "distance_to_stop", "spot_at"]

BEYOND_END_MM = 400.0
"""How far the rail runs on past an open end, to an invisible stop; our choice."""


@dataclass(frozen=True)
class Spot:
    """A place on the track, and which way something there looks.

    ``s_mm``: along the path from its first end; outside the path where its rail runs on past an open end.
    ``forward``: it looks towards the path's last end.
    """

    piece: str
    path: int
    s_mm: float
    forward: bool


def advance(layout: Layout, spot: Spot, ds: float, settings: Mapping[str, float]) -> Spot:
    """The spot ``ds`` mm ahead, the way it looks; negative: behind. It goes through joints and stops at stops.

    ``settings``: blade travel by set of points, 0 (also for those left out) to 1; where paths part, they decide.
    """
    moved, _ = _moved(layout, spot, ds, settings)
    return moved


def distance_to_stop(
    layout: Layout, spot: Spot, settings: Mapping[str, float], limit_mm: float, *, backward: bool = False
) -> float:
    """How far ahead (or behind) of the spot the next stop is, mm; at most ``limit_mm``."""
    _, gone = _moved(layout, spot, -limit_mm if backward else limit_mm, settings)
    return gone


def spot_at(layout: Layout, end: str, mm: float, settings: Mapping[str, float] | None = None) -> Spot:
    """The spot ``mm`` inwards from an end ("T1.toe"), looking towards that end.

    Further in than the piece is long it lies on the next. ``settings``: blade travel by set of points, 0 where left
    out. Measured from a buffer stop it lies on the piece joined to it. Raises ValueError where there is no track to
    stand on, KeyError for an unknown end.
    """
    piece, _, name = end.rpartition(".")
    travel = settings or {}
    if name not in layout.geometry(piece).end_poses:
        raise KeyError(end)
    entry = layout.entered(piece, name, travel)
    if entry is None:
        met = layout.neighbour(piece, name)
        entry = None if met is None else layout.entered(*met, travel)
        if met is None or entry is None:  # open, or another buffer stop
            raise ValueError(f"{end} has no track to stand on")
        piece = met[0]
    index, run = entry
    length = layout.geometry(piece).tracks[index].length_mm
    start = Spot(piece, index, 0.0 if run > 0 else length, run < 0)
    return advance(layout, start, -mm, travel)


def _moved(layout: Layout, spot: Spot, ds: float, settings: Mapping[str, float]) -> tuple[Spot, float]:
    """The spot moved, and how far it got."""
    piece, index, s = spot.piece, spot.path, spot.s_mm
    looks = 1 if spot.forward else -1
    ahead = ds >= 0
    step = looks if ahead else -looks
    left = abs(ds)
    while True:
        path = layout.geometry(piece).tracks[index]
        room = path.length_mm - s if step > 0 else s
        if left <= room:
            return Spot(piece, index, s + step * left, looks > 0), abs(ds)
        end = path.ends[1] if step > 0 else path.ends[0]
        met = layout.neighbour(piece, end)
        entry = None if met is None else layout.entered(*met, settings)
        if met is None or entry is None:
            # An open end runs on for a while; at a buffer stop nothing goes on.
            room = room + BEYOND_END_MM if met is None else max(room, 0.0)
            gone = min(left, max(room, 0.0))
            return Spot(piece, index, s + step * gone, looks > 0), abs(ds) - (left - gone)
        left -= room
        piece = met[0]
        index, step = entry
        s = 0.0 if step > 0 else layout.geometry(piece).tracks[index].length_mm
        looks = step if ahead else -step

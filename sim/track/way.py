"""The ways that a train can take over a piece of track and on over whatever is joined to both its ends."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from sim.track.contact import contacts
from sim.track.geometry import Geometry, Stand
from sim.track.layout import Layout
from sim.track.wheels import Wheel

__all__ = ["MOST_WAYS", "Leg", "Outline", "Shape", "WayTouch", "changing", "facing", "over", "ways"]

MOST_WAYS = 64
"""So many ways over a piece are looked at, in the file's order (model.md section 5)."""


class Leg(NamedTuple):
    """A track of a piece on a way. A station of the way is ``origin`` + ``direction`` (1 or -1) x the track's own."""

    piece: str
    track: int
    direction: int
    origin: float


@dataclass(frozen=True)
class Outline:
    """One way: the legs that it takes, that over the piece in question first; buffer stops' stations, or None."""

    legs: tuple[Leg, ...]
    stop_before: float | None
    stop_after: float | None


class Shape(NamedTuple):
    """What of a leg decides where wheels touch: two alike, whatever their names, give the same contacts.

    ``slot``: number of the leg's piece among those of its way; ``runs_on``: whether the rails of its first and of its
    last end are taken to go on for ever; ``travel``: of its blades.
    """

    geometry: Geometry
    slot: int
    track: int
    direction: int
    origin: float
    runs_on: tuple[bool, bool]
    travel: Stand


class WayTouch(NamedTuple):
    """Axle stations from which to which the wheel of a side (0 left, 1 right) touches a rail of a leg."""

    leg: int
    node: str
    side: int
    from_mm: float
    to_mm: float


def _onward(
    layout: Layout, piece: str, end: str, start: float, outward: int, reach: float
) -> Iterator[tuple[tuple[Leg, ...], float | None]]:
    """Every way on from an end, as its legs and the station of a buffer stop; ``start``: station of the end."""
    met = layout.neighbour(piece, end)
    if met is None:
        yield (), None
        return
    name, its_end = met
    tracks = layout.tracks_from(name, its_end)
    if not tracks:  # a buffer stop
        yield (), start
        return
    if reach <= 0:
        yield (), None
        return
    for index, run in tracks:
        path = layout.geometry(name).tracks[index]
        origin = start if run > 0 else start + outward * path.length_mm
        leg = Leg(name, index, outward * run, origin)
        far = path.ends[1 if run > 0 else 0]
        further = _onward(layout, name, far, start + outward * path.length_mm, outward, reach - path.length_mm)
        for legs, stop in further:
            yield (leg, *legs), stop


def ways(layout: Layout, piece: str, track: int, reach_mm: float) -> tuple[tuple[Outline, ...], bool]:
    """Every way over a track of a piece and ``reach_mm`` on beyond both its ends, and whether there are more yet."""
    path = layout.geometry(piece).tracks[track]
    first = Leg(piece, track, 1, 0.0)
    most = MOST_WAYS + 1
    before = list(itertools.islice(_onward(layout, piece, path.ends[0], 0.0, -1, reach_mm), most))
    after = list(itertools.islice(_onward(layout, piece, path.ends[1], path.length_mm, 1, reach_mm), most))
    found = [
        Outline((first, *legs_before, *legs_after), stop_before, stop_after)
        for legs_before, stop_before in before
        for legs_after, stop_after in after
    ]
    return tuple(found[:MOST_WAYS]), len(found) > MOST_WAYS


@lru_cache(maxsize=4096)
def over(shapes: tuple[Shape, ...], wheel: Wheel, shift_mm: float) -> tuple[WayTouch, ...]:
    """Where a wheelset touches the rails of a way; ``shift_mm``: pressed so far to the left of the first leg's way."""
    found = []
    for number, shape in enumerate(shapes):
        table = contacts(shape.geometry, shape.track, wheel, shift_mm * shape.direction, shape.travel)
        sides = (0, 1) if shape.direction > 0 else (1, 0)
        for side, touches in zip(sides, (table.left, table.right), strict=True):
            for touch in touches:
                low = -float("inf") if touch.at_first and shape.runs_on[0] else touch.from_mm
                high = float("inf") if touch.at_last and shape.runs_on[1] else touch.to_mm
                a, b = shape.origin + shape.direction * low, shape.origin + shape.direction * high
                found.append(WayTouch(number, touch.node, side, min(a, b), max(a, b)))
    return tuple(found)


@lru_cache(maxsize=1024)
def changing(geometry: Geometry, wheel: Wheel) -> frozenset[str]:
    """Rails on which a left wheel runs on one track, and a right wheel on another: frogs."""
    sides: dict[str, set[str]] = {}
    for track, path in enumerate(geometry.tracks):
        table = contacts(geometry, track, wheel, 0.0, path.travel)
        for side, touches in (("left", table.left), ("right", table.right)):
            for touch in touches:
                sides.setdefault(touch.node, set()).add(side)
    return frozenset(node for node, found in sides.items() if len(found) > 1)


@lru_cache(maxsize=1024)
def facing(geometry: Geometry, track: int) -> frozenset[tuple[str, str]]:
    """Rails that face each other across a track that is open: (left, right) at the same station."""
    path = geometry.tracks[track]
    table = contacts(geometry, track, _running_wheel(geometry), 0.0, path.travel)
    return frozenset(
        (one.node, other.node)
        for one in table.left
        for other in table.right
        if max(one.from_mm, other.from_mm, 0.0) < min(one.to_mm, other.to_mm, table.length_mm)
    )


def _running_wheel(geometry: Geometry) -> Wheel:
    """A wheel that stands on running rails alone: a thin flange, and a tread of half a rail's head."""
    flange = 0.02 * geometry.gauge_mm
    return Wheel(geometry.gauge_mm - 2 * flange, flange, flange + geometry.head_mm / 2, geometry.gauge_mm / 3)

"""The ways over a piece and on from it, and which rails are under each wheel at places along one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Vehicle
from sim.track.contact import contacts
from sim.track.layout import Layout
from sim.track.wheels import wheel

__all__ = ["STEP_MM", "Leg", "Pattern", "Places", "Stood", "onward", "places_along"]

Rails = frozenset[str]
Pattern = tuple[tuple[tuple[Rails, Rails], ...], ...]
"""Of each vehicle, of each axle: the rails under its left and right wheel."""
Places = tuple[tuple[float, ...], ...]
"""Of each vehicle, how far each axle is behind the first of all, in mm."""

STEP_MM = 0.5
_NEAR = 1e-6
_CLOSED = 1e-7


class Leg(NamedTuple):
    """A track on a way: station on the way = origin + sign x station on the track."""

    piece: str
    track: int
    sign: int
    origin: float


class Stood(NamedTuple):
    """What stands on what at a place, and the legs that are under wheels there, by number."""

    pattern: Pattern
    legs: frozenset[int]


def onward(
    layout: Layout, piece: str, end: str, at: float, outward: int, reach: float
) -> list[tuple[list[Leg], float]]:
    """Ways on from an end: their legs, and where a buffer stop stands (else infinitely far)."""
    met = layout.neighbour(piece, end)
    if met is None:
        return [([], math.inf * outward)]
    name, entry = met
    paths = layout.geometry(name).tracks
    if not paths:
        return [([], at)]
    if reach < 0:
        return [([], math.inf * outward)]
    found = []
    for k, path in enumerate(paths):
        for first in (True, False):
            if path.ends[0 if first else 1] != entry:
                continue
            far = at + outward * path.length_mm
            sign = outward if first else -outward
            leg = Leg(name, k, sign, at if first else far)
            beyond = onward(layout, name, path.ends[1 if first else 0], far, outward, reach - path.length_mm)
            found += [([leg, *legs], stop) for legs, stop in beyond]
    return found


def places_along(
    layout: Layout, legs: Sequence[Leg], vehicles: Sequence[Vehicle], places: Places, sign: int, shift: float,
    span: tuple[float, float],
) -> tuple[list[Stood], list[int]]:  # fmt: skip
    """All that stands on what from one end of a span to the other, each once, and of each place in turn its number."""
    touches = [_touches(layout, legs, vehicle, shift) for vehicle in vehicles]
    offsets = [(k, sign * place) for k, axles in enumerate(places) for place in axles]
    edges = [np.arange(*span, STEP_MM), np.array(span)]
    for k, offset in offsets:
        some = np.array([edge for _, _, _, low, high in touches[k] for edge in (low, high)]) + offset
        edges += [some, some - _NEAR, some + _NEAR]
    at = np.concatenate(edges)
    at = np.unique(at[(at >= span[0]) & (at <= span[1])])
    rows: list[NDArray[np.bool_]] = []
    keys: list[tuple[int, int, int, str, int]] = []  # vehicle, axle, side, rail, leg
    for k, axles in enumerate(places):
        for number, place in enumerate(axles):
            here = at - sign * place
            for side, rail, leg, low, high in touches[k]:
                rows.append((here >= low - _CLOSED) & (here <= high + _CLOSED))
                mine = side if sign > 0 else 1 - side
                keys.append((k, number, mine, rail, leg))
    table = np.array(rows).T
    kinds: list[Stood] = []
    known: dict[bytes, int] = {}
    where: list[int] = []
    for row in np.packbits(table, axis=1):
        key = row.tobytes()
        if key not in known:
            known[key] = len(kinds)
            kinds.append(_stood(np.flatnonzero(np.unpackbits(row)).tolist(), keys, places))
        where.append(known[key])
    return kinds, where


def _touches(
    layout: Layout, legs: Sequence[Leg], vehicle: Vehicle, shift: float
) -> list[tuple[int, str, int, float, float]]:
    """(side, rail, leg, from, to) on the way, sides as one looks along the way."""
    found = []
    for number, leg in enumerate(legs):
        geometry = layout.geometry(leg.piece)
        path = geometry.tracks[leg.track]
        blades = path.travel
        size = wheel(vehicle.wheel, layout.scale(legs[0].piece))
        table = contacts(geometry, leg.track, size, shift * leg.sign, blades)
        goes_on = []
        for end in path.ends:
            met = layout.neighbour(leg.piece, end)
            goes_on.append(met is None or not layout.geometry(met[0]).tracks)
        for side, some in enumerate((table.left, table.right)):
            for touch in some:
                low = -1e6 if touch.at_first and goes_on[0] else touch.from_mm
                high = 1e6 if touch.at_last and goes_on[1] else touch.to_mm
                ends = sorted((leg.origin + leg.sign * low, leg.origin + leg.sign * high))
                rail = f"{leg.piece}.{touch.node}"
                found.append((side if leg.sign > 0 else 1 - side, rail, number, ends[0], ends[1]))
    return found


def _stood(true: Sequence[int], keys: Sequence[tuple[int, int, int, str, int]], places: Places) -> Stood:
    under: list[list[tuple[set[str], set[str]]]] = [[(set(), set()) for _ in axles] for axles in places]
    legs: set[int] = set()
    for k in true:
        vehicle, axle, side, rail, leg = keys[k]
        under[vehicle][axle][side].add(rail)
        legs.add(leg)
    pattern = tuple(tuple((frozenset(a), frozenset(b)) for a, b in axles) for axles in under)
    return Stood(pattern, frozenset(legs))

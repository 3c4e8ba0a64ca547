"""What wheelsets stand on along a way, and how the wheels of an item run along it: the cells of a run."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.electric.circuit import TooMuch
from sim.proof.sweep import Direction, Item, Need
from sim.track.way import Shape, over
from sim.track.wheels import Wheel, play_mm
from sim.wiring.wheels import collects

__all__ = ["Cells", "ShapedWay", "Sweeper", "cells_of", "has_points"]

Ints = NDArray[np.intp]

_CLOSED = 1e-7  # mm: the ends of a contact belong to it
_MOST_CELLS = 40_000_000  # places x axles of one item on one way


class ShapedWay(NamedTuple):
    """A way by its shape, and the stations of buffer stops."""

    shapes: tuple[Shape, ...]
    stop_before: float | None
    stop_after: float | None


def has_points(shape: Shape) -> bool:
    return bool(shape.geometry.tracks[shape.track].needs)


def _is_plain(shape: Shape) -> bool:
    return len(shape.geometry.tracks) == 1 and not shape.geometry.topology.blades


class Cells(NamedTuple):
    """Of one item on one way: places and stretches between them, one after the other, for every way it is pressed.

    states: (states, axles) what each axle stands on, by the sweeper's numbers
    """

    from_mm: NDArray[np.float64]
    to_mm: NDArray[np.float64]
    shift: NDArray[np.intp]
    need: NDArray[np.intp]
    stretch: NDArray[np.intp]
    state: NDArray[np.intp]
    states: NDArray[np.intp]


class _Footing(NamedTuple):
    """What a wheelset stands on along a way: edges of the stretches, and of each its number and the legs it is on.

    bounds: places where a contact begins or ends
    """

    edges: NDArray[np.float64]
    feet: NDArray[np.intp]
    legs: NDArray[np.bool_]
    bounds: NDArray[np.float64]


class Sweeper:
    """Puts together a sweep.

    column: rails by number. foot: what an axle can stand on, (side, column) pairs, by number
    """

    def __init__(self, items: tuple[Item, ...], gauge_mm: float) -> None:
        self.items = items
        self.gauge_mm = gauge_mm
        self.column: dict[tuple[int, str], int] = {}
        self.need: dict[tuple[Need, ...], int] = {}
        self.foot: dict[frozenset[tuple[int, int]], int] = {}
        self._feet: list[frozenset[tuple[int, int]]] = []
        self._footings: dict[tuple[ShapedWay, Wheel, float], _Footing] = {}
        self.work = 0
        self._seen: dict[tuple[int, int, bool, bool], int] = {}

    def number(self, foot: frozenset[tuple[int, int]]) -> int:
        """The number of what an axle stands on."""
        if foot not in self.foot:
            self.foot[foot] = len(self._feet)
            self._feet.append(foot)
        return self.foot[foot]

    def footing(self, way: ShapedWay, size: Wheel, shift: float) -> _Footing:
        """What a wheelset stands on along a way, pressed so far to the left."""
        key = (way, size, shift)
        if key not in self._footings:
            touches = over(way.shapes, size, shift)
            columns = [
                self.column.setdefault((way.shapes[touch.leg].slot, touch.node), len(self.column)) for touch in touches
            ]
            lo = np.array([touch.from_mm for touch in touches]) - _CLOSED
            hi = np.array([touch.to_mm for touch in touches]) + _CLOSED
            edges = np.concatenate([lo, hi])
            edges = np.unique(edges[np.isfinite(edges)])
            middles = np.concatenate([[-np.inf], (edges[:-1] + edges[1:]) / 2, [np.inf]]) if len(edges) else np.zeros(1)
            inside = (middles[:, None] >= lo) & (middles[:, None] <= hi)
            legs = np.zeros((len(middles), len(way.shapes)), dtype=bool)
            for k, touch in enumerate(touches):
                legs[:, touch.leg] |= inside[:, k]
            sides = [touch.side for touch in touches]
            feet = [
                self.number(frozenset((sides[k], columns[k]) for k in np.flatnonzero(row).tolist())) for row in inside
            ]
            bounds = np.concatenate([lo + _CLOSED, hi - _CLOSED])
            self._footings[key] = _Footing(edges, np.array(feet, dtype=np.intp), legs, bounds[np.isfinite(bounds)])
        return self._footings[key]

    def seen(self, feet: NDArray[np.intp], sign: int, collecting: tuple[bool, bool]) -> NDArray[np.intp]:
        """The same as a vehicle that runs that way has it: its own left, and only what can carry a current.

        A wheel that does not collect and stands on one rail alone carries none.
        """
        out = np.empty(len(feet), dtype=np.intp)
        for k, foot in enumerate(feet.tolist()):
            key = (foot, sign, *collecting)
            if key not in self._seen:
                own = frozenset((side if sign > 0 else 1 - side, column) for side, column in self._feet[foot])
                dull = [
                    side for side in (0, 1) if not collecting[side] and sum(one == side for one, _ in own) < 2
                ]
                self._seen[key] = self.number(frozenset(pair for pair in own if pair[0] not in dull))
            out[k] = self._seen[key]
        return out

    def table(self) -> NDArray[np.bool_]:
        """(numbers, 2, columns) bool: what each number means."""
        table = np.zeros((len(self._feet), 2, len(self.column)), dtype=bool)
        for k, foot in enumerate(self._feet):
            for side, column in foot:
                table[k, side, column] = True
        return table


def _span(way: ShapedWay, length: float, reach: float, sign: int) -> tuple[float, float]:
    """From where to where the leading axle runs: from wholly before the piece to wholly beyond it, or to a stop."""
    if sign > 0:
        low, high = -1.0, length + reach + 1.0
        low = low if way.stop_before is None else max(low, way.stop_before + reach)
        high = high if way.stop_after is None else min(high, way.stop_after)
    else:
        low, high = -reach - 1.0, length + 1.0
        low = low if way.stop_before is None else max(low, way.stop_before)
        high = high if way.stop_after is None else min(high, way.stop_after - reach)
    return low, high


_Pressed = tuple[
    NDArray[np.float64], NDArray[np.float64], Ints, Ints, Ints, Ints
]  # fmt: skip


def _places(edges: Sequence[NDArray[np.float64]], low: float, high: float) -> NDArray[np.float64]:
    """Every place where something changes, low and high among them; sorted, (places,)."""
    places = np.concatenate([*edges])
    places = places[(places > low) & (places < high)]
    places = np.unique(np.concatenate([places, [low, high]]))
    keep = np.concatenate([[True], np.diff(places) > _CLOSED])
    return np.asarray(places[keep], dtype=np.float64)


def cells_of(
    maker: Sweeper, way: ShapedWay, item: Item, wheels: tuple[Wheel, ...], direction: Direction, against: bool
) -> Cells | None:
    sign = 1 if direction == "forward" else -1
    first = way.shapes[0]
    length = first.geometry.tracks[first.track].length_mm
    low, high = _span(way, length, item.reach, sign)
    if low > high:
        return None
    play = min(play_mm(maker.gauge_mm, size) for size in wheels)
    shifts = (play, 0.0, -play) if play > 0 else (0.0,)
    parts = []
    for number, shift in enumerate(shifts):
        parts.append(_pressed(maker, way, item, wheels, shift, number, (low, high), sign, against))
    from_mm, to_mm = (np.concatenate([part[k] for part in parts]) for k in (0, 1))
    shift_of, need, stretch = (np.concatenate([part[k] for part in parts]) for k in (2, 3, 4))
    stretch += shift_of * (1 + stretch.max())
    axles = np.concatenate([part[5] for part in parts])
    keys = np.ascontiguousarray(axles).view(np.dtype((np.void, axles.shape[1] * axles.itemsize))).ravel()
    _, where, state = np.unique(keys, return_index=True, return_inverse=True)
    return Cells(from_mm, to_mm, shift_of, need, stretch, state.astype(np.intp), axles[where])


def _pressed(
    maker: Sweeper, way: ShapedWay, item: Item, wheels: tuple[Wheel, ...], shift: float, number: int,
    span: tuple[float, float], sign: int, against: bool,
) -> _Pressed:  # fmt: skip
    low, high = span
    footings = [maker.footing(way, size, shift) for size in wheels]
    edges = [
        (footing.bounds[:, None] + sign * np.array(places)[None, :]).ravel()
        for footing, places in zip(footings, item.places, strict=True)
    ]
    places_at = _places(edges, low, high)
    count = len(places_at)
    at = np.empty(2 * count - 1)
    at[0::2] = places_at
    at[1::2] = (places_at[:-1] + places_at[1:]) / 2
    start, end = at.copy(), at.copy()
    start[1::2], end[1::2] = places_at[:-1], places_at[1:]
    axles = sum(len(places) for places in item.places)
    maker.work += len(at) * axles
    if max(len(at) * axles, maker.work / 4) > _MOST_CELLS:
        raise TooMuch(f"{item.name}: {axles} axles over {len(way.shapes)} pieces of track are too much to test")
    stands = np.empty((len(at), axles), dtype=np.intp)
    legs = np.zeros((len(at), len(way.shapes)), dtype=bool)
    column = 0
    for footing, places, vehicle in zip(footings, item.places, item.vehicles, strict=True):
        collecting = collects(vehicle)
        pairs = [(bool(left), bool(right)) for left, right in collecting]
        seen = {pair: maker.seen(footing.feet, sign, pair) for pair in set(pairs)}
        for pair, place in zip(pairs, places, strict=True):
            stretch = np.searchsorted(footing.edges, at - sign * place)
            stands[:, column] = seen[pair][stretch]
            legs |= footing.legs[stretch]
            column += 1
    need, stretch = _needed(maker, way, legs, against)
    return start, end, np.full(len(at), number, dtype=np.intp), need, stretch, stands


def _needed(maker: Sweeper, way: ShapedWay, legs: NDArray[np.bool_], against: bool) -> tuple[Ints, Ints]:
    """Which set of needs holds in each cell, and the stretch that it is in.

    Points keep their setting from one place where every wheel stands on one plain piece to the next.
    """
    shapes = way.shapes
    plain = np.array([_is_plain(shape) for shape in shapes])
    pointed = np.array([has_points(shape) for shape in shapes])
    free = (legs.sum(axis=1) <= 1) & ~(legs & ~plain).any(axis=1)
    want = legs & pointed
    stretch = np.concatenate([[0], np.cumsum(free[1:] | free[:-1])]).astype(np.intp)
    out = np.empty(len(legs), dtype=np.intp)
    each = [Need(shape.slot, shape.track, against and k == 0) for k, shape in enumerate(shapes)]

    def number(members: NDArray[np.intp]) -> int:
        key = tuple(sorted({each[k] for k in members.tolist()}))
        return maker.need.setdefault(key, len(maker.need))

    for begin, rows in _stretches(stretch):
        union = want[begin : begin + rows].any(axis=0)
        members = np.flatnonzero(union)
        by_slot: dict[int, set[int]] = {}
        for k in members.tolist():
            by_slot.setdefault(shapes[k].slot, set()).add(shapes[k].track)
        if all(len(found) == 1 for found in by_slot.values()):
            out[begin : begin + rows] = number(members)
            continue
        # The run comes to one piece twice, on two of its tracks: its points stand as they are needed there and then.
        twice = np.array([len(by_slot.get(shape.slot, ())) > 1 for shape in shapes])
        steady = members[~twice[members]]
        last = np.zeros(0, dtype=np.intp)
        for row in range(begin, begin + rows):
            here = np.flatnonzero(want[row] & twice)
            last = here if len(here) else last
            out[row] = number(np.concatenate([steady, last]))
    return out, stretch


def _stretches(stretch: NDArray[np.intp]) -> list[tuple[int, int]]:
    starts = np.flatnonzero(np.concatenate([[True], np.diff(stretch) != 0]))
    ends = np.concatenate([starts[1:], [len(stretch)]])
    return [(int(start), int(end - start)) for start, end in zip(starts, ends, strict=True)]

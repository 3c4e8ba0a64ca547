"""All runs over one piece of track: the distinct ways in which wheels join its rails, and the places where they do.

Tens of thousands of positions come down to some dozen circuits. They depend on shape alone, with pieces numbered
instead of named, so that pieces which lie alike share them, and any change of wiring is judged with the same ones.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Vehicle
from sim.track.layout import Layout
from sim.track.way import Outline, Shape, WayTouch, over, ways
from sim.track.wheels import Wheel, play_mm, wheel
from sim.wiring.wheels import collects, stamps

__all__ = ["Direction", "Item", "Need", "Run", "Sweep", "TooMuch", "swept"]

Direction = Literal["forward", "backward"]
DIRECTIONS: tuple[Direction, ...] = ("forward", "backward")

_CLOSED = 1e-7  # mm: the ends of a contact belong to it
_REACH_MM = 5.0  # rail beyond the last wheel that is looked at
_MOST_WORK = 3_000_000_000  # cells x axles x rails of one item's runs over one piece
_AT_ONCE = 40_000_000  # cells x axles x touches looked at together


class TooMuch(ValueError):
    """A bench that would take too long to test, or more memory than a test may have."""


@dataclass(frozen=True)
class Item:
    """What is run over the track: one vehicle, or a whole train. ``places``: mm of each vehicle's axles, from the
    leading axle of all."""

    name: str
    vehicles: tuple[Vehicle, ...]
    places: tuple[tuple[float, ...], ...]

    @property
    def reach(self) -> float:
        """From its first axle to its last, mm."""
        return self.places[-1][-1]


class Need(NamedTuple):
    """A piece, by its slot, that must have its points set for a track; ``against``: set the other way about."""

    slot: int
    track: int
    against: bool


@dataclass(frozen=True, eq=False)
class Run:
    """One item on one way over one track in one direction.

    track, way, item: their numbers; against: the piece's own points are set against the track
    from_mm, to_mm: (cells,) leading axle along the track from its first end; shift: (cells,) number of the way that it
    is pressed; state, situation: (cells,) index into `touches`, and into the sweep's situations; turned: (cells,)
    whether its pick-up rails are exchanged in the situation's circuit
    touches: (states, axles, 2, columns) bool; the sides are the vehicle's own, left first
    """

    track: int
    way: int
    item: int
    direction: Direction
    against: bool
    from_mm: NDArray[np.float64]
    to_mm: NDArray[np.float64]
    shift: NDArray[np.intp]
    state: NDArray[np.intp]
    situation: NDArray[np.intp]
    turned: NDArray[np.bool_]
    touches: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Sweep:
    """All runs over a piece.

    columns: rails that are touched, as (slot, rail's node inside the piece); slot 0 is the piece itself
    items: what is run; trailers: how many pick-up rails each circuit has, two for each vehicle of the longest item
    stamp: (circuits, columns + trailers, ..) siemens; the pick-up rails come last, vehicle by vehicle, left first
    of_item: (circuits,) whose it is
    needs: sets of points that are under a run, each a tuple of `Need`
    situations: (situations, 2) a circuit, and which of `needs` it meets
    touched: for each of `needs` the columns that are touched anywhere with it
    more_ways: tracks over which there are more ways than are looked at
    """

    columns: tuple[tuple[int, str], ...]
    items: tuple[Item, ...]
    trailers: int
    runs: tuple[Run, ...]
    stamp: NDArray[np.float64]
    of_item: NDArray[np.intp]
    needs: tuple[tuple[Need, ...], ...]
    situations: NDArray[np.intp]
    touched: tuple[tuple[int, ...], ...]


class _Way(NamedTuple):
    """A way by its shape; ``needs``: of its legs, whether each has points that must be set; ``plain``: none at all."""

    shapes: tuple[Shape, ...]
    stop_before: float | None
    stop_after: float | None


def swept(layout: Layout, piece: str, items: tuple[Item, ...]) -> tuple[Sweep | None, tuple[str, ...], tuple[int, ...]]:
    """All runs of these items over a piece.

    Returns the sweep (None where no run finds room), the pieces by their slots, and the tracks over which there are
    more ways than are looked at.
    """
    geometry = layout.geometry(piece)
    reach = max(item.reach for item in items) + _REACH_MM
    slots: dict[str, int] = {piece: 0}
    tracks: list[tuple[_Way, ...]] = []
    more: list[int] = []
    for index in range(len(geometry.paths)):
        outlines, cut = ways(layout, piece, index, reach)
        if cut:
            more.append(index)
        tracks.append(tuple(_shaped(layout, outline, slots) for outline in outlines))
    gauge = layout.scale(piece)
    wheels = tuple(tuple(wheel(vehicle.wheel, gauge) for vehicle in item.vehicles) for item in items)
    return _swept(tuple(tracks), items, wheels, gauge.gauge_mm), tuple(slots), tuple(more)


def _shaped(layout: Layout, outline: Outline, slots: dict[str, int]) -> _Way:
    shapes = []
    for leg in outline.legs:
        geometry = layout.geometry(leg.piece)
        path = geometry.paths[leg.track]
        first, last = (_runs_on(layout, leg.piece, end) for end in path.ends)
        shapes.append(
            Shape(
                geometry,
                slots.setdefault(leg.piece, len(slots)),
                leg.track,
                leg.direction,
                round(leg.origin, 9),
                (first, last),
                geometry.travel_of(path.setting),
            )
        )
    return _Way(tuple(shapes), outline.stop_before, outline.stop_after)


def _runs_on(layout: Layout, piece: str, end: str) -> bool:
    """Whether an end's rails are taken to go on for ever: it is open, or a buffer stop stands there."""
    met = layout.neighbour(piece, end)
    return met is None or not layout.tracks_from(*met)


def _against(way: _Way) -> _Way:
    """The same with the piece's own points set the other way about."""
    first = way.shapes[0]
    return way._replace(shapes=(first._replace(travel=1.0 - first.travel), *way.shapes[1:]))


def _has_points(shape: Shape) -> bool:
    return shape.geometry.paths[shape.track].setting is not None


def _is_plain(shape: Shape) -> bool:
    return len(shape.geometry.paths) == 1 and not shape.geometry.topology.blades


class _Cells(NamedTuple):
    """Of one item on one way: places and stretches between them, one after the other, for every way it is pressed."""

    from_mm: NDArray[np.float64]
    to_mm: NDArray[np.float64]
    shift: NDArray[np.intp]
    need: NDArray[np.intp]
    state: NDArray[np.intp]
    touches: NDArray[np.bool_]


_Found = tuple[int, int, int, Direction, bool, _Cells]


class _Sweeper:
    """Puts together a sweep."""

    def __init__(self, items: tuple[Item, ...], gauge_mm: float) -> None:
        self.items = items
        self.gauge_mm = gauge_mm
        self.column: dict[tuple[int, str], int] = {}
        self.need: dict[tuple[Need, ...], int] = {}

    def columns_of(self, way: _Way, touches: Sequence[WayTouch]) -> NDArray[np.intp]:
        """The column of each touch."""
        keys = ((way.shapes[touch.leg].slot, touch.node) for touch in touches)
        return np.array([self.column.setdefault(key, len(self.column)) for key in keys], dtype=np.intp)


def _span(way: _Way, length: float, reach: float, sign: int) -> tuple[float, float]:
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
    NDArray[np.float64], NDArray[np.float64], NDArray[np.intp], NDArray[np.intp], NDArray[np.bool_]
]  # fmt: skip


class _Laid(NamedTuple):
    """Touches of one wheel on one way, pressed one way: (touches,) arrays, and their columns."""

    lo: NDArray[np.float64]
    hi: NDArray[np.float64]
    side: NDArray[np.intp]
    leg: NDArray[np.intp]
    column: NDArray[np.intp]


def _places(edges: Sequence[NDArray[np.float64]], low: float, high: float) -> NDArray[np.float64]:
    """Every place where something changes, low and high among them; sorted, (places,)."""
    places = np.concatenate([*edges])
    places = places[(places > low) & (places < high)]
    places = np.unique(np.concatenate([places, [low, high]]))
    keep = np.concatenate([[True], np.diff(places) > _CLOSED])
    return np.asarray(places[keep], dtype=np.float64)


@lru_cache(maxsize=96)
def _swept(
    tracks: tuple[tuple[_Way, ...], ...], items: tuple[Item, ...], wheels: tuple[tuple[Wheel, ...], ...],
    gauge_mm: float,
) -> Sweep | None:  # fmt: skip
    maker = _Sweeper(items, gauge_mm)
    found: list[_Found] = []
    for track, its_ways in enumerate(tracks):
        for number, way in enumerate(its_ways):
            for against in (False, True) if _has_points(way.shapes[0]) else (False,):
                run_way = _against(way) if against else way
                for index, item in enumerate(items):
                    for direction in DIRECTIONS[1:] if against else DIRECTIONS:
                        cells = _cells(maker, run_way, item, wheels[index], direction, against)
                        if cells is not None:
                            found.append((track, number, index, direction, against, cells))
    if not found:
        return None
    return _joined(maker, found)


def _cells(
    maker: _Sweeper, way: _Way, item: Item, wheels: tuple[Wheel, ...], direction: Direction, against: bool
) -> _Cells | None:
    sign = 1 if direction == "forward" else -1
    first = way.shapes[0]
    length = first.geometry.paths[first.track].length_mm
    low, high = _span(way, length, item.reach, sign)
    if low > high:
        return None
    play = min(play_mm(maker.gauge_mm, size) for size in wheels)
    shifts = (play, 0.0, -play) if play > 0 else (0.0,)
    for size, shift in itertools.product(dict.fromkeys(wheels), shifts):
        maker.columns_of(way, over(way.shapes, size, shift))  # pressed one way a wheel may touch what it else does not
    parts = []
    for number, shift in enumerate(shifts):
        parts.append(_pressed(maker, way, item, wheels, shift, number, (low, high), sign, against))
    from_mm, to_mm = (np.concatenate([part[k] for part in parts]) for k in (0, 1))
    shift_of, need = (np.concatenate([part[k] for part in parts]) for k in (2, 3))
    touched = np.concatenate([part[4] for part in parts])
    flat = np.packbits(touched.reshape(len(touched), -1), axis=1)
    if not flat.shape[1]:  # wheels that fit no rail
        flat = np.zeros((len(touched), 1), dtype=np.uint8)
    keys = np.ascontiguousarray(flat).view(np.dtype((np.void, flat.shape[1]))).ravel()
    _, where, state = np.unique(keys, return_index=True, return_inverse=True)
    return _Cells(from_mm, to_mm, shift_of, need, state.astype(np.intp), touched[where])


def _pressed(
    maker: _Sweeper, way: _Way, item: Item, wheels: tuple[Wheel, ...], shift: float, number: int,
    span: tuple[float, float], sign: int, against: bool,
) -> _Pressed:  # fmt: skip
    low, high = span
    laid: dict[Wheel, _Laid] = {}
    edges = []
    for size, places in zip(wheels, item.places, strict=True):
        if size not in laid:
            touches = over(way.shapes, size, shift)
            side = np.array([touch.side for touch in touches], dtype=np.intp)
            laid[size] = _Laid(
                np.array([touch.from_mm for touch in touches]),
                np.array([touch.to_mm for touch in touches]),
                side if sign > 0 else 1 - side,
                np.array([touch.leg for touch in touches], dtype=np.intp),
                maker.columns_of(way, touches),
            )
        one = laid[size]
        bounds = np.concatenate([one.lo, one.hi])
        bounds = bounds[np.isfinite(bounds)]
        edges.append((bounds[:, None] + sign * np.array(places)[None, :]).ravel())
    places_at = _places(edges, low, high)
    count = len(places_at)
    at = np.empty(2 * count - 1)
    at[0::2] = places_at
    at[1::2] = (places_at[:-1] + places_at[1:]) / 2
    start, end = at.copy(), at.copy()
    start[1::2], end[1::2] = places_at[:-1], places_at[1:]
    columns, axles = len(maker.column), sum(len(places) for places in item.places)
    if len(at) * axles * 2 * columns > _MOST_WORK:
        raise TooMuch(f"{item.name}: {axles} axles over {len(way.shapes)} pieces of track are too much to test")
    touched = np.zeros((len(at), axles, 2 * columns), dtype=bool)
    legs = np.zeros((len(at), len(way.shapes)), dtype=bool)
    begin = 0
    for size, places in zip(wheels, item.places, strict=True):
        one = laid[size]
        offsets = sign * np.array(places)
        gather = np.zeros((len(one.lo), 2 * columns + len(way.shapes)), dtype=np.float32)
        rows = np.arange(len(one.lo))
        gather[rows, one.side * columns + one.column] = 1.0
        gather[rows, 2 * columns + one.leg] = 1.0
        step = max(1, _AT_ONCE // max(1, len(offsets) * len(one.lo)))
        for k in range(0, len(at), step):
            axle_at = at[k : k + step, None] - offsets[None, :]
            inside = (axle_at[:, :, None] >= one.lo - _CLOSED) & (axle_at[:, :, None] <= one.hi + _CLOSED)
            got = inside.astype(np.float32) @ gather > 0
            touched[k : k + step, begin : begin + len(offsets)] = got[:, :, : 2 * columns]
            legs[k : k + step] |= got[:, :, 2 * columns :].any(axis=1)
        begin += len(offsets)
    need = _needed(maker, way, legs, against)
    return start, end, np.full(len(at), number, dtype=np.intp), need, touched.reshape(len(at), axles, 2, columns)


def _needed(maker: _Sweeper, way: _Way, legs: NDArray[np.bool_], against: bool) -> NDArray[np.intp]:
    """Which set of needs holds in each cell.

    Points keep their setting from one place where every wheel stands on one plain piece to the next.
    """
    shapes = way.shapes
    plain = np.array([_is_plain(shape) for shape in shapes])
    pointed = np.array([_has_points(shape) for shape in shapes])
    free = (legs.sum(axis=1) <= 1) & ~(legs & ~plain).any(axis=1)
    want = legs & pointed
    stretch = np.concatenate([[0], np.cumsum(free[1:] | free[:-1])])
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
    return out


def _stretches(stretch: NDArray[np.intp]) -> list[tuple[int, int]]:
    starts = np.flatnonzero(np.concatenate([[True], np.diff(stretch) != 0]))
    ends = np.concatenate([starts[1:], [len(stretch)]])
    return [(int(start), int(end - start)) for start, end in zip(starts, ends, strict=True)]


def _joined(
    maker: _Sweeper, found: list[_Found]
) -> Sweep:
    """All runs with their circuits numbered."""
    columns = len(maker.column)
    trailers = 2 * max(len(item.vehicles) for item in maker.items)
    size = columns + trailers
    number: dict[tuple[int, bytes], int] = {}
    kept: list[NDArray[np.float64]] = []
    of_item: list[int] = []
    pairs: dict[tuple[int, int], int] = {}
    touched: list[NDArray[np.bool_]] = [np.zeros(columns, dtype=bool) for _ in maker.need]
    runs = []
    for track, way, item, direction, against, cells in found:
        touches = cells.touches
        if touches.shape[3] < columns:
            pad = np.zeros((*touches.shape[:3], columns - touches.shape[3]), dtype=bool)
            touches = np.concatenate([touches, pad], axis=3)
        stamp = _stamped(maker.items[item], touches, columns, size)
        lone = len(maker.items[item].vehicles) == 1
        exchange = np.arange(size)
        if lone:
            exchange[[columns, columns + 1]] = columns + 1, columns
        rounded = stamp.round(6) + 0.0  # without -0.0
        exchanged = np.ascontiguousarray(rounded[:, exchange][:, :, exchange]) if lone else rounded
        circuit = np.empty(len(stamp), dtype=np.intp)
        turned = np.zeros(len(stamp), dtype=bool)
        for row in range(len(stamp)):
            same = (item, rounded[row].tobytes())
            mirrored = (item, exchanged[row].tobytes()) if lone else same
            if same not in number and mirrored not in number:
                number[same] = len(kept)
                kept.append(stamp[row])
                of_item.append(item)
            turned[row] = same not in number
            circuit[row] = number[mirrored if turned[row] else same]
        any_touch: NDArray[np.bool_] = np.any(touches, axis=(1, 2))
        situation = np.empty(len(cells.state), dtype=np.intp)
        key = cells.state * len(maker.need) + cells.need
        values, inverse = np.unique(key, return_inverse=True)
        ids = np.empty(len(values), dtype=np.intp)
        for k, value in enumerate(values.tolist()):
            state, need = divmod(value, len(maker.need))
            pair = (int(circuit[state]), need)
            ids[k] = pairs.setdefault(pair, len(pairs))
            touched[need] |= any_touch[state]
        situation = ids[inverse]
        runs.append(
            Run(
                track, way, item, direction, against, cells.from_mm, cells.to_mm, cells.shift, cells.state, situation,
                turned[cells.state], touches,
            )
        )  # fmt: skip
    return Sweep(
        tuple(maker.column),
        maker.items,
        trailers,
        tuple(runs),
        np.array(kept),
        np.array(of_item, dtype=np.intp),
        tuple(maker.need),
        np.array(list(pairs), dtype=np.intp),
        tuple(tuple(np.flatnonzero(each).tolist()) for each in touched),
    )


def _stamped(item: Item, touches: NDArray[np.bool_], columns: int, size: int) -> NDArray[np.float64]:
    """(states, size, size) siemens that an item's wheels add between rails and pick-up rails."""
    stamp = np.zeros((len(touches), size, size))
    begin = 0
    for k, vehicle in enumerate(item.vehicles):
        axles = len(vehicle.axles_mm)
        mine = touches[:, begin : begin + axles]
        padded = np.concatenate([mine, np.zeros((*mine.shape[:3], 2), dtype=bool)], axis=3)
        own, _ = stamps(padded, collects(vehicle), (columns, columns + 1))
        at = np.concatenate([np.arange(columns), [columns + 2 * k, columns + 2 * k + 1]])
        stamp[:, at[:, None], at] += own
        begin += axles
    return stamp


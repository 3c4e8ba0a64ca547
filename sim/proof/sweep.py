"""All runs over one piece of track: the distinct ways in which wheels join its rails, and the places where they do.

Tens of thousands of positions come down to some dozen circuits. They depend on shape alone, with pieces numbered
instead of named, so that pieces which lie alike share them, and any change of wiring is judged with the same ones.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Vehicle
from sim.electric.circuit import TooMuch
from sim.electric.feeds import labels
from sim.track.layout import Layout
from sim.track.way import Outline, Shape, over, ways
from sim.track.wheels import Wheel, play_mm, wheel
from sim.wiring.wheels import collects, stamps

__all__ = ["Direction", "Item", "Need", "Run", "Sweep", "swept"]

Direction = Literal["forward", "backward"]
DIRECTIONS: tuple[Direction, ...] = ("forward", "backward")

_CLOSED = 1e-7  # mm: the ends of a contact belong to it
_REACH_MM = 5.0  # rail beyond the last wheel that is looked at
_MOST_CELLS = 40_000_000  # places x axles of one item on one way
_MOST_NUMBERS = 100_000_000  # in the circuits of one piece


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

    @cached_property
    def size(self) -> int:
        """Bytes that it takes."""
        return int(self.stamp.nbytes + sum(run.touches.nbytes + 7 * run.state.nbytes for run in self.runs))

    def metal(self, circuit: int) -> NDArray[np.intp]:
        """(columns,) for each rail the number of the metal that stands on it, -1 where none does."""
        found = self._metal.get(circuit)
        if found is None:
            columns = len(self.columns)
            joined = self.stamp[circuit] < 0
            np.fill_diagonal(joined, False)
            one, other = np.nonzero(np.triu(joined))
            root = np.array(labels(len(joined), one.tolist(), other.tolist()), dtype=np.intp)
            found = self._metal[circuit] = np.where(joined.any(axis=1), root, -1)[:columns]
        return found

    @cached_property
    def _metal(self) -> dict[int, NDArray[np.intp]]:
        return {}


class _Way(NamedTuple):
    """A way by its shape, and the stations of buffer stops."""

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
    for index in range(len(geometry.tracks)):
        outlines, cut = ways(layout, piece, index, reach)
        if cut:
            more.append(index)
        tracks.append(tuple(_shaped(layout, outline, slots) for outline in outlines))
    gauge = layout.scale(piece)
    wheels = tuple(tuple(wheel(vehicle.wheel, gauge) for vehicle in item.vehicles) for item in items)
    return _remembered(tuple(tracks), items, wheels, gauge.gauge_mm), tuple(slots), tuple(more)


def _shaped(layout: Layout, outline: Outline, slots: dict[str, int]) -> _Way:
    shapes = []
    for leg in outline.legs:
        geometry = layout.geometry(leg.piece)
        path = geometry.tracks[leg.track]
        first, last = (_runs_on(layout, leg.piece, end) for end in path.ends)
        shapes.append(
            Shape(
                geometry,
                slots.setdefault(leg.piece, len(slots)),
                leg.track,
                leg.direction,
                round(leg.origin, 9),
                (first, last),
                geometry.stand(path.travel),
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
    return way._replace(shapes=(first._replace(travel=tuple(1.0 - at for at in first.travel)), *way.shapes[1:]))


def _has_points(shape: Shape) -> bool:
    return bool(shape.geometry.tracks[shape.track].needs)


def _is_plain(shape: Shape) -> bool:
    return len(shape.geometry.tracks) == 1 and not shape.geometry.topology.blades


class _Cells(NamedTuple):
    """Of one item on one way: places and stretches between them, one after the other, for every way it is pressed.

    states: (states, axles) what each axle stands on, by the sweeper's numbers
    """

    from_mm: NDArray[np.float64]
    to_mm: NDArray[np.float64]
    shift: NDArray[np.intp]
    need: NDArray[np.intp]
    state: NDArray[np.intp]
    states: NDArray[np.intp]


_Found = tuple[int, int, int, Direction, bool, _Cells]


class _Sweeper:
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
        self._footings: dict[tuple[_Way, Wheel, float], _Footing] = {}
        self.work = 0
        self._seen: dict[tuple[int, int, bool, bool], int] = {}

    def number(self, foot: frozenset[tuple[int, int]]) -> int:
        """The number of what an axle stands on."""
        if foot not in self.foot:
            self.foot[foot] = len(self._feet)
            self._feet.append(foot)
        return self.foot[foot]

    def footing(self, way: _Way, size: Wheel, shift: float) -> _Footing:
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


class _Footing(NamedTuple):
    """What a wheelset stands on along a way: edges of the stretches, and of each its number and the legs it is on.

    bounds: places where a contact begins or ends
    """

    edges: NDArray[np.float64]
    feet: NDArray[np.intp]
    legs: NDArray[np.bool_]
    bounds: NDArray[np.float64]


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
    NDArray[np.float64], NDArray[np.float64], NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]
]  # fmt: skip


def _places(edges: Sequence[NDArray[np.float64]], low: float, high: float) -> NDArray[np.float64]:
    """Every place where something changes, low and high among them; sorted, (places,)."""
    places = np.concatenate([*edges])
    places = places[(places > low) & (places < high)]
    places = np.unique(np.concatenate([places, [low, high]]))
    keep = np.concatenate([[True], np.diff(places) > _CLOSED])
    return np.asarray(places[keep], dtype=np.float64)


_KEPT: OrderedDict[object, Sweep | None] = OrderedDict()
_MOST_KEPT = 300_000_000  # bytes of all sweeps that are kept


def _remembered(
    tracks: tuple[tuple[_Way, ...], ...], items: tuple[Item, ...], wheels: tuple[tuple[Wheel, ...], ...],
    gauge_mm: float,
) -> Sweep | None:  # fmt: skip
    """`_swept`, the latest of them kept."""
    key = (tracks, items, wheels, gauge_mm)
    if key in _KEPT:
        _KEPT.move_to_end(key)
        return _KEPT[key]
    found = _KEPT[key] = _swept(*key)
    while len(_KEPT) > 1 and sum(sweep.size for sweep in _KEPT.values() if sweep is not None) > _MOST_KEPT:
        _KEPT.popitem(last=False)
    return found


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
    shift_of, need = (np.concatenate([part[k] for part in parts]) for k in (2, 3))
    axles = np.concatenate([part[4] for part in parts])
    keys = np.ascontiguousarray(axles).view(np.dtype((np.void, axles.shape[1] * axles.itemsize))).ravel()
    _, where, state = np.unique(keys, return_index=True, return_inverse=True)
    return _Cells(from_mm, to_mm, shift_of, need, state.astype(np.intp), axles[where])


def _pressed(
    maker: _Sweeper, way: _Way, item: Item, wheels: tuple[Wheel, ...], shift: float, number: int,
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
    need = _needed(maker, way, legs, against)
    return start, end, np.full(len(at), number, dtype=np.intp), need, stands


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
    table = maker.table()
    for track, way, item, direction, against, cells in found:
        if len(cells.states) * size**2 > _MOST_NUMBERS:
            raise TooMuch(f"{maker.items[item].name}: it stands in {len(cells.states)} ways on {columns} rails")
        touches = table[cells.states]
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


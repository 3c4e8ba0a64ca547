"""The sweep of a piece put together: every item on every way over it, their circuits numbered, the latest kept."""

from __future__ import annotations

from collections import OrderedDict

import numpy as np
from numpy.typing import NDArray

from sim.electric.circuit import TooMuch
from sim.proof.cells import Cells, ShapedWay, Sweeper, cells_of, has_points
from sim.proof.sweep import DIRECTIONS, Direction, Item, Run, Sweep
from sim.track.layout import Layout
from sim.track.way import Outline, Shape, ways
from sim.track.wheels import Wheel, wheel
from sim.wiring.wheels import collects, stamps

__all__ = ["swept"]

_REACH_MM = 5.0  # rail beyond the last wheel that is looked at
_MOST_NUMBERS = 100_000_000  # in the circuits of one piece

_Found = tuple[int, int, int, Direction, bool, Cells]


def swept(layout: Layout, piece: str, items: tuple[Item, ...]) -> tuple[Sweep | None, tuple[str, ...], tuple[int, ...]]:
    """All runs of these items over a piece.

    Returns the sweep (None where no run finds room), the pieces by their slots, and the tracks over which there are
    more ways than are looked at.
    """
    geometry = layout.geometry(piece)
    reach = max(item.reach for item in items) + _REACH_MM
    slots: dict[str, int] = {piece: 0}
    tracks: list[tuple[ShapedWay, ...]] = []
    more: list[int] = []
    for index in range(len(geometry.tracks)):
        outlines, cut = ways(layout, piece, index, reach)
        if cut:
            more.append(index)
        tracks.append(tuple(_shaped(layout, outline, slots) for outline in outlines))
    gauge = layout.scale(piece)
    wheels = tuple(tuple(wheel(vehicle.wheel, gauge) for vehicle in item.vehicles) for item in items)
    return _remembered(tuple(tracks), items, wheels, gauge.gauge_mm), tuple(slots), tuple(more)


def _shaped(layout: Layout, outline: Outline, slots: dict[str, int]) -> ShapedWay:
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
    return ShapedWay(tuple(shapes), outline.stop_before, outline.stop_after)


def _runs_on(layout: Layout, piece: str, end: str) -> bool:
    """Whether an end's rails are taken to go on for ever: it is open, or a buffer stop stands there."""
    met = layout.neighbour(piece, end)
    return met is None or not layout.tracks_from(*met)


def _against(way: ShapedWay) -> ShapedWay:
    """The same with the piece's own points set the other way about."""
    first = way.shapes[0]
    return way._replace(shapes=(first._replace(travel=tuple(1.0 - at for at in first.travel)), *way.shapes[1:]))


_KEPT: OrderedDict[object, Sweep | None] = OrderedDict()
_MOST_KEPT = 300_000_000  # bytes of all sweeps that are kept


def _remembered(
    tracks: tuple[tuple[ShapedWay, ...], ...], items: tuple[Item, ...], wheels: tuple[tuple[Wheel, ...], ...],
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
    tracks: tuple[tuple[ShapedWay, ...], ...], items: tuple[Item, ...], wheels: tuple[tuple[Wheel, ...], ...],
    gauge_mm: float,
) -> Sweep | None:  # fmt: skip
    maker = Sweeper(items, gauge_mm)
    found: list[_Found] = []
    for track, its_ways in enumerate(tracks):
        for number, way in enumerate(its_ways):
            for against in (False, True) if has_points(way.shapes[0]) else (False,):
                run_way = _against(way) if against else way
                for index, item in enumerate(items):
                    for direction in DIRECTIONS[1:] if against else DIRECTIONS:
                        cells = cells_of(maker, run_way, item, wheels[index], direction, against)
                        if cells is not None:
                            found.append((track, number, index, direction, against, cells))
    if not found:
        return None
    return _joined(maker, found)


def _joined(
    maker: Sweeper, found: list[_Found]
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
                turned[cells.state], cells.stretch, touches,
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

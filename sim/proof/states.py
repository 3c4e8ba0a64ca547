"""The distinct ways in which a vehicle on a path touches the rails, and the places where it does so.

Tens of thousands of positions come down to a few dozen states. They depend on geometry alone, so that any change
of wiring is judged with the same states.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Vehicle
from sim.track.layout import Layout
from sim.track.route import RouteContacts, route_contacts
from sim.track.wheels import play_mm, wheel
from sim.wiring.wheels import collects, stamps

__all__ = ["Batch", "Direction", "States", "contact_states"]

Direction = Literal["forward", "backward"]
_CLOSED = 1e-7  # mm: the ends of a contact belong to it


@dataclass(frozen=True, eq=False)
class States:
    """Distinct contact states of one vehicle on one path, and where each holds.

    nodes: rails that are touched anywhere on the way, sorted
    touches: (states, axles, 2, nodes) bool; the sides are the vehicle's own, left first
    stamp: (states, nodes + 2, nodes + 2) siemens between the rails and the two pick-up rails (the last two)
    branch: (states, axles, 2, nodes + 2) siemens of each wheel's branches
    from_mm, to_mm: (cells,) leading axle along the path from its first end; state: (cells,) index into the states
    shift: (cells,) number of the way that the vehicle is pressed
    """

    nodes: tuple[str, ...]
    touches: NDArray[np.bool_]
    stamp: NDArray[np.float64]
    branch: NDArray[np.float64]
    from_mm: NDArray[np.float64]
    to_mm: NDArray[np.float64]
    state: NDArray[np.intp]
    shift: NDArray[np.intp]

    @property
    def count(self) -> int:
        """How many distinct states."""
        return len(self.touches)


def _span(contacts: RouteContacts, length: float, reach: float, sign: int) -> tuple[float, float]:
    """From where to where the leading axle runs: from wholly before the piece to wholly beyond it, or to a stop."""
    if sign > 0:
        low, high = -1.0, length + reach + 1.0
        if contacts.stop_before is not None:
            low = max(low, contacts.stop_before + reach)
        if contacts.stop_after is not None:
            high = min(high, contacts.stop_after)
    else:
        low, high = -reach - 1.0, length + 1.0
        if contacts.stop_before is not None:
            low = max(low, contacts.stop_before)
        if contacts.stop_after is not None:
            high = min(high, contacts.stop_after - reach)
    return low, high


def _positions(
    lo: NDArray[np.float64], hi: NDArray[np.float64], shifts: NDArray[np.float64], low: float, high: float
) -> NDArray[np.float64]:
    """Every place where something changes, low and high among them; sorted, (places,)."""
    edges = np.concatenate([lo, hi])
    places = (edges[:, None] + shifts[None, :]).ravel()
    places = places[(places > low) & (places < high)]
    places = np.unique(np.concatenate([places, [low, high]]))
    keep = np.concatenate([[True], np.diff(places) > _CLOSED])
    return np.asarray(places[keep], dtype=np.float64)


def _one_shift(
    contacts: RouteContacts, vehicle: Vehicle, length: float, direction: Direction, index: Mapping[str, int]
) -> tuple[NDArray[np.bool_], NDArray[np.float64], NDArray[np.float64]] | None:
    """States at every place and between places: (cells, axles, 2, nodes) bool, and each cell's from and to."""
    sign = 1 if direction == "forward" else -1
    reach = vehicle.axles_mm[-1]
    low, high = _span(contacts, length, reach, sign)
    if low > high:
        return None
    lo = np.array([interval.from_mm for interval in contacts.intervals])
    hi = np.array([interval.to_mm for interval in contacts.intervals])
    side = np.array([interval.side == "right" for interval in contacts.intervals], dtype=int)
    if sign < 0:
        side = 1 - side
    column = side * len(index) + np.array([index[interval.node] for interval in contacts.intervals], dtype=int)
    offsets = sign * np.array(vehicle.axles_mm)
    finite = np.where(np.isfinite(lo), lo, low), np.where(np.isfinite(hi), hi, high)
    places = _positions(*finite, offsets, low, high)
    if len(places) > 1:
        middles = (places[:-1] + places[1:]) / 2
        at = np.concatenate([places, middles])
        start = np.concatenate([places, places[:-1]])
        end = np.concatenate([places, places[1:]])
    else:
        at = start = end = places
    axle_at = at[:, None] - offsets[None, :]
    inside = (axle_at[:, :, None] >= lo - _CLOSED) & (axle_at[:, :, None] <= hi + _CLOSED)
    gather = np.zeros((len(lo), 2 * len(index)), dtype=np.float32)
    gather[np.arange(len(lo)), column] = 1.0
    touched = inside.astype(np.float32) @ gather > 0
    return touched.reshape(len(at), len(offsets), 2, len(index)), start, end


@dataclass(frozen=True, eq=False)
class Batch:
    """All runs over one path, their states one after the other so that they are solved at once.

    runs: vehicle, direction, and the run's states; all of them have the same nodes
    rows: the states of each run
    stamp: (distinct, nodes + 2, nodes + 2), as in `States`; a vehicle makes the same circuit in many states, and turned
        end for end the same with its pick-up rails exchanged
    vehicle: (distinct,) the run whose vehicle it is
    distinct: (states,) which of those it is; turned: (states,) bool, whether the pick-up rails are exchanged in it
    """

    runs: tuple[tuple[Vehicle, Direction, States], ...]
    nodes: tuple[str, ...]
    rows: tuple[slice, ...]
    stamp: NDArray[np.float64]
    vehicle: NDArray[np.intp]
    distinct: NDArray[np.intp]
    turned: NDArray[np.bool_]

    def port_volts(self, volts: NDArray[np.float64]) -> NDArray[np.float64]:
        """Of every state, (states, nodes + 2), from those of the distinct ones (distinct, nodes + 2)."""
        every = volts[self.distinct]
        every[self.turned, -2:] = every[self.turned, :-3:-1]
        return every


def _routes(
    layout: Layout, travel: Mapping[str, float], piece: str, path_index: int, vehicle: Vehicle
) -> list[RouteContacts]:
    scale = layout.scale(piece)
    size = wheel(vehicle.wheel, scale)
    play = play_mm(scale.gauge_mm, size)
    reach = vehicle.axles_mm[-1] + 5.0
    shifts = (play, 0.0, -play) if play > 0 else (0.0,)
    return [route_contacts(layout, travel, piece, path_index, reach, size, shift) for shift in shifts]


def _states(
    routes: list[RouteContacts], vehicle: Vehicle, length: float, direction: Direction, index: Mapping[str, int]
) -> States | None:
    runs = [run for contacts in routes if (run := _one_shift(contacts, vehicle, length, direction, index)) is not None]
    if not runs:
        return None
    touched = np.concatenate([run[0] for run in runs])
    flat = np.packbits(touched.reshape(len(touched), -1), axis=1)
    keys = np.ascontiguousarray(flat).view(np.dtype((np.void, flat.shape[1]))).ravel()
    _, first, state = np.unique(keys, return_index=True, return_inverse=True)
    touches = touched[first]
    padded = np.concatenate([touches, np.zeros((*touches.shape[:3], 2), dtype=bool)], axis=3)
    stamp, branch = stamps(padded, collects(vehicle), (len(index), len(index) + 1))
    return States(
        tuple(index),
        touches,
        stamp,
        branch,
        np.concatenate([run[1] for run in runs]),
        np.concatenate([run[2] for run in runs]),
        state.astype(np.intp),
        np.repeat(np.arange(len(runs)), [len(run[1]) for run in runs]),
    )


@lru_cache(maxsize=128)
def _batch(
    layout: Layout, settings: tuple[tuple[str, float], ...], piece: str, path_index: int,
    vehicles: tuple[Vehicle, ...], directions: tuple[Direction, ...],
) -> Batch | None:  # fmt: skip
    geometry = layout.geometry(piece)
    length = geometry.tracks[path_index].length_mm
    routes = {vehicle: _routes(layout, dict(settings), piece, path_index, vehicle) for vehicle in vehicles}
    nodes = sorted({touch.node for each in routes.values() for contacts in each for touch in contacts.intervals})
    if not nodes:  # no vehicle fits these rails: it stands beside one of them
        nodes = [min(f"{piece}.{rail.node}" for rail in geometry.rails(0.0) if rail.metal)]
    index = {node: k for k, node in enumerate(nodes)}
    runs = tuple(
        (vehicle, direction, states)
        for vehicle in vehicles
        for direction in directions
        if (states := _states(routes[vehicle], vehicle, length, direction, index)) is not None
    )
    if not runs:
        return None
    ends = np.cumsum([states.count for _, _, states in runs]).tolist()
    rows = tuple(slice(end - states.count, end) for end, (_, _, states) in zip(ends, runs, strict=True))
    return Batch(runs, tuple(nodes), rows, *_distinct(runs))


def _distinct(
    runs: Sequence[tuple[Vehicle, Direction, States]],
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.intp], NDArray[np.bool_]]:
    """`stamp`, `vehicle`, `distinct` and `turned` of a batch."""
    number: dict[tuple[Vehicle, bytes], int] = {}
    stamps_: list[NDArray[np.float64]] = []
    vehicles, distinct, turned = [], [], []
    for run, (vehicle, _, states) in enumerate(runs):
        exchange = [*range(len(states.nodes)), -1, -2]
        rounded = states.stamp.round(6) + 0.0  # without -0.0
        exchanged = np.ascontiguousarray(rounded[:, exchange][:, :, exchange])
        for stamp, one, other in zip(states.stamp, rounded, exchanged, strict=True):
            same, mirrored = (vehicle, one.tobytes()), (vehicle, other.tobytes())
            turned.append(same not in number and mirrored in number)
            if same not in number and mirrored not in number:
                number[same] = len(stamps_)
                stamps_.append(stamp)
                vehicles.append(run)
            distinct.append(number[mirrored if turned[-1] else same])
    return np.array(stamps_), np.array(vehicles), np.array(distinct), np.array(turned)


def contact_states(
    layout: Layout, settings: Mapping[str, float], piece: str, path_index: int, vehicles: tuple[Vehicle, ...],
    directions: tuple[Direction, ...],
) -> Batch | None:  # fmt: skip
    """The states of each vehicle, pressed left, centred and pressed right, from wholly before a piece to wholly beyond.

    Args:
        settings: blade travel of every piece, the one that is run through included.
        directions: "forward" with the leading axle towards the path's last end; "backward" turned end for end.

    A run for which buffer stops leave no room is left out; None where none is left.
    """
    return _batch(layout, tuple(sorted(settings.items())), piece, path_index, vehicles, directions)

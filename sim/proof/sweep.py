"""All runs over one piece of track: the distinct ways in which wheels join its rails, and the places where they do.

Tens of thousands of positions come down to some dozen circuits. They depend on shape alone, with pieces numbered
instead of named, so that pieces which lie alike share them, and any change of wiring is judged with the same ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Vehicle
from sim.electric.feeds import labels

__all__ = ["DIRECTIONS", "Direction", "Item", "Need", "Run", "Sweep"]

Direction = Literal["forward", "backward"]
DIRECTIONS: tuple[Direction, ...] = ("forward", "backward")


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
    whether its pick-up rails are exchanged in the situation's circuit; stretch: (cells,) number of the part of the run
    on which no lever can be thrown
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
    stretch: NDArray[np.intp]
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
    def rows(self) -> tuple[NDArray[np.intp], ...]:
        """For each of `needs` the situations that meet it, by number."""
        return tuple(np.flatnonzero(self.situations[:, 1] == need) for need in range(len(self.needs)))

    @cached_property
    def set_right(self) -> NDArray[np.bool_]:
        """(situations,) whether it is met on a run with the piece's own points set for it."""
        met = np.zeros(len(self.situations), dtype=bool)
        for run in self.runs:
            if not run.against:
                met[run.situation] = True
        return met

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

"""Blades on their way: where those of every turnout are, and when the next contact or blade changes over.

Travel is 0.0 with the points normal and 1.0 with them diverging. A throw moves at an even pace; a motor takes its own
seconds, a hand 0.15 s. A changeover leaves its first outer just after its first value of travel and makes the other
exactly at its second, so both moments are told: the value itself and a hair beyond it.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterable, Mapping

from sim.bench.model import Bench
from sim.bench.point_set import travel_of
from sim.bench.table import Table
from sim.track.layout import Layout

__all__ = ["HAND_SECONDS", "Points", "setting_of", "words_of"]

HAND_SECONDS = 0.15  # a lever or a finger; our choice
_HAIR = 1e-6  # of a throw: a hair beyond a value of travel
_NEAR = 1e-9

def setting_of(travel: float) -> str | None:
    """ "normal" or "diverging" at the ends of the travel, None on the way."""
    return "normal" if travel == 0.0 else "diverging" if travel == 1.0 else None


class Points:
    """The blades of a bench and their throws."""

    def __init__(self, bench: Bench, layout: Layout) -> None:
        """Every turnout as filed, at rest."""
        self._travel: dict[str, float] = {}
        self._target: dict[str, float] = {}
        self._seconds: dict[str, float] = {}
        self._moments: dict[str, tuple[float, ...]] = {}
        for piece in bench.tracks:
            for points in piece.point_sets:
                motor = bench.motor_of(points.id)
                self._travel[points.id] = self._target[points.id] = points.travel
                self._seconds[points.id] = HAND_SECONDS if motor is None else motor.seconds
                self._moments[points.id] = _moments(bench, layout, points.id)
        self.travel: Table[str, float] = Table(self._travel)

    def fitted(self, bench: Bench, layout: Layout) -> Points:
        """The points of an edited bench: new turnouts stand as filed, the others where they are."""
        fresh = Points(bench, layout)
        for piece in fresh._travel.keys() & self._travel.keys():
            fresh._travel[piece] = self._travel[piece]
            fresh._target[piece] = self._target[piece]
        fresh.travel = Table(fresh._travel)
        return fresh

    def throw(self, piece: str, setting: str | None) -> str:
        """Begin a throw, to the other position if `setting` is None; returns the setting aimed at."""
        goal = travel_of(setting) if setting is not None else 1.0 - self._target[piece]
        self._target[piece] = goal
        return "diverging" if goal else "normal"

    def aimed(self, piece: str) -> str:
        """The setting that a turnout has, or is on its way to."""
        return "diverging" if self._target[piece] else "normal"

    @property
    def throwing(self) -> frozenset[str]:
        """Turnouts whose blades are on their way."""
        return frozenset(piece for piece, at in self._travel.items() if at != self._target[piece])

    @property
    def moving(self) -> bool:
        """True while any blades are on their way."""
        return self._travel != self._target

    def due(self) -> float:
        """Seconds until the next moment at which something may change over; infinite at rest."""
        return min((self._to_next(piece)[0] for piece in self.throwing), default=math.inf)

    def advance(self, seconds: float) -> tuple[str, ...]:
        """Let the blades travel for so long, at most until `due`; returns the turnouts that arrived."""
        if not self.moving:
            return ()
        arrived = []
        for piece in sorted(self.throwing):
            wait, moment = self._to_next(piece)
            if seconds >= wait - _NEAR:
                self._travel[piece] = moment
            else:
                way = math.copysign(seconds / self._seconds[piece], moment - self._travel[piece])
                self._travel[piece] += way
            if self._travel[piece] == self._target[piece]:
                arrived.append(piece)
        self.travel = Table(self._travel)
        return tuple(arrived)

    def _to_next(self, piece: str) -> tuple[float, float]:
        """Seconds until, and travel at, the next moment on a piece's way."""
        at, goal, moments = self._travel[piece], self._target[piece], self._moments[piece]
        if goal > at:
            moment = moments[bisect.bisect_right(moments, at)]
        else:
            moment = moments[bisect.bisect_left(moments, at) - 1]
        return abs(moment - at) * self._seconds[piece], moment


def _moments(bench: Bench, layout: Layout, points: str) -> tuple[float, ...]:
    """Values of travel at which a contact or a blade may change over, 0 and 1 among them, sorted."""
    values: set[float] = set()
    for blade in layout.blades(points):
        values.add(abs(blade.closed_at - blade.touch))
    for motor in bench.motors:
        if motor.drives == points:
            for contact in motor.changeovers:
                values.update(contact.travel)
    return _with_hairs(values)


def _with_hairs(values: Iterable[float]) -> tuple[float, ...]:
    found = {0.0, 1.0}
    for value in values:
        found.update(v for v in (value - _HAIR, value, value + _HAIR) if 0.0 < v < 1.0)
    return tuple(sorted(found))


def words_of(travel: Mapping[str, float]) -> dict[str, str]:
    """Travel in words: piece to "normal", "diverging" or "throwing"."""
    return {piece: setting_of(at) or "throwing" for piece, at in sorted(travel.items())}

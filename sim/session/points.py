"""Levers on their way: where all points and switches are, and when the next contact or blade changes over.

Travel is 0.0 normal and 1.0 diverging. A throw moves all that its lever moves at one even pace; a motor takes its own
seconds, a hand 0.15 s. A changeover leaves its first outer just after its first value of travel and makes the other
exactly at its second, so both moments are told: the value itself and a hair beyond it.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterable, Mapping

from sim.bench.levers import Lever, levers
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
    """The points and switches of a bench, and their throws.

    Whatever of a lever is named, its own id or anything that it moves, means the lever.
    """

    def __init__(self, bench: Bench, layout: Layout) -> None:
        """Everything as filed, at rest."""
        every = levers(bench)
        self._movers = {lever.id: lever.movers for lever in every}
        self._lever = {name: lever.id for lever in every for name in (lever.id, *lever.movers)}
        self._travel = {lever.id: travel_of(lever.setting) for lever in every}
        self._target = dict(self._travel)
        self._seconds = {lever.id: HAND_SECONDS if lever.motor is None else lever.motor.seconds for lever in every}
        self._moments = {lever.id: _moments(layout, lever) for lever in every}
        self._on_way: set[str] = set()
        self.travel: Table[str, float] = self._each()

    def __contains__(self, name: object) -> bool:
        return name in self._lever

    def _each(self) -> Table[str, float]:
        """The travel of all points and switches."""
        return Table((name, at) for lever, at in self._travel.items() for name in self._movers[lever])

    def fitted(self, bench: Bench, layout: Layout) -> Points:
        """The points of an edited bench: what is new stands as filed, the others where they are.

        What a motor moves goes where the first of it is.
        """
        fresh = Points(bench, layout)
        for lever, (first, *_) in fresh._movers.items():
            if first in self.travel:
                fresh._travel[lever] = self._travel[self._lever[first]]
                fresh._target[lever] = self._target[self._lever[first]]
        fresh._on_way = {lever for lever, at in fresh._travel.items() if at != fresh._target[lever]}
        fresh.travel = fresh._each()
        return fresh

    def throw(self, name: str, setting: str | None) -> str:
        """Begin a throw, to the other position if `setting` is None; returns the setting aimed at."""
        lever = self._lever[name]
        goal = travel_of(setting) if setting is not None else 1.0 - self._target[lever]
        self._target[lever] = goal
        (self._on_way.discard if self._travel[lever] == goal else self._on_way.add)(lever)
        return "diverging" if goal else "normal"

    def aimed(self, name: str) -> str:
        """The setting that points or a switch have, or are on their way to."""
        return "diverging" if self._target[self._lever[name]] else "normal"

    @property
    def settings(self) -> dict[str, str]:
        """The setting that each has, or is on its way to, by points and switches."""
        return {name: self.aimed(name) for name in self.travel}

    def moved_with(self, name: str) -> tuple[str, ...]:
        """The points and switches that move as one with these."""
        return self._movers[self._lever[name]]

    @property
    def throwing(self) -> frozenset[str]:
        """Points and switches that are on their way."""
        return frozenset(name for lever in self._moving for name in self._movers[lever])

    @property
    def _moving(self) -> list[str]:
        return sorted(self._on_way)

    @property
    def moving(self) -> bool:
        """True while anything is on its way."""
        return bool(self._on_way)

    def due(self) -> float:
        """Seconds until the next moment at which something may change over; infinite at rest."""
        return min((self._to_next(lever)[0] for lever in self._moving), default=math.inf)

    def advance(self, seconds: float) -> tuple[str, ...]:
        """Let what is thrown travel for so long, at most until `due`; returns the levers that arrived."""
        if not self.moving:
            return ()
        arrived = []
        moving = self._moving
        for lever in moving:
            wait, moment = self._to_next(lever)
            if seconds >= wait - _NEAR:
                self._travel[lever] = moment
            else:
                way = math.copysign(seconds / self._seconds[lever], moment - self._travel[lever])
                self._travel[lever] += way
            if self._travel[lever] == self._target[lever]:
                arrived.append(lever)
        self._on_way.difference_update(arrived)
        self.travel = self.travel.updated({name: self._travel[one] for one in moving for name in self._movers[one]})
        return tuple(arrived)

    def _to_next(self, lever: str) -> tuple[float, float]:
        """Seconds until, and travel at, the next moment on a lever's way."""
        at, goal, moments = self._travel[lever], self._target[lever], self._moments[lever]
        if goal > at:
            moment = moments[bisect.bisect_right(moments, at)]
        else:
            moment = moments[bisect.bisect_left(moments, at) - 1]
        return abs(moment - at) * self._seconds[lever], moment


def _moments(layout: Layout, lever: Lever) -> tuple[float, ...]:
    """Values of travel at which a contact or a blade may change over, 0 and 1 among them, sorted."""
    values: set[float] = set()
    for points in lever.points:
        values.update(abs(blade.closed_at - blade.touch) for blade in layout.blades(points))
    for contact in lever.motor.changeovers if lever.motor is not None else ():
        values.update(contact.travel)
    return _with_hairs(values)


def _with_hairs(values: Iterable[float]) -> tuple[float, ...]:
    found = {0.0, 1.0}
    for value in values:
        found.update(v for v in (value - _HAIR, value, value + _HAIR) if 0.0 < v < 1.0)
    return tuple(sorted(found))


def words_of(travel: Mapping[str, float]) -> dict[str, str]:
    """Travel in words: points or switch to "normal", "diverging" or "throwing"."""
    return {piece: setting_of(at) or "throwing" for piece, at in sorted(travel.items())}

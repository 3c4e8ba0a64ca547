"""How a short is seen to begin, to grow while it flows, and to fall to an ember once the breaker has opened.

What is costly of it is made a little in each frame, so that the needle and the engine go on meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.game.draw.railway.embers import EMBER, LEVELS, PHASES, HotWay
from sim.game.paper.view import Point
from sim.game.picture.hotways import burns, hot_way
from sim.game.picture.mounted import mounted
from sim.game.shorts.glow import loop_marks
from sim.game.shorts.shortslot import prepared
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hot, ViewState
from sim.game.whereabouts.ways import Ways
from sim.session.snapshot import FaultView, Snapshot

__all__ = ["Burning"]

_BUDGET = 9  # of a frame, in the units of `HotWay.step`
_LEAST = 0.25  # of its full strength, with which it begins
_HOLD_S, _FALL_S = 0.15, 0.9
_WORDS_S = 0.4  # after the trip: first the light, then the words
_TEETH = 7.0  # by which the zigzag crawls in a second
_MOVED_PX = 1.5
_CRAWL = 0.05  # mm/s, slower than which a train stands


class Burning:
    """The short on one bench, from one frame to the next."""

    def __init__(self) -> None:
        self._put_out()

    def _put_out(self) -> None:
        self._for: tuple[object, ...] | None = None
        self._way: HotWay | None = None
        self._next: HotWay | None = None
        self._level = 0
        self._since_trip: float | None = None
        self._crawled = 0.0
        self._settled = True
        self._marks: Iterator[None] | None = None
        self._words: Iterator[None] | None = None
        self._said = False

    @property
    def busy(self) -> bool:
        """Whether there is more to come."""
        return not self._settled

    def follow(self, seconds: float, stage: Stage, snapshot: Snapshot, view: ViewState, calm: bool) -> Hot | None:
        """What is to be seen of it, so many seconds later; None where nothing burns. `calm`: without movement."""
        now = burns(snapshot)
        if now is None:
            self._put_out()
            return None
        flows = snapshot.overload is not None
        self._pass(seconds, flows, calm)
        parts = (stage, tuple((step.ref, step.node_a) for step in now.loop))
        way = self._way
        if way is None or parts != self._for:
            way = self._begin(stage, snapshot, now, view, parts)
        else:
            self._make(stage, snapshot, now, way)
        self._come_to(max(1, round(self._wanted(snapshot))), flows)
        since = self._since_trip
        falls = since is not None and since < _HOLD_S + _FALL_S
        if not calm and (flows or falls):
            self._crawled += seconds * _TEETH * PHASES
        hot = Hot(self._way or way, self._level, int(self._crawled) % PHASES, self._said)
        if since is not None and since >= (0.0 if calm else _WORDS_S) and self._level and not self._said:
            hot = hot._replace(words=self._say(stage, snapshot, view, hot))
        self._settled = not (flows or falls or not self._said or not way.ready or self._next is not None)
        return hot

    def _pass(self, seconds: float, flows: bool, calm: bool) -> None:
        if flows:
            self._since_trip, self._words, self._said = None, None, False
        elif self._since_trip is None:
            self._since_trip = _FALL_S + _HOLD_S if calm else 0.0
        else:
            self._since_trip += seconds

    def _begin(
        self, stage: Stage, snapshot: Snapshot, now: FaultView, view: ViewState, parts: tuple[object, ...]
    ) -> HotWay:
        """Another way, of which nothing is made in the same frame."""
        ways = Ways.now(stage, snapshot)
        way = hot_way(stage, tuple(ways.loop(now.loop)))
        self._for, self._way, self._next, self._level = parts, way, None, 0

        def marks() -> Iterator[None]:
            yield
            for _ in mounted(stage, snapshot, view.lids_off):
                pass
            yield
            loop_marks(stage, snapshot, way, now.loop, ways, now.amps)
            yield

        self._marks = marks()
        return way

    def _say(self, stage: Stage, snapshot: Snapshot, view: ViewState, hot: Hot) -> bool:
        """Make a little of the words and of the magnifier once the trains have come to rest; gives whether all is."""
        if any(abs(train.speed_mm_s) > _CRAWL for train in snapshot.trains):
            self._words = None
            return False
        if self._words is None:
            self._words = prepared(stage, snapshot, view, hot)
        self._said = next(self._words, "all") == "all"
        return self._said

    def _make(self, stage: Stage, snapshot: Snapshot, now: FaultView, way: HotWay) -> None:
        """Make a little more; once the trains have come to rest, the way as it has become."""
        left = _BUDGET
        if not way.ready:
            while left > 0 and not (way.glows and self._marks is not None) and (cost := way.step()):
                left -= cost
            if way.glows and self._marks is not None and left == _BUDGET and next(self._marks, "all") == "all":
                self._marks = None
            return
        still = all(abs(train.speed_mm_s) < _CRAWL for train in snapshot.trains)
        if self._next is None and still and self._since_trip is not None and not self._said:
            path = tuple(Ways.now(stage, snapshot).loop(now.loop))
            if _apart(path, way.path) > _MOVED_PX:
                self._next = hot_way(stage, path)
        if self._next is not None:
            while left > 0 and (cost := self._next.step()):
                left -= cost
            if self._next.ready:
                self._way, self._next = self._next, None

    def _wanted(self, snapshot: Snapshot) -> float:
        """The level that it should have."""
        if self._since_trip is None:
            shares = [
                state.over_seconds / max(model.trip_seconds, 1e-6)
                for state, model in zip(snapshot.supplies, snapshot.bench.supplies, strict=True)
            ]
            return LEVELS * (_LEAST + (1 - _LEAST) * min(1.0, max(shares, default=1.0)))
        fallen = min(1.0, max(0.0, (self._since_trip - _HOLD_S) / _FALL_S))
        return LEVELS + (EMBER - LEVELS) * fallen

    def _come_to(self, level: int, flows: bool) -> None:
        """Come to a level, but to none that is not made yet."""
        if self._marks is not None:
            return
        if self._way is not None and self._way.made(level):
            self._level = level
        elif self._way is not None and self._way.glows and not self._level and not flows:
            self._level = LEVELS


def _apart(one: tuple[Point, ...], other: tuple[Point, ...]) -> float:
    """How far two ways lie from each other, px."""
    if len(one) < 2 or len(other) < 2:
        return 0.0 if one == other else 1e9
    a, b = np.asarray(one), np.asarray(other)
    away = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    return float(max(away.min(axis=1).max(), away.min(axis=0).max()))

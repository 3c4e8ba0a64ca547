"""The chosen job's bench alive on the front door: a session of its own, driven by nobody but the clock.

The engine creeps on, over the frog and off, once with the points each way; where the wiring does not let it run it
stands before the frog, or dies on it, as it would on the bench. After two runs each way all rests until a hand moves.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sim.bench.model import Bench
from sim.bench.point_set import full_id
from sim.session.acts import Act, Direction, Drive, Plug, Power, Put, Reset, Throw
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.geometry import Track

__all__ = ["Alive", "Way"]


class Way(NamedTuple):
    """A way over the piece that is shown, and where on it the leading axle of an engine is, mm from its beginning.

    end: the end that the engine faces; stand: before the frog; entry: still out of sight; gone: out of sight again
    """

    piece: str
    track: Track
    end: str
    stand: float
    entry: float
    gone: float


_THROTTLE = 0.2  # a creep: some two gauges a second
_RUNS = 4  # two with the points each way, then all rests
_LONGEST_S = 16.0  # that a run takes
_DEAD_S = 3.0  # that an engine is seen to stand where it died
_STILL_S = 2.0  # between two throws where nothing runs
_LOOK_S = 0.1  # longer than any breaker of a digital supply takes to open
_MOST_STEPS = 12  # of the session in one frame


class Alive:
    """A bench that runs by itself. `snapshot` is what is seen of it."""

    def __init__(self, bench: Bench, ways: Sequence[Way], *, calm: bool) -> None:
        """`calm`: nothing moves. Raises ValueError for a bench that cannot be set up."""
        self._ways = ways
        self._points = [points.id for points in bench.point_sets]
        self._train = next((train.id for train in bench.trains), None)
        self._calm = calm
        self._owed = 0.0
        self._runs = 0
        self._throwing = False  # between two runs
        self._way: Way | None = None
        self._for = 0.0  # seconds since the run began
        self._stood = 0.0  # seconds since something last moved
        self._session = Session(bench)
        self.snapshot: Snapshot = self._session.step(Session.DT, (Plug(True), Power(True)))
        self._begin()

    @property
    def moves(self) -> bool:
        """Whether something is still to happen."""
        return not self._calm and self._runs < _RUNS

    def wake(self) -> None:
        """A hand has moved: what has come to rest begins again."""
        if not self._calm and not self.moves:
            self._runs = 0
            self._throw()

    def tick(self, seconds: float) -> None:
        """Let time pass."""
        if not self.moves:
            return
        step = self._session.step_seconds
        self._owed = min(self._owed + seconds, _MOST_STEPS * step)
        count = int(self._owed / step + 1e-9)
        if not count:
            return
        self._owed -= count * step
        self.snapshot = self._session.step(count * step)
        self._for += count * step
        still = not self.snapshot.throwing and all(abs(train.speed_mm_s) < 0.5 for train in self.snapshot.trains)
        self._stood = self._stood + count * step if still else 0.0
        if self._throwing:
            if not self.snapshot.throwing:
                self._begin()
        elif self._over():
            self._runs += 1
            self._throw()

    def _over(self) -> bool:
        """Whether a run has come to its end: the engine is gone, or has been seen to stand."""
        return self._gone() or self._stood > (_DEAD_S if self._ran else _STILL_S) or self._for > _LONGEST_S

    def _gone(self) -> bool:
        trains = self.snapshot.trains
        if self._way is None or not trains:
            return False
        along = trains[0].vehicles[-1].axles[-1][0]  # of the last axle; the bench runs on to the right
        return along > self._way.gone

    def _throw(self) -> None:
        """Everything over to the other side, for the next run; where none is to follow, all rests."""
        self._throwing = True
        acts: list[Act] = [Reset(), *(Throw(points) for points in self._points)]
        if self._train is not None:
            acts.append(Drive(self._train, 0.0))
        self.snapshot = self._session.step(Session.DT, acts)
        if not self.moves:
            while self.snapshot.throwing:
                self.snapshot = self._session.step(20 * Session.DT)
            self._begin()

    def _begin(self) -> None:
        """Begin a run: the engine before the frog, or out of sight where it has run once and will again."""
        self._throwing = False
        self._for = self._stood = 0.0
        self._way = self._set_way()
        self._ran = False
        if self._way is None or self._train is None:
            return
        self._put(self._way.stand, _THROTTLE)
        self.snapshot = self._session.step(_LOOK_S, (Reset(),))
        self._ran = any(train.running for train in self.snapshot.trains)
        if self.moves and self._ran:
            self._put(self._way.entry if self._runs else self._way.stand, _THROTTLE)  # at first it is seen at once
        else:
            self._put(self._way.stand, 0.0 if self._ran else _THROTTLE)

    def _set_way(self) -> Way | None:
        """The way that the points are set for."""
        for way in self._ways:
            travel = {name: self.snapshot.travel.get(full_id(way.piece, name), 0.0) for name in way.track.needs}
            if way.track.open_at(travel):
                return way
        return None

    def _put(self, station: float, throttle: float) -> None:
        if self._way is None or self._train is None:
            return
        place = Put(self._train, self._way.end, self._way.track.length_mm - station)
        self.snapshot = self._session.step(
            Session.DT, (place, Direction(self._train, 1), Drive(self._train, throttle))
        )

"""The running bench's one door: acts go in, time passes, a snapshot comes out; what was done can be played again."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from sim.bench.model import Bench
from sim.session.acts import Act, Test
from sim.session.goals import goal_views
from sim.session.hands import perform
from sim.session.running import Running
from sim.session.snapshot import Judged, Snapshot
from sim.session.views import supply_view, train_view

__all__ = ["Record", "Session", "replay"]

Record = tuple[tuple[int, Act], ...]
"""What was done: the number of the step at whose beginning it was done, and the act."""

_NEAR = 1e-9


class Session:
    """One bench, running. It owns the clock: time passes only in `step`.

    DT: seconds of a step; `step` takes one or a whole number of them.
    """

    DT = 0.01

    def __init__(self, bench: Bench) -> None:
        """The bench as filed, at time 0. Raises ValueError for a train that cannot stand where the file puts it."""
        self._running = Running(bench)
        self._steps = 0
        self._record: list[tuple[int, Act]] = []
        self._test_wanted = False

    @property
    def bench(self) -> Bench:
        """What stands on the table now: the file's bench with the edits made, its points as they were last thrown."""
        return self._running.bench

    @property
    def running(self) -> Running:
        """Everything that runs; for this room alone."""
        return self._running

    @property
    def record(self) -> Record:
        """Everything that was done, for `replay`."""
        return tuple(self._record)

    @property
    def steps(self) -> int:
        """How many steps of DT have passed."""
        return self._steps

    def step(self, dt: float, inputs: Iterable[Act] = ()) -> Snapshot:
        """Do what is handed in, in order, then let `dt` seconds pass.

        Raises ValueError for a dt that is not a whole number of steps; sim.session.hands.ActRefused for an act that
        names what is not there: those before it are done, it and those after it are not, and no time passes.
        """
        count = round(dt / self.DT)
        if count < 1 or abs(count * self.DT - dt) > _NEAR:
            raise ValueError(f"dt {dt!r} is not a whole number of steps of {self.DT} s")
        for act in inputs:
            perform(self._running, act)
            self._record.append((self._steps, act))
            self._test_wanted |= isinstance(act, Test)
        for _ in range(count):
            self._running.run(self.DT)
            self._steps += 1
        return self.snapshot()

    def judge(self, verdict: Judged, reached: Collection[str] = ()) -> None:
        """Take back the verdict of the test of every route, and which goals of the level it found reached."""
        self._running.verdict = verdict
        self._running.reached = frozenset(reached)
        self._test_wanted = False

    def snapshot(self) -> Snapshot:
        """Everything that can be seen now."""
        now = self._running
        readings = tuple(now.meter.readings.values())
        play = now.play.view(now.bench, now.layout, readings, cautions=now.meter.cautions, taken=now.meter.taken)
        return Snapshot(
            time_s=round(self._steps * self.DT, 6),
            bench=now.bench,
            travel=now.points.travel,
            throwing=now.points.throwing,
            supplies=tuple(supply_view(name, state) for name, state in now.supplies.states.items()),
            trains=tuple(train_view(train, now.layout) for train in now.trains.values()),
            meter=now.meter.view,
            feeds=now.electrics.feeds(now.points.travel),
            amps=now.solved.amps,
            fault=now.fault,
            log=now.journal.lines,
            can_undo=now.history.can_undo,
            can_redo=now.history.can_redo,
            goals=goal_views(now.bench, play, now.reached),
            predictions=now.play.predictions(now.layout),
            readings=readings,
            patterns=now.patterns,
            play=play,
            power_ready=now.play.power_ready,
            test_wanted=self._test_wanted,
            verdict=now.verdict,
        )


def replay(bench: Bench, record: Record, steps: int) -> Session:
    """A fresh session in which everything recorded is done again at its time, `steps` steps in all."""
    session = Session(bench)
    pending = list(record)
    for number in range(steps):
        now = []
        while pending and pending[0][0] <= number:
            now.append(pending.pop(0)[1])
        session.step(Session.DT, now)
    return session

"""The running bench's one door: acts go in, time passes, a snapshot comes out; what was done can be played again."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from sim.bench.model import Bench
from sim.session.acts import Act, Pace, Test
from sim.session.hands import ActRefused, perform
from sim.session.locks import UNLOCKED, Locks
from sim.session.otherwise import GapMoment, gap_moments
from sim.session.running import Running
from sim.session.snapshot import Judged, Snapshot
from sim.session.views import supply_view, train_view

__all__ = ["PARTS", "Record", "Session", "replay"]

Record = tuple[tuple[int, Act], ...]
"""What was done: the number of the step at whose beginning it was done, and the act."""

PARTS = (1, 10, 100)
"""Into how many steps a `Session.DT` can be parted: of 10 ms, 1 ms and 0.1 ms."""

_NEAR = 1e-9


class Session:
    """One bench, running. It owns the clock: time passes only in `step`.

    DT: seconds of a step, unless `Pace` asks for finer ones; `step` takes one or a whole number of them.
    """

    DT = 0.01
    FINEST = 100  # steps to a DT at most, 0.1 ms each

    def __init__(self, bench: Bench, locks: Locks = UNLOCKED) -> None:
        """The bench as filed, at time 0; what is locked stays so.

        Raises ValueError for a train that cannot stand where the file puts it.
        """
        self._running = Running(bench, locks)
        self._steps = 0
        self._parts = 1
        self._passed = 0  # in hundredths of DT
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
        """How many steps have passed, of whatever length."""
        return self._steps

    @property
    def step_seconds(self) -> float:
        """The length of a step now: DT, or the part of it that `Pace` asked for."""
        return self.DT / self._parts

    @property
    def waits(self) -> bool:
        """True while something is on its way that time alone brings about: a breaker, blades, a unit."""
        return self._running.waits

    def step(self, dt: float, inputs: Iterable[Act] = ()) -> Snapshot:
        """Do what is handed in, in order, then let `dt` seconds pass.

        Raises ValueError for a dt that is not a whole number of steps; sim.session.hands.ActRefused for an act that
        names what is not there: those before it are done, it and those after it are not, and no time passes.
        """
        todo = tuple(inputs)
        step = self.DT / self._parts_with(todo)
        count = round(dt / step)
        if count < 1 or abs(count * step - dt) > _NEAR:
            raise ValueError(f"dt {dt!r} is not a whole number of steps of {step} s")
        for act in todo:
            if isinstance(act, Pace):
                self._part(act.parts)
            else:
                perform(self._running, act)
            self._record.append((self._steps, act))
            self._test_wanted |= isinstance(act, Test)
        for _ in range(count):
            self._running.run(step)
            self._steps += 1
            self._passed += self.FINEST // self._parts
        return self.snapshot()

    def next(self, inputs: Iterable[Act] = ()) -> Snapshot:
        """Do what is handed in, then let the shortest time pass: one step, as long as `Pace` now makes it."""
        todo = tuple(inputs)
        return self.step(self.DT / self._parts_with(todo), todo)

    def _parts_with(self, todo: tuple[Act, ...]) -> int:
        asked = [act.parts for act in todo if isinstance(act, Pace) and act.parts in PARTS]
        return asked[-1] if asked else self._parts

    def _part(self, parts: int) -> None:
        if parts not in PARTS:
            raise ActRefused(f"a step is parted into {', '.join(map(str, PARTS))}, not into {parts!r}")
        self._parts = parts

    def gap(self, place: str) -> tuple[GapMoment, GapMoment]:
        """This moment with a gap cut, and with it closed; nothing on the bench changes. Raises KeyError for no gap."""
        return gap_moments(self._running, place)

    def judge(self, verdict: Judged, reached: Collection[str] = ()) -> None:
        """Take back the verdict of the test of every route, and which goals of the level it found reached."""
        self._running.verdict = verdict
        self._running.reached = frozenset(reached)
        self._test_wanted = False

    def dismiss(self) -> None:
        """The test of every route that was asked for will give no verdict."""
        self._test_wanted = False

    def snapshot(self) -> Snapshot:
        """Everything that can be seen now."""
        now = self._running
        return Snapshot(
            time_s=round(self._passed * self.DT / self.FINEST, 6),
            bench=now.bench,
            travel=now.points.travel,
            throwing=now.points.throwing,
            supplies=tuple(supply_view(name, state) for name, state in now.supplies.states.items()),
            trains=tuple(train_view(train, now.layout) for train in now.trains.values()),
            meter=now.meter.view,
            feeds=now.electrics.feeds(now.points.travel),
            amps=now.amps,
            fault=now.fault,
            overload=now.overload,
            log=now.journal.lines,
            log_first=now.journal.first,
            log_marks=now.journal.marks,
            can_undo=now.history.can_undo,
            can_redo=now.history.can_redo,
            reached=now.reached,
            predictions=now.play.predictions,
            readings=tuple(now.meter.readings.values()),
            found=now.meter.found,
            evidence=now.evidence.so_far,
            play=now.play.view(now.meter.cautions),
            test_wanted=self._test_wanted,
            verdict=now.verdict,
        )


def replay(bench: Bench, record: Record, steps: int, locks: Locks = UNLOCKED) -> Session:
    """A fresh session in which everything recorded is done again at its time, `steps` steps in all."""
    session = Session(bench, locks)
    pending = list(record)
    for number in range(steps):
        now = []
        while pending and pending[0][0] <= number:
            now.append(pending.pop(0)[1])
        session.next(now)
    return session

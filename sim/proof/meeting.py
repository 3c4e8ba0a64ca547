"""One piece of track and what lies around it, with wheels on it: the circuits of its sweep solved as the bench has it.

A sweep knows rails by number; here they are the rails of this bench, and the sets of points under a run are levers.
Levers that are not under a run but decide the feed of its rails are tried in every combination.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.proof.latest import MOST_PIECES, Latest
from sim.proof.quiet import MOST_TOGETHER
from sim.proof.subject import Subject
from sim.proof.sweep import Need, Run, Sweep
from sim.proof.units import throws
from sim.proof.view import Faults, View
from sim.wiring.wheels import load_ohms

__all__ = ["Case", "Meeting", "Outcome"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

_BETTER = 1e-6  # V: so much more under turned units is no rounding
_SETTINGS = ("normal", "diverging")


@dataclass(frozen=True, eq=False)
class Outcome:
    """What R situations come to with the levers in one way; all arrays are over the situations.

    blocked: there is a fault already with nothing on the track
    level: 0 nothing, 1 hot, 2 short; amps: fault current; supply: which supply it is of
    swapped: there would be a fault if one more DC supply were turned the other way
    evens: a current between supplies of one kind only evens out their volts
    volts, idle: (R, vehicles) across the pick-ups running, and with the load lifted out; NaN for what draws nothing
    injected: (R, columns) A that go from each rail into metal, loads lifted out; drawn: the same running
    sources: number of the set of the supplies' volts in which it is so
    """

    blocked: bool
    level: NDArray[np.int8]
    amps: Floats
    supply: Ints
    scale: Floats
    volts: Floats
    idle: Floats
    injected: Floats
    drawn: Floats
    sources: Ints
    swapped: NDArray[np.bool_]
    evens: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Case:
    """All situations of a sweep that need the same points: how the levers can stand, and what comes of it.

    need: its number in the sweep; rows: the situations, by number
    under: levers under the run, with their settings; free: levers off the run that decide a feed, the nearest first
    left_out: levers that decide a feed too, but were not tried
    combinations: settings of `free`; outcomes: of each of them
    """

    need: int
    rows: Ints
    under: Mapping[str, str]
    free: tuple[str, ...]
    left_out: tuple[str, ...]
    combinations: tuple[Mapping[str, str], ...]
    outcomes: tuple[Outcome, ...]


class Meeting:
    """A piece with wheels on it.

    cases: by need; a need that no setting of the levers can give has none, one that is needed both ways at once has two
    """

    def __init__(self, subject: Subject, piece: str, sweep: Sweep, slots: Sequence[str]) -> None:
        """`slots`: the pieces of the sweep."""
        self.subject = subject
        self.piece = piece
        self.sweep = sweep
        self.slots = slots
        self.names = tuple(f"{slots[slot]}.{node}" for slot, node in sweep.columns)
        self.nodes = np.array([subject.node(name) for name in self.names], dtype=np.intp)

    @cached_property
    def cases(self) -> tuple[Case, ...]:
        """See above."""
        found: list[Case] = []
        plans = []
        for need in range(len(self.sweep.needs)):
            rows = self.sweep.rows[need]
            if not len(rows):
                continue
            nodes = self.nodes[list(self.sweep.touched[need])].tolist()
            near, about = self.subject.conductors.near(nodes).levers, self.subject.units_about(nodes)
            for under in self._under(self.sweep.needs[need]):
                free = [lever for lever in near if lever not in under]
                plans.append((need, rows, under, free, about))
        levers = dict.fromkeys(one for _, _, under, free, _ in plans for one in (*under, *free[:MOST_TOGETHER]))
        units = tuple(dict.fromkeys(unit for *_, some in plans for unit in some))
        base = self._opened(levers, [lever for *_, free, _ in plans for lever in free[MOST_TOGETHER:]])
        made = self.subject.made(base) if base else None
        view = View(self.subject, self.nodes.tolist(), levers, units, made)
        tasks: list[_Task] = []
        for need, rows, under, free, _ in plans:
            tried = tuple(free[:MOST_TOGETHER])
            combinations = tuple(
                dict(zip(tried, words, strict=True)) for words in itertools.product(_SETTINGS, repeat=len(tried))
            )
            tasks.append(_Task(need, rows, [{**under, **combination} for combination in combinations]))
            left = tuple(free[MOST_TOGETHER:])
            found.append(Case(need, rows, under, tried, left, combinations, ()))
        outcomes = _Solver(self, view, units).outcomes(tasks, tuple(levers))
        return tuple(replace(case, outcomes=each) for case, each in zip(found, outcomes, strict=True))

    @cached_property
    def alike(self) -> tuple[object, ...]:
        """The sweep and its outcomes: meetings with equal ones differ in the names of pieces and levers alone."""
        return self.sweep, tuple((case.need, case.outcomes) for case in self.cases)

    def is_given(self, run: Run) -> bool:
        """Whether it is a run with its points set for it, some place of which a setting of the levers gives."""
        needs = np.unique(self.sweep.situations[run.situation, 1]).tolist()
        return not run.against and any(self._under(self.sweep.needs[need]) for need in needs)

    def _under(self, needs: tuple[Need, ...]) -> list[dict[str, str]]:
        """How the levers must stand: no way where one lever cannot give all, two where points are needed both ways."""
        wanted: dict[str, dict[str, set[str]]] = {}
        for need in needs:
            piece = self.slots[need.slot]
            for points, setting in self.subject.needs(piece, need.track).items():
                word = _SETTINGS[1 - _SETTINGS.index(setting)] if need.against else setting
                lever = self.subject.lever_of[points]
                wanted.setdefault(lever, {}).setdefault(points, set()).add(word)
        ways: list[dict[str, str]] = [{}]
        for lever, by_points in wanted.items():
            words = set.intersection(*by_points.values())
            if not words:
                return []
            both = [word for word in _SETTINGS if word in words]
            ways = [{**way, lever: word} for way in ways for word in both]
        return ways

    def _opened(self, tried: Mapping[str, None], left: Sequence[str]) -> dict[str, str]:
        """Levers that are not tried, each set so that the way from it to the piece is open."""
        if not left:
            return {}
        opening = self.subject.opening(self.piece)
        return {lever: opening[lever] for lever in left if lever in opening and lever not in tried}


class _Task(NamedTuple):
    """Situations that need the same points, by number, and each way in which the levers are to stand."""

    need: int
    rows: Ints
    ways: Sequence[Mapping[str, str]]


_SHARED: Latest[Outcome] = Latest(8 * MOST_PIECES)
_WHOLE: Latest[tuple[tuple[Outcome, ...], ...]] = Latest(MOST_PIECES)


class _Solver:
    """Solves the circuits of a sweep in one view of the bench."""

    def __init__(self, meeting: Meeting, view: View, units: Sequence[str]) -> None:
        self.meeting = meeting
        self.view = view
        self.units = units
        self.subject = meeting.subject
        self.sweep = sweep = meeting.sweep
        volts = meeting.subject.volts
        draws = np.zeros((len(sweep.items), sweep.trailers // 2))
        for k, item in enumerate(sweep.items):
            draws[k, : len(item.vehicles)] = [1 / load_ohms(vehicle, volts) for vehicle in item.vehicles]
        self.draws = draws[sweep.of_item]

    def outcomes(self, tasks: Sequence[_Task], levers: Sequence[str]) -> list[tuple[Outcome, ...]]:
        """Those of each way of each task; looked up together where a piece with all its levers is like another."""
        bench, view = self.subject.bench, self.view
        if self.units or bench.lamps:
            return self._each(tasks)
        number = {lever: k for k, lever in enumerate(levers)}
        key = (
            self.sweep, view.at(self.meeting.nodes).tobytes(), view.likeness(), tuple(view.supplies), bench.supplies,
            tuple(view.extra({lever: word}).tobytes() for lever in levers for word in _SETTINGS),
            tuple(
                (task.need, tuple(tuple((number[lever], word) for lever, word in way.items()) for way in task.ways))
                for task in tasks
            ),
        )  # fmt: skip
        return list(_WHOLE.of(key, lambda: tuple(self._each(tasks))))

    def _each(self, tasks: Sequence[_Task]) -> list[tuple[Outcome, ...]]:
        return [tuple(self.outcome(task.need, task.rows, way) for way in task.ways) for task in tasks]

    def outcome(self, need: int, rows: Ints, levers: Mapping[str, str]) -> Outcome:
        """The situations with these levers so; worked out once for all that is alike."""
        columns = np.array(self.sweep.touched[need], dtype=np.intp)
        view = self.view.narrowed(self.view.extra(levers), self.meeting.nodes[columns], self.units)
        at = view.at(self.meeting.nodes[columns])
        key = (
            self.sweep, need, at.tobytes(), view.likeness(), tuple(view.supplies), self.subject.bench.supplies,
            self.subject.bench.polarities and (self.units, self.subject.bench.polarities, view.nodes.tobytes()),
            self.subject.bench.lamps and (self.subject.bench, tuple(levers.items()), view.nodes.tobytes()),
        )  # fmt: skip
        return _SHARED.of(key, lambda: _Circuits(self, view, columns, at, rows).outcome())


@dataclass(frozen=True, eq=False)
class _Answer:
    """What states come to in one way in which the kinds of supplies meet; see `Outcome`, of circuits and not rails."""

    faults: Faults
    lifted: Floats
    running: Floats
    across: Floats
    idle: Floats
    sources: Ints

    def where(self, rows: NDArray[np.bool_], other: _Answer) -> _Answer:
        """The same with these states as in another answer."""
        pairs = ((getattr(other.faults, f.name), getattr(self.faults, f.name)) for f in fields(Faults))
        faults = Faults(*(_chosen(rows, new, old) for new, old in pairs))
        rest = ((getattr(other, f.name), getattr(self, f.name)) for f in fields(self) if f.name != "faults")
        return _Answer(faults, *(_chosen(rows, new, old) for new, old in rest))


def _chosen(rows: NDArray[np.bool_], new: NDArray[Any], old: NDArray[Any]) -> NDArray[Any]:
    """Row by row the one or the other."""
    return np.where(rows.reshape(-1, *(1,) * (old.ndim - 1)), new, old)


class _Circuits:
    """The distinct circuits of some situations that need the same points, with the levers in one way."""

    def __init__(self, solver: _Solver, view: View, columns: Ints, at: Ints, rows: Ints) -> None:
        self.subject = solver.subject
        self.units = solver.units
        self.view = view
        self.columns = columns
        sweep = self.sweep = solver.sweep
        self.circuits, self.back = np.unique(sweep.situations[rows, 0], return_inverse=True)
        self.draws = solver.draws[self.circuits]
        self.ports = len(view.nodes)
        self.size = self.ports + sweep.trailers
        self.at = np.concatenate([at, np.arange(self.ports, self.size)])
        mine = np.concatenate([columns, np.arange(len(sweep.columns), sweep.stamp.shape[1])])
        self.stamp = sweep.stamp[self.circuits[:, None, None], mine[:, None], mine]

    def _wide(self) -> Floats:
        """(circuits, size, size) S: the stamps put to the ports."""
        wide = np.zeros((len(self.circuits), self.size, self.size))
        if len(set(self.at.tolist())) == len(self.at):
            wide[:, self.at[:, None], self.at] = self.stamp
        else:
            for row, values in zip(wide, self.stamp, strict=True):
                np.add.at(row, (self.at[:, None], self.at[None, :]), values)
        return wide

    def outcome(self) -> Outcome:
        """What they come to."""
        extra = self._wide()
        ways = range(len(self.subject.polarities))
        if any(self._faulty_alone(number) for number in ways):
            return self._blocked()
        found, *others = (self._in(extra, number) for number in ways)
        for other in others:  # of each state the polarity in which it is worst
            found = found.where(other.faults.level > found.faults.level, other)
        swapped = np.zeros(len(extra), dtype=bool)
        for number in range(len(self.subject.swapped)):
            turned = len(self.subject.polarities) + number
            swapped |= self.view.faults(self.view.solve(extra, turned), turned).level > 0
        faults, back = found.faults, self.back
        swapped &= faults.level == 0
        volts = np.where(self.draws > 0, found.across, np.nan)
        return Outcome(
            False, faults.level[back], faults.amps[back], faults.supply[back], faults.scale[back], volts[back],
            found.idle[back], self._into(found.lifted)[back], self._into(found.running)[back], found.sources[back],
            swapped[back], faults.evens[back],
        )  # fmt: skip

    def _faulty_alone(self, polarity: int) -> bool:
        """Whether there is a fault with nothing on the track."""
        bare = np.zeros((1, self.ports, self.ports))
        nothing = self.view.judged(bare, polarity)
        if nothing.level[0] and self.units:
            nothing = throws(self.view, self.units, bare, nothing, polarity).faults
        return bool(nothing.level[0])

    def _in(self, extra: Floats, polarity: int) -> _Answer:
        """What they come to in one way in which the kinds of supplies meet."""
        real = self.subject.real[polarity]
        lifted, answer = self._lifted(extra, real)
        faults = self.view.judged(extra, polarity, lifted)
        turned = np.full(len(extra), -1, dtype=np.intp)
        combinations: tuple[tuple[Mapping[str, str], Floats], ...] = ()
        if self.units and faults.level.any():
            done = throws(self.view, self.units, extra, faults, polarity)
            faults, turned, combinations = done.faults, done.turned, done.combinations
        running = self._loaded(extra, lifted, answer, real)
        left = np.arange(self.ports, self.size, 2)
        across = np.abs(running[:, left] - running[:, left + 1])
        idle = np.abs(lifted[:, left] - lifted[:, left + 1])
        for number, (_, added) in enumerate(combinations):
            if (turned == number).any():
                across, idle, running = self._turned(
                    extra, added, turned == number, turned, faults, polarity, (across, idle, running)
                )
        return _Answer(faults, lifted, running, across, idle, np.full(len(extra), real, dtype=np.intp))

    def _lifted(self, extra: Floats, sources: int) -> tuple[Floats, Floats | None]:
        """Volts with all loads lifted out; and, of one vehicle, what one ampere through it adds to them."""
        if self.sweep.trailers != 2 or self.view.reduced.lit is not None:
            return self.view.solve(extra, sources), None
        pushed = np.zeros(self.size)
        pushed[-2:] = 1.0, -1.0
        found = self.view.solve(extra, sources, pushed)
        return found[:, :, 0], found[:, :, 1]

    def _loaded(self, extra: Floats, lifted: Floats, answer: Floats | None, sources: int) -> Floats:
        """Volts with the vehicles running."""
        if answer is not None:
            siemens = self.draws[:, 0]
            open_volts, ohms = lifted[:, -2] - lifted[:, -1], answer[:, -2] - answer[:, -1]
            amps = siemens * open_volts / (1.0 + siemens * ohms)
            return np.asarray(lifted - amps[:, None] * answer)
        left = np.arange(self.ports, self.size, 2)
        loaded = extra.copy()
        loaded[:, left, left + 1] -= self.draws
        loaded[:, left + 1, left] -= self.draws
        return self.view.solve(loaded, sources)

    def _turned(
        self, extra: Floats, added: Floats, cleared: NDArray[np.bool_], turned: Ints, faults: Faults, polarity: int,
        before: tuple[Floats, Floats, Floats],
    ) -> tuple[Floats, Floats, Floats]:  # fmt: skip
        """Volts across the pick-ups running and open, and of all ports, where units have turned over: they stay so
        until a fault turns them back."""
        across, idle, running = before
        left = np.arange(self.ports, self.size, 2)
        matrix = extra.copy()
        matrix[:, : self.ports, : self.ports] += added
        real = self.subject.real[polarity]
        without, answer = self._lifted(matrix, real)
        clean = self.view.judged(matrix, polarity, without).level == 0
        run = self._loaded(matrix, without, answer, real)
        now = np.abs(run[:, left] - run[:, left + 1])
        rows = cleared | (clean & (faults.level == 0) & (turned < 0))
        better = rows[:, None] & ((now > across + _BETTER) | cleared[:, None])
        open_now = np.abs(without[:, left] - without[:, left + 1])
        running = np.where(better.any(axis=1)[:, None], run, running)
        return np.where(better, now, across), np.where(better, open_now, idle), running

    def _blocked(self) -> Outcome:
        count = len(self.back)
        nothing = np.zeros(count)
        vehicles = np.full((count, self.sweep.trailers // 2), np.nan)
        rails = np.zeros((count, len(self.sweep.columns)))
        return Outcome(
            True, nothing.astype(np.int8), nothing, nothing.astype(np.intp), nothing, vehicles, vehicles, rails, rails,
            nothing.astype(np.intp), nothing.astype(bool), nothing.astype(bool),
        )  # fmt: skip

    def _into(self, volts: Floats) -> Floats:
        """(circuits, columns) A from each rail into metal."""
        found = np.zeros((len(volts), len(self.sweep.columns)))
        found[:, self.columns] = (self.stamp[:, : len(self.columns)] @ volts[:, self.at, None])[:, :, 0]
        return found

"""One piece of track and what lies around it, with wheels on it: every circuit of its sweep solved as the bench has it.

A sweep knows rails by number; here they are the rails of this bench, and the sets of points under a run are levers.
Levers that are not under a run but decide the feed of its rails are tried in every combination.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.proof.quiet import MOST_TOGETHER
from sim.proof.subject import Subject
from sim.proof.sweep import Need, Sweep
from sim.proof.units import throws
from sim.proof.view import View
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
    equalises: the fault is only a current between supplies in phase; mixed: it joins supplies of different kinds
    volts, idle: (R, vehicles) across the pick-ups running, and with the load lifted out; NaN for what draws nothing
    injected: (R, columns) A that go from each rail into metal, loads lifted out; drawn: the same running
    units: those that have turned, or None, per situation
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
    polarity: int
    swapped: NDArray[np.bool_]


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
        self._by_need: dict[int, list[int]] = {}
        for row, need in enumerate(sweep.situations[:, 1].tolist()):
            self._by_need.setdefault(need, []).append(row)

    @cached_property
    def cases(self) -> tuple[Case, ...]:
        """See above."""
        found: list[Case] = []
        plans = []
        for need in range(len(self.sweep.needs)):
            rows = self._by_need.get(need)
            if not rows:
                continue
            near = self.subject.conductors.near(self.nodes[list(self.sweep.touched[need])].tolist())
            for under in self._under(self.sweep.needs[need]):
                free = [lever for lever in near.levers if lever not in under]
                plans.append((need, rows, under, free, near.units))
        levers = dict.fromkeys(one for _, _, under, free, _ in plans for one in (*under, *free[:MOST_TOGETHER]))
        units = tuple(dict.fromkeys(unit for *_, some in plans for unit in some))
        base = self._opened(levers, [lever for *_, free, _ in plans for lever in free[MOST_TOGETHER:]])
        made = self.subject.switched.made(self.subject.travel(base)) if base else None
        view = View(self.subject, self.nodes.tolist(), levers, units, made)
        solver = _Solver(self, view, units)
        for need, rows, under, free, _ in plans:
            tried = tuple(free[:MOST_TOGETHER])
            combinations = tuple(
                dict(zip(tried, words, strict=True)) for words in itertools.product(_SETTINGS, repeat=len(tried))
            )
            some = np.array(rows, dtype=np.intp)
            outcomes = tuple(solver.outcome(some, {**under, **combination}) for combination in combinations)
            left = tuple(free[MOST_TOGETHER:])
            found.append(Case(need, some, under, tried, left, combinations, outcomes))
        return tuple(found)

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


class _Solver:
    """Solves the circuits of a sweep in one view of the bench."""

    def __init__(self, meeting: Meeting, view: View, units: Sequence[str]) -> None:
        self.view = view
        self.units = units
        self.subject = meeting.subject
        self.sweep = sweep = meeting.sweep
        self.columns = len(sweep.columns)
        ports = len(view.nodes)
        self.size = ports + sweep.trailers
        self.at = np.concatenate([view.at(meeting.nodes), np.arange(ports, self.size)])
        self.once = len(set(self.at.tolist())) == len(self.at)
        volts = meeting.subject.volts
        draws = np.zeros((len(sweep.items), sweep.trailers // 2))
        works = np.zeros_like(draws)
        for k, item in enumerate(sweep.items):
            for j, vehicle in enumerate(item.vehicles):
                draws[k, j] = 1 / load_ohms(vehicle, volts)
                works[k, j] = vehicle.works_from_volts
        self.draws = draws[sweep.of_item]
        self._stamps: dict[bytes, Floats] = {}

    def _wide(self, circuits: Ints) -> Floats:
        """(circuits, size, size) S: the stamps put to the ports."""
        stamp = self.sweep.stamp[circuits]
        wide = np.zeros((len(circuits), self.size, self.size))
        if self.once:
            wide[:, self.at[:, None], self.at] = stamp
        else:
            for row, values in zip(wide, stamp, strict=True):
                np.add.at(row, (self.at[:, None], self.at[None, :]), values)
        return wide

    def outcome(self, rows: Ints, levers: Mapping[str, str]) -> Outcome:
        """The situations with these levers so."""
        every = self.sweep.situations[rows, 0]
        circuits, back = np.unique(every, return_inverse=True)
        view, ports = self.view, len(self.view.nodes)
        added = view.extra(levers)
        bare = np.zeros((1, ports, ports))
        bare[0] = added
        extra = self._wide(circuits)
        extra[:, :ports, :ports] += added
        best: tuple[int, object] | None = None
        polarity = 0
        standing = None
        for number in range(len(self.subject.polarities)):
            nothing = view.faults(view.solve(bare, number), number)
            if nothing.level[0] and self.units:
                nothing = throws(view, self.units, bare, nothing, number).faults
            if nothing.level[0]:
                return self._blocked(len(rows))
            volts = view.solve(extra, number)
            faults = view.faults(volts, number)
            if standing is None or int(faults.level.max(initial=0)) > int(standing[1].level.max(initial=0)):
                standing, polarity = (volts, faults), number
        del best
        if standing is None:
            return self._blocked(len(rows))
        lifted, faults = standing
        turned = np.full(len(circuits), -1, dtype=np.intp)
        combinations: tuple[tuple[Mapping[str, str], Floats], ...] = ()
        if self.units and faults.level.any():
            done = throws(view, self.units, extra, faults, polarity)
            faults, turned, combinations = done.faults, done.turned, done.combinations
        swapped = np.zeros(len(circuits), dtype=bool)
        for number in range(len(self.subject.swapped)):
            other = len(self.subject.polarities) + number
            swapped |= (view.faults(view.solve(extra, other), other).level > 0) & (faults.level == 0)
        volts, idle, running = self._running(circuits, extra, lifted, faults.level, turned, combinations, polarity)
        stamp = self.sweep.stamp[circuits]
        injected = _into(stamp, lifted[:, self.at], self.columns)
        drawn = _into(stamp, running[:, self.at], self.columns)
        return Outcome(
            False, faults.level[back], faults.amps[back], faults.supply[back], faults.scale[back], volts[back],
            idle[back], injected[back], drawn[back], polarity, swapped[back],
        )  # fmt: skip

    def _blocked(self, count: int) -> Outcome:
        nothing = np.zeros(count)
        vehicles = np.full((count, self.sweep.trailers // 2), np.nan)
        rails = np.zeros((count, self.columns))
        return Outcome(
            True, nothing.astype(np.int8), nothing, nothing.astype(np.intp), nothing, vehicles, vehicles, rails, rails,
            0, nothing.astype(bool),
        )  # fmt: skip

    def _running(
        self, circuits: Ints, extra: Floats, lifted: Floats, level: NDArray[np.int8], turned: Ints,
        combinations: tuple[tuple[Mapping[str, str], Floats], ...], polarity: int,
    ) -> tuple[Floats, Floats, Floats]:  # fmt: skip
        """Volts across the pick-ups with loads and without, and volts of all ports with loads."""
        ports = len(self.view.nodes)
        left = np.arange(ports, self.size, 2)
        draws = self.draws[circuits]

        def solved(matrix: Floats) -> tuple[Floats, Floats, Floats]:
            loaded = matrix.copy()
            loaded[:, left, left + 1] -= draws
            loaded[:, left + 1, left] -= draws
            run = self.view.solve(loaded, polarity)
            return np.abs(run[:, left] - run[:, left + 1]), run, loaded

        volts, running, _ = solved(extra)
        idle = np.abs(lifted[:, left] - lifted[:, left + 1])
        for number, (_, added) in enumerate(combinations):
            if not (turned == number).any():
                continue
            # Once a run has turned them over, units stay so until a fault turns them back.
            matrix = extra.copy()
            matrix[:, :ports, :ports] += added
            without = self.view.solve(matrix, polarity)
            clean = self.view.faults(without, polarity).level == 0
            across, run, _ = solved(matrix)
            rows = (turned == number) | (clean & (level == 0) & (turned < 0))
            better = rows[:, None] & ((across > volts + _BETTER) | (turned == number)[:, None])
            volts = np.where(better, across, volts)
            idle = np.where(better, np.abs(without[:, left] - without[:, left + 1]), idle)
            running = np.where(better.any(axis=1)[:, None], run, running)
        volts = np.where(draws > 0, volts, np.nan)
        return volts, idle, running


def _into(stamp: Floats, volts: Floats, columns: int) -> Floats:
    """(S, columns) A from each rail into metal."""
    return np.asarray((stamp[:, :columns] @ volts[:, :, None])[:, :, 0])

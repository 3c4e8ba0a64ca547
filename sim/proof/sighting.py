"""What is seen on the runs over one piece of track, before it is told: which place is bad, and what it is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sim.proof.blame import Trouble, is_advice, troubles
from sim.proof.meeting import Case, Meeting
from sim.proof.sweep import Item, Run
from sim.proof.verdict import Kind
from sim.wiring.wheels import collects

__all__ = ["Sighting", "Sightings", "seen"]

Ints = NDArray[np.intp]

_WEAK = 0.9  # of the open volts (model.md section 5)
_ALIKE = 1e-6


@dataclass(frozen=True)
class Key:
    """What makes findings one: the kind, whether it fails, the rails that it is about, and the levers to blame.

    rails: numbers of what is one rail; see `Subject.whole`
    """

    kind: Kind
    fails: bool
    rails: frozenset[int]
    blamed: tuple[tuple[str, str], ...]


@dataclass(frozen=True, eq=False)
class Sighting:
    """A bad stretch of one run.

    rails: the rails, as numbers of the sweep's columns; cells: (cells,) bool, where it is seen with these rails; cell:
    that which is shown, the first on the run's way; every: (cells,) bool, where it is seen at all
    """

    key: Key
    run: Run
    case: Case
    combination: int
    rails: tuple[int, ...]
    cells: NDArray[np.bool_]
    cell: int
    blamed: Mapping[str, str]
    every: NDArray[np.bool_]
    vehicle: int = 0


@dataclass
class Sightings:
    """All that is seen over a piece: each run's outcome (track, item, direction), and the bad stretches."""

    safe: dict[tuple[int, int, str], bool] = field(default_factory=dict)
    live: dict[tuple[int, int, str], bool] = field(default_factory=dict)
    found: list[Sighting] = field(default_factory=list)


class _Situation:
    """What the situations of a meeting come to, put together from its cases."""

    def __init__(self, meeting: Meeting) -> None:
        count = len(meeting.sweep.situations)
        vehicles = meeting.sweep.trailers // 2
        self.meeting = meeting
        self.level = np.zeros(count, dtype=np.int8)
        self.dead = np.zeros((count, vehicles), dtype=bool)
        self.weak = np.zeros((count, vehicles), dtype=bool)
        self.swapped = np.zeros(count, dtype=bool)
        self.blocked = np.ones(count, dtype=bool)
        self.given = np.zeros(count, dtype=bool)
        self.case: list[Case | None] = [None] * count
        self.row = np.zeros(count, dtype=np.intp)
        self.trouble: dict[int, tuple[Trouble, ...]] = {}
        items = meeting.sweep.items
        works = np.zeros((len(items), vehicles))
        for k, item in enumerate(items):
            works[k, : len(item.vehicles)] = [vehicle.works_from_volts for vehicle in item.vehicles]
        self.works = works[meeting.sweep.of_item][meeting.sweep.situations[:, 0]]
        by_need: dict[int, list[Case]] = {}
        for case in meeting.cases:
            by_need.setdefault(case.need, []).append(case)
        for cases in by_need.values():
            self._put(cases)

    def _put(self, cases: list[Case]) -> None:
        rows = cases[0].rows
        judged = [self._judged(case) for case in cases]
        chosen = np.zeros(len(rows), dtype=np.intp)
        if len(cases) > 1:  # points needed both ways at once: it is enough that one of the ways is clean
            bad = np.array([[row in found for row in range(len(rows))] for found, *_ in judged])
            chosen = np.argmin(bad, axis=0)
        for number, (case, (found, level, dead, weak, swapped, blocked)) in enumerate(zip(cases, judged, strict=True)):
            mine = chosen == number
            where = rows[mine]
            self.level[where], self.dead[where], self.weak[where] = level[mine], dead[mine], weak[mine]
            self.swapped[where] = swapped[mine]
            self.blocked[where] = blocked
            self.given[where] = True
            for row in np.flatnonzero(mine).tolist():
                self.case[int(rows[row])] = case
                self.row[int(rows[row])] = row
                if row in found:
                    self.trouble[int(rows[row])] = found[row]

    def _judged(
        self, case: Case
    ) -> tuple[
        dict[int, tuple[Trouble, ...]], NDArray[np.int8], NDArray[np.bool_], NDArray[np.bool_], NDArray[np.bool_], bool
    ]:  # fmt: skip
        works = self.works[case.rows]
        with np.errstate(invalid="ignore"):
            dead = np.array([(one.volts < works) & (one.level == 0)[:, None] for one in case.outcomes])
            level = np.array([one.level for one in case.outcomes])
            bad = (level > 0) | dead.any(axis=2)
            blocked = [one.blocked for one in case.outcomes]
            found = troubles(case, bad, blocked)
            shown = next((k for k, stands in enumerate(blocked) if not stands), 0)
            one = case.outcomes[shown]
            weak = ~dead[shown] & (one.level == 0)[:, None] & (one.volts < _WEAK * one.idle)
        any_level, any_dead = np.zeros_like(level[0]), np.zeros_like(dead[0])
        for row, several in found.items():
            for trouble in several:
                any_level[row] = max(any_level[row], level[trouble.combination, row])
                any_dead[row] |= dead[trouble.combination, row]
        return found, any_level, any_dead, weak, one.swapped, all(blocked)


def _crossed(injected: NDArray[np.float64]) -> tuple[int, int]:
    """The rails by which most current enters metal and by which most leaves it; of those alike, the first by number."""
    ends = []
    for most in (injected, -injected):
        alike = most >= most.max() * (1 - _ALIKE) - _ALIKE
        ends.append(int(np.argmax(alike)))
    return ends[0], ends[1]


def _cells_first(run: Run, cells: NDArray[np.bool_]) -> int:
    some = np.flatnonzero(cells)
    if run.direction == "forward":
        return int(some[np.argmin(run.to_mm[some])])
    return int(some[np.argmax(run.from_mm[some])])


def _on_the_way(run: Run, cells: NDArray[np.bool_]) -> float:
    """How far on its way an item first comes into these cells."""
    return float(run.to_mm[cells].min()) if run.direction == "forward" else -float(run.from_mm[cells].max())


@dataclass
class _Seen:
    """A bad stretch of a run as it is put together, the same rails joined or starved all along."""

    case: Case
    trouble: Trouble
    rails: tuple[int, ...]
    cells: NDArray[np.bool_]
    vehicle: int = 0


def _add(seen: dict[Key, dict[tuple[int, ...], _Seen]], key: Key, one: _Seen) -> None:
    known = seen.setdefault(key, {})
    if one.rails in known:
        known[one.rails].cells = known[one.rails].cells | one.cells
    else:
        known[one.rails] = one


class _Watcher:
    """Looks at the runs of a meeting one by one."""

    def __init__(self, meeting: Meeting) -> None:
        self.meeting = meeting
        self.subject = meeting.subject
        self.all = _Situation(meeting)
        self.out = Sightings()
        self.whole = self.subject.whole[meeting.nodes]
        self.frogs = meeting.subject.frogs(tuple(meeting.slots))
        self.at_frog = np.array([name.split("/")[0] in self.frogs for name in meeting.names])
        self._feeds: dict[tuple[int, int], NDArray[np.int8]] = {}
        self._advice: dict[tuple[object, ...], str | None] = {}

    def run(self, run: Run) -> None:
        """One run of an item with the points set for it."""
        all_, sit = self.all, run.situation
        key = (run.track, run.item, run.direction)
        given = all_.given[sit]
        if not given.any():
            return  # no setting of the levers gives it
        blocked = all_.blocked[sit] & given
        level, dead = all_.level[sit], all_.dead[sit].any(axis=1)
        safe = live = not bool(blocked.any())
        if (level > 0).any() or dead.any():
            hurt, starved = self._bad(run, given)
            safe, live = safe and not hurt and not starved, live and not starved
        self._weak(run, given)
        self._swapped(run, given)
        self.out.safe[key] = self.out.safe.get(key, True) and safe
        self.out.live[key] = self.out.live.get(key, True) and live

    def _bad(self, run: Run, given: NDArray[np.bool_]) -> tuple[bool, bool]:
        """Shorts, hot and dead places; whether any of them fails, of the first two and of the last."""
        all_, sit = self.all, run.situation
        fails_short = np.zeros(len(sit), dtype=bool)
        hurt = starved = False
        seen: dict[Key, dict[tuple[int, ...], _Seen]] = {}
        situations = [q for q in np.unique(sit[given]).tolist() if q in all_.trouble]
        later: list[tuple[int, Trouble, Case, int]] = []
        for q in situations:
            case, row = all_.case[q], int(all_.row[q])
            if case is None:
                continue
            for trouble in all_.trouble[q]:
                outcome = case.outcomes[trouble.combination]
                if not outcome.level[row]:
                    later.append((q, trouble, case, row))
                    continue
                rails = tuple(sorted(set(_crossed(outcome.injected[row]))))
                kind: Kind = "short" if outcome.level[row] == 2 else "hot"
                found = self._key(run, case, trouble, kind, rails, short=True)
                cells = (sit == q) & given
                if found.fails:
                    hurt = True
                    if kind == "short":
                        fails_short |= cells
                _add(seen, found, _Seen(case, trouble, rails, cells))
        reached = _reached(run, fails_short)
        for q, trouble, case, row in later:
            cells = (sit == q) & given & reached
            if not cells.any():
                continue
            outcome = case.outcomes[trouble.combination]
            works = all_.works[q]
            for k, volts in enumerate(outcome.volts[row].tolist()):
                if not volts < works[k]:
                    continue
                for state in np.unique(run.state[cells]).tolist():
                    rails = self._starving(run, state, k, case, trouble.combination)
                    found = self._key(run, case, trouble, "dead", rails, short=False)
                    starved |= found.fails
                    some = cells & (run.state == state)
                    _add(seen, found, _Seen(case, trouble, rails, some, k))
        for found, stretches in seen.items():
            one = min(stretches.values(), key=lambda each: _on_the_way(run, each.cells))
            cell = _cells_first(run, one.cells)
            trouble = one.trouble
            every = np.logical_or.reduce([each.cells for each in stretches.values()])
            told = Sighting(
                found, run, one.case, trouble.combination, one.rails, one.cells, cell, trouble.blamed, every,
                one.vehicle,
            )  # fmt: skip
            self.out.found.append(told)
        return hurt, starved

    def _key(
        self, run: Run, case: Case, trouble: Trouble, kind: Kind, rails: tuple[int, ...], *, short: bool
    ) -> Key:
        blamed = tuple(sorted(trouble.blamed.items()))
        advice: str | None = None
        if blamed:
            at_frog = bool(self.at_frog[list(rails)].any())
            what = (run.track, blamed, short, at_frog)
            if what not in self._advice:
                self._advice[what] = is_advice(
                    self.meeting, run.track, trouble.blamed, short=short, at_frog=at_frog, dc=self._dc(rails)
                )
            advice = self._advice[what]
        numbers = frozenset(int(self.whole[k]) for k in rails)
        if advice is not None:
            told: Kind = "points-against" if advice == "points-against" else "set-first"
            return Key(told, False, numbers, blamed)
        return Key(kind, True, numbers, () if short else blamed)

    def _dc(self, rails: tuple[int, ...]) -> bool:
        """Whether what could feed these rails is DC."""
        del rails
        return all(supply.kind == "dc" for supply in self.subject.bench.supplies)

    def _codes(self, case: Case, combination: int) -> NDArray[np.int8]:
        """0 none, 1 side A, 2 side B, 3 both: of each column, with the levers so."""
        key = (id(case), combination)
        if key not in self._feeds:
            settings = {**case.under, **case.combinations[combination]}
            made = self.subject.switched.made(self.subject.travel(settings))
            feeds = self.subject.feeds
            codes = feeds.codes(made)
            self._feeds[key] = codes[[feeds.group_of(node) for node in self.meeting.nodes.tolist()]]
        return self._feeds[key]

    def _starving(self, run: Run, state: int, vehicle: int, case: Case, combination: int) -> tuple[int, ...]:
        """Rails under the pick-up wheels of a side that nothing feeds, else of both; none where a side has no metal."""
        item: Item = self.meeting.sweep.items[run.item]
        begin = sum(len(each.axles_mm) for each in item.vehicles[:vehicle])
        of = item.vehicles[vehicle]
        collecting = collects(of)
        touched = run.touches[state, begin : begin + len(of.axles_mm)]
        codes = self._codes(case, combination)
        sides = []
        for side in (0, 1):
            row = (touched[:, side] & collecting[:, side, None]).any(axis=0)
            sides.append(tuple(np.flatnonzero(row).tolist()))
        if () in sides:
            return ()
        starving = [rails for rails in sides if not codes[list(rails)].any()]
        return tuple(sorted({rail for rails in starving or sides for rail in rails}))

    def _weak(self, run: Run, given: NDArray[np.bool_]) -> None:
        weak = self.all.weak[run.situation] & given[:, None]
        for k in np.flatnonzero(weak.any(axis=0)).tolist():
            cells = weak[:, k] & _reached(run, self.all.level[run.situation] == 2)
            if not cells.any():
                continue
            some = np.flatnonzero(cells)
            volts = [self._volts(int(run.situation[cell]), k) for cell in some.tolist()]
            cell = int(some[int(np.argmin(volts))])
            q = int(run.situation[cell])
            case = self.all.case[q]
            if case is None:
                continue
            shown = self._shown(case)
            rails = tuple(sorted(set(_crossed(case.outcomes[shown].drawn[int(self.all.row[q])]))))
            key = Key("weak", False, frozenset(int(self.whole[rail]) for rail in rails), ())
            self.out.found.append(Sighting(key, run, case, shown, rails, cells, cell, {}, cells, k))

    def _volts(self, q: int, vehicle: int) -> float:
        case = self.all.case[q]
        if case is None:
            return float("inf")
        return float(case.outcomes[self._shown(case)].volts[int(self.all.row[q]), vehicle])

    @staticmethod
    def _shown(case: Case) -> int:
        return next((k for k, one in enumerate(case.outcomes) if not one.blocked), 0)

    def _swapped(self, run: Run, given: NDArray[np.bool_]) -> None:
        """Places where two DC supplies would short if one were turned the other way."""
        cells = self.all.swapped[run.situation] & given
        if not cells.any():
            return
        cell = _cells_first(run, cells)
        case = self.all.case[int(run.situation[cell])]
        if case is None:
            return
        touched = run.touches[run.state[cell]].any(axis=(0, 1))
        rails = tuple(np.flatnonzero(touched).tolist())
        key = Key("set-first", False, frozenset(int(self.whole[rail]) for rail in rails), (("", ""),))
        self.out.found.append(Sighting(key, run, case, self._shown(case), rails, cells, cell, {}, cells))


def _reached(run: Run, shorts: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """(cells,) bool: where the vehicle can come, from either end, before the breaker opens on its way."""
    if not shorts.any():
        return np.ones(len(shorts), dtype=bool)
    reached = np.zeros(len(shorts), dtype=bool)
    for shift in np.unique(run.shift):
        cells = np.flatnonzero(run.shift == shift)
        here = shorts[cells]
        reached[cells] = (np.cumsum(here) == 0) | (np.cumsum(here[::-1])[::-1] == 0)
    return reached


def seen(meeting: Meeting) -> Sightings:
    """Everything that the runs over a piece show, with the points set for them."""
    watcher = _Watcher(meeting)
    for run in meeting.sweep.runs:
        if not run.against:
            watcher.run(run)
    return watcher.out



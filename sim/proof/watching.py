"""The runs over one piece of track looked at one by one: what is bad on them, and where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.proof.blaming import Blame, Blamer
from sim.proof.crossed import crossed
from sim.proof.instant import instant
from sim.proof.latest import MOST_PIECES, Latest
from sim.proof.meeting import Case, Meeting
from sim.proof.sighting import Key, Load, Sighting, Sightings, Situations, shown_of
from sim.proof.standing import item_standing
from sim.proof.sweep import Item, Run
from sim.proof.verdict import Kind
from sim.wiring.wheels import collects

__all__ = ["seen"]

Ints = NDArray[np.intp]


def _cells_first(run: Run, cells: NDArray[np.bool_]) -> int:
    some = np.flatnonzero(cells)
    if run.direction == "forward":
        return int(some[np.argmin(run.to_mm[some])])
    return int(some[np.argmax(run.from_mm[some])])


def _on_the_way(run: Run, cells: NDArray[np.bool_]) -> float:
    """How far on its way an item first comes into these cells."""
    return float(run.to_mm[cells].min()) if run.direction == "forward" else -float(run.from_mm[cells].max())


@dataclass(frozen=True, eq=False)
class _Seen:
    """Cells of a run that are bad alike, in one case and by the same levers."""

    blame: Blame
    rails: tuple[int, ...]
    cells: NDArray[np.bool_]
    vehicle: int = 0


def _add(seen: dict[tuple[Key, bool], dict[tuple[int, ...], list[_Seen]]], key: Key, one: _Seen) -> None:
    seen.setdefault((key, one.blame.torn), {}).setdefault(one.rails, []).append(one)


class _Watcher:
    """Looks at the runs of a meeting one by one."""

    def __init__(self, meeting: Meeting) -> None:
        self.meeting = meeting
        self.subject = meeting.subject
        self.all = Situations(meeting)
        self.out = Sightings()
        self.whole = self.subject.whole[meeting.nodes]
        self.blamer = Blamer(meeting, self.all)
        self._weighed: dict[int, list[Load]] = {}

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
        if self.subject.several:
            self._marked(run, self.all.swapped, "set-first", fails=False)
            self._marked(run, self.all.evens, "joined-supplies", fails=False)
            if self.mixed.any():
                self._marked(run, self.mixed, "joined-supplies", fails=True)
                safe = safe and not bool(self.mixed[sit].any())
        self.overloads(run)
        self.out.safe[key] = self.out.safe.get(key, True) and safe
        self.out.live[key] = self.out.live.get(key, True) and live

    def _bad(self, run: Run, given: NDArray[np.bool_]) -> tuple[bool, bool]:
        """Shorts, hot and dead places; whether any of them fails, of the first two and of the last."""
        sit, blamer = run.situation, self.blamer
        fails_short = np.zeros(len(sit), dtype=bool)
        hurt = starved = False
        seen: dict[tuple[Key, bool], dict[tuple[int, ...], list[_Seen]]] = {}
        later: list[tuple[int, Blame]] = []
        torn = blamer.torn(run, given)
        for q in np.unique(sit[given]).tolist():
            if q not in self.all.trouble:
                continue
            for part in (False, True):
                cells = (sit == q) & given & (torn == part)
                if not cells.any():
                    continue
                for blame in blamer.blames(run, q, torn=part):
                    if not blame.short:
                        later.append((q, blame))
                        continue
                    found = blamer.key(blame, blame.rails)
                    hurt |= found.fails
                    if found.kind == "short":
                        fails_short |= cells
                    _add(seen, found, _Seen(blame, blame.rails, cells))
        reached = _reached(run, fails_short)
        for (_, k), (blame, some) in self._starved(later).items():
            cells = np.isin(sit, some) & given & reached & (torn == blame.torn)
            states_here = np.unique(run.state[cells])
            if not len(states_here):
                continue
            for states, every, lacking in self._starving(run, states_here, k, blame.case, blame.combination):
                mine = cells & np.isin(run.state, states)
                first = int(run.state[_cells_first(run, mine)])
                rails = tuple(np.flatnonzero(every[int(np.searchsorted(states, first))]).tolist())
                found = blamer.key(blame, rails)
                if lacking and found.kind == "dead":
                    found = replace(found, lacking=True)
                starved |= found.fails
                _add(seen, found, _Seen(blame, rails, mine, k))
        for (found, part), stretches in seen.items():
            whole = {rails: np.logical_or.reduce([each.cells for each in parts]) for rails, parts in stretches.items()}
            rails = min(whole, key=lambda each: _on_the_way(run, whole[each]))
            cells = whole[rails]
            cell = _cells_first(run, cells)
            one = next(each for each in stretches[rails] if each.cells[cell])
            blame = one.blame
            every = np.logical_or.reduce(list(whole.values()))
            told = Sighting(
                found, run, blame.case, blame.combination, rails, cells, cell, blame.blamed, one.vehicle, every, part
            )
            self.out.found.append(told)
        return hurt, starved

    def _starved(
        self, later: list[tuple[int, Blame]]
    ) -> dict[tuple[tuple[object, ...], int], tuple[Blame, list[int]]]:
        """Situations in which a vehicle has too few volts, those together that have the same levers to blame."""
        found: dict[tuple[tuple[object, ...], int], tuple[Blame, list[int]]] = {}
        for q, blame in later:
            volts = blame.case.outcomes[blame.combination].volts[blame.row]
            about = (id(blame.case), blame.combination, blame.torn, blame.advice, *sorted(blame.blamed.items()))
            for k in np.flatnonzero(volts < self.all.works[q]).tolist():
                found.setdefault((about, k), (blame, []))[1].append(q)
        return found

    def _starving(
        self, run: Run, states: Ints, vehicle: int, case: Case, combination: int
    ) -> Iterator[tuple[Ints, NDArray[np.bool_], bool]]:
        """Which of these states starve for the same reason, sorted, and (states, columns) the rails that it is about.

        Those are the rails under the pick-up wheels of a side that nothing feeds, and True; else those of both sides;
        none where a side's wheels stand on none.
        """
        item: Item = self.meeting.sweep.items[run.item]
        begin = sum(len(each.axles_mm) for each in item.vehicles[:vehicle])
        of = item.vehicles[vehicle]
        touched = run.touches[states, begin : begin + len(of.axles_mm)] & collects(of)[:, :, None]
        under = np.any(touched, axis=1)  # (states, 2, columns)
        fed = under & (self.blamer.codes(case, combination) > 0)
        unfed = ~np.any(fed, axis=2)
        empty = ~np.all(np.any(under, axis=2), axis=1)
        lacking = unfed.any(axis=1) & ~empty
        shown = under & (unfed | ~lacking[:, None])[:, :, None]
        rails = np.any(shown, axis=1) & ~empty[:, None]
        _, of_whole = np.unique(self.whole, return_inverse=True)
        wholes = np.zeros((len(states), int(of_whole.max(initial=0)) + 2), dtype=bool)
        for column, number in enumerate(of_whole.tolist()):
            wholes[:, number] |= rails[:, column]
        wholes[:, -1] = lacking
        _, alike = np.unique(wholes, axis=0, return_inverse=True)
        for one in range(int(alike.max()) + 1):
            mine = alike.ravel() == one
            yield states[mine], rails[mine], bool(lacking[mine][0])

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
            shown = shown_of(case)
            drawn = case.outcomes[shown].drawn[int(self.all.row[q])]
            rails = crossed(self.meeting.sweep, q, drawn, running=True)
            key = Key("weak", False, frozenset(int(self.whole[rail]) for rail in rails), ())
            self.out.found.append(Sighting(key, run, case, shown, rails, cells, cell, {}, k))

    def _volts(self, q: int, vehicle: int) -> float:
        case = self.all.case[q]
        if case is None:
            return float("inf")
        return float(case.outcomes[shown_of(case)].volts[int(self.all.row[q]), vehicle])

    def _marked(self, run: Run, marked: NDArray[np.bool_], kind: Kind, *, fails: bool) -> None:
        """Places where supplies meet: see `Outcome.swapped` and `evens`, and `_mixed`."""
        cells = marked[run.situation] & self.all.given[run.situation]
        if not cells.any():
            return
        cell = _cells_first(run, cells)
        case = self.all.case[int(run.situation[cell])]
        if case is None:
            return
        touched = run.touches[run.state[cell]].any(axis=(0, 1))
        rails = tuple(np.flatnonzero(touched).tolist())
        numbers = frozenset(int(self.whole[rail]) for rail in rails)
        key = Key(kind, fails, numbers, (("", kind),))
        self.out.found.append(Sighting(key, run, case, shown_of(case), rails, cells, cell, {}))

    @cached_property
    def mixed(self) -> NDArray[np.bool_]:
        """(situations,) bool: metal joins what supplies of different kinds feed."""
        bench, sweep = self.subject.bench, self.meeting.sweep
        out = np.zeros(len(sweep.situations), dtype=bool)
        if len({supply.kind for supply in bench.supplies}) < 2:
            return out
        kinds = np.array([1 if supply.kind == "dcc" else 2 for supply in bench.supplies])
        of_case: dict[int, NDArray[np.int64]] = {}
        for q, case in enumerate(self.all.case):
            if case is None:
                continue
            if id(case) not in of_case:
                settings = {**case.under, **case.combinations[shown_of(case)]}
                made = self.subject.made(settings)
                sides = self.subject.feeds.supplies_at(made, self.meeting.nodes.tolist())
                of_case[id(case)] = np.array([_bits(kinds, {supply for supply, _ in each}) for each in sides])
            bits = of_case[id(case)]
            root = sweep.metal(int(sweep.situations[q, 0]))
            for one in np.unique(root[root >= 0]).tolist():
                if int(np.bitwise_or.reduce(bits[root == one])) == 3:
                    out[q] = True
        return out

    @cached_property
    def heavy(self) -> dict[int, tuple[Case, int, bool]]:
        """Situations in which a part might have more current than it is made for, and whether as a hot fault: of each
        rail that in which most comes from it."""
        least = float(self.subject.rated_amps.min(initial=np.inf))
        found: dict[int, tuple[Case, int, bool]] = {}
        for case in self.meeting.cases:
            outcome = case.outcomes[shown_of(case)]
            if outcome.blocked:
                continue
            for hot in (False, True):
                much = np.abs(outcome.injected if hot else outcome.drawn)
                rows = (outcome.level == 1) if hot else (outcome.level < 2)
                rows &= (outcome.amps > least) if hot else (much.sum(axis=1) > 2 * least)
                some = np.flatnonzero(rows)
                if len(some):
                    for row in dict.fromkeys(some[np.argmax(much[some], axis=0)].tolist()):
                        found.setdefault(int(case.rows[row]), (case, row, hot))
        return found

    def overloads(self, run: Run) -> None:
        """Parts with more current than they are made for."""
        if not self.heavy:
            return
        for q in np.unique(run.situation).tolist():
            if q not in self.heavy:
                continue
            case, row, hot = self.heavy[q]
            cells = run.situation == q
            cell = _cells_first(run, cells)
            outcome = case.outcomes[shown_of(case)]
            much = (outcome.injected if hot else outcome.drawn)[row]
            rails = crossed(self.meeting.sweep, q, much, running=not hot)
            key = Key("overloaded", False, frozenset(), ())
            shown = Sighting(key, run, case, shown_of(case), rails, cells, cell, {})
            if q not in self._weighed:
                settings = {**case.under, **case.combinations[shown_of(case)]}
                standing = item_standing(self.meeting, shown, running=not hot)
                now = instant(self.subject, settings, sources=int(outcome.sources[row]), standing=standing)
                over = [Load(shown, rating, now.amps(rating.ref)) for rating in self.subject.ratings]
                self._weighed[q] = [load for load in over if load.amps > load.rating.amps]
            self.out.loads += [replace(load, sighting=shown) for load in self._weighed[q]]


def _bits(kinds: NDArray[np.int64], supplies: set[int]) -> int:
    return int(np.bitwise_or.reduce(kinds[sorted(supplies)])) if supplies else 0


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


_CLEAN: Latest[tuple[tuple[int, int, str], ...]] = Latest(MOST_PIECES)
"""Runs of meetings on which nothing at all is seen."""


def seen(meeting: Meeting) -> Sightings:
    """Everything that the runs over a piece show, with the points set for them."""
    subject = meeting.subject
    key = (*meeting.alike, float(subject.rated_amps.min(initial=np.inf)))
    clean = None if subject.several else _CLEAN.get(key)
    if clean is not None:
        return Sightings(dict.fromkeys(clean, True), dict.fromkeys(clean, True))
    watcher = _Watcher(meeting)
    for run in meeting.sweep.runs:
        if not run.against:
            watcher.run(run)
    heavy = meeting.sweep.set_right[list(watcher.heavy)].any()
    if watcher.all.clean and not heavy and not subject.several:
        _CLEAN.put(key, tuple(watcher.out.safe))
    return watcher.out



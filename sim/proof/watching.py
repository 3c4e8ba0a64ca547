"""The runs over one piece of track looked at one by one: what is bad on them, and where."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.proof.blame import is_advice
from sim.proof.crossed import crossed
from sim.proof.instant import instant
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
class _Blame:
    """Why a situation is bad in a combination of the levers off the run; see `Trouble`.

    row: its place in the case; level: 0 dead, 1 hot, 2 short; advice: why it fails nothing; rails: crossed by a current
    torn: see `Sighting`
    """

    case: Case
    row: int
    combination: int
    blamed: Mapping[str, str]
    advice: str | None
    level: int
    rails: tuple[int, ...]
    torn: bool

    @property
    def short(self) -> bool:
        """Whether too much current flows, and not too little."""
        return self.level > 0


@dataclass
class _Seen:
    """A bad stretch of a run as it is put together, the same rails joined or starved all along."""

    blame: _Blame
    rails: tuple[int, ...]
    cells: NDArray[np.bool_]
    vehicle: int = 0


def _add(
    seen: dict[tuple[Key, bool], dict[tuple[int, ...], _Seen]], key: tuple[Key, bool], one: _Seen
) -> None:
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
        self.all = Situations(meeting)
        self.out = Sightings()
        self.whole = self.subject.whole[meeting.nodes]
        self.frogs = meeting.subject.frogs(tuple(meeting.slots))
        self.at_frog = np.array([name.split("/")[0] in self.frogs for name in meeting.names])
        self._feeds: dict[tuple[int, int], NDArray[np.int8]] = {}
        self._advice: dict[tuple[object, ...], str | None] = {}
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
        all_, sit = self.all, run.situation
        fails_short = np.zeros(len(sit), dtype=bool)
        hurt = starved = False
        seen: dict[tuple[Key, bool], dict[tuple[int, ...], _Seen]] = {}
        later: list[tuple[int, _Blame, NDArray[np.bool_]]] = []
        torn = self._torn(run, given)
        for q in np.unique(sit[given]).tolist():
            if q not in all_.trouble:
                continue
            for part in (False, True):
                cells = (sit == q) & given & (torn == part)
                if not cells.any():
                    continue
                for blame in self._blames(run, q, torn=part):
                    if not blame.short:
                        later.append((q, blame, cells))
                        continue
                    found = self._key(blame, blame.rails)
                    hurt |= found.fails
                    if found.kind == "short":
                        fails_short |= cells
                    _add(seen, (found, part), _Seen(blame, blame.rails, cells))
        reached = _reached(run, fails_short)
        for q, blame, some in later:
            cells = some & reached
            if not cells.any():
                continue
            works = all_.works[q]
            for k, volts in enumerate(blame.case.outcomes[blame.combination].volts[blame.row].tolist()):
                if not volts < works[k]:
                    continue
                for state in np.unique(run.state[cells]).tolist():
                    rails, lacking = self._starving(run, state, k, blame.case, blame.combination)
                    found = self._key(blame, rails)
                    if lacking and found.kind == "dead":
                        found = replace(found, lacking=True)
                    starved |= found.fails
                    _add(seen, (found, blame.torn), _Seen(blame, rails, cells & (run.state == state), k))
        for (found, part), stretches in seen.items():
            one = min(stretches.values(), key=lambda each: _on_the_way(run, each.cells))
            cell = _cells_first(run, one.cells)
            blame = one.blame
            told = Sighting(
                found, run, blame.case, blame.combination, one.rails, one.cells, cell, blame.blamed, one.vehicle, part
            )
            self.out.found.append(told)
        return hurt, starved

    def _torn(self, run: Run, given: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """(cells,) bool: places that levers off the run spoil, on stretches that no one setting of them leaves clean,
        though each place has one that does: they cannot be thrown on the way."""
        all_, sit = self.all, run.situation
        torn = np.zeros(len(sit), dtype=bool)
        spoiled = [q for q in np.unique(sit[given]).tolist() if any(one.ways[0] for one in all_.trouble.get(q, ()))]
        marked = np.isin(sit, spoiled) & given
        for stretch in np.unique(run.stretch[marked]).tolist():
            cells = marked & (run.stretch == stretch)
            rows: dict[int, list[int]] = {}
            for q in np.unique(sit[cells]).tolist():
                rows.setdefault(id(all_.case[q]), []).append(int(all_.row[q]))
            if any(all_.bad[case][:, some].any(axis=1).all() for case, some in rows.items()):
                torn |= cells
        return torn

    def _blames(self, run: Run, q: int, *, torn: bool) -> list[_Blame]:
        """What makes a situation bad, each with the fewest levers to blame: of several that are as few, those that are
        the operator's to set; none with more levers than another that does."""
        case, row = self.all.case[q], int(self.all.row[q])
        if case is None:
            return []
        found: list[_Blame] = []
        for trouble in self.all.trouble[q]:
            outcome = case.outcomes[trouble.combination]
            level = int(outcome.level[row])
            rails = crossed(self.meeting.sweep, q, outcome.injected[row]) if level else ()
            advice: str | None = None
            blamed = trouble.ways[0]
            if not torn:
                at_frog = bool(self.at_frog[list(rails)].any())
                meets = level > 0 or (any(trouble.ways) and self._spans(run, q, case, trouble.combination))
                for way in trouble.ways:
                    advice = self._advised(run.track, way, short=level > 0, at_frog=at_frog, meets=meets)
                    if advice is not None:
                        blamed = way
                        break
            found.append(_Blame(case, row, trouble.combination, blamed, advice, level, rails, torn))
        return [
            one
            for one in found
            if not any(
                other.blamed.items() < one.blamed.items()
                and (other.short, other.advice is None) == (one.short, one.advice is None)
                for other in found
            )
        ]

    def _advised(
        self, track: int, way: Mapping[str, str], *, short: bool, at_frog: bool, meets: bool
    ) -> str | None:
        if not way:
            return None
        what = (track, tuple(way.items()), short, at_frog, meets)
        if what not in self._advice:
            self._advice[what] = is_advice(
                self.meeting, track, way, dead=not short, at_joint=meets and not at_frog, dc=self._dc
            )
        return self._advice[what]

    def _spans(self, run: Run, q: int, case: Case, combination: int) -> bool:
        """Whether a vehicle that collects crosswise has its left on one piece and its right on another, both fed: where
        the sides of two pieces do not fit each other it is dead, and most others short."""
        codes = self._codes(case, combination)
        touched = run.touches[run.state[int(np.argmax(run.situation == q))]].any(axis=0)
        left, right = (
            {self.meeting.names[column].partition(".")[0] for column in np.flatnonzero(row).tolist()} for row in touched
        )
        return not left & right and all(codes[row].any() for row in touched)

    def _key(self, blame: _Blame, rails: tuple[int, ...]) -> Key:
        blamed = tuple(sorted(blame.blamed.items()))
        numbers = frozenset(int(self.whole[k]) for k in rails)
        if blame.advice is not None:
            told: Kind = "points-against" if blame.advice == "points-against" else "set-first"
            return Key(told, False, numbers, blamed)
        kind: Kind = "short" if blame.level == 2 else "hot" if blame.level == 1 else "dead"
        return Key(kind, True, numbers, () if blame.short else blamed)

    @property
    def _dc(self) -> bool:
        """Whether the bench is a DC one."""
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

    def _starving(
        self, run: Run, state: int, vehicle: int, case: Case, combination: int
    ) -> tuple[tuple[int, ...], bool]:
        """Rails under the pick-up wheels of a side that nothing feeds, and True; else of both; none where one has none.
        """
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
            return (), False
        starving = [rails for rails in sides if not codes[list(rails)].any()]
        return tuple(sorted({rail for rails in starving or sides for rail in rails})), bool(starving)

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
            rails = crossed(self.meeting.sweep, q, case.outcomes[shown].drawn[int(self.all.row[q])])
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
                made = self.subject.switched.made(self.subject.travel(settings))
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
            rails = crossed(self.meeting.sweep, q, (outcome.injected if hot else outcome.drawn)[row])
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


def seen(meeting: Meeting) -> Sightings:
    """Everything that the runs over a piece show, with the points set for them."""
    watcher = _Watcher(meeting)
    for run in meeting.sweep.runs:
        if not run.against:
            watcher.run(run)
    return watcher.out



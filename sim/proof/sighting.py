"""What is seen on the runs over one piece of track, before it is told: which place is bad, and what it is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sim.proof.blame import Trouble, troubles
from sim.proof.meeting import Case, Meeting
from sim.proof.sweep import Run
from sim.proof.verdict import Kind
from sim.wiring.build import Rating

__all__ = ["Key", "Load", "Sighting", "Sightings", "Situations", "shown_of"]

_WEAK = 0.9  # of the open volts (model.md section 5)

_Judged = tuple[dict[int, tuple[Trouble, ...]], NDArray[np.int8], NDArray[np.bool_], NDArray[np.bool_], bool]


@dataclass(frozen=True)
class Key:
    """What makes findings one: the kind, whether it fails, the rails that it is about, and the levers to blame.

    rails: numbers of what is one rail; see `Subject.whole`; lacking: nothing feeds them
    """

    kind: Kind
    fails: bool
    rails: frozenset[int]
    blamed: tuple[tuple[str, str], ...]
    lacking: bool = False


@dataclass(frozen=True, eq=False)
class Sighting:
    """A bad stretch of one run.

    rails: the rails, as numbers of the sweep's columns; cells: (cells,) bool, where it is seen with these rails; cell:
    that which is shown, the first on the run's way; every: (cells,) bool, where it is seen at all, None: no more
    torn: the levers to blame could not be set otherwise, since another place of the run needs them so
    """

    key: Key
    run: Run
    case: Case
    combination: int
    rails: tuple[int, ...]
    cells: NDArray[np.bool_]
    cell: int
    blamed: Mapping[str, str]
    vehicle: int = 0
    every: NDArray[np.bool_] | None = None
    torn: bool = False


@dataclass(frozen=True)
class Load:
    """A part with more current than it is made for, under an item where it is shown."""

    sighting: Sighting
    rating: Rating
    amps: float


@dataclass
class Sightings:
    """All that is seen over a piece: each run's outcome (track, item, direction), the bad stretches, and overloads."""

    safe: dict[tuple[int, int, str], bool] = field(default_factory=dict)
    live: dict[tuple[int, int, str], bool] = field(default_factory=dict)
    found: list[Sighting] = field(default_factory=list)
    loads: list[Load] = field(default_factory=list)


def shown_of(case: Case) -> int:
    """The combination of a case that is shown where nothing depends on it: the first that is not at fault by itself."""
    return next((k for k, one in enumerate(case.outcomes) if not one.blocked), 0)


class Situations:
    """What the situations of a meeting come to, put together from its cases; all arrays are over the situations.

    level: of failing or advised faults; dead, weak: (.., vehicles); swapped, evens: see `Outcome`
    blocked: at fault with nothing on the track; given: some setting of the levers gives it
    case, row: where it stands; trouble: why it is bad, by its number
    bad: by the id of a case, (combinations without a fault of their own, rows)
    """

    def __init__(self, meeting: Meeting) -> None:
        count = len(meeting.sweep.situations)
        vehicles = meeting.sweep.trailers // 2
        self.meeting = meeting
        self.level = np.zeros(count, dtype=np.int8)
        self.dead = np.zeros((count, vehicles), dtype=bool)
        self.weak = np.zeros((count, vehicles), dtype=bool)
        self.swapped = np.zeros(count, dtype=bool)
        self.evens = np.zeros(count, dtype=bool)
        self.blocked = np.ones(count, dtype=bool)
        self.given = np.zeros(count, dtype=bool)
        self.case: list[Case | None] = [None] * count
        self.row = np.zeros(count, dtype=np.intp)
        self.trouble: dict[int, tuple[Trouble, ...]] = {}
        self.bad: dict[int, NDArray[np.bool_]] = {}
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

    @property
    def clean(self) -> bool:
        """Whether no situation that levers can give is bad or worth a word, points set against a train left out."""
        bad = (self.level > 0) | (self.dead | self.weak).any(axis=1) | (self.blocked & self.given)
        bad[list(self.trouble)] = True
        return not (bad & self.meeting.sweep.set_right).any()

    def _put(self, cases: list[Case]) -> None:
        rows = cases[0].rows
        judged = [self._judged(case) for case in cases]
        chosen = np.zeros(len(rows), dtype=np.intp)
        if len(cases) > 1:  # points needed both ways at once: it is enough that one of the ways is clean
            bad = np.array([[row in found for row in range(len(rows))] for found, *_ in judged])
            chosen = np.argmin(bad, axis=0)
        for number, (case, (found, level, dead, weak, blocked)) in enumerate(zip(cases, judged, strict=True)):
            mine = chosen == number
            where = rows[mine]
            self.level[where], self.dead[where], self.weak[where] = level[mine], dead[mine], weak[mine]
            one = case.outcomes[shown_of(case)]
            self.swapped[where], self.evens[where] = one.swapped[mine], one.evens[mine]
            self.blocked[where] = blocked
            self.given[where] = True
            for row in np.flatnonzero(mine).tolist():
                self.case[int(rows[row])] = case
                self.row[int(rows[row])] = row
                if row in found:
                    self.trouble[int(rows[row])] = found[row]

    def _judged(self, case: Case) -> _Judged:
        works = self.works[case.rows]
        with np.errstate(invalid="ignore"):
            dead = np.array([(one.volts < works) & (one.level == 0)[:, None] for one in case.outcomes])
            level = np.array([one.level for one in case.outcomes])
            bad = (level > 0) | dead.any(axis=2)
            blocked = [one.blocked for one in case.outcomes]
            self.bad[id(case)] = bad[~np.array(blocked)]
            found = troubles(case, bad, blocked)
            shown = shown_of(case)
            one = case.outcomes[shown]
            weak = ~dead[shown] & (one.level == 0)[:, None] & (one.volts < _WEAK * one.idle)
        any_level, any_dead = np.zeros_like(level[0]), np.zeros_like(dead[0])
        for row, several in found.items():
            for trouble in several:
                any_level[row] = max(any_level[row], level[trouble.combination, row])
                any_dead[row] |= dead[trouble.combination, row]
        return found, any_level, any_dead, weak, all(blocked)

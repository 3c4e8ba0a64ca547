"""Bad places of a run, and the levers off it that are to blame for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.proof.blame import is_advice
from sim.proof.crossed import crossed
from sim.proof.meeting import Case, Meeting
from sim.proof.sighting import Key, Situations
from sim.proof.sweep import Run
from sim.proof.verdict import Kind

__all__ = ["Blame", "Blamer"]


@dataclass(frozen=True, eq=False)
class Blame:
    """Why a situation is bad in a combination of the levers off the run; see `Trouble`.

    row: its place in the case; level: 0 dead, 1 hot, 2 short; advice: why it fails nothing; rails: crossed by a current
    torn: the levers to blame could not be set otherwise, since another place of the run needs them so
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


class Blamer:
    """Tells of the bad places of a meeting's runs who is to blame."""

    def __init__(self, meeting: Meeting, situations: Situations) -> None:
        self.meeting = meeting
        self.subject = meeting.subject
        self.all = situations
        frogs = meeting.subject.frogs(tuple(meeting.slots))
        self._at_frog = np.array([name.split("/")[0] in frogs for name in meeting.names])
        self._whole = self.subject.whole[meeting.nodes]
        self._dc = all(supply.kind == "dc" for supply in self.subject.bench.supplies)
        self._feeds: dict[tuple[int, int], NDArray[np.int8]] = {}
        self._advice: dict[tuple[object, ...], str | None] = {}

    def torn(self, run: Run, given: NDArray[np.bool_]) -> NDArray[np.bool_]:
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

    def blames(self, run: Run, q: int, *, torn: bool) -> list[Blame]:
        """What makes a situation bad, each with the fewest levers to blame: of several that are as few, those that are
        the operator's to set; none with more levers than another that does."""
        case, row = self.all.case[q], int(self.all.row[q])
        if case is None:
            return []
        found: list[Blame] = []
        for trouble in self.all.trouble[q]:
            outcome = case.outcomes[trouble.combination]
            level = int(outcome.level[row])
            rails = crossed(self.meeting.sweep, q, outcome.injected[row]) if level else ()
            advice: str | None = None
            blamed = trouble.ways[0]
            if blamed and not torn:
                at_frog = bool(self._at_frog[list(rails)].any())
                meets = level > 0 or self._spans(run, q, case, trouble.combination)
                for way in trouble.ways:
                    advice = self._advised(run.track, way, dead=level == 0, at_joint=meets and not at_frog)
                    if advice is not None:
                        blamed = way
                        break
            found.append(Blame(case, row, trouble.combination, blamed, advice, level, rails, torn))
        return [
            one
            for one in found
            if not any(
                other.blamed.items() < one.blamed.items()
                and (other.short, other.advice is None) == (one.short, one.advice is None)
                for other in found
            )
        ]

    def key(self, blame: Blame, rails: tuple[int, ...]) -> Key:
        """What makes it one with others; `rails`: what it is about."""
        blamed = tuple(sorted(blame.blamed.items()))
        numbers = frozenset(int(self._whole[k]) for k in rails)
        if blame.advice is not None:
            told: Kind = "points-against" if blame.advice == "points-against" else "set-first"
            return Key(told, False, numbers, blamed)
        kind: Kind = "short" if blame.level == 2 else "hot" if blame.level == 1 else "dead"
        return Key(kind, True, numbers, () if blame.short else blamed)

    def codes(self, case: Case, combination: int) -> NDArray[np.int8]:
        """0 none, 1 side A, 2 side B, 3 both: of each column, with the levers so."""
        key = (id(case), combination)
        if key not in self._feeds:
            settings = {**case.under, **case.combinations[combination]}
            made = self.subject.switched.made(self.subject.travel(settings))
            feeds = self.subject.feeds
            codes = feeds.codes(made)
            self._feeds[key] = codes[[feeds.group_of(node) for node in self.meeting.nodes.tolist()]]
        return self._feeds[key]

    def _advised(self, track: int, way: Mapping[str, str], *, dead: bool, at_joint: bool) -> str | None:
        what = (track, tuple(way.items()), dead, at_joint)
        if what not in self._advice:
            self._advice[what] = is_advice(self.meeting, track, way, dead=dead, at_joint=at_joint, dc=self._dc)
        return self._advice[what]

    def _spans(self, run: Run, q: int, case: Case, combination: int) -> bool:
        """Whether a vehicle that collects crosswise has its left on one piece and its right on another, both fed: where
        the sides of two pieces do not fit each other it is dead, and most others short."""
        codes = self.codes(case, combination)
        touched = run.touches[run.state[int(np.argmax(run.situation == q))]].any(axis=0)
        left, right = (
            {self.meeting.names[column].partition(".")[0] for column in np.flatnonzero(row).tolist()} for row in touched
        )
        return not left & right and all(codes[row].any() for row in touched)

"""What the coach makes of the record of a running bench: what was right, what counts, what has been lost.

Everything is worked out when it is first asked for, and kept as long as the record stays the same: a picture may ask
anew for every frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from sim.bench.level import SETTINGS
from sim.bench.table import Table
from sim.coach.goals import GoalView, goal_views
from sim.coach.readings import all_right, must_match, pattern, readings_taken
from sim.session.acts import Side
from sim.session.frogs import frog_pieces, frog_wired, pair_of
from sim.session.journal import KEPT
from sim.session.sentences import mid_sentence, points_words
from sim.session.snapshot import LogEvent, ReadingView, Snapshot, Taken
from sim.track.layout import Layout

__all__ = ["Assessment", "PredictionView", "assess", "told"]

_AGAIN = "Beginning the job again wins the mark back."
_SAY = "Before power it can still be said, or changed, on the frog's slip."
_PLUGGED = "ohms were measured with the supply plugged in"


@dataclass(frozen=True, slots=True)
class PredictionView:
    """What the player said of a frog, and what is so; None for a frog that matches no rail."""

    piece: str
    setting: str
    side: Side
    so: Side | None

    @property
    def right(self) -> bool:
        """Whether what was said is so."""
        return self.side == self.so


class Assessment:
    """One moment's record, assessed."""

    def __init__(self, now: Snapshot) -> None:
        """Of what stands in that snapshot."""
        self._now = now
        level = now.bench.level
        self.wanted = level.readings if level is not None else 0
        """How many readings the level wants."""

    @cached_property
    def _layout(self) -> Layout:
        return Layout(self._now.bench)

    @cached_property
    def predictions(self) -> tuple[PredictionView, ...]:
        """What was said, and what is so."""
        return tuple(
            PredictionView(said.piece, said.setting, said.side, must_match(self._layout, said.piece, said.setting))
            for said in self._now.predictions
        )

    @cached_property
    def unforeseen(self) -> str:
        """Why the mark for saying it first is not whole, in a few words: what was said, and what is so."""
        level, bench = self._now.bench.level, self._now.bench
        asked = [(piece, at) for piece in (level.predict if level is not None else ()) for at in SETTINGS]
        said = {(view.piece, view.setting): view for view in self.predictions}
        wrong = [
            f"{mid_sentence(points_words(bench, *each))}: said {said[each].side}, it is {said[each].so or 'neither'}"
            for each in asked
            if each in said and not said[each].right
        ]
        missing = sum(each not in said for each in asked if each[0] in frog_pieces(bench))
        if missing:
            before = " before power" if self._now.play.powered else " yet"
            wrong.append(f"not all was said{before}" if wrong or missing < len(asked) else f"nothing was said{before}")
        return "; ".join(wrong)

    @cached_property
    def foreseen(self) -> float:
        """Share (0 to 1) of the predictions asked for that were made before power, and right."""
        level, frogs = self._now.bench.level, frog_pieces(self._now.bench)
        asked = [
            (piece, setting)
            for piece in (level.predict if level is not None else ())
            if piece in frogs
            for setting in SETTINGS
        ]
        if not asked:
            return 0.0
        right = {(said.piece, said.setting) for said in self.predictions if said.right}
        return sum(each in right for each in asked) / len(asked)

    @cached_property
    def patterns(self) -> Mapping[str, str]:
        """What the four readings of a frog mean so far, by piece, in words; those taken plugged in do not count."""
        readings = tuple(reading for reading in self._now.readings if reading.unplugged)
        return Table({piece: pattern(self._layout, piece, readings) for piece in frog_pieces(self._now.bench)})

    @cached_property
    def readings_taken(self) -> int:
        """Readings that count towards those that the level wants, a frog's while they stand."""
        return readings_taken(self._now.bench, self._now.readings, self._now.meter.taken, self.wanted)

    @cached_property
    def lost_at_power(self) -> str:
        """Why the bench was not checked when power first came, in a few words; empty before, and where it was."""
        first = self._now.play.first
        if first is None:
            return ""
        if first.into_short:
            return "the first power met a short"
        if self._right(first.readings, first.taken):
            return ""
        count = readings_taken(self._now.bench, first.readings, first.taken, self.wanted)
        if count < self.wanted:
            fallen = self._fallen(first.readings, first.taken)
            since = "; a wire was changed after the others" if fallen else ""
            return f"power after {count} of {self.wanted} readings{since}"
        return "power before the four readings were right"

    @cached_property
    def checked(self) -> bool:
        """Whether the mark for checking is earned so far.

        Enough was measured, and the four readings of every frog were right, all unplugged before the first power; that
        met no short; and ohms were never measured with a supply plugged in.
        """
        if self._now.play.cautions:
            return False
        if self._now.play.powered:
            return not self.lost_at_power
        return self._right(self._now.readings, self._now.meter.taken)

    @cached_property
    def unchecked(self) -> str:
        """Why the bench is not checked, in a few words; empty while it is, or still can be."""
        return _PLUGGED if self._now.play.cautions else self.lost_at_power

    @cached_property
    def checking(self) -> str:
        """Why the mark for checking is not there, and what earns it or wins it back, in sentences; empty with it."""
        if self.checked:
            return ""
        if self.unchecked:
            return f"{self.unchecked}. {_AGAIN}"
        if self.readings_taken >= self.wanted:
            return "the four readings are not all right. Put the wiring right, then measure again before power."
        fallen = self._fallen(self._now.readings, self._now.meter.taken)
        since = "; those before the last change of a wire say nothing now" if fallen else ""
        then = "the rest" if frog_wired(self._now.bench) else "them, once the frog is wired,"
        return f"{self.readings_taken} of {self.wanted} readings so far{since}. Take {then} with the plug out."

    @cached_property
    def foreseeing(self) -> str:
        """Why the mark for saying it first is not whole, and what earns it or wins it back, in sentences."""
        if not self.unforeseen:
            return ""
        return f"{self.unforeseen}. {_AGAIN if self._now.play.powered else _SAY}"

    def _fallen(self, standing: tuple[ReadingView, ...], taken: frozenset[Taken]) -> bool:
        """Whether readings of a frog were taken that no longer stand, since a wire was changed after them."""
        pairs = {(each.ends, each.points) for each in taken if each.ohms and pair_of(self._now.bench, *each.ends)}
        return len(pairs) > sum(reading.unplugged for reading in standing)

    @cached_property
    def goals(self) -> tuple[GoalView, ...]:
        """The goals of the level."""
        now = self._now
        return goal_views(
            now.bench.level, foreseen=self.foreseen == 1.0, checked=self.checked, reached=now.reached
        )

    def _right(self, readings: tuple[ReadingView, ...], taken: frozenset[Taken]) -> bool:
        """Whether enough was measured, and of every frog all four readings, right; enough alone where there is none."""
        bench = self._now.bench
        count = readings_taken(bench, readings, taken, self.wanted)
        if not frog_pieces(bench):
            return 0 < self.wanted <= count
        return count >= self.wanted and all_right(bench, self._layout, readings)


@dataclass(frozen=True, slots=True, eq=False)
class _Record:
    """A moment's record, equal to another of the same bench of which the same has been recorded."""

    now: Snapshot

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, _Record):
            return NotImplemented
        return self.now.bench is other.now.bench and _recorded(self.now) == _recorded(other.now)

    def __hash__(self) -> int:
        return id(self.now.bench)


def _recorded(now: Snapshot) -> tuple[object, ...]:
    return now.predictions, now.readings, now.meter.taken, now.play, now.reached


def assess(now: Snapshot) -> Assessment:
    """What is made of a moment's record."""
    return _assessed(_Record(now))


@lru_cache(maxsize=8)
def _assessed(record: _Record) -> Assessment:
    return Assessment(record.now)


def told(now: Snapshot) -> tuple[str, ...]:
    """The log with what the coach has to say of it: that a mark was lost, and why, where it was lost."""
    if not now.log_marks:
        return now.log
    level = now.bench.level
    marks = now.log_marks if level is not None and "checked" in level.goals else ()
    costs = ((line - now.log_first, _cost(now, event)) for event, line in marks)
    told_of = ((line, f"That costs the mark for checking: {why}. {_AGAIN}") for line, why in costs if why)
    return _woven(now.log, tuple(told_of))


@lru_cache(maxsize=8)
def _woven(log: tuple[str, ...], costs: tuple[tuple[int, str], ...]) -> tuple[str, ...]:
    """The log with sentences put in, each with the number of that in the log before which it stands; none repeated."""
    lines: list[str] = []
    for number in range(len(log) + 1):
        for sentence in (*(said for line, said in costs if line == number), *log[number : number + 1]):
            if lines[-1:] != [sentence]:
                lines.append(sentence)
    return tuple(lines[-KEPT:])


def _cost(now: Snapshot, event: LogEvent) -> str:
    return "ohms measured with the supply plugged in" if event == "caution" else assess(now).lost_at_power

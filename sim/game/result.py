"""The verdict of the test of every route, put into the few lines and strips of the result sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from sim.bench.model import Bench
from sim.coach.assessment import assess
from sim.coach.marks import Marks, score
from sim.game.wording import setting_words
from sim.proof.report import span_words
from sim.proof.verdict import Finding, Position, Verdict
from sim.session.snapshot import Snapshot
from sim.track.layout import Layout
from sim.wiring.names import terminal_words
from sim.wiring.telling import end_words

__all__ = ["Note", "Result", "Strip", "Way", "result_of"]

_TITLES = {
    "short": "Short", "hot": "Hot short", "short-while-throwing": "Short while throwing", "dead": "Dead place",
    "weak": "Weak place", "blade-fed": "Fed by a touch alone", "points-against": "Points against the train",
    "overloaded": "Overloaded",
}  # fmt: skip
_FREE = "Advice, costs nothing"
"""Heads what no wiring changes and no mark is lost for."""
_TOLD = {
    "short": "short", "hot": "hot short", "dead": "dead place", "weak": "weak place", "overloaded": "overloaded",
}  # fmt: skip
"""What is said of a path on which it was found, the worst first."""
_ON_STRIP = frozenset({"short", "hot", "dead", "weak", "overloaded"})


@dataclass(frozen=True)
class Strip:
    """One vehicle's run of a path: its name and what was found where, as (kind, from mm, to mm, number of the note)."""

    vehicle: str
    found: tuple[tuple[str, float, float, int], ...]


@dataclass(frozen=True)
class Way:
    """A path: its ends, its setting, its length, a strip for each vehicle, how it went, what lies where (mm).

    told: what there is to say of it, the worst first, as (how it is hatched, words); "clean" and "fails" have no mark
    on a strip
    worst: "clean", "advice" or "fails"
    """

    piece: str
    ends: tuple[str, str]
    title: str
    points: str
    length_mm: float
    strips: tuple[Strip, ...]
    told: tuple[tuple[str, str], ...]
    worst: str
    marks: tuple[tuple[float, str], ...]


@dataclass(frozen=True)
class Note:
    """A numbered sentence: what kind, whether it fails the test, its heading, its text, the finding it is made from."""

    number: int
    kind: str
    fails: bool
    heading: str
    text: str
    finding: Finding | None


@dataclass(frozen=True, eq=False)
class Result:
    """Everything on the result sheet."""

    passed: bool
    eyebrow: str
    heading: str
    summary: str
    marks: Marks | None
    ways: tuple[Way, ...]
    notes: tuple[Note, ...]
    teaches: str
    reached: tuple[str, ...]
    positions: tuple[Position, ...]

    @property
    def follows(self) -> bool:
        """Whether one can go on to the next job: this was one, and it is passed."""
        return self.passed and self.marks is not None

    def feeds(self, points: Mapping[str, str]) -> Mapping[str, str] | None:
        """The side of every rail with the points set so; None for a setting that was not looked at."""
        return next((position.feeds for position in self.positions if dict(position.points) == dict(points)), None)


def result_of(bench: Bench, verdict: Verdict, snapshot: Snapshot) -> Result:
    """Put a verdict on paper; `snapshot` says how the bench was worked on."""
    marks = None
    reached: tuple[str, ...] = ()
    if bench.level is not None:
        marks = score(bench, verdict, foreseen=assess(snapshot).foreseen, checked=assess(snapshot).checked)
        reached = tuple(mark.name for mark in marks.parts if mark.reached == mark.of)
    notes, numbers = _notes(bench, verdict, marks, snapshot)
    return Result(
        verdict.passed,
        bench.title or "Bench",
        "Every route clean" if verdict.passed else "Not every route yet",
        _summary(verdict),
        marks,
        _ways(bench, verdict, numbers),
        notes,
        bench.level.teaches if bench.level is not None and verdict.passed else "",
        reached,
        verdict.positions,
    )


def _key(finding: Finding) -> tuple[object, ...]:
    """Findings that one sentence can stand for: of one kind, in one setting, on one path."""
    return finding.kind, finding.when, tuple(finding.points.items()), finding.path


def _notes(
    bench: Bench, verdict: Verdict, marks: Marks | None, snapshot: Snapshot
) -> tuple[tuple[Note, ...], Mapping[tuple[object, ...], int]]:
    groups: dict[tuple[object, ...], list[Finding]] = defaultdict(list)
    for finding in verdict.findings:
        groups[_key(finding)].append(finding)
    failing: list[_Unnumbered] = []
    advice: list[_Unnumbered] = []
    paths = {path: k for k, path in enumerate(dict.fromkeys(route.path for route in verdict.routes))}
    order = sorted(groups.items(), key=lambda row: (not row[1][0].fails, paths.get(row[1][0].path or ("", ""), -1)))
    for key, found in order:
        first = min(found, key=lambda f: f.from_mm if f.from_mm is not None else -1e9)
        heading = _FREE if first.kind == "points-against" else _TITLES[first.kind]
        if not first.fails and first.kind != "points-against":
            heading = f"Advice: {heading[:1].lower()}{heading[1:]}"
        if first.from_mm is not None and first.to_mm is not None and first.kind != "points-against":
            heading += f", {span_words(first.from_mm, first.to_mm)}"
            if first.path is not None and len(bench.tracks) > 1:  # a single one: as on the mat's ruler
                heading += f" from {end_words(bench, first.path[0])}"
        text = first.text.split(" Its way:")[0]
        others = len({finding.vehicle for finding in found} - {first.vehicle})
        if others:
            text += f" {others} more vehicle{'s' if others > 1 else ''} alike."
        (failing if first.fails else advice).append(_Unnumbered(key, first.kind, heading, text, first))
    lost = [_Unnumbered(None, name, heading, why) for name, heading, why in _lost(marks, snapshot)]
    for index in marks.idle if marks is not None else ():
        a, b = (terminal_words(bench, end) or end for end in bench.wires[index].ends)
        lost.append(_Unnumbered(None, "tidy", "Tidy", f"one wire does nothing: {a} to {b}."))
    every = list(enumerate((*failing, *lost, *advice), 1))
    notes = [
        Note(number, note.kind, note.finding is not None and note.finding.fails, note.heading, note.text, note.finding)
        for number, note in every
    ]
    return tuple(notes), {note.key: number for number, note in every if note.key is not None}


class _Unnumbered(NamedTuple):
    """A note before its place in the list is known; `key`: of the findings that it stands for."""

    key: tuple[object, ...] | None
    kind: str
    heading: str
    text: str
    finding: Finding | None = None


def _lost(marks: Marks | None, snapshot: Snapshot) -> Iterator[tuple[str, str, str]]:
    """Marks that were lost on the way and not by the wiring: of what, its heading, why."""
    made = assess(snapshot)
    for mark in marks.parts if marks is not None else ():
        if mark.name == "checked" and mark.reached < mark.of:
            taken, wanted = made.readings_taken, made.wanted
            now = f"{taken} of {wanted} readings so far" if taken < wanted else "the four readings are not all right"
            yield "checked", "Checked", f"{made.unchecked or now}."
        elif mark.name == "foreseen" and mark.reached < mark.of:
            wrong = sum(not said.right for said in made.predictions)
            why = f"{wrong} of what was said is not so" if wrong else "not all was said before power"
            yield "foreseen", "Said first", f"{why}."


def _ways(bench: Bench, verdict: Verdict, numbers: Mapping[tuple[object, ...], int]) -> tuple[Way, ...]:
    layout = Layout(bench)
    order: dict[tuple[str, str], list[str]] = defaultdict(list)
    facts = {}
    for route in verdict.routes:
        if route.vehicle not in order[route.path]:
            order[route.path].append(route.vehicle)
        facts[route.path] = (route.points, route.length_mm)
    ways = []
    several = len({path[0].rsplit(".", 1)[0] for path in order}) > 1
    for path, vehicles in order.items():
        points, length = facts[path]
        strips = []
        worst: set[str] = set()
        for vehicle in vehicles:
            found = tuple(
                (f.kind, f.from_mm, f.to_mm, numbers.get(_key(f), 0))
                for f in verdict.findings
                if f.path == path
                and f.vehicle == vehicle
                and f.kind in _ON_STRIP
                and f.from_mm is not None
                and f.to_mm is not None
            )
            worst |= {kind for kind, _, _, _ in found}
            strips.append(Strip(vehicle, found))
        general = [f for f in verdict.findings if f.path is None and f.fails and dict(f.points) == dict(points)]
        everywhere: set[str] = {f.kind for f in general}
        piece, first = path[0].rsplit(".", 1)
        last = path[1].rsplit(".", 1)[1]
        title = f"{first} to {last}" if first != "a" else "end to end"
        title = f"{piece}: {title}" if several else f"{title[:1].upper()}{title[1:]}"
        told, rank = _how(worst, everywhere)
        ways.append(
            Way(
                piece,
                (first, last),
                title,
                setting_words(points),
                length,
                tuple(strips),
                told,
                rank,
                _gaps(layout, piece, (first, last)),
            )
        )
    return tuple(ways)


def _gaps(layout: Layout, piece: str, ends: tuple[str, str]) -> tuple[tuple[float, str], ...]:
    """Where along a path its gaps lie, mm, and what they are called."""
    geometry = layout.geometry(piece)
    number = next(k for k, path in enumerate(geometry.tracks) if path.ends == ends)
    sorts: dict[str, list[float]] = {}
    for place in layout.pieces[piece].places():
        station = geometry.marks.places[place.name.partition(".")[2]].stations[number]
        if place.kind == "gap" and station is not None:
            sorts.setdefault(f"{place.sort}s", []).append(station)
    return tuple((sum(stations) / len(stations), words_) for words_, stations in sorts.items())


def _how(worst: set[str], everywhere: set[str]) -> tuple[tuple[tuple[str, str], ...], str]:
    """What is told of a path, and "clean", "advice" or "fails".

    worst: the kinds of what was found on it; everywhere: of what fails with the points set for it, wherever a train is
    """
    told = [("fails", _TITLES[kind].lower()) for kind in _TITLES if kind in everywhere and kind not in worst]
    told += [(kind, words_) for kind, words_ in _TOLD.items() if kind in worst]
    if not told:
        return (("clean", "clean"),), "clean"
    if everywhere or worst & {"short", "hot", "dead"}:
        return tuple(told), "fails"
    return (("clean", "clean, but"), *told), "advice"


def _summary(verdict: Verdict) -> str:
    count = len(verdict.routes)
    if verdict.passed:
        weak = sum(finding.kind == "weak" for finding in verdict.findings)
        tail = "" if not weak else ", one weak" if weak == 1 else f", {weak} weak"
        return f"{count} runs, both directions: no short, no dead place{tail}."
    bad = sum(not route.safe for route in verdict.routes)
    dead = sum(not route.live for route in verdict.routes)
    parts = []
    if bad:
        parts.append(f"{bad} short")
    if dead:
        parts.append(f"{dead} with a dead place")
    if not parts:
        return "The routes are clean, but not the throw between them."
    return f"Of {count} runs, both directions: {', '.join(parts)}."

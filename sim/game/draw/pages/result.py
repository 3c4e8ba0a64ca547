"""The verdict of the test of every route, put into the few lines and strips of the result sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from sim.bench.model import Bench
from sim.bench.piece import Piece
from sim.coach.assessment import assess
from sim.coach.marks import Marks, score
from sim.game.look.wording import setting_words
from sim.proof.alike import alike, also_words
from sim.proof.report import runs_words, span_words
from sim.proof.verdict import Finding, Route, Verdict
from sim.session.snapshot import Snapshot
from sim.track.layout import Layout
from sim.wiring.names import terminal_words
from sim.wiring.telling import end_words

__all__ = ["Mark", "Note", "Result", "Strip", "Way", "merged", "result_of"]

_TITLES: Mapping[str, str] = {
    "short": "Short", "hot": "Hot short", "short-while-throwing": "Short while throwing",
    "will-not-trip": "Breaker would not open", "joined-supplies": "Supplies joined", "dead": "Dead place",
    "weak": "Weak place", "blade-fed": "Fed by a touch alone", "joiner-fed": "Fed by a joiner alone",
    "points-against": "Points against the train", "set-first": "Set first", "contested": "Fed in two ways",
    "near-its-end": "Contact near its end", "leaking": "Leaking gap", "overloaded": "Overloaded",
}  # fmt: skip
_FREE = "Advice, costs nothing"
"""Heads what no wiring changes and no mark is lost for."""
_TOLD: Mapping[str, str] = {
    "short": "short", "hot": "hot short", "dead": "dead place", "set-first": "set first", "weak": "weak place",
    "overloaded": "overloaded",
}  # fmt: skip
"""What is said of a path on which it was found, the worst first; advice is told as it is hatched."""
_FAILS_ON = frozenset({"short", "hot", "dead"})
_ONE_MM = 1.0  # nearer to each other two places are told as one
_MOST_SPANS = 2  # that a heading tells one by one
_WAY = " The current's way:"


Mark = tuple[str, float, float, int]
"""What was found where on a strip: the kind, from mm, to mm, number of the note."""


@dataclass(frozen=True)
class Strip:
    """One vehicle's runs of a path: its name, and what was found where."""

    vehicle: str
    found: tuple[Mark, ...]


@dataclass(frozen=True)
class Way:
    """A path: its ends, its setting, its length, a strip for each vehicle, how it went, what lies where (mm).

    settings: the points that it needs, by their names; points: the same in words
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
    settings: Mapping[str, str] = field(default_factory=dict)

    @property
    def path(self) -> tuple[str, str]:
        """Its ends in full."""
        return f"{self.piece}.{self.ends[0]}", f"{self.piece}.{self.ends[1]}"


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

    @property
    def follows(self) -> bool:
        """Whether one can go on to the next job: this was one, and it is passed."""
        return self.passed and self.marks is not None


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
    )


def _notes(
    bench: Bench, verdict: Verdict, marks: Marks | None, snapshot: Snapshot
) -> tuple[tuple[Note, ...], Mapping[int, int]]:
    """The sentences, and for each finding (its place in the verdict) the number of its own."""
    paths = {path: k for k, path in enumerate(dict.fromkeys(route.path for route in verdict.routes))}
    order = sorted(
        enumerate(verdict.findings),
        key=lambda row: (not row[1].fails, paths.get(row[1].path or ("", ""), -1), row[1].from_mm or 0.0),
    )
    failing = [_Unnumbered((k,), one.kind, _heading(bench, one), _text(one), one) for k, one in order if one.fails]
    advice = []
    for group in alike(verdict, (k for k, one in order if not one.fails)):
        one = verdict.findings[group[0]]
        text = _text(one) + also_words(verdict, group)
        advice.append(_Unnumbered(tuple(group), one.kind, _heading(bench, one), text, one))
    lost = [_Unnumbered((), name, heading, why) for name, heading, why in _lost(marks, snapshot)]
    for index in _idle(bench, marks):
        a, b = (terminal_words(bench, end) or end for end in bench.wires[index].ends)
        lost.append(_Unnumbered((), "tidy", "Tidy", f"one wire does nothing: {a} to {b}. Take it off."))
    remarks = [_Unnumbered((), "remark", "Not looked at", remark) for remark in verdict.remarks]
    every = list(enumerate((*failing, *lost, *advice, *remarks), 1))
    notes = [
        Note(number, note.kind, note.finding is not None and note.finding.fails, note.heading, note.text, note.finding)
        for number, note in every
    ]
    return tuple(notes), {place: number for number, note in every for place in note.places}


def _idle(bench: Bench, marks: Marks | None) -> tuple[int, ...]:
    """The wires that do nothing, where the job asks about them."""
    asked = marks is not None and marks.passed and any(part.name == "tidy" for part in marks.parts)
    return marks.idle if marks is not None and asked else ()


def _heading(bench: Bench, finding: Finding) -> str:
    if finding.kind == "points-against":
        return _FREE
    heading = _TITLES[finding.kind]
    if not finding.fails:
        heading = f"Advice: {heading[:1].lower()}{heading[1:]}"
    if finding.path is not None and finding.from_mm is not None and finding.to_mm is not None:
        heading += f", {_spans_words(finding)}"
        if len(bench.tracks) > 1:  # a single one: as on the mat's ruler
            heading += f" from {end_words(bench, finding.path[0])}"
    return heading


def _spans(finding: Finding, vehicle: str | None) -> list[tuple[float, float]]:
    """Where a vehicle's leading axle is when it is found on the finding's own path, both ways, in order."""
    rows = sorted(
        (part.from_mm, part.to_mm)
        for part in finding.stretches
        if part.path == finding.path and part.vehicle == vehicle
    )
    out: list[tuple[float, float]] = []
    for begin, end in rows or [(finding.from_mm or 0.0, finding.to_mm or 0.0)]:
        if out and begin <= out[-1][1] + _ONE_MM:
            out[-1] = out[-1][0], max(out[-1][1], end)
        else:
            out.append((begin, end))
    return out


def _spans_words(finding: Finding) -> str:
    """Where it is, as the strip of its vehicle is hatched: "331 to 343 and 357 to 369 mm"."""
    spans = _spans(finding, finding.vehicle)
    if len(spans) > _MOST_SPANS:
        return f"{len(spans)} places, {span_words(spans[0][0], spans[-1][1])}"
    words_ = [span_words(*span) for span in spans]
    return " and ".join([*(each.removesuffix("\u00a0mm") for each in words_[:-1]), words_[-1]])


def _text(finding: Finding) -> str:
    """Its sentence without the current's way, which is shown on the track, and how many runs show it.

    Where others are hatched elsewhere than the heading says, also what of them the place is.
    """
    told, runs = finding.text.split(_WAY)[0], runs_words(finding)
    own = _spans(finding, finding.vehicle)
    if finding.kind in _TOLD and runs and any(_spans(finding, one.vehicle) != own for one in finding.stretches):
        runs = f"{runs[:-1]}, each hatched where its front axle is then)"
    return told + runs


class _Unnumbered(NamedTuple):
    """A note before its number is known; `places`: in the verdict, of the findings that it stands for."""

    places: tuple[int, ...]
    kind: str
    heading: str
    text: str
    finding: Finding | None = None


def _lost(marks: Marks | None, snapshot: Snapshot) -> Iterator[tuple[str, str, str]]:
    """Marks that were lost on the way and not by the wiring: of what, its heading, why."""
    made = assess(snapshot)
    for mark in marks.parts if marks is not None else ():
        if mark.name == "checked" and mark.reached < mark.of:
            yield "checked", "Checked", made.checking
        elif mark.name == "foreseen" and mark.reached < mark.of:
            yield "foreseen", "Said first", made.foreseeing
        elif mark.name == "tidy" and marks is not None and not marks.passed:
            yield "tidy", "Tidy", "it counts once the test passes."


def _ways(bench: Bench, verdict: Verdict, numbers: Mapping[int, int]) -> tuple[Way, ...]:
    layout = Layout(bench)
    runs: dict[tuple[str, str], list[Route]] = defaultdict(list)
    for route in verdict.routes:
        runs[route.path].append(route)
    found: dict[tuple[tuple[str, str], str], list[Mark]] = defaultdict(list)
    for k, finding in enumerate(verdict.findings):
        if finding.kind in _TOLD:
            for part in finding.stretches:
                mark = (finding.kind, part.from_mm, part.to_mm, numbers.get(k, 0))
                found[part.path, part.vehicle].append(mark)
    ways = []
    several = len({path[0].rsplit(".", 1)[0] for path in runs}) > 1
    for path, routes in runs.items():
        points, length = routes[0].points, routes[0].length_mm
        standing = [
            (k, one) for k, one in enumerate(verdict.findings) if one.fails and one.path is None and _meets(one, points)
        ]
        if all(route.safe for route in routes):  # their further points keep a short with nothing on the track away
            standing = [(k, one) for k, one in standing if one.kind not in ("short", "hot")]
        whole = [(one.kind, 0.0, length, numbers.get(k, 0)) for k, one in standing if one.kind in ("short", "hot")]
        strips = []
        for vehicle in dict.fromkeys(route.vehicle for route in routes):
            spoilt = whole if any(not route.safe for route in routes if route.vehicle == vehicle) else []
            strips.append(Strip(vehicle, merged([*spoilt, *found[path, vehicle]])))
        worst = {kind for strip in strips for kind, *_ in strip.found}
        piece, first = path[0].rsplit(".", 1)
        last = path[1].rsplit(".", 1)[1]
        title = _way_title(layout.pieces[piece], first, last)
        title = f"{piece}: {title}" if several else f"{title[:1].upper()}{title[1:]}"
        told, rank = _how(worst, {one.kind for _, one in standing if _concerns(one, piece)})
        gaps = _gaps(layout, piece, (first, last))
        ways.append(
            Way(piece, (first, last), title, setting_words(points), length, tuple(strips), told, rank, gaps, points)
        )  # fmt: skip
    return tuple(ways)


def _way_title(piece: Piece, first: str, last: str) -> str:
    """ "toe to main", "toe to left", "end to end"."""
    said = [piece.end_words(end).removeprefix("the ").removesuffix(" end") for end in (first, last)]
    return "end to end" if any(words.startswith("end ") for words in said) else " to ".join(said)


def _meets(finding: Finding, points: Mapping[str, str]) -> bool:
    """Whether a finding can be there while these points are set so."""
    return all(
        setting in ("normal", "diverging") and points.get(name, setting) == setting
        for name, setting in finding.points.items()
    )


def _concerns(finding: Finding, piece: str) -> bool:
    """Whether a finding with nothing on the track is told of a piece: its rails are there, or it has none."""
    return not finding.touching or any(name.partition(".")[0] == piece for name in finding.touching)


def merged(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """The marks of a strip for several runs: what overlaps of one finding is one."""
    out: list[Mark] = []
    for kind, begin, end, number in sorted(marks, key=lambda mark: (mark[3], mark[0], mark[1])):
        if out and out[-1][0] == kind and out[-1][3] == number and begin <= out[-1][2]:
            out[-1] = (kind, out[-1][1], max(out[-1][2], end), number)
        else:
            out.append((kind, begin, end, number))
    return tuple(out)


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

    worst: the kinds of what is hatched on it; everywhere: of what fails with the points set for it, wherever a train is
    """
    told = [("fails", _TITLES[kind].lower()) for kind in _TITLES if kind in everywhere and kind not in worst]
    told += [(kind, words_) for kind, words_ in _TOLD.items() if kind in worst]
    if not told:
        return (("clean", "clean"),), "clean"
    if everywhere or worst & _FAILS_ON:
        return tuple(told), "fails"
    return (("clean", "clean, but"), *told), "advice"


def _summary(verdict: Verdict) -> str:
    count = len(verdict.routes)
    if verdict.passed:
        weak = sum(finding.kind == "weak" for finding in verdict.findings)
        tail = "" if not weak else ", one weak" if weak == 1 else f", {weak} weak"
        return f"{count} runs, both directions: no short, no dead place{tail}."
    standing = [one for one in verdict.findings if one.fails and one.path is None and one.kind in ("short", "hot")]
    never = {
        (route.path, route.vehicle, route.direction)
        for route in verdict.routes
        if any(_meets(one, route.points) for one in standing)
    }
    short = _showing(verdict, "short", "hot") - never
    dead = _showing(verdict, "dead") - never
    parts = []
    if never:
        parts.append(f"{len(never)} shorted with nothing on the track")
    if short:
        parts.append(f"{len(short)} short")
    if dead:
        parts.append(f"{len(dead)} with a dead place")
    if never and len(never) == count:
        return f"All {count} runs are shorted before a wheel turns: with nothing on the track."
    if not parts:
        return f"Each of {count} runs, both directions, is clean, but not the bench."
    return f"Of {count} runs, both directions: {', '.join(parts)}."


def _showing(verdict: Verdict, *kinds: str) -> set[tuple[tuple[str, str], str, str]]:
    """The runs that show a failing finding of these kinds."""
    return {
        (part.path, part.vehicle, part.direction)
        for finding in verdict.findings
        if finding.fails and finding.kind in kinds
        for part in finding.stretches
    }

"""What a train that trails in against the set points does: where it derails, and where it shorts before."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.proof.meeting import Meeting
from sim.proof.subject import Subject
from sim.proof.sweep import Run
from sim.proof.telling import track_ends
from sim.proof.verdict import Finding
from sim.track.contact import trap_mm
from sim.track.wheels import wheel
from sim.wiring.names import section_of, section_words
from sim.wiring.telling import amps_words, end_words

__all__ = ["trailing"]


def trailing(meeting: Meeting) -> Finding | None:
    """The finding of a piece with points: that of the first vehicle that shorts on the way to where it derails, else of
    the first that derails; None where none does either."""
    subject = meeting.subject
    cases = {case.need: case for case in meeting.cases}
    first: Finding | None = None
    count = 0
    chosen: Finding | None = None
    geometry = subject.layout.geometry(meeting.piece)
    for run in meeting.sweep.runs:
        if not run.against:
            continue
        vehicle = meeting.sweep.items[run.item].vehicles[0]
        path = geometry.tracks[run.track]
        derails = trap_mm(
            geometry, run.track, wheel(vehicle.wheel, subject.layout.scale(meeting.piece)),
            {name: 1.0 - at for name, at in path.travel.items()},
        )  # fmt: skip
        if derails is None:
            continue
        needs = meeting.sweep.situations[run.situation, 1]
        if not any(int(need) in cases for need in np.unique(needs)):
            continue
        count += 1
        if chosen is not None:
            continue
        found = _shorts(meeting, run, derails)
        if found is not None:
            chosen = found
        elif first is None:
            first = _derails(meeting, run, derails)
    told = chosen or first
    return None if told is None else _with_runs(told, count)


def _with_runs(finding: Finding, count: int) -> Finding:
    return replace(finding, runs=count)


def _points(meeting: Meeting, run: Run) -> dict[str, str]:
    """The piece's own points, as they stand against the track."""
    subject = meeting.subject
    needs = subject.needs(meeting.piece, run.track)
    levers = {
        subject.lever_of[points]: "normal" if word == "diverging" else "diverging" for points, word in needs.items()
    }
    return subject.points(levers)


def _opening(subject: Subject, meeting: Meeting, run: Run) -> str:
    bench = subject.bench
    path = track_ends(meeting, run.track)
    points = _points(meeting, run)
    words = {points_: word for points_, word in points.items() if points_.partition(".")[0] == meeting.piece}
    stand = next(iter(words.values()), next(iter(points.values())))
    which = f"the points of {meeting.piece}" if len(points) > 1 or len(bench.tracks) > 1 else "the points"
    return f"if {which} still lie {stand} when a train trails in from {end_words(bench, path[1])}"


def _derails(meeting: Meeting, run: Run, derails: float) -> Finding:
    subject = meeting.subject
    name = meeting.sweep.items[run.item].name
    text = f"{_opening(subject, meeting, run)}, the {name} derails at {derails:.0f} mm."
    return Finding(
        "points-against", "wheel", _points(meeting, run), track_ends(meeting, run.track), "backward", name, derails,
        derails, (), None, None, text,
    )  # fmt: skip


def _shorts(meeting: Meeting, run: Run, derails: float) -> Finding | None:
    subject = meeting.subject
    own = np.array([name.partition(".")[0] == meeting.piece for name in meeting.names])
    by_need = {case.need: case for case in meeting.cases}
    best: tuple[float, float, tuple[int, int], int] | None = None
    for q in np.unique(run.situation).tolist():
        case = by_need.get(int(meeting.sweep.situations[q, 1]))
        if case is None:
            continue
        outcome = next((one for one in case.outcomes if not one.blocked), None)
        row = int(np.flatnonzero(case.rows == q)[0])
        if outcome is None or not outcome.level[row]:
            continue
        injected = outcome.injected[row]
        ends = (int(np.argmax(injected)), int(np.argmin(injected)))
        if not own[list(ends)].all():
            continue  # what a joint shorts, the points do not cause
        cells = (run.situation == q) & (run.to_mm >= derails)
        if not cells.any():
            continue
        at = float(run.to_mm[cells].max())
        if best is None or at > best[0]:
            best = (at, float(outcome.amps[row]), ends, int(outcome.level[row]))
    if best is None:
        return None
    at, amps, ends, level = best
    rails = tuple(sorted({section_of(meeting.names[k]) for k in ends}))
    names = " and the ".join(section_words(subject.bench, rail) for rail in rails)
    what = "shorts" if level == 2 else "makes a current that overheats something"
    name = meeting.sweep.items[run.item].name
    text = (
        f"{_opening(subject, meeting, run)}, the {name} {what} at {at:.0f} mm ({names}, {amps_words(amps)}) and "
        f"derails at {derails:.0f} mm, as on every powered frog."
    )
    return Finding(
        "points-against", "wheel", _points(meeting, run), track_ends(meeting, run.track), "backward", name, derails, at,
        rails, amps, None, text,
    )  # fmt: skip

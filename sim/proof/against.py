"""What a train that trails in against the set points does: where it derails, and where it shorts before."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.proof.crossed import crossed
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


def trailing(meeting: Meeting) -> list[Finding]:
    """The findings of a piece with points.

    That of the first vehicle that shorts at its own rails on the way to where it derails, else of the first that
    derails; and for each track that of the first that shorts at a joint before it comes to them.
    """
    subject = meeting.subject
    cases = {case.need: case for case in meeting.cases}
    first: Finding | None = None
    count = 0
    chosen: dict[tuple[bool, int], Finding] = {}
    geometry = subject.layout.geometry(meeting.piece)
    for run in meeting.sweep.runs:
        if not run.against:
            continue
        vehicle = meeting.sweep.items[run.item].vehicles[0]
        path = geometry.paths[run.track]
        derails = trap_mm(
            geometry, run.track, wheel(vehicle.wheel, subject.layout.scale(meeting.piece)),
            1.0 - geometry.travel_of(path.setting),
        )  # fmt: skip
        if derails is None:
            continue
        needs = meeting.sweep.situations[run.situation, 1]
        if not any(int(need) in cases for need in np.unique(needs)):
            continue
        count += 1
        for at_joint, key in ((False, (False, 0)), (True, (True, run.track))):
            if key not in chosen:
                found = _shorts(meeting, run, derails, at_joint=at_joint)
                if found is not None:
                    chosen[key] = found
        first = first or _derails(meeting, run, derails)
    if first is not None and not chosen:
        chosen[False, 0] = first
    return [replace(finding, runs=count) for finding in chosen.values()]


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


def _set_right(meeting: Meeting) -> set[int]:
    """Circuits that are at fault with the points set for the train."""
    found: set[int] = set()
    for case in meeting.cases:
        if any(need.against for need in meeting.sweep.needs[case.need]):
            continue
        outcome = next((one for one in case.outcomes if not one.blocked), None)
        if outcome is not None:
            found |= set(meeting.sweep.situations[case.rows[outcome.level > 0], 0].tolist())
    return found


def _derails(meeting: Meeting, run: Run, derails: float) -> Finding:
    subject = meeting.subject
    name = meeting.sweep.items[run.item].name
    text = f"{_opening(subject, meeting, run)}, the {name} derails at {derails:.0f} mm."
    return Finding(
        "points-against", "wheel", _points(meeting, run), track_ends(meeting, run.track), "backward", name, derails,
        derails, (), None, None, text,
    )  # fmt: skip


def _shorts(meeting: Meeting, run: Run, derails: float, *, at_joint: bool) -> Finding | None:
    """Where it first shorts because the points lie wrong; `at_joint`: on another piece's rail too, else on its own."""
    subject = meeting.subject
    right = _set_right(meeting)
    whole = subject.whole[meeting.nodes]
    mine = {int(whole[k]) for k, name in enumerate(meeting.names) if name.partition(".")[0] == meeting.piece}
    own = np.array([int(one) in mine for one in whole])
    by_need = {case.need: case for case in meeting.cases}
    best: tuple[float, float, tuple[int, ...], int] | None = None
    for q in np.unique(run.situation).tolist():
        case = by_need.get(int(meeting.sweep.situations[q, 1]))
        if case is None:
            continue
        outcome = next((one for one in case.outcomes if not one.blocked), None)
        row = int(np.flatnonzero(case.rows == q)[0])
        if outcome is None or not outcome.level[row]:
            continue
        ends = crossed(meeting.sweep, q, outcome.injected[row])
        if bool(own[list(ends)].all()) == at_joint:
            continue
        if int(meeting.sweep.situations[q, 0]) in right:
            continue  # it is so with the points set right as well
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

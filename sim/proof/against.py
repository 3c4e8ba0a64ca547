"""What a train that trails in against the set points does: where it derails, and where it shorts before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.proof.crossed import crossed_each
from sim.proof.latest import MOST_PIECES, Latest
from sim.proof.meeting import Meeting
from sim.proof.subject import Subject
from sim.proof.sweep import Run
from sim.proof.telling import track_ends
from sim.proof.verdict import Finding
from sim.track.contact import trap_mm
from sim.track.wheels import wheel
from sim.wiring.names import section_of, section_words
from sim.wiring.telling import amps_words, end_words, listed

__all__ = ["ALIKE", "trailing"]

ALIKE = 0.8  # of the most current by which a short goes: of two rails with as much the first is told


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
    faults = _faults(meeting)
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
        for at_joint, key in ((False, (False, 0)), (True, (True, run.track))):
            if key not in chosen:
                found = _shorts(meeting, run, derails, faults, at_joint=at_joint)
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


@dataclass(frozen=True)
class _Short:
    """A fault that comes of points that lie wrong.

    rails: numbers of the sweep's columns; at_joint: another piece's rail is among them
    """

    rails: tuple[int, ...]
    at_joint: bool
    amps: float
    level: int


class _Faults:
    """Situations with the points set wrong that are at fault, where they are not with the points set right.

    shorts: by the situations' numbers
    """

    def __init__(self, shorts: Mapping[int, _Short]) -> None:
        self.shorts = shorts
        self._first: dict[tuple[Run, float, bool], tuple[float, _Short] | None] = {}

    def first(self, run: Run, derails: float, *, at_joint: bool) -> tuple[float, _Short] | None:
        """Where on its way to where it derails a run first comes to one."""
        key = (run, derails, at_joint)
        if key not in self._first:
            best: tuple[float, _Short] | None = None
            for q in np.unique(run.situation).tolist():
                short = self.shorts.get(q)
                if short is None or short.at_joint != at_joint:
                    continue
                cells = (run.situation == q) & (run.to_mm >= derails)
                if cells.any():
                    at = float(run.to_mm[cells].max())
                    if best is None or at > best[0]:
                        best = (at, short)
            self._first[key] = best
        return self._first[key]


_SHARED: Latest[_Faults] = Latest(MOST_PIECES)


def _faults(meeting: Meeting) -> _Faults:
    """Those of a piece; worked out once for all that are alike."""
    subject = meeting.subject
    whole = subject.whole[meeting.nodes]
    mine = {int(whole[k]) for k, name in enumerate(meeting.names) if name.partition(".")[0] == meeting.piece}
    own = np.array([int(one) in mine for one in whole])
    key = (*meeting.alike, own.tobytes())
    return _SHARED.of(key, lambda: _Faults(_shorts_of(meeting, own)))


def _shorts_of(meeting: Meeting, own: NDArray[np.bool_]) -> dict[int, _Short]:
    """Args: own: (columns,) whether a rail is the piece's own."""
    sweep = meeting.sweep
    right = list(_set_right(meeting))
    found: dict[int, _Short] = {}
    for case in meeting.cases:
        if not any(need.against for need in sweep.needs[case.need]):
            continue
        outcome = next((one for one in case.outcomes if not one.blocked), None)
        if outcome is None:
            continue
        rows = np.flatnonzero(outcome.level > 0)
        rows = rows[~np.isin(sweep.situations[case.rows[rows], 0], right)]
        if not len(rows):
            continue
        ends = crossed_each(sweep, case.rows[rows], outcome.injected[rows], ALIKE)
        joints: NDArray[np.bool_] = ~np.all(own[ends], axis=1)
        for row, rails, at_joint in zip(rows.tolist(), ends.tolist(), joints.tolist(), strict=True):
            short = _Short(tuple(sorted(set(rails))), at_joint, float(outcome.amps[row]), int(outcome.level[row]))
            found[int(case.rows[row])] = short
    return found


def _shorts(
    meeting: Meeting, run: Run, derails: float, faults: _Faults, *, at_joint: bool
) -> Finding | None:
    """Where it first shorts because the points lie wrong; `at_joint`: on another piece's rail too, else on its own."""
    subject = meeting.subject
    best = faults.first(run, derails, at_joint=at_joint)
    if best is None:
        return None
    at, short = best
    rails = tuple(sorted({section_of(meeting.names[k]) for k in short.rails}))
    where = listed([f"the {section_words(subject.bench, rail)}" for rail in rails])
    name = meeting.sweep.items[run.item].name
    what = f"the {name} shorts at {at:.0f} mm ({where}) and"
    if short.level == 1:
        what = (
            f"the {name} lets {amps_words(short.amps)} flow at {at:.0f} mm ({where}), too little to open the breaker, "
            "so that something overheats, and"
        )
    text = f"{_opening(subject, meeting, run)}, {what} derails at {derails:.0f} mm, as on every powered frog."
    return Finding(
        "points-against", "wheel", _points(meeting, run), track_ends(meeting, run.track), "backward", name, derails, at,
        rails, short.amps, None, text,
    )  # fmt: skip

"""What was seen on the runs, told: sightings of one cause put together, and each made a finding in words."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from sim.electric.parts import PartRef
from sim.proof.explain import shorted_text, starved_text
from sim.proof.instant import Instant, instant
from sim.proof.meeting import Meeting
from sim.proof.sighting import Key, Load, Sighting
from sim.proof.standing import item_standing
from sim.proof.stretches import RunId, Runs, seen_at, told_stretches
from sim.proof.subject import Subject
from sim.proof.verdict import Finding
from sim.wiring.names import part_words, section_of, section_words
from sim.wiring.telling import amps_words, listed, opening, setting_words

__all__ = ["Group", "Groups"]


@dataclass
class Group:
    """Sightings of one cause: the first, the piece that it was seen on, and all runs that show it, each with where."""

    first: Sighting
    meeting: Meeting
    runs: Runs = field(default_factory=dict)
    volts: float = float("inf")


class Groups:
    """All sightings of a test by what makes them one."""

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self.groups: dict[Key, Group] = {}
        self.loads: dict[PartRef, tuple[Load, Meeting, Runs]] = {}

    def add(self, meeting: Meeting, sighting: Sighting) -> None:
        """One more; pieces, tracks, vehicles and directions come in the file's order."""
        group = self.groups.get(sighting.key)
        if group is None:
            group = self.groups[sighting.key] = Group(sighting, meeting)
        group.runs.setdefault(run_id(meeting, sighting), []).extend(seen_at(sighting))
        if sighting.key.kind in ("dead", "weak"):
            group.volts = min(group.volts, _volts(sighting))

    def add_load(self, meeting: Meeting, load: Load) -> None:
        """An overload more; the heaviest of each part is told."""
        known = self.loads.get(load.rating.ref)
        runs: Runs = known[2] if known is not None else {}
        runs.setdefault(run_id(meeting, load.sighting), []).extend(seen_at(load.sighting))
        if known is None or load.amps > known[0].amps + 1e-9:
            self.loads[load.rating.ref] = (load, meeting, runs)

    def merged(self) -> list[tuple[Key, Group]]:
        """With starved places told by the rail that nothing feeds: as few rails as account for all of them."""
        kept = [(key, group) for key, group in self.groups.items() if not key.lacking]
        left = {key: group for key, group in self.groups.items() if key.lacking}
        while left:
            counts: dict[tuple[int, bool, tuple[tuple[str, str], ...]], int] = {}
            for key in left:
                for rail in key.rails:
                    about = (rail, key.fails, key.blamed)
                    counts[about] = counts.get(about, 0) + 1
            rail, fails, blamed = max(counts, key=lambda about: counts[about])
            mine = [key for key in left if rail in key.rails and (key.fails, key.blamed) == (fails, blamed)]
            groups = [left.pop(key) for key in mine]
            home = groups[0]
            for group in groups[1:]:
                for run, stretches in group.runs.items():
                    home.runs.setdefault(run, []).extend(stretches)
                home.volts = min(home.volts, group.volts)
            whole = self.subject.whole[home.meeting.nodes]
            rails = tuple(column for column in home.first.rails if int(whole[column]) == rail)
            home.first = replace(home.first, rails=rails)
            kept.append((replace(mine[0], rails=frozenset({rail})), home))
        return kept

    def findings(self) -> list[Finding]:
        """One finding for each cause."""
        found = [_finding(self.subject, key, group) for key, group in self.merged()]
        return found + [_overload(self.subject, load, where, runs) for load, where, runs in self.loads.values()]


def run_id(meeting: Meeting, sighting: Sighting) -> RunId:
    """The run that a sighting belongs to."""
    run = sighting.run
    return track_ends(meeting, run.track), meeting.sweep.items[run.item].name, run.direction


def track_ends(meeting: Meeting, track: int) -> tuple[str, str]:
    """The two ends of a track, by name."""
    path = meeting.subject.layout.geometry(meeting.piece).tracks[track]
    return f"{meeting.piece}.{path.ends[0]}", f"{meeting.piece}.{path.ends[1]}"


def _volts(sighting: Sighting) -> float:
    outcome = sighting.case.outcomes[sighting.combination]
    rows = {int(q): row for row, q in enumerate(sighting.case.rows.tolist())}
    some = [rows[q] for q in np.unique(sighting.run.situation[sighting.cells]).tolist() if q in rows]
    return float(np.nanmin(outcome.volts[some, sighting.vehicle])) if some else float("inf")


def points_told(subject: Subject, meeting: Meeting, sighting: Sighting) -> dict[str, str]:
    """The points and switches that matter to a sighting, with their settings: those of the pieces whose rails it is
    about, those under the run that decide these rails' feed, and those to blame."""
    case = sighting.case
    settings = {**case.under, **case.combinations[sighting.combination]}
    nodes = [int(meeting.nodes[rail]) for rail in sighting.rails]
    matter = set(subject.conductors.near(nodes).levers) & set(case.under)
    pieces = {meeting.names[rail].partition(".")[0] for rail in sighting.rails}
    for lever in case.under:
        if any(points.partition(".")[0] in pieces for points in subject.levers[lever].points):
            matter.add(lever)
    matter |= set(sighting.blamed)
    return subject.points({lever: settings[lever] for lever in subject.levers if lever in matter})


def _finding(subject: Subject, key: Key, group: Group) -> Finding:
    sighting, meeting = group.first, group.meeting
    case, run = sighting.case, sighting.run
    settings = {**case.under, **case.combinations[sighting.combination]}
    points = points_told(subject, meeting, sighting)
    outcome = case.outcomes[sighting.combination]
    rails = tuple(sorted({section_of(meeting.names[rail]) for rail in sighting.rails}))
    codes = subject.feeds.codes(subject.made(settings))
    feeds = subject.feeds.told(codes)
    item = meeting.sweep.items[run.item]
    vehicle = item.vehicles[sighting.vehicle]
    start, end = float(run.from_mm[sighting.cells].min()), float(run.to_mm[sighting.cells].max())
    row = int(np.flatnonzero(case.rows == run.situation[sighting.cell])[0])
    amps: float | None = None
    volts: float | None = None
    now: Instant | None = None
    if key.blamed and not key.blamed[0][0]:
        text = f"{opening(subject.bench, points)}{_meeting_words(key, rail_words(subject, rails))}"
    elif key.kind in ("dead", "weak") or (not key.fails and not outcome.level[row]):
        volts = group.volts if np.isfinite(group.volts) else float(outcome.volts[row, sighting.vehicle])
        text = starved_text(
            subject.bench, points, vehicle.name, rails, volts, vehicle.works_from_volts, feeds,
            weak=key.kind == "weak", stored_joules=vehicle.stored_joules,
        )  # fmt: skip
    else:
        standing = item_standing(meeting, sighting)
        now = instant(subject, settings, sources=int(outcome.sources[row]), standing=standing)
        amps, volts = float(outcome.amps[row]), now.volts_left
        text = shorted_text(points, standing, item.name, now, feeds)
    text += _blame_words(subject, key, sighting)
    return Finding(
        key.kind, "wheel", points, track_ends(meeting, run.track), run.direction, item.name, start, end, rails, amps,
        volts, text, now.loop if now is not None else (), len(group.runs), key.fails,
        told_stretches(group.runs),
    )  # fmt: skip


def _meeting_words(key: Key, where: str) -> str:
    """What a wheel does that stands on what different supplies feed."""
    if key.fails:
        return f"wheels on {where} join supplies of different kinds."
    if key.kind == "set-first":
        return f"wheels on {where} short two DC supplies if one is turned the other way: set both alike before."
    return f"wheels on {where} join two supplies in phase: a current evens out their volts, and nothing more."


def _overload(subject: Subject, load: Load, meeting: Meeting, runs: Runs) -> Finding:
    sighting = load.sighting
    run = sighting.run
    points = points_told(subject, meeting, sighting)
    name = meeting.sweep.items[run.item].name
    text = (
        f"{opening(subject.bench, points)}the {part_words(subject.bench, load.rating.ref)} carries "
        f"{amps_words(load.amps)} under the {name}; it is rated for {amps_words(load.rating.amps)}."
    )
    start, end = float(run.from_mm[sighting.cells].min()), float(run.to_mm[sighting.cells].max())
    return Finding(
        "overloaded", "wheel", points, track_ends(meeting, run.track), run.direction, name, start, end, (), load.amps,
        None, text, (), len(runs), False, told_stretches(runs),
    )  # fmt: skip


def _blame_words(subject: Subject, key: Key, sighting: Sighting) -> str:
    blamed = sighting.blamed
    if not blamed:
        return ""
    named = listed([setting_words(subject.bench, lever, word) for lever, word in blamed.items()])
    if sighting.torn:
        return (
            f" It comes from {named}. Set otherwise it spoils another place, and between the two there is none where "
            "every wheel stands on one length of plain track, so that it could be thrown."
        )
    if key.fails:
        return (
            f" It comes from {named}, which the run does not pass: two trains that do not meet must be able to run at "
            "once."
        )
    return f" It comes from {named}: set {'that' if len(blamed) == 1 else 'those'} the other way first."


def rail_words(subject: Subject, sections: tuple[str, ...]) -> str:
    """ "the left stock rail and the frog"."""
    return listed([f"the {section_words(subject.bench, section)}" for section in sections])

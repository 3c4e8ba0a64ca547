"""Levers off the run: which of them spoil a place, and whether that is a fault of the bench or of the operator."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.proof.meeting import Case, Meeting

__all__ = ["Trouble", "is_advice", "troubles"]


@dataclass(frozen=True)
class Trouble:
    """A place that is bad in some combination of the levers off the run.

    combination: its number among the case's; ways: each of the smallest sets of levers off the run whose change makes
    it clean, with the settings that spoil it; an empty one where no setting of them is clean
    """

    combination: int
    ways: tuple[Mapping[str, str], ...]


def troubles(case: Case, bad: NDArray[np.bool_], blocked: Sequence[bool]) -> dict[int, tuple[Trouble, ...]]:
    """For each situation that is bad in some combination, by its place in the case's rows, the fewest to blame.

    Args:
        bad: (combinations, rows); blocked: combinations that are at fault with nothing on the track.
    """
    free = [k for k, stands in enumerate(blocked) if not stands]
    found: dict[int, tuple[Trouble, ...]] = {}
    if not free:
        return found
    some = bad[free]
    every = some.all(axis=0)
    for row in np.flatnonzero(every):
        found[int(row)] = (Trouble(free[0], ({},)),)
    known: dict[bytes, tuple[Trouble, ...]] = {}
    for row in np.flatnonzero(some.any(axis=0) & ~every):
        key = some[:, row].tobytes()
        if key not in known:
            known[key] = _fewest(case, free, some[:, row])
        found[int(row)] = known[key]
    return found


def _fewest(case: Case, free: Sequence[int], bad: NDArray[np.bool_]) -> tuple[Trouble, ...]:
    words = np.array([tuple(case.combinations[k].values()) for k in free])
    clean = words[~bad]
    found: dict[tuple[tuple[tuple[str, str], ...], ...], Trouble] = {}
    for k in np.flatnonzero(bad).tolist():
        differ = clean != words[k]
        count = differ.sum(axis=1)
        least = sorted(tuple(np.flatnonzero(row).tolist()) for row in differ[count == count.min()])
        ways = tuple({case.free[lever]: str(words[k, lever]) for lever in way} for way in least)
        key = tuple(tuple(sorted(way.items())) for way in ways)
        found.setdefault(key, Trouble(free[k], ways))
    return tuple(found.values())


def is_advice(
    meeting: Meeting, track: int, blamed: Mapping[str, str], *, dead: bool, at_joint: bool, dc: bool
) -> str | None:
    """Why a lever that spoils a run is a matter for the operator: "set-first" or "points-against"; None: it is a fault.

    Args:
        track: of the meeting's piece, over which the run goes. dead: it is merely dead; else a short, or hot.
        at_joint: sides that do not fit meet there, not at a frog. dc: the bench is a DC one.
    """
    kinds = []
    for lever, word in blamed.items():
        if meeting.subject.levers[lever].is_switch or (dc and dead):
            kinds.append("set-first")
        elif at_joint and _next_against(meeting, track, lever, word):
            kinds.append("points-against")
        else:
            return None
    return "points-against" if "points-against" in kinds else "set-first"


def _next_against(meeting: Meeting, track: int, lever: str, word: str) -> bool:
    """Whether the lever's points are next on the run's own way, over plain track alone, and set against it."""
    layout = meeting.subject.layout
    path = layout.geometry(meeting.piece).tracks[track]
    for end in path.ends:
        here = (meeting.piece, end)
        for _ in range(len(layout.pieces)):
            met = layout.neighbour(*here)
            if met is None:
                break
            tracks = layout.tracks_from(*met)
            if len(layout.geometry(met[0]).tracks) == 1 and tracks:
                ends = layout.geometry(met[0]).tracks[0].ends
                here = (met[0], ends[1] if ends[0] == met[1] else ends[0])
                continue
            needs = [meeting.subject.needs(met[0], index) for index, _ in tracks]
            own = {points: setting for need in needs for points, setting in need.items()}
            if len(tracks) == 1 and any(
                meeting.subject.lever_of[points] == lever and setting != word for points, setting in own.items()
            ):
                return True
            break
    return False

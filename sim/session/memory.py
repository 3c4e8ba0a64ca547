"""What is remembered of a bench that was left, so that it can be taken up again: how it stands, and how it was played.

Remembered are the bench with its points and trains as they stand, what was said before power, the readings, and how
power first came. Not remembered: what could still be undone, speeds, and the supply's rocker and plug, which are as
the file has them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from sim.bench.model import Bench, Train
from sim.bench.reading import parse
from sim.bench.writing import dump
from sim.session.acts import Side
from sim.session.locks import UNLOCKED, Locks
from sim.session.running import Running
from sim.session.session import Session
from sim.session.snapshot import Evidence, EvidenceKind, FirstPower, ReadingView, Taken
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.track.walk import Spot

__all__ = ["Memory", "as_it_stands", "recall", "remember"]

_SIDES: Mapping[str, Side] = {"left": "left", "right": "right"}


@dataclass(frozen=True, slots=True)
class Memory:
    """A bench that was left: the text of its file, and the facts of its play as JSON."""

    bench: str
    facts: str = "{}"


def as_it_stands(session: Session) -> Bench:
    """The bench with its points as last thrown and every train where it stands now, facing the way it faces.

    A train that has run out over an open end stands at that end.
    """
    now = session.running
    trains = tuple(_standing(now.layout, now.trains[train.id].lead, train) for train in now.bench.trains)
    return replace(now.bench, trains=trains)


def _standing(layout: Layout, lead: Spot, train: Train) -> Train:
    path = layout.geometry(lead.piece).tracks[lead.path]
    end = path.ends[1] if lead.forward else path.ends[0]
    mm = path.length_mm - lead.s_mm if lead.forward else lead.s_mm
    return replace(train, end=f"{lead.piece}.{end}", mm=round(max(0.0, mm), 2))


def remember(session: Session) -> Memory:
    """A bench as it stands, and how it has been played."""
    return Memory(dump(as_it_stands(session)), json.dumps(_facts(session.running), sort_keys=True))


def recall(filed: Bench, memory: Memory, locks: Locks = UNLOCKED) -> Session:
    """A session that goes on where `memory` left it. `filed`: the bench's own file, whose level is played.

    What is locked stays so. What cannot be read of the facts is left out.
    Raises BenchFaults or ValueError for a bench that cannot be set up.
    """
    bench = parse(memory.bench, KINDS, name="the bench as it was left")
    if filed.level is not None and _parts(bench) != _parts(filed):
        raise ValueError("the bench as it was left is of another job")
    session = Session(replace(bench, level=filed.level, title=filed.title), locks)
    try:
        _take_up(session.running, json.loads(memory.facts))
    except (TypeError, ValueError, KeyError, AttributeError):
        session = Session(session.bench, locks)
    session.running.journal.tell("The bench stands as you left it.")
    return session


def _parts(bench: Bench) -> tuple[str, ...]:
    """What a job does not let anyone change: its track, motors and trains, by name."""
    return (
        *(piece.id for piece in bench.tracks),
        *(motor.id for motor in bench.motors),
        *(train.id for train in bench.trains),
    )


def _facts(now: Running) -> Mapping[str, Any]:
    first = now.play.first
    return {
        "said": [[piece, setting, side] for (piece, setting), side in now.play.said.items()],
        "into_short": now.play.into_short,
        "trips": now.play.trips,
        "first": None if first is None else {
            "readings": [asdict(reading) for reading in first.readings],
            "taken": _rows(first.taken),
            "into_short": first.into_short,
        },
        "cautions": now.meter.cautions,
        "readings": [asdict(reading) for reading in now.meter.readings.values()],
        "found": sorted(now.meter.found),
        "taken": _rows(now.meter.taken),
        "evidence": sorted(now.evidence.so_far),
    }  # fmt: skip


def _rows(taken: Iterable[Taken]) -> list[list[object]]:
    return [[list(ends), [list(row) for row in settings], ohms] for ohms, ends, settings in sorted(taken)]


def _taken(rows: Iterable[Any]) -> frozenset[Taken]:
    return frozenset(
        Taken(bool(ohms), (str(a), str(b)), tuple((str(piece), str(at)) for piece, at in settings))
        for (a, b), settings, ohms in rows
    )


def _evidence(rows: Iterable[Any]) -> frozenset[Evidence]:
    kinds: Mapping[str, EvidenceKind] = {"joined": "joined", "open": "open", "apart": "apart", "ran": "ran"}
    return frozenset(
        Evidence(kinds[what], (str(a), str(b)), tuple((str(piece), str(at)) for piece, at in points))
        for what, (a, b), points in rows
    )


def _readings(rows: Iterable[Any]) -> tuple[ReadingView, ...]:
    return tuple(ReadingView(**row) for row in rows)


def _take_up(now: Running, facts: Mapping[str, Any]) -> None:
    if not facts:
        return
    play, first = now.play, facts["first"]
    play.said = {(str(piece), str(setting)): _SIDES[side] for piece, setting, side in facts["said"]}
    play.into_short, play.trips = int(facts["into_short"]), int(facts["trips"])
    play.first = (
        None
        if first is None
        else FirstPower(_readings(first["readings"]), _taken(first["taken"]), bool(first["into_short"]))
    )
    screws = {(motor.id, number) for motor in now.bench.motors for number in range(len(motor.changeovers))}
    found = screws & {(str(motor), int(number)) for motor, number in facts["found"]}
    now.meter.take_up(int(facts["cautions"]), _readings(facts["readings"]), _taken(facts["taken"]), found)
    now.evidence.take_up(_evidence(facts.get("evidence", ())))  # a bench left by an older version has none

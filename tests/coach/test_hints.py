"""Whoever follows the hints, from a fresh start or after mistakes, comes to a bench that tests clean, fully marked."""

from __future__ import annotations

import dataclasses

import pytest

from sim.bench.edits import MakeWire, RemoveWire, SetPlace
from sim.bench.model import Bench
from sim.bench.reading import load, parse
from sim.coach.assessment import assess
from sim.coach.hints import Hint, next_hint, solved
from sim.coach.job import begin
from sim.coach.marks import Marks, score
from sim.proof import prove
from sim.resources import level_names, level_path
from sim.session.acts import Act, Dial, Do, Plug, Power
from sim.session.session import Session
from sim.track.formations import KINDS
from tests.coach.following import act_told
from tests.levels.playing import level_of, quick, wait

LEVELS = {name: quick(load(level_path(name), KINDS)) for name in level_names()}
MOST_HINTS = 40

every_level = pytest.mark.parametrize("name", LEVELS)


def follow(filed: Bench, session: Session) -> tuple[Marks, list[Hint]]:
    """Take hint after hint until there is none, then test every route."""
    given: list[Hint] = []
    while (hint := next_hint(filed, session.snapshot())) is not None:
        given.append(hint)
        assert len(given) < MOST_HINTS, [hint.change for hint in given[-6:]]
        session.step(Session.DT, (act_told(session, hint.change),))
        wait(session)
        session.step(5 * Session.DT)
    end = session.snapshot()
    verdict = prove(end.bench)
    return score(end.bench, verdict, foreseen=assess(end).foreseen, checked=assess(end).checked), given


def begun(bench: Bench, *acts: Act) -> Session:
    """A session in which that has been done."""
    session = begin(bench)
    session.step(Session.DT, (Plug(False),))
    for act in acts:
        session.step(Session.DT, (act,))
        wait(session)
    return session


@every_level
def test_hints_followed_from_the_start_earn_every_mark(name: str) -> None:
    marks, given = follow(LEVELS[name], begin(LEVELS[name]))
    assert marks.total == 100
    assert given


@every_level
def test_a_wire_in_the_way_is_taken_off_first(name: str) -> None:
    """A wire of the player's own between the two sides, then hints: the wire goes, and the bench comes out clean."""
    bench = LEVELS[name]
    short = Do(MakeWire("T1.stock.left", "T1.stock.right"))
    session = begun(bench, short)
    marks, given = follow(bench, session)
    off = [hint.change for hint in given if "Take off" in hint.change]
    assert off[0] == "Take off the wire from the left stock rail to the right stock rail."
    assert prove(session.bench).passed
    assert marks.total == 100


@pytest.mark.parametrize("name", [name for name in LEVELS if name != "turned-round"])
def test_outers_exchanged_are_put_right(name: str) -> None:
    """Every wire of the worked solution but with the outers exchanged; on the motor turned round that is the cure."""
    bench = LEVELS[name]
    target = solved(bench)
    session = begun(bench)
    screws = {end for wire in target.wires for end in wire.ends}
    change = next(each for each in target.motors[0].changeovers if f"M1.{each.common}" in screws)
    outers = {f"M1.{change.normal}": f"M1.{change.diverging}", f"M1.{change.diverging}": f"M1.{change.normal}"}
    while session.bench.wires:
        session.step(Session.DT, (Do(RemoveWire(0)),))
    for wire in target.wires:
        a, b = (outers.get(end, end) for end in wire.ends)
        session.step(Session.DT, (Do(MakeWire(a, b)),))
    assert not prove(session.bench).passed
    _, given = follow(bench, session)
    assert prove(session.bench).passed
    off = [hint for hint in given if hint.change.startswith("Take off")]
    assert off[0].question.startswith("Two wires have changed places")
    assert off[0].place.endswith(", and at its neighbour.")


def test_a_gap_bridged_by_the_player_is_cut_again() -> None:
    """Where the level lets gaps be changed; none of the first chapter does, so the right-hand one is opened to it."""
    text = level_path("right-hand").read_text(encoding="utf-8")

    text = text.replace("gaps = false", "gaps = true")
    bench = quick(parse(text, KINDS, name="right-hand"))
    assert level_of(bench).allow.gaps is True
    session = begun(bench, Do(SetPlace("T1.gap.closure.left", "closed")))
    marks, given = follow(bench, session)
    assert "The left closure gap should be cut." in [hint.change for hint in given]
    assert marks.total == 100


def test_a_wiring_of_ones_own_that_feeds_every_rail_the_same_is_not_in_the_way() -> None:
    """The outers of the right-hand job taken to the stock rails instead of the bus bars: as good, so left alone."""
    bench = LEVELS["right-hand"]
    session = begun(bench)
    for wire in solved(bench).wires:
        a, b = wire.ends
        b = {"bus.A": "T1.stock.left", "bus.B": "T1.stock.right"}.get(b, b) if a.startswith("M1.") else b
        session.step(Session.DT, (Do(MakeWire(a, b)),))
    assert prove(session.bench).passed
    _, given = follow(bench, session)
    assert not [hint.change for hint in given if "wire" in hint.change.lower()]


def test_the_supply_is_unplugged_before_anything_else_is_touched() -> None:
    bench = LEVELS["four-readings"]
    session = begin(bench)
    session.step(Session.DT, (Plug(True), Dial("ohms")))
    hint = next_hint(bench, session.snapshot())
    while hint is not None and hint.at[0][0] == "say":
        session.step(Session.DT, (act_told(session, hint.change),))
        hint = next_hint(bench, session.snapshot())
    assert hint is not None
    assert hint.at == (("plug", "supply"),)


def test_after_power_no_reading_is_asked_for_any_more() -> None:
    """The check before power is lost then: only what is wrong with the wiring is told."""
    bench = LEVELS["right-hand"]
    session = begun(bench)
    for wire in solved(bench).wires:
        session.step(Session.DT, (Do(MakeWire(*wire.ends)),))
    while (hint := next_hint(bench, session.snapshot())) is not None and hint.at[0][0] == "say":
        session.step(Session.DT, (act_told(session, hint.change),))
    session.step(Session.DT, (Plug(True), Power(True)))
    assert session.snapshot().play.powered
    assert next_hint(bench, session.snapshot()) is None


def test_a_bench_without_a_job_has_no_hint() -> None:
    bench = dataclasses.replace(LEVELS["right-hand"], level=None)
    with pytest.raises(ValueError, match="job"):
        next_hint(bench, begin(bench).snapshot())

"""When a mark is lost on the way, the bench says so then, and says why."""

from __future__ import annotations

from sim.bench.edits import MakeWire
from sim.bench.reading import load
from sim.coach.assessment import assess, told
from sim.coach.hints import solved
from sim.coach.job import begin
from sim.coach.marks import score
from sim.proof import prove
from sim.resources import level_path
from sim.session.acts import Dial, Do, Plug, Power, Predict, Probe
from sim.session.session import Session
from sim.track.formations import KINDS
from tests.levels.playing import play, predictions, quick

AGAIN = "Beginning the job again wins the mark back."
LEVEL = quick(load(level_path("right-hand"), KINDS))


def wired() -> Session:
    session = begin(LEVEL)
    session.step(Session.DT, (Plug(False), *predictions(LEVEL), Dial("ohms")))
    session.step(Session.DT, [Do(MakeWire(*wire.ends)) for wire in solved(LEVEL).wires])
    return session


def test_power_after_too_few_readings_says_how_many_were_taken() -> None:
    session = wired()
    for side in ("left", "right"):
        session.step(Session.DT, (Probe("T1.frog", f"T1.stock.{side}"),))
        session.step(0.1)
    shot = session.step(Session.DT, (Plug(True), Power(True)))
    assert assess(shot).unchecked == "power after 2 of 7 readings"
    assert f"That costs the mark for checking: power after 2 of 7 readings. {AGAIN}" in told(shot)
    assert assess(shot).checking == f"power after 2 of 7 readings. {AGAIN}"


def test_ohms_with_the_supply_plugged_in_are_the_reason() -> None:
    session = wired()
    session.step(Session.DT, (Plug(True), Probe("T1.frog", "T1.stock.left")))
    shot = session.step(0.1)
    assert shot.play.cautions == 1
    assert assess(shot).unchecked == "ohms were measured with the supply plugged in"


def test_the_first_power_into_a_short_is_the_reason() -> None:
    session = wired()
    session.step(Session.DT, (Do(MakeWire("T1.stock.left", "T1.stock.right")),))
    shot = session.step(Session.DT, (Plug(True), Power(True)))
    assert assess(shot).unchecked == "the first power met a short"


def test_nothing_is_lost_by_a_worked_solution() -> None:
    assert LEVEL.level is not None
    session, marks = play(LEVEL, LEVEL.level.solution, predictions(LEVEL))
    shot = session.step(Session.DT, (Plug(True), Power(True)))
    assert marks.total == 100
    assert assess(shot).unchecked == ""
    assert not any("costs the mark" in line for line in told(shot))


def test_a_wrong_prediction_is_told_with_what_was_said_and_what_is_so() -> None:
    session = begin(LEVEL)
    shot = session.step(Session.DT, (Predict("T1", "normal", "left"), Predict("T1", "diverging", "left")))
    assert assess(shot).foreseen == 0.5
    assert assess(shot).unforeseen == "points normal: said left, it is right"
    shot = session.step(Session.DT, (Predict("T1", "diverging", "right"),))
    assert assess(shot).unforeseen == (
        "points normal: said left, it is right; points diverging: said right, it is left"
    )
    shot = session.step(Session.DT, (Predict("T1", "normal", "right"), Predict("T1", "diverging", "left")))
    assert assess(shot).unforeseen == ""


def test_what_was_not_said_is_told_as_that() -> None:
    session = begin(LEVEL)
    assert assess(session.snapshot()).unforeseen == "nothing was said yet"
    shot = session.step(Session.DT, (Predict("T1", "normal", "left"),))
    assert assess(shot).unforeseen == "points normal: said left, it is right; not all was said yet"
    assert assess(shot).foreseeing == (
        "points normal: said left, it is right; not all was said yet. "
        "Before power it can still be said, or changed, on the frog's slip."
    )


def test_what_can_no_longer_be_said_is_won_back_by_beginning_again() -> None:
    session = wired()
    session.step(Session.DT, (Predict("T1", "normal", "left"), Plug(True), Power(True)))
    made = assess(session.snapshot())
    assert made.foreseeing == f"points normal: said left, it is right. {AGAIN}"


def test_readings_that_a_wire_has_made_void_are_told_as_that() -> None:
    session = wired()
    for side in ("left", "right"):
        session.step(0.1, (Probe("T1.frog", f"T1.stock.{side}"),))
    session.step(0.1, (Probe(None, None), Do(MakeWire("bus.A", "T1.stock.left"))))
    assert assess(session.snapshot()).checking == (
        "0 of 7 readings so far; those before the last change of a wire say nothing now. "
        "Take the rest with the plug out."
    )
    shot = session.step(Session.DT, (Plug(True), Power(True)))
    assert assess(shot).unchecked == "power after 0 of 7 readings; a wire was changed after the others"


def test_with_no_wire_on_the_frog_power_costs_nothing_and_a_wire_taken_to_it_under_power_does() -> None:
    session = begin(LEVEL)
    session.step(Session.DT, (*predictions(LEVEL), Do(MakeWire("bus.A", "T1.stock.left"))))
    shot = session.step(Session.DT, (Plug(True), Power(True)))
    assert assess(shot).checking == "0 of 7 readings so far. Take them, once the frog is wired, with the plug out."
    shot = session.step(Session.DT, (Do(MakeWire("bus.A", "T1.frog")),))
    assert assess(shot).checking == f"power after 0 of 7 readings. {AGAIN}"


def test_an_empty_board_with_wrong_answers_earns_nothing() -> None:
    session = begin(LEVEL)
    shot = session.step(Session.DT, (Predict("T1", "normal", "left"), Predict("T1", "diverging", "right")))
    made = assess(shot)
    marks = score(session.bench, prove(session.bench), foreseen=made.foreseen, checked=made.checked)
    assert marks.total == 0

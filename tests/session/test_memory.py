"""A bench that was left is taken up again as it stood, with what had been said, measured and done."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sim.bench.edits import MakeWire
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.assessment import assess
from sim.coach.job import begin, locks_of
from sim.resources import level_names, level_path
from sim.session.acts import Dial, Direction, Do, Drive, Plug, Power, Predict, Probe, Put, Throw
from sim.session.memory import Memory, as_it_stands, recall, remember
from sim.session.session import Session
from sim.track.formations import KINDS
from tests.levels.playing import play, predictions, quick, wait

LEVELS = {name: quick(load(level_path(name), KINDS)) for name in level_names()}


def right_hand() -> Bench:
    return LEVELS["right-hand"]


def taken_up(session: Session) -> Session:
    """Left and taken up again."""
    return recall(right_hand(), remember(session), locks_of(right_hand()))


def begun() -> Session:
    """Said, wired, measured a little, and driven."""
    session = begin(right_hand())
    session.step(Session.DT, (Plug(False), *predictions(right_hand()), Dial("ohms")))
    session.step(Session.DT, (Do(MakeWire("bus.A", "T1.stock.left")), Do(MakeWire("bus.B", "T1.stock.right"))))
    session.step(Session.DT, (Probe("M1.k", "M1.m"),))
    session.step(Session.DT, (Probe("T1.frog", "T1.stock.left"),))
    session.step(Session.DT, (Throw("T1"),))
    wait(session)
    return session


def test_wires_points_sayings_and_readings_come_back() -> None:
    session = begun()
    before = session.snapshot()
    after = taken_up(session).snapshot()
    assert after.bench.wires == before.bench.wires
    assert after.travel == before.travel == {"T1": 1.0}
    assert after.predictions == before.predictions
    assert len(after.predictions) == 2
    assert after.readings == before.readings
    assert assess(after).patterns == assess(before).patterns
    assert after.play == before.play
    assert after.meter.taken == before.meter.taken


def test_a_contact_that_was_found_stays_found() -> None:
    session = begin(right_hand())
    session.step(Session.DT, (Dial("ohms"), Probe("M1.p", "M1.m")))
    session.step(Session.DT, (Throw("T1"),))
    wait(session)
    session.step(Session.DT, (Probe("M1.p", "M1.k"),))
    kept = remember(session)
    assert recall(right_hand(), kept).snapshot().found == {("M1", 0)}
    assert recall(right_hand(), replace(kept, facts=kept.facts.replace("M1", "M9"))).snapshot().found == frozenset()


def test_a_train_stands_where_it_had_come_to_facing_as_it_faced() -> None:
    session = begun()
    session.step(Session.DT, (Plug(True), Power(True), Direction("shunter", -1), Drive("shunter", 0.3)))
    for _ in range(20):
        moved = session.step(0.1)
    session.step(Session.DT, (Drive("shunter", 0.0),))
    for _ in range(30):
        moved = session.step(0.1)
    start = begin(right_hand()).snapshot().trains[0].vehicles[0].axles
    axles = moved.trains[0].vehicles[0].axles
    assert abs(axles[0][0] - start[0][0]) > 5.0
    again = taken_up(session).snapshot().trains[0].vehicles[0].axles
    for ours, theirs in zip(again, axles, strict=True):
        assert ours == pytest.approx(theirs, abs=0.02)


def test_a_train_on_the_diverging_road_or_backwards_stands_there_too() -> None:
    session = begun()
    session.step(Session.DT, (Plug(True), Power(True), Drive("shunter", 0.5)))
    for sign in (-1, 1):
        session.step(Session.DT, (Direction("shunter", sign), Drive("shunter", 0.5)))
        for _ in range(12):
            session.step(0.1)
        session.step(Session.DT, (Drive("shunter", 0.0),))
        for _ in range(30):
            session.step(0.1)
        axles = session.snapshot().trains[0].vehicles[0].axles
        again = Session(as_it_stands(session)).snapshot().trains[0].vehicles[0].axles
        for ours, theirs in zip(again, axles, strict=True):
            assert ours == pytest.approx(theirs, abs=0.02)


def test_power_before_the_readings_is_not_forgotten() -> None:
    session = begun()
    for a, b in (("M1.k", "T1.frog"), ("M1.m", "bus.A")):
        session.step(Session.DT, (Do(MakeWire(a, b)),))
    session.step(Session.DT, (Plug(True), Power(True)))
    assert session.snapshot().play.powered
    again = taken_up(session)
    assert again.snapshot().play == session.snapshot().play
    assert not assess(again.snapshot()).checked
    again.step(Session.DT, (Predict("T1", "normal", "left"),))
    assert again.snapshot().predictions == session.snapshot().predictions  # too late to say it first


@pytest.mark.parametrize("name", LEVELS)
def test_marks_earned_before_leaving_are_earned_after_it(name: str) -> None:
    bench = LEVELS[name]
    assert bench.level is not None
    session, _ = play(bench, bench.level.solution, predictions(bench))
    before = session.snapshot()
    assert assess(before).checked
    after = recall(bench, remember(session), locks_of(bench)).snapshot()
    assert after.play == before.play
    assert (assess(after).checked, assess(after).foreseen) == (True, assess(before).foreseen)


def test_the_supply_is_as_the_file_has_it() -> None:
    session = begun()
    session.step(Session.DT, (Plug(True), Power(True)))
    again = taken_up(session).snapshot().supplies[0]
    assert (again.on, again.plugged) == (right_hand().supplies[0].on, right_hand().supplies[0].plugged)


@pytest.mark.parametrize(
    "facts", ["", "{", "[]", '{"play": 3}', '{"play": {"said": [["T1", "normal", "up"]]}}', "null"]
)
def test_facts_that_cannot_be_read_are_left_out(facts: str) -> None:
    session = begun()
    again = recall(right_hand(), Memory(remember(session).bench, facts)).snapshot()
    assert again.bench.wires == session.bench.wires
    assert again.predictions == ()
    assert again.readings == ()


def test_a_bench_that_cannot_be_read_is_told() -> None:
    with pytest.raises(ValueError, match="left"):
        recall(right_hand(), Memory("bench = 1\n[supply"))


def test_a_train_that_has_run_out_over_an_open_end_stands_at_that_end() -> None:
    session = begun()
    session.step(Session.DT, (Put("shunter", "T1.toe", 45.0), Plug(True), Power(True), Drive("shunter", 0.5)))
    for _ in range(40):
        shot = session.step(0.1)
    assert shot.trains[0].vehicles[0].axles[0][0] < -20.0
    (train,) = as_it_stands(session).trains
    assert (train.end, train.mm) == ("T1.toe", 0.0)

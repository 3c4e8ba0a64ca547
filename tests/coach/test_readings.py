"""What is made of readings of a frog and of predictions, and which goals that reaches."""

from __future__ import annotations

import dataclasses
import itertools

import pytest

from sim.bench.edits import MakeWire, RemoveWire
from sim.bench.level import Level
from sim.bench.model import Bench
from sim.coach.assessment import assess, told
from sim.coach.job import begin
from sim.coach.readings import must_match, pattern
from sim.session.acts import Act, Dial, Do, Plug, Power, Predict, Probe, Test, Throw, Undo
from sim.session.session import Session
from sim.session.snapshot import ReadingView, Snapshot
from sim.track.formations import Turnout
from sim.track.layout import Layout
from tests.session.benches import bench

ALL = Level(goals=("safe", "live", "foreseen", "checked", "tidy"), predict=("T1",), readings=4)


def after(session: Session, seconds: float, *acts: Act) -> Snapshot:
    return session.step(seconds, acts)


def levelled(level: Level, **options: object) -> Bench:
    return dataclasses.replace(bench(vehicles=(), seconds=0.2, **options), level=level)  # type: ignore[arg-type]


def _turnout(what: Bench) -> Turnout:
    piece = what.piece("T1")
    assert isinstance(piece, Turnout)
    return piece


def four_readings(session: Session) -> Snapshot:
    """Measure the frog to both stock rails in both positions, as the sheet asks."""
    after(session, 0.01, Dial("ohms"))
    for _ in range(2):
        for side in ("left", "right"):
            after(session, 0.01, Probe("T1.frog", f"T1.stock.{side}"))
        after(session, 0.3, Probe(None, None), Throw("T1"))
    return session.snapshot()


@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_rule_of_the_closed_blade(hand: str) -> None:
    """Trade.md A2: the frog of a right-hand turnout matches R when straight and L when diverging; left-hand L and R."""
    what = bench(vehicles=())
    layout = Layout(dataclasses.replace(what, tracks=(dataclasses.replace(_turnout(what), hand=hand),)))
    wanted = {"right": ("right", "left"), "left": ("left", "right")}[hand]
    assert (must_match(layout, "T1", "normal"), must_match(layout, "T1", "diverging")) == wanted


def test_four_right_readings_before_power_are_checked() -> None:
    session = begin(levelled(ALL))
    after(session, 0.01, Plug(False))
    shot = four_readings(session)
    assert assess(shot).patterns["T1"] == "Correct in both positions."
    assert [(r.setting, r.side, r.closed) for r in shot.readings] == [
        ("normal", "left", False),
        ("normal", "right", True),
        ("diverging", "left", True),
        ("diverging", "right", False),
    ]  # fmt: skip
    assert all(r.unplugged and r.before_power for r in shot.readings)
    assert assess(shot).checked
    assert {goal.name: goal.done for goal in assess(shot).goals}["checked"]
    says = [Predict("T1", "normal", "right"), Predict("T1", "diverging", "left")]
    shot = after(session, 0.1, *says, Plug(True), Power(True))
    assert shot.play.powered
    assert assess(shot).checked


def test_too_few_readings_are_not_enough() -> None:
    session = begin(levelled(dataclasses.replace(ALL, readings=6)))
    after(session, 0.01, Plug(False))
    assert not assess(four_readings(session)).checked
    shot = after(session, 0.01, Probe("T1.stock.left", "T1.stock.right"))
    assert (assess(shot).readings_taken, assess(shot).checked) == (5, False)
    assert assess(after(session, 0.3, Throw("T1"))).checked  # the same pair in the other position is the sixth


def test_readings_with_the_supply_plugged_in_caution_and_cost_the_mark() -> None:
    session = begin(levelled(ALL))
    shot = four_readings(session)
    assert shot.play.cautions > 0
    assert not any(reading.unplugged for reading in shot.readings)
    assert not assess(shot).checked
    assert any(line.startswith("Caution: ") for line in shot.log)
    # measured again, unplugged: the mark stays lost
    after(session, 0.01, Plug(False))
    assert not assess(four_readings(session)).checked


def test_plugging_in_with_the_tips_still_on_cautions_but_is_no_measurement() -> None:
    session = begin(levelled(ALL))
    after(session, 0.01, Plug(False))
    four_readings(session)
    after(session, 0.01, Probe("T1.frog", "T1.stock.left"))
    shot = after(session, 0.01, Plug(True))
    assert shot.meter.caution
    assert shot.log[-1].startswith("Caution: ")
    assert all(reading.unplugged for reading in shot.readings)
    assert (shot.play.cautions, assess(shot).checked) == (0, True)
    shot = after(session, 0.01, Probe("T1.frog", "T1.stock.right"))
    assert (shot.play.cautions, assess(shot).checked) == (1, False)


def test_with_the_plug_pulled_a_rocker_that_is_on_joins_nothing() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=()), supply="on = true\nplugged = false"))
    shot = four_readings(session)
    assert shot.supplies[0].on
    assert (shot.play.cautions, assess(shot).checked) == (0, True)
    assert all(reading.unplugged for reading in shot.readings)


def test_a_reading_that_does_not_count_says_so_and_the_caution_is_told_after_it() -> None:
    session = begin(levelled(ALL))
    shot = after(session, 0.01, Dial("ohms"), Probe("T1.frog", "T1.stock.left"))
    log = told(shot)
    assert log[-3].endswith("The supply is plugged in: it does not count.")
    assert log[-2:] == (
        "Caution: measure ohms only with the supply unplugged.",
        "That costs the mark for checking: ohms measured with the supply plugged in. "
        "Beginning the job again wins the mark back.",
    )
    pattern_now = assess(shot).patterns["T1"]
    assert pattern_now == "Still to take: frog to right stock rail, points normal."  # it is not looked at
    shot = after(session, 0.01, Probe("T1.frog", "T1.stock.right"))
    assert "costs the mark" not in told(shot)[-1]  # told once


def test_volts_under_power_are_none_of_the_four_readings() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=()), supply="on = true", frog=None))
    shot = after(session, 0.01, Dial("volts"), Probe("T1.frog", "T1.stock.left"))
    assert (shot.readings, assess(shot).readings_taken) == ((), 0)
    assert assess(after(session, 0.01, Plug(False), Dial("ohms"))).readings_taken == 1


def test_one_count_goes_up_to_what_the_level_wants_and_no_further() -> None:
    session = begin(levelled(dataclasses.replace(ALL, readings=5)))
    after(session, 0.01, Plug(False), Dial("ohms"))
    for red, black in itertools.combinations(("M1.k", "M1.m", "M1.p"), 2):
        shot = after(session, 0.01, Probe(red, black))
    assert assess(shot).readings_taken == 1  # four of the five are the frog's
    assert assess(four_readings(session)).readings_taken == 5
    assert assess(after(session, 0.01, Do(RemoveWire(2)))).readings_taken == 1


def test_power_before_the_readings_loses_the_mark() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=())))
    after(session, 0.1, Power(True))
    after(session, 0.1, Power(False), Plug(False))
    shot = four_readings(session)
    assert assess(shot).patterns["T1"] == "Correct in both positions."
    assert not any(r.before_power for r in shot.readings)
    assert not assess(shot).checked


def test_power_before_anything_is_wired_to_the_frog_does_not_count() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=()), frog=None))
    after(session, 0.1, Power(True))
    wires = [
        Do(MakeWire("M1.k", "T1.frog")),
        Do(MakeWire("M1.m", "T1.stock.right")),
        Do(MakeWire("M1.p", "T1.stock.left")),
    ]
    after(session, 0.1, Power(False), Plug(False), *wires)
    assert assess(four_readings(session)).checked
    assert assess(after(session, 0.1, Plug(True), Power(True))).checked


def test_rewiring_makes_earlier_readings_worthless_but_a_colour_does_not() -> None:
    session = begin(levelled(ALL))
    after(session, 0.01, Plug(False))
    four_readings(session)
    shot = after(session, 0.01, Do(RemoveWire(2)))
    assert shot.readings == ()
    assert not assess(shot).checked
    assert after(session, 0.01, Undo()).readings == ()


def test_exchanged_outers_read_exchanged() -> None:
    session = begin(bench(frog="exchanged", vehicles=(), seconds=0.2))
    after(session, 0.01, Plug(False))
    shot = four_readings(session)
    assert assess(shot).patterns["T1"] == "The two outer wires are exchanged."
    assert not assess(shot).checked


def test_different_readings_are_counted_once() -> None:
    session = begin(bench(vehicles=(), seconds=0.2))
    after(session, 0.01, Plug(False), Dial("ohms"))
    pairs = list(itertools.combinations(("M1.k", "M1.m", "M1.p"), 2))
    for _ in range(2):
        for red, black in (*pairs, *((b, a) for a, b in pairs)):
            shot = after(session, 0.01, Probe(red, black))
    assert assess(shot).readings_taken == 3
    shot = after(session, 0.3, Throw("T1"))
    assert assess(shot).readings_taken == 4  # the last pair again, in the other position


# Patterns


def fake(marks: str) -> tuple[ReadingView, ...]:
    """Readings of a right-hand turnout: frog to left, to right, points normal then diverging; c closed, o open."""
    places = itertools.product(("normal", "diverging"), ("left", "right"))
    return tuple(
        ReadingView("T1", setting, side, 0.3 if m == "c" else None, m == "c", m == "o", True, True)  # type: ignore[arg-type]
        for (setting, side), m in zip(places, marks, strict=True)
    )


# Trade.md C3's table. "Left exit" of a right-hand turnout is normal. F-L, F-R with the left exit set, then the right.
@pytest.mark.parametrize(
    ("marks", "word"),
    [
        ("occo", "Correct in both positions"),
        ("cooc", "exchanged"),
        ("oooo", "neither rail"),
        ("ocoo", "open with them diverging"),
        ("ooco", "open with them normal"),
        ("ococ", "Same rail in both"),
        ("coco", "Same rail in both"),
        ("ccco", "the frog is joined to a rail besides"),
        ("occc", "the frog is joined to a rail besides"),
        ("cccc", "both rails always"),
    ],
)
def test_patterns_of_the_four_readings(marks: str, word: str) -> None:
    layout = Layout(bench(vehicles=()))
    assert word in pattern(layout, "T1", fake(marks))


def test_a_pattern_says_what_is_still_to_be_read() -> None:
    layout = Layout(bench(vehicles=()))
    assert pattern(layout, "T1", fake("occo")[:3]).startswith("Still to take: frog to ")
    odd = dataclasses.replace(fake("occo")[1], closed=False, ohms=47.0)
    assert "neither closed nor open" in pattern(layout, "T1", (fake("occo")[0], odd, *fake("occo")[2:]))


# Saying it first


def test_power_waits_until_everything_has_been_said() -> None:
    session = begin(levelled(ALL, supply="on = true"))
    shot = after(session, 0.1, Power(True))
    assert not shot.supplies[0].on
    assert shot.log[-1].startswith("First say which rail")
    shot = after(session, 0.1, Predict("T1", "normal", "right"), Predict("T1", "diverging", "right"), Power(True))
    assert shot.supplies[0].on
    assert [(p.setting, p.right) for p in assess(shot).predictions] == [("normal", True), ("diverging", False)]
    assert assess(shot).foreseen == 0.5
    assert not {goal.name: goal.done for goal in assess(shot).goals}["foreseen"]
    later = after(session, 0.1, Predict("T1", "diverging", "left"))
    assert later.predictions == shot.predictions
    assert later.log[-1].startswith("Too late")


def test_all_said_right_reaches_the_goal() -> None:
    session = begin(levelled(ALL))
    shot = after(session, 0.1, Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"))
    assert assess(shot).foreseen == 1.0
    assert {goal.name: goal.done for goal in assess(shot).goals}["foreseen"]


# Goals and the verdict


class Passed:
    passed = True


def test_the_verdict_comes_back_and_goes_with_the_next_edit() -> None:
    session = begin(levelled(ALL))
    assert after(session, 0.01, Test()).test_wanted
    session.judge(Passed(), {"safe", "live"})
    shot = session.snapshot()
    assert not shot.test_wanted
    assert shot.verdict is not None
    assert shot.verdict.passed
    assert {goal.name for goal in assess(shot).goals if goal.done} == {"safe", "live"}
    shot = after(session, 0.01, Do(RemoveWire(0)))
    assert shot.verdict is None
    assert not any(goal.done for goal in assess(shot).goals)



"""What is measured, said first and permitted: readings of a frog, predictions, goals, and a level's limits."""

from __future__ import annotations

import dataclasses
import itertools

import pytest

from sim.bench.edits import AddLamp, MakeWire, RemoveWire, SetPlace, TurnMotor
from sim.bench.level import Allow, Level
from sim.bench.model import Bench, Lamp
from sim.coach.job import begin
from sim.session.acts import Act, Dial, Do, Plug, Power, Predict, Probe, Redo, Test, Throw, Undo
from sim.session.frogs import must_match, pattern
from sim.session.session import Session
from sim.session.snapshot import ReadingView, Snapshot
from sim.track.formations import Turnout
from sim.track.layout import Layout
from tests.session.benches import bench, read

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
    assert shot.patterns["T1"] == "Correct in both positions."
    assert [(r.setting, r.side, r.closed) for r in shot.readings] == [
        ("normal", "left", False),
        ("normal", "right", True),
        ("diverging", "left", True),
        ("diverging", "right", False),
    ]  # fmt: skip
    assert all(r.unplugged and r.before_power for r in shot.readings)
    assert shot.play.checked
    assert {goal.name: goal.done for goal in shot.goals}["checked"]
    says = [Predict("T1", "normal", "right"), Predict("T1", "diverging", "left")]
    shot = after(session, 0.1, *says, Plug(True), Power(True))
    assert shot.play.powered
    assert shot.play.checked


def test_too_few_readings_are_not_enough() -> None:
    session = begin(levelled(dataclasses.replace(ALL, readings=6)))
    after(session, 0.01, Plug(False))
    assert not four_readings(session).play.checked
    shot = after(session, 0.01, Probe("T1.stock.left", "T1.stock.right"))
    assert (shot.play.readings_taken, shot.play.checked) == (5, False)
    assert after(session, 0.3, Throw("T1")).play.checked  # the same pair in the other position is the sixth


def test_readings_with_the_supply_plugged_in_caution_and_cost_the_mark() -> None:
    session = begin(levelled(ALL))
    shot = four_readings(session)
    assert shot.play.cautions > 0
    assert not any(reading.unplugged for reading in shot.readings)
    assert not shot.play.checked
    assert any(line.startswith("Caution: ") for line in shot.log)
    # measured again, unplugged: the mark stays lost
    after(session, 0.01, Plug(False))
    assert not four_readings(session).play.checked


def test_plugging_in_with_the_tips_still_on_cautions_but_is_no_measurement() -> None:
    session = begin(levelled(ALL))
    after(session, 0.01, Plug(False))
    four_readings(session)
    after(session, 0.01, Probe("T1.frog", "T1.stock.left"))
    shot = after(session, 0.01, Plug(True))
    assert shot.meter.caution
    assert shot.log[-1].startswith("Caution: ")
    assert all(reading.unplugged for reading in shot.readings)
    assert (shot.play.cautions, shot.play.checked) == (0, True)
    shot = after(session, 0.01, Probe("T1.frog", "T1.stock.right"))
    assert (shot.play.cautions, shot.play.checked) == (1, False)


def test_with_the_plug_pulled_a_rocker_that_is_on_joins_nothing() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=()), supply="on = true\nplugged = false"))
    shot = four_readings(session)
    assert shot.supplies[0].on
    assert (shot.play.cautions, shot.play.checked) == (0, True)
    assert all(reading.unplugged for reading in shot.readings)


def test_a_reading_that_does_not_count_says_so_and_the_caution_is_told_after_it() -> None:
    session = begin(levelled(ALL))
    shot = after(session, 0.01, Dial("ohms"), Probe("T1.frog", "T1.stock.left"))
    assert shot.log[-3].endswith("The supply is plugged in: it does not count.")
    assert shot.log[-2:] == (
        "Caution: measure ohms only with the supply unplugged.",
        "That costs the mark for checking: ohms measured with the supply plugged in.",
    )
    assert shot.patterns["T1"] == "Still to take: frog to right stock rail, points normal."  # it is not looked at
    shot = after(session, 0.01, Probe("T1.frog", "T1.stock.right"))
    assert "costs the mark" not in shot.log[-1]  # told once


def test_volts_under_power_are_none_of_the_four_readings() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=()), supply="on = true", frog=None))
    shot = after(session, 0.01, Dial("volts"), Probe("T1.frog", "T1.stock.left"))
    assert (shot.readings, shot.play.readings_taken) == ((), 0)
    assert after(session, 0.01, Plug(False), Dial("ohms")).play.readings_taken == 1


def test_one_count_goes_up_to_what_the_level_wants_and_no_further() -> None:
    session = begin(levelled(dataclasses.replace(ALL, readings=5)))
    after(session, 0.01, Plug(False), Dial("ohms"))
    for red, black in itertools.combinations(("M1.k", "M1.m", "M1.p"), 2):
        shot = after(session, 0.01, Probe(red, black))
    assert shot.play.readings_taken == 1  # four of the five are the frog's
    assert four_readings(session).play.readings_taken == 5
    assert after(session, 0.01, Do(RemoveWire(2))).play.readings_taken == 1


def test_power_before_the_readings_loses_the_mark() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=())))
    after(session, 0.1, Power(True))
    after(session, 0.1, Power(False), Plug(False))
    shot = four_readings(session)
    assert shot.patterns["T1"] == "Correct in both positions."
    assert not any(r.before_power for r in shot.readings)
    assert not shot.play.checked


def test_power_before_anything_is_wired_to_the_frog_does_not_count() -> None:
    session = begin(levelled(dataclasses.replace(ALL, predict=()), frog=None))
    after(session, 0.1, Power(True))
    wires = [
        Do(MakeWire("M1.k", "T1.frog")),
        Do(MakeWire("M1.m", "T1.stock.right")),
        Do(MakeWire("M1.p", "T1.stock.left")),
    ]
    after(session, 0.1, Power(False), Plug(False), *wires)
    assert four_readings(session).play.checked
    assert after(session, 0.1, Plug(True), Power(True)).play.checked


def test_rewiring_makes_earlier_readings_worthless_but_a_colour_does_not() -> None:
    session = begin(levelled(ALL))
    after(session, 0.01, Plug(False))
    four_readings(session)
    shot = after(session, 0.01, Do(RemoveWire(2)))
    assert shot.readings == ()
    assert not shot.play.checked
    assert after(session, 0.01, Undo()).readings == ()


def test_exchanged_outers_read_exchanged() -> None:
    session = begin(bench(frog="exchanged", vehicles=(), seconds=0.2))
    after(session, 0.01, Plug(False))
    shot = four_readings(session)
    assert shot.patterns["T1"] == "The two outer wires are exchanged."
    assert not shot.play.checked


def test_the_buzzer_sounds_only_on_its_own_place_of_the_knob() -> None:
    session = begin(bench(vehicles=()))
    shot = after(session, 0.01, Plug(False), Dial("buzzer"), Probe("M1.k", "T1.frog"))
    assert shot.meter.beeps
    shot = after(session, 0.01, Dial("ohms"))
    assert not shot.meter.beeps
    assert shot.meter.value == pytest.approx(0.2, abs=0.1)  # the leads, and 0.3 m of wire


def test_the_meter_reads_on_while_the_points_are_thrown() -> None:
    session = begin(bench(vehicles=(), seconds=1.0))
    after(session, 0.01, Plug(False), Dial("ohms"), Probe("T1.frog", "T1.stock.right"))
    closed = [after(session, 0.1, *([Throw("T1")] if k == 0 else [])).meter.value is not None for k in range(10)]
    assert closed[0]
    assert not closed[-1]
    assert closed.index(False) == 4  # it opens after 0.45 of the throw


def test_volts_under_power() -> None:
    session = begin(bench(supply="on = true", vehicles=()))
    shot = after(session, 0.01, Dial("volts"), Probe("T1.stock.left", "T1.stock.right"))
    assert shot.meter.value == pytest.approx(15.0, rel=1e-3)
    assert not shot.meter.caution
    assert shot.play.cautions == 0


def test_an_edit_that_takes_a_terminal_away_lifts_the_tip() -> None:
    session = begin(read('bench = 1\n[supply]\nkind = "dcc"\n'))
    after(session, 0.01, Do(AddLamp(Lamp("L1"))), Dial("ohms"), Probe("L1.1", "L1.2"))
    shot = after(session, 0.01, Undo())
    assert (shot.meter.red, shot.meter.black, shot.meter.value) == (None, None, None)


def test_different_readings_are_counted_once() -> None:
    session = begin(bench(vehicles=(), seconds=0.2))
    after(session, 0.01, Plug(False), Dial("ohms"))
    pairs = list(itertools.combinations(("M1.k", "M1.m", "M1.p"), 2))
    for _ in range(2):
        for red, black in (*pairs, *((b, a) for a, b in pairs)):
            shot = after(session, 0.01, Probe(red, black))
    assert shot.play.readings_taken == 3
    shot = after(session, 0.3, Throw("T1"))
    assert shot.play.readings_taken == 4  # the last pair again, in the other position


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
        ("ococ", "same rail in both"),
        ("coco", "same rail in both"),
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
    assert [(p.setting, p.right) for p in shot.predictions] == [("normal", True), ("diverging", False)]
    assert shot.play.foreseen == 0.5
    assert not {goal.name: goal.done for goal in shot.goals}["foreseen"]
    later = after(session, 0.1, Predict("T1", "diverging", "left"))
    assert later.predictions == shot.predictions
    assert later.log[-1].startswith("Too late")


def test_all_said_right_reaches_the_goal() -> None:
    session = begin(levelled(ALL))
    shot = after(session, 0.1, Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"))
    assert shot.play.foreseen == 1.0
    assert {goal.name: goal.done for goal in shot.goals}["foreseen"]


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
    assert {goal.name for goal in shot.goals if goal.done} == {"safe", "live"}
    shot = after(session, 0.01, Do(RemoveWire(0)))
    assert shot.verdict is None
    assert not any(goal.done for goal in shot.goals)


# What a level lets one change


@pytest.mark.parametrize(
    ("allow", "edit", "done"),
    [
        (Allow(wires=False), MakeWire("M1.k", "T1.frog"), False),
        (Allow(wires=False), RemoveWire(0), False),
        (Allow(wires=True), RemoveWire(0), True),
        (Allow(wire_limit=5), MakeWire("M1.k", "T1.blade.left"), False),
        (Allow(wire_limit=6), MakeWire("M1.k", "T1.blade.left"), True),
        (Allow(gaps=("T1.gap.closure.left",)), SetPlace("T1.gap.closure.left", "closed"), True),
        (Allow(gaps=("T1.gap.closure.left",)), SetPlace("T1.gap.closure.right", "closed"), False),
        (Allow(bonds=True), SetPlace("T1.bond.left", "open"), True),
        (Allow(gaps=True), SetPlace("T1.bond.left", "open"), False),
        (Allow(motor=False), TurnMotor("M1"), False),
        (Allow(motor=True), TurnMotor("M1"), True),
        (Allow(), AddLamp(Lamp("L9")), False),
    ],
)
def test_what_a_level_allows(allow: Allow, edit: object, done: bool) -> None:
    session = begin(levelled(Level(allow=allow)))
    before = session.bench
    shot = after(session, 0.01, Do(edit))  # type: ignore[arg-type]
    assert (shot.bench != before) == done
    assert shot.log[-1].startswith("This job") != done
    assert after(session, 0.01, Undo(), Redo(), Undo()).bench == before


def test_without_a_level_everything_is_allowed() -> None:
    session = begin(bench(vehicles=()))
    assert after(session, 0.01, Do(AddLamp(Lamp("L9")))).bench.lamps == (Lamp("L9"),)


def test_a_reading_with_the_supply_plugged_in_is_told_as_one_that_does_not_count() -> None:
    session = begin(levelled(ALL))
    after(session, 0.01, Plug(True))
    shot = after(session, 0.2, Dial("ohms"), Probe("T1.frog", "T1.stock.right"))
    assert any(line.endswith("The supply is plugged in: it does not count.") for line in shot.log)
    after(session, 0.01, Plug(False))
    shot = after(session, 0.2, Probe("T1.frog", "T1.stock.left"))
    assert not shot.log[-1].endswith("it does not count.")

"""What each level of the first chapter tells is so: briefs, hints and lessons, tried on the running bench."""

from __future__ import annotations

import dataclasses
import math

import pytest

from sim.bench.edits import Edit, MakeWire, RemoveWire, TurnMotor
from sim.bench.level import SETTINGS, PowerStep, ThrowStep, WireStep
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.assessment import assess
from sim.coach.job import begin
from sim.coach.marks import score
from sim.electric.parts import PartRef
from sim.proof import prove
from sim.resources import level_path
from sim.session.acts import Dial, Drive, Nudge, Plug, Power, Probe, Throw
from sim.session.frogs import CLOSED_OHMS, OPEN_OHMS
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS
from tests.levels.playing import level_of, play, predictions, quick, wait
from tests.levels.test_levels import each_level
from tests.proof.met import met

CREEP = 0.2  # of the throttle


def level(name: str) -> Bench:
    return load(level_path(name), KINDS)


def edited(bench: Bench, *edits: Edit) -> Bench:
    for edit in edits:
        bench = edit.apply(bench)
    return bench


def wires_of(bench: Bench) -> tuple[Edit, ...]:
    """Every wire that the level's solution makes."""
    return tuple(MakeWire(*step.ends) for step in level_of(bench).solution if isinstance(step, WireStep))


def index(bench: Bench, a: str, b: str) -> int:
    (found,) = [k for k, wire in enumerate(bench.wires) if set(wire.ends) == {a, b}]
    return found


def moved(bench: Bench, a: str, b: str, to: str) -> Bench:
    """The wire from a to b taken to another terminal than b."""
    return edited(bench, RemoveWire(index(bench, a, b)), MakeWire(a, to))


def exchanged(bench: Bench, one: str, other: str) -> Bench:
    """The two wires of an outer each, exchanged."""
    (to_one,) = [w.ends[1] for w in bench.wires if w.ends[0] == one]
    (to_other,) = [w.ends[1] for w in bench.wires if w.ends[0] == other]
    return moved(moved(bench, one, to_one, to_other), other, to_other, to_one)


def failing(bench: Bench) -> set[tuple[str, str, str]]:
    """What fails: kind, when, and how the points stand."""
    verdict = prove(bench)
    found: set[tuple[str, str, str]] = {
        (f.kind, f.when, f.points["T1"]) for f in verdict.findings if f.fails and f.when != "wheel"
    }
    for kind in ("short", "hot", "dead"):
        found |= {(kind, "wheel", route.points["T1"]) for route in met(verdict, kind)}
    return found


def four_readings(bench: Bench) -> Snapshot:
    """After the frog was measured to both stock rails in both positions, supply off and unplugged."""
    session = begin(quick(bench))
    session.step(Session.DT, (Power(False), Plug(False), Dial("ohms")))
    for setting in SETTINGS:
        for side in ("left", "right"):
            session.step(Session.DT, (Throw("T1", setting), Probe("T1.frog", f"T1.stock.{side}")))
            wait(session)
    end = session.snapshot()
    assert {(r.setting, r.side) for r in end.readings} == {(s, side) for s in SETTINGS for side in ("left", "right")}
    return end


def run_on(session: Session, throttle: float, seconds: float) -> Snapshot:
    """Open the throttle and let time pass, until nothing moves any more."""
    end = session.step(0.5, (Drive("shunter", throttle),))
    while end.trains[0].speed_mm_s != 0 and end.time_s < seconds:
        end = session.step(0.5)
    return end


@each_level
def test_the_points_can_be_thrown_at_the_start(name: str) -> None:
    """Trains stand clear of the blades: the first throw takes none off the rails."""
    session = begin(quick(level(name)))
    for setting in reversed(SETTINGS):
        session.step(Session.DT, (Throw("T1", setting),))
        wait(session)
        end = session.step(Session.DT)
        assert end.travel["T1"] == SETTINGS.index(setting)
        assert not any(train.derailed for train in end.trains)


# first-frog


def test_the_engine_dies_on_the_frog_and_a_nudge_helps_it_over() -> None:
    session = begin(level("first-frog"))
    end = run_on(session, CREEP, 60)
    assert not end.trains[0].running
    assert all(right == ("T1.frog",) for _, right in end.trains[0].vehicles[0].touching)
    assert end.fault is None
    for _ in range(10):  # 20 mm in all, a finger's breadth
        if session.step(0.5, (Nudge("shunter", 2),)).trains[0].running:
            break
    assert session.step(0.2).trains[0].speed_mm_s > 0


def test_at_first_the_frog_is_joined_to_neither_rail() -> None:
    assert all(reading.open for reading in four_readings(level("first-frog")).readings)


def test_outers_exchanged_light_the_lamp_and_without_it_open_the_breaker() -> None:
    bench = edited(level("first-frog"), *wires_of(level("first-frog")))
    wrong = exchanged(bench, "M1.h", "M1.j")
    assert {points for kind, _, points in failing(wrong) if kind == "hot"} == set(SETTINGS)
    assert not any(kind == "short" for kind, _, _ in failing(wrong))
    with_lamp = run_on(begin(wrong), CREEP, 60)
    assert with_lamp.fault is None
    supply = with_lamp.bench.supplies[0]
    assert 1.0 < abs(with_lamp.amps[PartRef("lamp", "L1")]) < supply.trip_amps  # the lamp's own 21 W at 12 V are 1.75 A
    past = edited(wrong, MakeWire("bus.A", "T1.stock.left"))
    assert {points for kind, _, points in failing(past) if kind == "short"} == set(SETTINGS)
    without = run_on(begin(past), CREEP, 60)
    assert without.fault is not None
    assert "T1.frog" in without.fault.touching


# three-screws


def test_the_breaker_opens_in_one_position_with_nothing_on_the_frog() -> None:
    bench = level("three-screws")
    assert failing(bench) >= {("short", "power-on", "diverging"), ("dead", "wheel", "normal")}
    assert not any(kind == "short" and points == "normal" for kind, _, points in failing(bench))
    session = begin(bench)
    assert session.step(Session.DT).fault is None
    session.step(Session.DT, (Throw("T1", "diverging"),))
    wait(session)
    fault = session.snapshot().fault
    assert fault is not None
    assert "T1.frog" not in fault.touching
    (short,) = [finding for finding in prove(bench).findings if finding.kind == "short"]
    assert PartRef("contact", "M1", (0, "diverging")) in [step.ref for step in short.loop]


def test_seeing_the_breaker_open_costs_no_mark() -> None:
    bench = level("three-screws")
    seen = (ThrowStep("T1", "diverging"), ThrowStep("T1", "normal"), PowerStep(True))
    session, marks = play(bench, (*seen, *level_of(bench).solution), ())
    assert session.snapshot().play.trips
    assert marks.total == 100


# four-readings


def test_the_pattern_names_both_outers_on_one_rail() -> None:
    end = four_readings(level("four-readings"))
    assert {(r.setting, r.side) for r in end.readings if r.closed} == {(s, "right") for s in SETTINGS}
    assert "outers on one rail" in assess(end).patterns["T1"]
    assert {points for _, _, points in failing(level("four-readings"))} == {"diverging"}


# unmarked


def test_nothing_learnt_by_heart_fits_the_bought_board() -> None:
    """The outer for normal to bus B is right on the boards before; here bus B is on the left."""
    bench = level("unmarked")
    by_heart = (MakeWire("M1.j", "T1.frog"), MakeWire("M1.e", "bus.B"), MakeWire("M1.w", "bus.A"))
    assert {(kind, points) for kind, _, points in failing(edited(bench, *by_heart))} == {("short", s) for s in SETTINGS}
    assert prove(edited(bench, *wires_of(bench))).passed


def test_either_contact_of_the_bought_motor_will_do() -> None:
    bench = level("unmarked")
    other = (MakeWire("M1.h", "T1.frog"), MakeWire("M1.q", "T1.stock.right"), MakeWire("M1.g", "T1.stock.left"))
    assert prove(edited(bench, *other)).passed


# left-hand


def test_the_goods_shed_copied_screw_for_screw_shorts_on_both_roads() -> None:
    shed = level("right-hand")
    copied = edited(level("left-hand"), *wires_of(shed))
    assert prove(edited(shed, *wires_of(shed))).passed
    assert {(kind, points) for kind, _, points in failing(copied)} == {("short", s) for s in SETTINGS}


def test_the_twin_motors_are_twins() -> None:
    known = level("left-hand").motors[0].changeovers[0]
    assert dataclasses.replace(known, marked=False) == level("right-hand").motors[0].changeovers[0]


# from-below


def test_what_was_wired_from_below_shorts_one_way_and_dies_the_other() -> None:
    bench = level("from-below")
    assert {(kind, points) for kind, _, points in failing(bench)} == {("short", "normal"), ("dead", "diverging")}
    assert bench.tracks == level("left-hand").tracks
    end = four_readings(bench)
    assert {(r.setting, r.side) for r in end.readings if r.closed} == {("normal", "right")}


# turned-round


def test_the_same_wires_are_right_on_the_other_three() -> None:
    bench = level("turned-round")
    assert bench.motors[0].turned
    assert {(kind, points) for kind, _, points in failing(bench)} == {("short", s) for s in SETTINGS}
    assert prove(edited(bench, TurnMotor("M1"))).passed
    assert assess(four_readings(bench)).patterns["T1"] == "The two outer wires are exchanged."


def test_the_contact_tells_that_the_motor_is_turned() -> None:
    """What the hint asks the meter: v to u and v to w, points normal."""
    session = begin(level("turned-round"))
    shown: dict[str, float] = {}
    for outer in "uw":
        session.step(Session.DT, (Dial("ohms"), Probe("M1.v", f"M1.{outer}")))
        value = session.step(Session.DT).meter.value
        shown[outer] = math.inf if value is None else value
    assert shown["u"] > OPEN_OHMS  # by way of the engine's decoder, which is no short
    assert shown["w"] < CLOSED_OHMS


def test_either_cure_is_as_good_and_both_are_none() -> None:
    bench = level("turned-round")
    cured = exchanged(bench, "M1.u", "M1.w")
    verdict = prove(cured)
    assert verdict.passed
    assert score(cured, verdict, foreseen=0.0, checked=True).total == 100
    assert not prove(edited(cured, TurnMotor("M1"))).passed


# wye


def test_small_engines_die_whichever_way_they_go() -> None:
    (dead,) = [finding for finding in prove(level("wye")).findings if finding.fails]
    assert (dead.kind, dead.when, dead.touching) == ("dead", "wheel", ("T1.frog",))
    assert {part.path[1] for part in dead.stretches} == {"T1.main", "T1.diverging"}


def test_normal_is_the_left_leg_and_closes_the_right_blade() -> None:
    bench = level("wye")
    assert [(p.setting, p.side) for p in predictions(bench)] == [("normal", "right"), ("diverging", "left")]
    finished, marks = play(quick(bench), level_of(bench).solution, predictions(bench))
    assert marks.total == 100
    wrong = exchanged(finished.snapshot().bench, "M1.x", "M1.y")
    assert {(kind, points) for kind, _, points in failing(wrong)} == {("short", s) for s in SETTINGS}


@pytest.mark.parametrize("name", ["four-readings", "from-below", "turned-round"])
def test_a_board_with_a_wired_frog_comes_unplugged(name: str) -> None:
    """Power before the readings costs a mark once a frog is wired: the player must not begin with it lost."""
    bench = level(name)
    assert any("T1.frog" in wire.ends for wire in bench.wires)
    assert not any(supply.on or supply.plugged for supply in bench.supplies)

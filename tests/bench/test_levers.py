"""What a hand can set: motors with all that they move, switches, points without a motor; and how they are told."""

from __future__ import annotations

import pytest

from sim.bench.edits import AddMotor, EditRefused, History, Remove, SetPoints
from sim.bench.faults import BenchFaults
from sim.bench.laying import Refit
from sim.bench.levers import filed_settings, lever_named, lever_of, levers, mover, set_alike, with_settings
from sim.bench.model import Bench, Motor, Polarity, Supply
from sim.bench.writing import dump
from tests.bench.examples import bench_of
from tests.bench.tables import CONTACT, turnout

YARD = f"""\
bench = 1
[supply]
kind = "dcc"
trip_amps = 4.0

{turnout(more='set = "diverging"')}

[[track]]
id = "T2"
kind = "wye"
scale = "HO"
number = 6

[[track]]
id = "T3"
kind = "wye"
scale = "HO"
number = 6
set = "diverging"

[[motor]]
id = "S1"
by_hand = true
{CONTACT}
[[motor]]
id = "M1"
drives = ["T3", "T1"]
"""


def yard() -> Bench:
    return bench_of(YARD)


def test_levers_are_motors_and_switches_as_filed_then_points_without_a_motor() -> None:
    bench = yard()
    switch, motor = bench.motors
    assert [(lever.id, lever.points, lever.motor, lever.setting, lever.is_switch) for lever in levers(bench)] == [
        ("S1", (), switch, "normal", True),
        ("M1", ("T3", "T1"), motor, "diverging", False),
        ("T2", ("T2",), None, "normal", False),
    ]
    assert filed_settings(bench) == {"T1": "diverging", "T2": "normal", "T3": "diverging", "S1": "normal"}


def test_a_motors_contacts_go_by_its_first_points_a_switchs_by_its_own_travel() -> None:
    switch, motor = yard().motors
    assert (mover(switch), mover(motor)) == ("S1", "T3")


def test_a_lever_is_found_by_its_points_and_by_its_own_name() -> None:
    bench = yard()
    assert lever_of(bench, "T1") == lever_of(bench, "T3") == lever_named(bench, "M1")
    assert lever_of(bench, "T2").motor is None
    assert lever_named(bench, "bus") is None
    for name in ("S1", "M1", "T9"):
        with pytest.raises(KeyError):
            lever_of(bench, name)


@pytest.mark.parametrize("thrown", ["T1", "T3", "M1"])
def test_whatever_of_a_lever_is_set_all_that_it_moves_goes_along(thrown: str) -> None:
    history = History(yard()).do(SetPoints(thrown, "normal"))
    assert filed_settings(history.bench) == {"T1": "normal", "T2": "normal", "T3": "normal", "S1": "normal"}
    assert history.undo().bench == yard()


def test_a_switch_is_set_and_reads_back() -> None:
    bench = SetPoints("S1", "diverging").apply(yard())
    assert (bench.motors[0].set, filed_settings(bench)["S1"]) == ("diverging", "diverging")
    assert bench_of(dump(bench)) == bench
    assert SetPoints("S1", "normal").apply(bench) == yard()
    assert SetPoints("S1", "normal").apply(yard()) == yard()


def test_normal_said_or_left_out_is_the_same_switch() -> None:
    assert bench_of(YARD.replace("by_hand = true", 'by_hand = true\nset = "normal"')) == yard()


def test_settings_of_unknown_words_are_refused() -> None:
    with pytest.raises(ValueError, match="T1 cannot be set to left"):
        with_settings(yard(), {"T1": "left"})


def test_one_set_of_points_is_written_as_text_several_as_a_list() -> None:
    text = dump(yard())
    assert 'drives = ["T3", "T1"]' in text
    one = bench_of(YARD.replace('["T3", "T1"]', '["T3"]'))
    assert one.motors[1].drives == ("T3",)
    assert 'drives = "T3"' in dump(one)
    assert text.count("drives") == 1  # a switch has none


def _told(text: str) -> list[str]:
    with pytest.raises(BenchFaults) as caught:
        bench_of(text)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            'drives = ["T3", "T1"]',
            'drives = ["T3", "T2"]',
            "motor[2].drives: found points set unlike: T3 diverging, T2 normal, "
            "expected all that one motor throws set alike",
        ),
        (
            'drives = ["T3", "T1"]',
            'drives = ["T3", "T1", "T3"]',
            'motor[2].drives[3]: found "T3" a second time, expected each one once',
        ),
        (
            'drives = ["T3", "T1"]',
            'drives = "T1"\n[[motor]]\nid = "M2"\ndrives = ["T3", "T1"]',
            "motor[3].drives[2]: found T1, driven by M1 already, expected points that no other motor drives",
        ),
        (
            'drives = ["T3", "T1"]',
            "",
            'motor[2].drives: found nothing, expected a set of points, like "T1"; '
            "only with by_hand = true may it be left out",
        ),
        (
            'drives = ["T3", "T1"]',
            'drives = ["T3", "T1"]\nset = "diverging"',
            'motor[2].set: found "diverging" on what moves T3 and T1, '
            "expected the set of T3 and T1 alone: a switch has its own",
        ),
    ],
)
def test_what_contradicts_is_told_with_its_place_and_what_would_be_right(old: str, new: str, told: str) -> None:
    assert _told(YARD.replace(old, new)) == [told]


def test_a_motor_put_to_points_that_lie_unlike_sets_them_as_the_first() -> None:
    bench = Remove("M1").apply(yard())
    mounted = AddMotor(Motor("M2", ("T2", "T1", "T3"))).apply(bench)
    assert set(filed_settings(mounted).values()) == {"normal"}
    refitted = Refit(Motor("M1", ("T1", "T2", "T3"))).apply(yard())
    assert [filed_settings(refitted)[name] for name in ("T1", "T2", "T3")] == ["diverging"] * 3
    assert set_alike(bench, Motor("M9", ())) is bench
    with pytest.raises(EditRefused, match="T9"):
        AddMotor(Motor("M2", ("T9",))).apply(bench)


def test_a_motor_stays_while_anything_is_left_for_it_to_move() -> None:
    without = Remove("T1").apply(yard())
    assert [motor.drives for motor in without.motors] == [(), ("T3",)]
    assert [motor.id for motor in Remove("T3").apply(without).motors] == ["S1"]


def test_a_second_pole_has_terminals_of_its_own() -> None:
    assert Polarity("Q1").terminals == ("Q1.a", "Q1.b", "Q1.out")
    assert Polarity("Q1", poles=2).terminals == ("Q1.a", "Q1.b", "Q1.out", "Q1.c", "Q1.d", "Q1.out2")


def test_the_most_a_supply_gives_goes_by_its_breaker_unless_it_is_said() -> None:
    assert Supply("bus", "dcc").most_amps == 4.5
    assert Supply("bus", "dc").most_amps == 1.5
    assert yard().supplies[0].most_amps == 6.0
    assert bench_of(YARD.replace("trip_amps = 4.0", "limit_amps = 2.0")).supplies[0].most_amps == 2.0

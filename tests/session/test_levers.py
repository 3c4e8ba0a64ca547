"""Levers of a running bench: motors that throw several points, switches that throw none, and how both are told."""

from __future__ import annotations

import pytest

from sim.bench.edits import SetPoints
from sim.bench.laying import Refit
from sim.bench.model import Bench, Motor
from sim.coach.hints import fed_as
from sim.electric.parts import PartRef
from sim.session.acts import Act, Do, Power, Redo, Reset, Throw, Undo
from sim.session.hands import ActRefused
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from tests.session.benches import read
from tests.session.levers import YARD


def after(session: Session, seconds: float, *acts: Act) -> Snapshot:
    return session.step(round(seconds / Session.DT) * Session.DT, acts)


@pytest.mark.parametrize("name", ["T1", "T2", "M1"])
def test_all_points_of_a_motor_travel_together_at_its_pace(name: str) -> None:
    session = Session(read(YARD))
    shot = after(session, 0.5, Throw(name))
    assert dict(shot.travel) == pytest.approx({"T1": 0.5, "T2": 0.5, "T3": 0.0, "S1": 0.0})
    assert shot.throwing == {"T1", "T2"}
    assert shot.feeds["T2.frog"] == "none"  # the contact goes by the first of them, between its 0.25 and 0.75
    shot = after(session, 0.6)
    assert (shot.travel["T1"], shot.travel["T2"], shot.feeds["T2.frog"]) == (1.0, 1.0, "B")
    assert [points.setting for points in shot.bench.point_sets] == ["diverging", "diverging", "normal"]
    assert shot.log[-1] == "Points of T1 and T2 diverging."


def test_a_switch_is_thrown_by_its_id_and_moves_no_blades() -> None:
    session = Session(read(YARD))
    assert after(session, 0.01).feeds["T3.frog"] == "A"
    shot = after(session, 0.1, Throw("S1"))
    assert shot.travel["S1"] == pytest.approx(0.5)
    assert (set(shot.throwing), shot.feeds["T3.frog"]) == ({"S1"}, "none")
    shot = after(session, 0.1)
    assert (shot.travel["S1"], shot.throwing, shot.feeds["T3.frog"]) == (1.0, frozenset(), "B")
    assert {shot.travel[points] for points in ("T1", "T2", "T3")} == {0.0}
    assert shot.bench.motors[1].set == "diverging"
    assert shot.log[-1] == "Switch S1 to diverging."
    shot = after(session, 0.3, Throw("S1", "normal"))
    assert (shot.bench, shot.log[-1]) == (read(YARD), "Switch S1 to normal.")


def test_a_switch_that_is_filed_diverging_stands_so() -> None:
    text = YARD.replace('id = "S1"\nby_hand = true', 'id = "S1"\nby_hand = true\nset = "diverging"')
    shot = after(Session(read(text)), 0.01)
    assert (shot.travel["S1"], shot.feeds["T3.frog"]) == (1.0, "B")


def test_points_without_a_motor_are_named_by_themselves() -> None:
    assert after(Session(read(YARD)), 0.3, Throw("T3")).log[-1] == "Points of T3 diverging."


@pytest.mark.parametrize("name", ["P1", "M9", ""])
def test_what_is_no_lever_is_not_thrown(name: str) -> None:
    with pytest.raises(ActRefused, match="no points or switch"):
        after(Session(read(YARD)), 0.01, Throw(name))


def test_an_edit_sets_a_whole_lever_and_undo_sets_it_back() -> None:
    session = Session(read(YARD))
    shot = after(session, 1.1, Do(SetPoints("T2", "diverging")), Do(SetPoints("S1", "diverging")))
    assert dict(shot.travel) == {"T1": 1.0, "T2": 1.0, "T3": 0.0, "S1": 1.0}
    shot = after(session, 1.1, Undo(), Undo())
    assert set(shot.travel.values()) == {0.0}
    assert shot.bench == read(YARD)
    assert after(session, 1.1, Redo()).travel["T1"] == 1.0


def test_points_given_to_a_motor_go_along_with_its_first() -> None:
    session = Session(read(YARD))
    after(session, 0.3, Throw("T3"))
    motor = read(YARD).motors[0]
    shot = after(session, 0.01, Do(Refit(Motor("M1", ("T1", "T2", "T3"), 1.0, changeovers=motor.changeovers))))
    assert {shot.travel[points] for points in ("T1", "T2", "T3")} == {0.0}
    assert after(session, 1.1, Throw("T3")).travel["T1"] == 1.0


def test_a_throw_of_several_is_told_with_all_of_them() -> None:
    # Make before break: M1's outers are on both sides, so the throw shorts them.
    session = Session(read(YARD.replace("travel = [0.25, 0.75]", "travel = [0.75, 0.25]")))
    shot = after(session, 0.5, Throw("M1"))
    assert shot.fault is not None
    assert shot.fault.text.startswith("While T1 and T2 are thrown: ")


def test_a_short_on_a_bench_of_switches_alone_names_the_switch() -> None:
    text = YARD[: YARD.index("[[track]]")] + YARD[YARD.index('[[motor]]\nid = "S1"') : YARD.index("[[wire]]")]
    text += '[[wire]]\nends = ["bus.A", "S1.k"]\n[[wire]]\nends = ["bus.B", "S1.p"]\n'
    session = Session(read(text))
    shot = after(session, 0.4, Throw("S1"))
    assert shot.fault is not None
    assert shot.fault.text.startswith("While switch S1 is thrown: ")
    shot = after(session, 0.4, Reset())
    assert shot.fault is not None
    assert shot.fault.text.startswith("switch S1 diverging: ")


def test_feeds_are_alike_only_if_they_are_so_in_both_settings_of_a_switch() -> None:
    bench = read(YARD)
    other = read(YARD.replace('ends = ["bus.B", "S1.p"]', 'ends = ["bus.A", "S1.p"]'))
    assert fed_as(bench, bench)
    assert not fed_as(bench, other)


# Automatic polarity units

LOOP = """
bench = 1
[[supply]]
id = "D"
kind = "dcc"
on = true
{more}
[[track]]
id = "P1"
kind = "plain"
length_mm = 300
[[polarity]]
id = "Q1"
poles = 2
[[wire]]
ends = ["D.A", "Q1.a"]
[[wire]]
ends = ["D.B", "Q1.b"]
[[wire]]
ends = ["D.B", "Q1.c"]
[[wire]]
ends = ["D.A", "Q1.d"]
[[wire]]
ends = ["Q1.out", "P1.left"]
[[wire]]
ends = ["Q1.out2", "P1.right"]
"""


def _loop(more: str = "", wires: str = "") -> Bench:
    return read(LOOP.format(more=more) + wires)


def test_both_poles_of_a_unit_turn_together() -> None:
    session = Session(_loop())
    shot = after(session, 0.1)
    assert (shot.feeds["P1.left"], shot.feeds["P1.right"]) == ("A", "B")
    # The second pole alone is shorted: side A on the rail that it has on side B.
    session = Session(_loop(wires='[[wire]]\nends = ["D.A", "P1.right"]\n'))
    shot = after(session, 0.1)
    assert session.running.units.throws == {"Q1": "b"}
    assert not shot.supplies[0].tripped
    volts = session.running.solved.solution.volts
    assert volts["P1.left"] - volts["D.B"] == pytest.approx(0.0, abs=1e-6)
    assert volts["P1.right"] - volts["D.A"] == pytest.approx(0.0, abs=1e-6)


def test_a_unit_does_nothing_on_direct_current() -> None:
    short = '[[wire]]\nends = ["D.A", "P1.right"]\n'
    session = Session(read(LOOP.format(more="").replace('kind = "dcc"', 'kind = "dc"\ntrip_amps = 5') + short))
    session.running.supplies.throttle = 1.0
    after(session, 1.0, Power(True))
    assert session.running.units.throws == {"Q1": "a"}
    assert abs(session.snapshot().supplies[0].amps) > 1.5  # the very amps at which it would turn


def test_a_unit_is_of_the_supply_that_it_is_wired_to() -> None:
    short = '[[wire]]\nends = ["D.A", "P1.right"]\n'
    second = '[[supply]]\nid = "E"\nkind = "dc"\n'
    session = Session(_loop(second, short))
    after(session, 0.1)
    assert session.running.units.throws == {"Q1": "b"}
    other = LOOP.format(more='[[supply]]\nid = "E"\nkind = "dcc"\n').replace('kind = "dcc"\non', 'kind = "dc"\non')
    session = Session(read(other + short))
    session.running.supplies.throttle = 1.0
    after(session, 1.0, Power(True))
    assert session.running.units.throws == {"Q1": "a"}


# What a supply gives at most

_SHORT = """
bench = 1
[supply]
kind = "dcc"
on = true
{limit}
[[track]]
id = "P1"
kind = "plain"
length_mm = 300
[[wire]]
ends = ["bus.A", "P1.left"]
[[wire]]
ends = ["bus.B", "P1.left"]
"""


def test_a_short_is_told_as_more_than_trips_the_breaker_not_as_amps_that_no_supply_gives() -> None:
    session = Session(read(_SHORT.format(limit="")))
    shot = session.step(Session.DT)
    assert shot.supplies[0].amps == 4.5
    # What an ammeter round a wire shows before the breaker has opened.
    assert abs(shot.amps[PartRef("wire", "", (0,))]) == pytest.approx(4.5)
    assert max(abs(amps) for amps in shot.amps.values()) <= 4.5 + 1e-9
    shot = after(session, 0.1)
    assert shot.fault is not None
    assert shot.fault.amps == 4.5
    assert abs(shot.fault.flowed[PartRef("supply", "bus")]) == pytest.approx(4.5)
    assert [step.amps for step in shot.fault.loop] == pytest.approx([4.5, 4.5])
    assert "More flowed than the 3 A at which the breaker opens: it opened." in shot.fault.text
    assert shot.supplies[0].tripped


def test_amps_that_the_supply_can_give_are_told() -> None:
    session = Session(read(_SHORT.format(limit="limit_amps = 1000")))
    shot = after(session, 0.1)
    assert shot.fault is not None
    assert shot.fault.amps > 50.0
    assert f"{shot.fault.amps:.0f} A flowed; the 3 A breaker opened." in shot.fault.text


def test_a_supply_that_cannot_reach_its_own_trip_current_never_trips() -> None:
    session = Session(read(_SHORT.format(limit="limit_amps = 2.5")))
    shot = after(session, 1.0)
    assert (shot.fault, shot.supplies[0].tripped, shot.supplies[0].amps) == (None, False, 2.5)
    assert shot.log[-1] == "Supply on: 2.5 A, the most that it can give."

"""A bench that runs: power, breaker, throws, trains, all through the one door."""

from __future__ import annotations

import dataclasses
import itertools
import json
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
import pytest

from sim.bench.edits import MakeWire, PlaceTrain, RemoveWire, SetPlace, SetPoints, TurnMotor
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.session.acts import (
    Act,
    Dial,
    Direction,
    Do,
    Drive,
    Nudge,
    Plug,
    Power,
    Probe,
    Put,
    Redo,
    Reset,
    Throw,
    Undo,
)  # fmt: skip
from sim.session.ground import Ground
from sim.session.hands import ActRefused
from sim.session.session import Session, replay
from sim.session.snapshot import Snapshot, TrainView
from sim.track.layout import Layout
from sim.track.route import route_contacts
from sim.track.walk import Spot
from sim.track.wheels import wheel
from sim.train.fleet import overhang, vehicle
from sim.wiring.standing import standing_at
from sim.wiring.switched import circuit
from sim.wiring.wheels import load_ohms
from tests.session.benches import bench, read

ON = "on = true"


def after(session: Session, seconds: float, *acts: Act) -> Snapshot:
    """The snapshot after acts and some time."""
    shot = session.step(Session.DT, acts)
    rest = round(seconds / Session.DT) - 1
    return session.step(rest * Session.DT) if rest > 0 else shot


def train(shot: Snapshot) -> TrainView:
    return shot.trains[0]


def towards_frog(throttle: float) -> tuple[Act, ...]:
    """Drive away from the end that the train looks out of."""
    return (Direction("shunter", -1), Drive("shunter", throttle))


# Power


def test_supply_on_is_told_with_its_amps() -> None:
    session = Session(bench(vehicles=()))
    shot = after(session, 0.01, Power(True))
    assert shot.log[-1] == "Supply on: 0.00 A."
    assert shot.supplies[0].volts == pytest.approx(15.0)
    shot = after(session, 0.01, Power(False))
    assert shot.log[-1] == "Supply off."
    assert shot.supplies[0].volts == 0.0


def test_off_but_plugged_in_is_not_unplugged() -> None:
    session = Session(bench(vehicles=()))
    after(session, 0.01, Dial("ohms"), Probe("bus.A", "bus.B"))
    joined = session.snapshot().meter
    after(session, 0.01, Plug(False))
    apart = session.snapshot().meter
    assert joined.value is not None
    assert joined.value < 1.0
    assert apart.value is None
    assert (joined.caution, apart.caution) == (True, False)


def test_a_running_engine_draws_what_its_load_says() -> None:
    session = Session(bench(supply=ON, mm=60.0))
    idle = after(session, 0.1).supplies[0].amps
    running = after(session, 1.0, *towards_frog(0.2)).supplies[0].amps
    assert 0 < idle < 0.05
    assert running == pytest.approx(0.2, rel=0.02)  # draws_amps of the HO shunter


# A dead frog


def test_a_shunter_creeping_on_an_unfed_frog_stalls_and_a_nudge_sets_it_going() -> None:
    session = Session(bench(supply=ON, frog=None, end="T1.toe", mm=230.0))
    shot = after(session, 8.0, *towards_frog(0.1))
    assert train(shot).speed_mm_s == 0.0
    assert train(shot).volts == 0.0
    assert not train(shot).running
    wheels = {rail for axle in train(shot).vehicles[0].touching for side in axle for rail in side}
    assert wheels == {"T1.frog", "T1.stock.left"}
    assert "stops: no power reaches it" in shot.log[-1]
    # The rule of thumb for a No. 6 frog in HO is 30 mm dead, trade.md E5; the shunter's wheelbase is 26 mm
    shot = after(session, 1.0, Nudge("shunter", -5.0))
    assert train(shot).running
    assert train(shot).speed_mm_s < 0
    assert shot.log[-1].endswith("runs on.")


def test_feeding_the_frog_makes_it_run_again() -> None:
    session = Session(bench(supply=ON, frog=None, end="T1.toe", mm=230.0))
    stalled = after(session, 8.0, *towards_frog(0.1))
    shot = after(
        session, 0.5, Do(MakeWire("M1.k", "T1.frog")), Do(MakeWire("M1.m", "T1.stock.right")),
        Do(MakeWire("M1.p", "T1.stock.left")),
    )  # fmt: skip
    assert (stalled.feeds["T1.frog"], shot.feeds["T1.frog"]) == ("none", "B")
    assert train(shot).running
    assert "Wire made from M1.k to the frog." in shot.log


# Shorts


def direct_amps(what: Bench, session: Session) -> float:
    """The supply's amps with the train where it is now, by one direct solve."""
    layout = Layout(what)
    running = session._running.trains["shunter"]
    model = vehicle(what, "four-wheel shunter", "HO")
    travel = dict(session.snapshot().travel)
    standing = standing_at(layout, travel, "shunter:0", model, running.spots[0], load_ohms(model, 15.0))
    return solve(circuit(what, layout, travel, standing=[standing])).amps[PartRef("supply", "bus")]


def test_exchanged_outers_trip_the_breaker_with_the_amps_of_a_direct_solve() -> None:
    what = bench(supply=f"{ON}\nlimit_amps = 1000", frog="exchanged", end="T1.toe", mm=200.0)
    session = Session(what)
    session.step(Session.DT, towards_frog(0.5))
    for _ in range(300):
        shot = session.step(Session.DT)
        if shot.fault is not None:
            break
    assert shot.fault is not None
    assert shot.fault.amps == pytest.approx(direct_amps(what, session), rel=1e-6)
    assert shot.fault.amps > 30.0
    assert shot.supplies[0].tripped
    assert set(shot.fault.touching) == {"T1.frog", "T1.blade.right"}
    assert shot.fault.loop[0].node_a == "bus.A"
    assert shot.fault.loop[-1].node_b == "bus.B"
    assert "the 3 A breaker opened" in shot.log[-1]
    rest = after(session, 1.0)
    assert train(rest).speed_mm_s == 0.0
    assert rest.supplies[0].amps == 0.0
    assert set(rest.amps.values()) == {0.0}


@pytest.mark.parametrize("seconds", [0.0123, 0.03, 0.1])
def test_the_breaker_opens_at_its_very_moment(seconds: float) -> None:
    session = Session(
        bench(supply=f"trip_seconds = {seconds}", vehicles=(), more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n')
    )
    running = session._running
    running.supplies.states["bus"].on = True
    running.changed = True
    running.run(seconds - 1e-6)
    assert not running.supplies.states["bus"].breaker.open
    running.run(2e-6)
    assert running.supplies.states["bus"].breaker.open


def test_events_inside_one_step_come_in_their_order() -> None:
    """A breaker that opens after 3 ms and tries again after 20 ms does so 44 times in a second, however time is cut."""
    what = bench(
        supply="on = true\ntrip_seconds = 0.003\nretry_seconds = 0.02",
        vehicles=(),
        more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n',
    )
    trips = []
    for span in (0.01, 0.1, 1.0):
        running = Session(what)._running
        for _ in range(round(1.0 / span)):
            running.run(span)
        trips.append(running.play.trips)
    # at 0.003 + k 0.023 s: the last of them within the second is k = 43
    assert trips == [44, 44, 44]


def test_no_wheel_goes_far_without_being_looked_at() -> None:
    session = Session(bench(supply=ON, end="T1.toe", mm=60.0))
    shot = after(session, 1.0, *towards_frog(1.0))
    assert abs(train(shot).speed_mm_s) > 150.0
    assert 0.1 < session._running._stride() * abs(train(shot).speed_mm_s) <= 0.5


def test_power_into_a_short_is_counted_and_a_breaker_by_hand_waits_for_one() -> None:
    session = Session(bench(vehicles=(), more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n'))
    shot = after(session, 0.2, Power(True))
    assert shot.supplies[0].tripped
    assert (shot.play.into_short, shot.play.trips) == (1, 1)
    assert after(session, 5.0).play.trips == 1
    shot = after(session, 0.2, Reset())
    assert shot.supplies[0].tripped
    assert shot.play.trips == 2
    # the wire gone, the breaker stays closed
    shot = after(session, 0.2, Do(RemoveWire(len(shot.bench.wires) - 1)), Reset())
    assert not shot.supplies[0].tripped
    assert shot.fault is None


def test_a_breaker_that_retries() -> None:
    session = Session(
        bench(supply="retry_seconds = 0.5", vehicles=(), more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n')
    )
    after(session, 0.01, Power(True))
    tripped = [session.step(Session.DT).supplies[0].tripped for _ in range(260)]
    opened = sum(b and not a for a, b in itertools.pairwise(tripped))
    # every 0.03 + 0.5 s: at 0.03, 0.56, 1.09, 1.62, 2.15 s
    assert opened == 5
    shot = after(session, 0.6, Do(RemoveWire(len(session.bench.wires) - 1)))
    assert not shot.supplies[0].tripped
    assert shot.supplies[0].volts == pytest.approx(15.0)


def test_a_lamp_in_the_feed_keeps_the_breaker_closed() -> None:
    lamp = '\n[[lamp]]\nid = "L1"\n[[wire]]\nends = ["bus.A", "L1.1"]\n[[wire]]\nends = ["L1.2", "T1.stock.right"]\n'
    shot = after(Session(bench(supply=ON, vehicles=(), more=lamp)), 0.5)
    assert not shot.supplies[0].tripped
    # trade.md F: on a short such a lamp glows and limits to about 2 A
    assert 1.0 < shot.supplies[0].amps < 3.0
    assert shot.amps[PartRef("lamp", "L1")] == pytest.approx(shot.supplies[0].amps, rel=1e-6)


# Throws


def test_a_throw_takes_the_motors_seconds_and_changes_contacts_on_its_way() -> None:
    session = Session(bench(supply=ON, seconds=1.0, vehicles=()))
    shot = after(session, 0.45, Throw("T1"))
    assert shot.travel["T1"] == pytest.approx(0.45)
    assert shot.throwing == {"T1"}
    assert shot.feeds["T1.frog"] == "B"
    shot = after(session, 0.01)
    assert shot.feeds["T1.frog"] == "none"  # break before make, between 0.45 and 0.55
    shot = after(session, 0.09)
    assert shot.feeds["T1.frog"] == "A"
    assert shot.throwing == {"T1"}
    shot = after(session, 0.45)
    assert shot.travel["T1"] == 1.0
    assert shot.throwing == frozenset()
    assert [points.setting for points in shot.bench.point_sets] == ["diverging"]
    assert shot.log[-1] == "Points diverging."


def test_a_throw_can_be_turned_back_half_way() -> None:
    session = Session(bench(seconds=1.0, vehicles=()))
    after(session, 0.3, Throw("T1"))
    shot = after(session, 0.3, Throw("T1"))
    assert shot.travel["T1"] == 0.0
    assert shot.throwing == frozenset()


def test_points_without_a_motor_are_thrown_by_hand() -> None:
    text = """
bench = 1
[supply]
kind = "dcc"
[[track]]
id = "T1"
kind = "turnout"
scale = "HO"
hand = "left"
number = 6
"""
    session = Session(read(text))
    assert after(session, 0.10, Throw("T1", "diverging")).travel["T1"] < 1.0
    assert after(session, 0.05).travel["T1"] == 1.0


def test_a_make_before_break_contact_shorts_only_during_the_throw() -> None:
    good = bench(supply=ON, seconds=1.0, vehicles=())
    contact = dataclasses.replace(good.motors[0].changeovers[0], travel=(0.6, 0.4))
    motor = dataclasses.replace(good.motors[0], changeovers=(contact,))
    session = Session(dataclasses.replace(good, motors=(motor,)))
    shot = after(session, 0.39, Throw("T1"))
    assert not shot.supplies[0].tripped
    shot = after(session, 0.05)
    assert shot.supplies[0].tripped
    assert shot.fault is not None
    assert shot.fault.text.startswith("While the points are thrown: ")


def test_throwing_under_a_train_that_stands_on_the_frog() -> None:
    """One axle on the right closure rail, the other on the frog: the frog changes sides, and the wheels short it."""
    session = Session(bench(supply=ON, end="T1.toe", mm=250.0))
    touching = train(session.snapshot()).vehicles[0].touching
    assert touching[0][0] == ("T1.blade.right",)
    assert touching[1][0] == ("T1.frog",)
    shot = after(session, 2.0, Throw("T1"))
    assert shot.supplies[0].tripped
    assert shot.fault is not None
    assert set(shot.fault.touching) == {"T1.blade.right", "T1.frog"}
    assert train(shot).vehicles[0].touching == touching


@pytest.mark.parametrize("at", [0.5, 0.75])
def test_wheels_on_moving_blades_touch_what_is_under_them_then(at: float) -> None:
    layout = Layout(bench(vehicles=()))
    size = wheel("RP-25 code 110", layout.scale("T1"))
    ground = Ground(layout, {"T1": 0.0}).moved({"T1": at})
    rest = Ground(layout, {"T1": 0.0})
    different = 0
    for s in range(70, 210):
        spot = Spot("T1", 0, float(s), True)
        contacts = route_contacts(layout, {"T1": at}, "T1", 0, 5.0, size, 0.0)
        assert ground.touching(spot, size) == contacts.touching(float(s))
        different += ground.touching(spot, size) != rest.touching(spot, size)
    assert different > 0


def test_an_axle_before_the_blades_goes_where_they_lead_it_then() -> None:
    session = Session(bench(supply=ON, end="T1.toe", mm=20.0, vehicles=("metal-wheel wagon",)))
    after(session, 2.0, Throw("T1", "diverging"))
    shot = after(session, 8.0, Nudge("shunter", -300.0))
    (x, y, _), _ = train(shot).vehicles[0].axles
    assert x > 250.0
    assert y < -3.0  # a right-hand turnout's diverging leg lies to the right


def test_points_half_thrown_are_picked() -> None:
    what = bench(supply=ON, end="T1.toe", mm=40.0, seconds=60.0, vehicles=("metal-wheel wagon",))
    session = Session(what)
    after(session, 30.0, Throw("T1", "diverging"))
    shot = after(session, 2.0, Nudge("shunter", -80.0))
    assert train(shot).derailed
    assert "comes off" in shot.log[-1]
    still = train(shot).vehicles[0].axles
    assert train(after(session, 1.0, Nudge("shunter", -80.0))).vehicles[0].axles == still
    shot = after(session, 0.1, Put("shunter", "T1.main", 20.0))
    assert not train(shot).derailed


def test_trailing_against_the_set_points() -> None:
    """With a dead frog it only derails; with a powered one it shorts first."""
    for frog, shorts in (("right", True), (None, False)):
        session = Session(bench(supply=ON, frog=frog, end="T1.diverging", mm=20.0))
        after(session, 0.01, *towards_frog(1.0))
        for _ in range(300):
            shot = session.step(Session.DT)
            if shot.fault is not None or train(shot).derailed:
                break
        assert (shot.fault is not None) == shorts
        assert train(shot).derailed != shorts
    assert "the points are not set for it" in shot.log[-1]


def test_points_thrown_between_a_trains_axles_part_it() -> None:
    session = Session(bench(supply=ON, end="T1.toe", mm=60.0, vehicles=("bogie diesel",), seconds=0.3))
    # the first bogie's axles beyond the blades' tips (80 mm in), the second's still before them
    before = train(session.snapshot()).vehicles[0].axles
    assert before[1][0] > 80.0
    assert sorted(axle[0] > 80.0 for axle in before)[0] is False
    after(session, 0.5, Direction("shunter", 1), Throw("T1"))
    shot = after(session, 6.0, Nudge("shunter", -200.0))
    assert train(shot).derailed
    assert "were thrown under it" in shot.log[-1]


# Trains


def test_it_stops_at_a_buffer_stop_and_at_the_end_of_open_rail() -> None:
    stop = """
[[track]]
id = "P1"
kind = "plain"
length_mm = 200
joins = { a = "T1.main" }
[[track]]
id = "E1"
kind = "end"
joins = { a = "P1.b" }
"""
    feeds = '\n[[wire]]\nends = ["bus.A", "P1.left"]\n[[wire]]\nends = ["bus.B", "P1.right"]\n'
    session = Session(bench(supply=ON, end="P1.b", mm=150.0, more=stop + feeds))
    shot = after(session, 3.0, Drive("shunter", 0.6))
    place = session._running.layout.pose("P1", 0, np.array([200.0]))[0][0]
    model = vehicle(shot.bench, "four-wheel shunter", "HO")
    assert train(shot).vehicles[0].axles[0][0] == pytest.approx(place - overhang(model), abs=0.1)
    assert train(shot).speed_mm_s == pytest.approx(0.0, abs=0.5)
    # the other way it runs off the toe: 400 mm of rail, then a stop
    shot = after(session, 12.0, Direction("shunter", -1), Drive("shunter", 1.0))
    assert train(shot).vehicles[0].axles[-1][0] == pytest.approx(-400.0 + overhang(model), abs=0.1)


def test_two_trains_on_one_track_do_not_run_through_each_other() -> None:
    second = '\n[[train]]\nid = "other"\nvehicles = ["metal-wheel wagon"]\nat = { end = "T1.main", mm = 60 }\n'
    session = Session(bench(supply=ON, end="T1.toe", mm=100.0, more=second))
    shot = after(session, 5.0, *towards_frog(0.6))
    nearest = max(axle[0] for axle in shot.trains[0].vehicles[0].axles)
    first = min(axle[0] for axle in shot.trains[1].vehicles[0].axles)
    model = vehicle(shot.bench, "four-wheel shunter", "HO")
    assert first - nearest == pytest.approx(2 * overhang(model), abs=0.2)


def test_putting_a_train_elsewhere_and_undoing_where_the_file_puts_it() -> None:
    session = Session(bench(supply=ON, end="T1.toe", mm=60.0))
    shot = after(session, 0.1, Put("shunter", "T1.main", 10.0))
    assert "is set down 10 mm from the main end" in shot.log[-1]
    here = train(shot).vehicles[0].axles
    after(session, 0.1, Do(PlaceTrain("shunter", "T1.toe", 120.0)))
    shot = after(session, 0.1, Undo())
    assert train(shot).vehicles[0].axles != here
    assert train(shot).vehicles[0].axles[0][0] == pytest.approx(60.0)


def test_dc_runs_by_the_volts_on_the_rails() -> None:
    session = Session(bench(kind="dc", supply=ON, end="T1.toe", mm=200.0))
    assert after(session, 0.5).supplies[0].volts == 0.0
    shot = after(session, 1.0, Drive("shunter", 0.2))
    assert train(shot).speed_mm_s == 0.0  # 2.4 V is under what starts it
    shot = after(session, 1.0, Drive("shunter", 0.6))
    assert shot.supplies[0].volts == pytest.approx(0.6 * 12.0, rel=0.03)
    # Side A, positive, is on the left stock rail; the shunter looks out of the toe, so that is its right-hand rail,
    # and positive on the right drives forward (NMRA S-9, from memory)
    speed = train(shot).speed_mm_s
    assert speed > 0.0
    shot = after(session, 1.5, Direction("shunter", -1))
    assert train(shot).speed_mm_s * speed < 0
    assert shot.supplies[0].volts < 0


def test_an_automatic_polarity_unit_turns_over_before_the_breaker() -> None:
    unit = """
[[polarity]]
id = "Q1"
turns_at_amps = 1.5
turn_seconds = 0.005
[[wire]]
ends = ["bus.A", "Q1.a"]
[[wire]]
ends = ["bus.B", "Q1.b"]
[[wire]]
ends = ["Q1.out", "T1.frog"]
"""
    session = Session(bench(supply=ON, frog=None, end="T1.toe", mm=230.0, more=unit))
    shot = after(session, 4.0, *towards_frog(0.3))
    assert not shot.supplies[0].tripped
    assert shot.play.trips == 0
    assert session._running.units.throws == {"Q1": "b"}
    assert train(shot).running


# Edits


def test_edits_undo_and_redo_while_it_runs() -> None:
    session = Session(bench(supply=ON, frog=None, vehicles=()))
    start = session.bench
    wired = after(session, 0.02, Do(MakeWire("bus.A", "T1.frog")))
    assert wired.feeds["T1.frog"] == "A"
    assert (wired.can_undo, wired.can_redo) == (True, False)
    back = after(session, 0.02, Undo())
    assert back.bench == start
    assert back.feeds["T1.frog"] == "none"
    again = after(session, 0.02, Redo())
    assert again.bench == wired.bench
    assert again.feeds == wired.feeds
    assert again.supplies[0].volts == pytest.approx(15.0)


def test_an_edit_that_cannot_be_made_changes_nothing_and_is_told() -> None:
    session = Session(bench(vehicles=()))
    start = session.bench
    shot = after(session, 0.01, Do(MakeWire("M1.k", "M1.nothing")))
    assert shot.bench == start
    assert shot.log[-1].startswith("That cannot be done: ")
    assert not shot.can_undo


def test_what_is_taken_back_and_done_again_is_named() -> None:
    session = Session(bench(vehicles=()))
    after(session, 0.01, Do(MakeWire("M1.k", "T1.stock.left")))
    wire = "wire made from M1.k to the left stock rail."
    assert after(session, 0.01, Undo()).log[-1] == f"Taken back: {wire}"
    assert after(session, 0.01, Redo()).log[-1] == f"Done again: {wire}"


def test_edits_are_told_in_trade_words() -> None:
    session = Session(bench(vehicles=()))
    shot = after(
        session, 0.01, Do(SetPlace("T1.gap.closure.left", "closed")), Do(SetPlace("T1.bond.right", "open")),
        Do(TurnMotor("M1")), Do(RemoveWire(0)),
    )  # fmt: skip
    assert shot.log[-4:] == (
        "Left closure gap bridged.",
        "Right bond opened.",
        "Motor M1 turned round: its outers change places.",
        "Wire from bus A to the left stock rail taken off.",
    )


def test_an_edit_of_the_points_throws_them() -> None:
    session = Session(bench(vehicles=(), seconds=0.5))
    shot = after(session, 0.2, Do(SetPoints("T1", "diverging")))
    assert shot.throwing == {"T1"}
    assert after(session, 0.4).travel["T1"] == 1.0
    assert after(session, 1.0, Undo()).travel["T1"] == 0.0


@pytest.mark.parametrize(
    "act",
    [
        Throw("T9"), Throw("T1", "sideways"), Power(True, "S2"), Drive("nobody", 0.5), Drive("shunter", 1.5),
        Drive("shunter", float("nan")), Direction("shunter", 0), Nudge("shunter", float("inf")),
        Put("shunter", "T1.nowhere", 0.0), Put("shunter", "T1.toe", -1.0), Probe("T1.frog", "T1.nose"),
    ],
)  # fmt: skip
def test_acts_that_name_nothing_are_refused_and_not_recorded(act: Act) -> None:
    session = Session(bench())
    before = session.snapshot()
    with pytest.raises(ActRefused):
        session.step(Session.DT, [act])
    assert session.record == ()
    assert session.snapshot() == before


@pytest.mark.parametrize("dt", [0.0, 0.005, 0.015, -0.01])
def test_time_comes_in_whole_steps(dt: float) -> None:
    with pytest.raises(ValueError, match="whole number of steps"):
        Session(bench()).step(dt)


def test_an_empty_bench_runs() -> None:
    shot = Session(Bench()).step(1.0, [Power(True)])
    assert shot.trains == ()
    assert shot.supplies == ()


# The same again


def play(session: Session) -> None:
    """A play with everything in it: a drive, throws under way, edits, a short, a reset, the meter."""
    script: dict[int, list[Act]] = {
        0: [Power(True), *towards_frog(0.7)],
        120: [Throw("T1")],
        140: [Do(MakeWire("bus.A", "T1.frog", colour="green"))],
        200: [Dial("volts"), Probe("T1.frog", "T1.stock.left")],
        260: [Direction("shunter", 1)],
        330: [Throw("T1"), Nudge("shunter", 3.0)],
        420: [Undo(), Reset()],
        500: [Put("shunter", "T1.toe", 33.0), Drive("shunter", 0.9), Power(True)],
        620: [Redo()],
        700: [Do(SetPlace("T1.gap.exit.left", "closed")), Throw("T1")],
    }
    for number in range(900):
        session.step(Session.DT, script.get(number, []))


def told(session: Session) -> str:
    """A snapshot to the last bit, its sets in order."""

    def plain(value: object) -> object:
        if isinstance(value, frozenset):
            return sorted(value)
        if isinstance(value, float):
            return value.hex()
        return repr(value)

    shot = dataclasses.asdict(dataclasses.replace(session.snapshot(), bench=None))  # type: ignore[arg-type]
    return json.dumps(_walk(shot, plain), sort_keys=True)


def _walk(value: object, plain: Callable[[object], object]) -> object:
    if isinstance(value, Mapping):
        return {str(k): _walk(v, plain) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_walk(v, plain) for v in value]
    return plain(value)


def played() -> Session:
    session = Session(bench(frog="exchanged", end="T1.toe", mm=60.0))
    play(session)
    return session


def test_a_replay_ends_in_the_same_snapshot_in_another_process() -> None:
    session = played()
    again = replay(bench(frog="exchanged", end="T1.toe", mm=60.0), session.record, session.steps)
    assert again.snapshot() == session.snapshot()
    assert again.record == session.record
    code = "from tests.session.test_session import played, told\nprint(told(played()))"
    root = Path(__file__).parents[2]
    there = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert there.stdout.strip() == told(session)
    # the play was worth it: something tripped, something moved
    assert session.snapshot().play.trips > 0


def test_a_replay_with_one_act_left_out_ends_elsewhere() -> None:
    session = played()
    record = tuple(entry for entry in session.record if not isinstance(entry[1], Direction))
    again = replay(bench(frog="exchanged", end="T1.toe", mm=60.0), record, session.steps)
    assert told(again) != told(session)

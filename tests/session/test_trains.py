"""Trains of a running bench: on a dead frog, at stops, against each other, by volts on the rails."""

from __future__ import annotations

import numpy as np
import pytest

from sim.bench.edits import MakeWire, PlaceTrain
from sim.session.acts import Direction, Do, Drive, Nudge, Put, Undo
from sim.session.session import Session
from sim.train.fleet import overhang, vehicle
from tests.session.benches import bench
from tests.session.hands import ON, after, towards_frog, train

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
    assert "Wire made from screw k of M1 to the frog." in shot.log


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

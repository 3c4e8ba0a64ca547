"""What is done to a bench while it runs: edits, undo and redo, and what is refused."""

from __future__ import annotations

import pytest

from sim.bench.edits import MakeWire, RemoveWire, SetPlace, SetPoints, TurnMotor
from sim.bench.model import Bench
from sim.session.acts import Act, Direction, Do, Drive, Nudge, Power, Probe, Put, Redo, Throw, Undo
from sim.session.hands import ActRefused
from sim.session.session import Session
from tests.session.benches import bench
from tests.session.hands import ON, after


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
    wire = "wire made from screw k of M1 to the left stock rail."
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
        "Wire off: bus A to the left stock rail.",
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

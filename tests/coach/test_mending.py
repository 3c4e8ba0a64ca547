"""What a short asks for: the wiring put right where the wiring made it, and nothing of the kind where it did not."""

from __future__ import annotations

from sim.bench.edits import MakeWire
from sim.coach.mending import mending
from sim.session.acts import Direction, Do, Drive, Plug, Power, Throw
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from tests.session.benches import bench


def short(session: Session) -> Snapshot:
    """From the end of the track towards the toe, until the breaker opens."""
    session.step(Session.DT, (Direction("shunter", -1), Drive("shunter", 0.4)))
    for _ in range(2000):
        now = session.step(Session.DT)
        if now.fault is not None:
            return now
    raise AssertionError("no short came about")


def test_exchanged_outers_are_put_right_at_the_wiring() -> None:
    now = short(Session(bench(frog="exchanged", supply="on = true")))
    assert mending(now) == "Mend the wiring; moving the engine cures nothing."


def test_a_train_against_the_points_is_moved_or_the_points_are_thrown() -> None:
    session = Session(bench(supply="on = true"))
    session.step(Session.DT, (Throw("T1", "diverging"),))
    session.step(3.0)
    now = short(session)
    assert mending(now) == "Move the engine clear, or throw the points if they lie against it."


def test_two_sides_joined_by_a_wire_speak_of_no_engine() -> None:
    session = Session(bench())
    now = session.step(1.0, (Do(MakeWire("bus.A", "bus.B")), Plug(True), Power(True)))
    assert now.fault is not None
    assert mending(now) == "Put right what joins them: while it does, the breaker opens again."


def test_once_the_loop_is_no_more_there_is_nothing_to_say() -> None:
    session = Session(bench(frog="exchanged", supply="on = true"))
    short(session)
    assert mending(session.step(Session.DT, (Plug(False),))) == ""

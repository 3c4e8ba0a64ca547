"""Track, motors and trains laid and taken away while the bench runs: what stands elsewhere stays where it is."""

from __future__ import annotations

import pytest

from sim.bench.edits import AddLamp, AddMotor, AddPiece, AddTrain, ChangeWire, Edit, Remove
from sim.bench.laying import AddTap, JoinEnds, PartEnds, Refit, SetJoint, TakeUp
from sim.bench.model import Changeover, Lamp, Motor, Train, Wire
from sim.session.acts import Do, Drive, Plug, Power, Put, Throw, Undo
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.laying import laid, reshaped
from tests.session.benches import bench


def places(snapshot: Snapshot, train: str) -> list[float]:
    """x, y and heading of every axle of a train's first vehicle, in a row."""
    return [number for axle in next(t for t in snapshot.trains if t.id == train).vehicles[0].axles for number in axle]


def running() -> Session:
    """The shunter driven some way from where the file puts it."""
    session = Session(bench())
    session.step(2.0, [Plug(True), Power(True), Drive("shunter", 0.4)])
    session.step(0.5, [Drive("shunter", 0.0)])
    return session


def test_track_laid_elsewhere_leaves_a_train_where_it_has_come_to() -> None:
    session = running()
    before = places(session.snapshot(), "shunter")
    assert before != places(Session(bench()).snapshot(), "shunter")
    after = session.step(0.01, [Do(AddPiece(laid(session.bench, "plain", "T1.toe")))])
    assert places(after, "shunter") == pytest.approx(before)
    after = session.step(0.01, [Do(AddTrain(Train("V1", ("metal-wheel wagon",), "T1.diverging", 40.0)))])
    assert places(after, "shunter") == pytest.approx(before)
    after = session.step(0.01, [Do(Remove("P1"))])
    assert places(after, "shunter") == pytest.approx(before)


def test_a_train_put_on_new_track_goes_back_where_the_file_has_it_when_that_is_taken_away() -> None:
    session = Session(bench())
    filed = places(session.snapshot(), "shunter")
    session.step(0.01, [Do(AddPiece(laid(session.bench, "plain", "T1.main")))])
    moved = session.step(0.01, [Put("shunter", "P1.b", 120.0)])
    assert places(moved, "shunter") != pytest.approx(filed)
    assert places(session.step(0.01, [Undo()]), "shunter") == pytest.approx(filed)


def test_a_train_on_a_piece_that_changes_its_shape_is_set_down_as_filed() -> None:
    session = running()
    after = session.step(0.01, [Do(Refit(reshaped(session.bench.piece("T1"), number=8.0)))])
    fresh = Session(after.bench).snapshot()
    assert places(after, "shunter") == pytest.approx(places(fresh, "shunter"))


def test_new_points_can_be_thrown_and_a_lever_takes_its_own_time() -> None:
    session = Session(bench())
    session.step(0.01, [Do(AddPiece(laid(session.bench, "turnout-left", "T1.main")))])
    lever = Motor("M2", ("T2",), 0.4, changeovers=(Changeover("k", "m", "p"),), by_hand=True)
    session.step(0.01, [Do(AddMotor(lever)), Throw("T2")])
    assert session.step(0.2).travel["T2"] == pytest.approx(0.525, abs=0.02)
    assert session.step(0.3).travel == {"T1": 0.0, "T2": 1.0}


def test_a_joiner_exchanged_cuts_the_feed_at_once() -> None:
    session = Session(bench())
    after = session.step(0.01, [Do(AddPiece(laid(session.bench, "plain", "T1.toe")))])
    assert (after.feeds["P1.left"], after.feeds["P1.right"]) == ("B", "A"), "a new piece's end a meets the toe"
    after = session.step(0.01, [Do(SetJoint("P1.a", "left", "insulated"))])
    assert (after.feeds["P1.left"], after.feeds["P1.right"]) == ("none", "A")
    after = session.step(0.01, [Do(PartEnds("T1.toe"))])
    assert (after.feeds["P1.left"], after.feeds["P1.right"]) == ("none", "none")


def test_going_over_to_another_wiring_and_back_is_one_step() -> None:
    session = running()
    before = session.bench
    after = session.step(0.01, [Do(TakeUp(bench(frog="exchanged")))])
    assert [wire.ends for wire in after.bench.wires] == [wire.ends for wire in bench(frog="exchanged").wires]
    assert session.step(0.01, [Undo()]).bench == before


def test_a_joint_is_told_by_the_ends_that_meet_there() -> None:
    session = running()
    session.step(0.01, [Do(AddPiece(laid(bench(), "plain", "T1.main")))])
    for edit, told in (
        (SetJoint("P1.a", "left", "insulated"), "The left joiner at end a of P1: insulated."),
        (PartEnds("P1.a"), "The joint at end a of P1 parted."),
        (JoinEnds("P1.a", "T1.main"), "End a of P1 joined to the main end of T1."),
    ):
        assert session.step(0.01, [Do(edit)]).log[-1] == told


TELLING: list[tuple[Edit, str]] = [
    (AddPiece(laid(bench(), "plain", "T1.main")), "P1 laid at the main end of T1."),
    (AddPiece(laid(bench(), "wye", None)), "T2 laid by itself."),
    (AddTrain(Train("V1", ("metal-wheel wagon",), "T1.toe", 40.0)), "The metal-wheel wagon is put on the track."),
    (AddLamp(Lamp("L1")), "Lamp L1 put on the board."),
    (AddTap("far", 4.0), "The bus tapped at far, 4 m from the supply."),
    (Remove("M1"), "M1 taken away, with what hung on it."),
    (Remove("M9"), 'That cannot be done: "M9", where it takes the id of something that can be taken away.'),
    (ChangeWire(0, Wire(("bus.A", "T1.stock.left"), awg=18)), "Wire from bus A to the left stock rail changed."),
    (Refit(reshaped(bench().piece("T1"), frog="dead")), "T1 changed."),
    (
        AddMotor(Motor("M2", ("T1",))),
        "That cannot be done: T1, driven by M1 already, where it takes points that no other motor drives.",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "told"), TELLING)
def test_laying_is_told_in_trade_words(edit: Edit, told: str) -> None:
    assert Session(bench()).step(0.01, [Do(edit)]).log[-1] == told


def test_a_train_that_has_run_out_over_an_open_end_is_set_down_as_filed_when_track_is_laid_there() -> None:
    session = running()
    filed = places(Session(bench()).snapshot(), "shunter")
    assert places(session.snapshot(), "shunter")[0] > 400, "beyond the turnout's main end"
    after = session.step(0.01, [Do(AddPiece(laid(session.bench, "plain", "T1.main")))])
    assert places(after, "shunter") == pytest.approx(filed)

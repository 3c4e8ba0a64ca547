"""Edits: what they do, that they can be undone, and that they leave only sound benches behind."""

from __future__ import annotations

import dataclasses
import pickle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.edits import (
    AddLamp,
    AddMotor,
    AddPiece,
    AddPolarity,
    AddTrain,
    AddVehicle,
    ChangeWire,
    Edit,
    EditRefused,
    History,
    MakeWire,
    PlaceTrain,
    Remove,
    RemoveWire,
    ReplacePiece,
    SetPlace,
    SetPoints,
    TurnMotor,
)
from sim.bench.model import Bench, Lamp, Motor, Piece, Polarity, Supply, Train, Vehicle, Wire
from sim.bench.table import Table
from sim.bench.terminals import terminals
from sim.bench.writing import dump
from sim.track.formations import End, Plain, Turnout
from tests.bench.examples import CONTRACT, SMALL, bench_of, small
from tests.bench.strategies import benches, wires

TANK = Vehicle(
    name="tank",
    scale="HO",
    axles_mm=(0.0, 20.0),
    wheel="RP-25 code 110",
    draws_amps=0.2,
    works_from_volts=6.0,
    grams=200.0,
)


STOP = End(id="E1", kind="end", joins=Table(a="P1.b"))


def turnout(bench: Bench) -> Turnout:
    piece = bench.piece("T1")
    assert isinstance(piece, Turnout)
    return piece


# What each edit does


def test_a_wire_is_made_last() -> None:
    bench = MakeWire("M1.m", "T1.stock.right", mm2=0.75, metres=0.2, colour="red", number="W3").apply(small())
    assert bench.wires[:2] == small().wires
    assert bench.wires[2] == Wire(("M1.m", "T1.stock.right"), 0.75, None, 0.2, "red", "W3")
    assert MakeWire("M1.k", "T1.frog").apply(small()).wires[2] == small().wires[1], "a second wire between the same two"


def test_a_wire_is_taken_away() -> None:
    assert RemoveWire(0).apply(small()).wires == small().wires[1:]
    assert RemoveWire(1).apply(small()).wires == small().wires[:1]


def test_a_wire_is_changed_in_its_place() -> None:
    wire = Wire(("bus.B", "T1.stock.right"), awg=20, note="longer")
    assert ChangeWire(0, wire).apply(small()).wires == (wire, small().wires[1])


@pytest.mark.parametrize(
    ("place", "to"),
    [
        ("T1.gap.closure.left", "closed"),
        ("T1.gap.exit.right", "leaking"),
        ("T1.bond.left", "open"),
        ("T1.jumper.right", "open"),
    ],
)
def test_a_place_is_set(place: str, to: str) -> None:
    before, after = small(), SetPlace(place, to).apply(small())
    assert before.piece("T1").place(place).state != to
    assert after.piece("T1").place(place).state == to
    others = [p for p in after.piece("T1").places() if p.name != place]
    assert others == [p for p in before.piece("T1").places() if p.name != place]


def test_a_motor_is_turned_round_and_back() -> None:
    once = TurnMotor("M1").apply(small())
    assert once.motors[0].turned
    assert TurnMotor("M1").apply(once) == small()


def test_points_are_set() -> None:
    assert SetPoints("T1", "diverging").apply(small()).point_sets[0].setting == "diverging"


def test_a_train_is_placed() -> None:
    bench = PlaceTrain("shunter", "P1.b", 12.5).apply(bench_of(CONTRACT))
    assert (bench.trains[0].end, bench.trains[0].mm) == ("P1.b", 12.5)
    assert bench.trains[0].vehicles == bench_of(CONTRACT).trains[0].vehicles


def test_a_piece_is_exchanged() -> None:
    piece = dataclasses.replace(turnout(small()), number=8.0)
    bench = ReplacePiece(piece).apply(small())
    assert bench.tracks == (piece, small().tracks[1])


@pytest.mark.parametrize(
    ("edit", "field", "thing"),
    [
        (AddPiece(STOP), "tracks", STOP),
        (AddLamp(Lamp("L1")), "lamps", Lamp("L1")),
        (AddPolarity(Polarity("Q1")), "polarities", Polarity("Q1")),
        (AddVehicle(TANK), "vehicles", TANK),
        (AddTrain(Train("x", end="T1.toe")), "trains", Train("x", end="T1.toe")),
    ],
)
def test_a_thing_is_added_last(edit: Edit, field: str, thing: object) -> None:
    bench = edit.apply(small())
    assert getattr(bench, field) == (*getattr(small(), field), thing)


def test_a_motor_is_added() -> None:
    bench = AddPiece(Turnout(id="T2", kind="wye", scale="HO", number=6.0)).apply(small())
    assert AddMotor(Motor("M2", ("T2",))).apply(bench).motor_of("T2") == Motor("M2", ("T2",))


def test_what_is_taken_away_takes_with_it_what_hangs_on_it() -> None:
    bench = dataclasses.replace(bench_of(CONTRACT), level=None)
    after = Remove("T1").apply(bench)
    assert [piece.id for piece in after.tracks] == ["P1", "E1", "T2"]
    assert after.piece("P1").joins == {"b": "E1.a"}
    assert after.piece("P1").joint == {"left": "bad"}, "what was said of the joint at b, now the first"
    assert after.piece("P1").joints == {}
    assert after.piece("E1").joins == {}
    assert [motor.id for motor in after.motors] == ["S1"]
    assert [wire.ends for wire in after.wires] == [("far.A", "Q1.a")]
    assert after.trains == ()
    assert Remove("Q1").apply(bench).wires == bench.wires[:1]


def test_what_is_said_of_a_joint_stays_with_that_joint() -> None:
    """P1 says something of its joint at a, the first end; without that joint it must not be said of the one at b."""
    text = SMALL.split("[[motor]]")[0] + '[[track]]\nid = "P2"\nkind = "plain"\nlength_mm = 90\n'
    said = text.replace('{ a = "T1.main" }', '{ a = "T1.main", b = "P2.a" }\njoint = { left = "insulated" }')
    assert Remove("T1").apply(bench_of(said)).piece("P1").joint == {}
    assert Remove("T1").apply(bench_of(said)).piece("P1").joins == {"b": "P2.a"}
    assert Remove("P2").apply(bench_of(said)).piece("P1").joint == {"left": "insulated"}


def test_what_a_level_speaks_of_cannot_be_taken_away() -> None:
    with pytest.raises(EditRefused, match=r"level\.predict"):
        Remove("T1").apply(bench_of(CONTRACT))


# What is refused

PIECE = Plain(id="P2", kind="plain", length_mm=100.0)


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (MakeWire("M1.k", "M1.k"), "two different terminals"),
        (MakeWire("M1.q", "T1.frog"), "one of M1.k, M1.m, M1.p"),
        (MakeWire("M9.k", "T1.frog"), "a terminal of something on the bench"),
        (MakeWire("", "T1.frog"), "a terminal, like"),
        (MakeWire("M1.k", "T1.frog", mm2=0.0), "mm2: found 0.0"),
        (MakeWire("M1.k", "T1.frog", metres=float("nan")), "metres: found nan"),
        (MakeWire("M1.k", "T1.frog", colour=""), "colour"),
        (RemoveWire(2), "one of 2 wires"),
        (RemoveWire(-1), "one of 2 wires"),
        (ChangeWire(5, Wire(("M1.k", "T1.frog"))), "one of 2 wires"),
        (ChangeWire(0, Wire(("M1.k", "T1.forg"))), "nearest known name: T1.frog"),
        (ChangeWire(0, Wire(("M1.k", "T1.frog"), metres=-1.0)), "metres: found -1.0"),
        (SetPlace("T1.gap.closure.middle", "cut"), "a place of T1"),
        (SetPlace("T1.gap.closure.left", "made"), "cut or closed or leaking"),
        (SetPlace("T1.gap.closure.left", ""), "cut or closed or leaking"),
        (SetPlace("T9.gap.closure.left", "cut"), "piece of track"),
        (SetPlace("P1.gap.closure.left", "cut"), "a place of P1"),
        (SetPlace("", "cut"), "full name of a place"),
        (TurnMotor("M2"), "the id of a motor"),
        (TurnMotor(""), "the id of a motor"),
        (SetPoints("P1", "normal"), "a piece that has blades"),
        (SetPoints("", "normal"), "a piece that has blades"),
        (SetPoints("T1", "left"), "normal or diverging"),
        (PlaceTrain("x", "T1.toe", 0), "the id of a train"),
        (PlaceTrain("", "T1.toe", 0), "the id of a train"),
        (ReplacePiece(PIECE), "piece of track"),
        (ReplacePiece(Turnout(id="T1", kind="turnout", scale="HO", hand="left", number=6.0, frog="dead")), "T1.frog"),
        (ReplacePiece(Turnout(id="T1", kind="turnout", scale="HO", hand="left", number=60.0)), "number: found 60.0"),
        (ReplacePiece(Turnout(id="T1", kind="wye", scale="HO", hand="left", number=6.0)), "no hand on a wye"),
        (ReplacePiece(Plain(id="T1", kind="plain", length_mm=100.0)), "blades"),
        (AddPiece(dataclasses.replace(PIECE, id="T1")), "a name used once"),
        (AddPiece(dataclasses.replace(PIECE, id="a.b")), "a name in quotation marks"),
        (AddPiece(dataclasses.replace(PIECE, kind="end")), "plain"),
        (AddPiece(dataclasses.replace(PIECE, joins=Table(a="T1.main"))), "each joint once"),
        (AddPiece(dataclasses.replace(PIECE, joins=Table(c="T1.toe"))), "an unknown end"),
        (AddPiece(dataclasses.replace(PIECE, scale="N", joins=Table(a="T1.toe"))), "one scale"),
        (AddMotor(Motor("M2", ("T1",))), "points that no other motor drives"),
        (AddMotor(Motor("M2", ("P1",))), "blades"),
        (AddLamp(Lamp("L1", watts=0.0)), "watts"),
        (AddLamp(Lamp("M1")), "a name used once"),
        (AddPolarity(Polarity("Q1", turns_at_amps=-1.0)), "turns_at_amps"),
        (AddVehicle(dataclasses.replace(TANK, name="bogie diesel")), "a name used once"),
        (AddVehicle(dataclasses.replace(TANK, axles_mm=(0.0, 0.0))), "axles from the leading one"),
        (AddTrain(Train("x", ("rocket",), "T1.toe")), "a vehicle that comes with the program"),
        (AddTrain(Train("x", end="T1.heel")), "one of T1.toe"),
        (AddTrain(Train("x")), "an end of a piece of track"),
        (AddTrain(Train("bus", end="T1.toe")), "a name used once"),
        (Remove("Z1"), "can be taken away"),
        (Remove("bus"), "can be taken away"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(edit: Edit, why: str) -> None:
    before = small()
    with pytest.raises(EditRefused) as caught:
        edit.apply(before)
    assert why in str(caught.value)
    assert caught.value.faults
    assert before == small()
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (PlaceTrain("shunter", "T1.heel", 0.0), "one of T1.toe"),
        (PlaceTrain("shunter", "", 0.0), "an end of a piece"),
        (PlaceTrain("shunter", "T1.toe", -1.0), "mm: found -1.0"),
    ],
)
def test_a_train_is_not_placed_where_there_is_no_track(edit: Edit, why: str) -> None:
    with pytest.raises(EditRefused, match=why):
        edit.apply(bench_of(CONTRACT))


def test_there_is_an_end_to_wires() -> None:
    full = dataclasses.replace(small(), wires=small().wires * 5000)
    with pytest.raises(EditRefused, match="at most 10,000"):
        MakeWire("M1.k", "T1.frog").apply(full)


def test_there_is_an_end_to_lamps() -> None:
    full = dataclasses.replace(small(), lamps=tuple(Lamp(f"L{i}") for i in range(1000)))
    with pytest.raises(EditRefused, match="at most 1,000"):
        AddLamp(Lamp("one more")).apply(full)


# Undo


@st.composite
def edits(draw: st.DrawFn, bench: Bench) -> Edit:
    """An edit of any sort that may or may not be possible on this bench."""
    places = [place for piece in bench.tracks for place in piece.places()]
    made: list[st.SearchStrategy[Any]] = [
        wires(terminals(bench)).map(lambda wire: MakeWire(*wire.ends, colour=wire.colour, metres=wire.metres)),
        st.builds(RemoveWire, st.integers(-1, len(bench.wires))),
        st.builds(ChangeWire, st.integers(0, len(bench.wires)), wires(terminals(bench))),
        st.sampled_from([AddLamp(Lamp("lamp 2")), AddPolarity(Polarity("unit 2")), AddVehicle(TANK)]),
        st.just(AddPiece(PIECE)),
    ]
    if places:
        states = st.sampled_from(["cut", "closed", "leaking", "made", "open"])
        made.append(st.builds(SetPlace, st.sampled_from([place.name for place in places]), states))
    if bench.motors:
        made.append(st.builds(TurnMotor, st.sampled_from([motor.id for motor in bench.motors])))
    if bench.tracks:
        ids = st.sampled_from([piece.id for piece in bench.tracks])
        thrown = ids | st.sampled_from([motor.id for motor in bench.motors] or ["x"])
        made += [st.builds(SetPoints, thrown, st.sampled_from(["normal", "diverging"])), st.builds(Remove, thrown)]
        ends = st.sampled_from([f"{piece.id}.{piece.ENDS[0]}" for piece in bench.tracks])
        made.append(st.builds(AddTrain, st.builds(Train, st.just("train 2"), end=ends)))
        trains = st.sampled_from([train.id for train in bench.trains] or ["x"])
        made.append(st.builds(PlaceTrain, trains, ends, st.just(5.0)))
    return draw(st.one_of(made))  # type: ignore[no-any-return]


@given(benches(), st.data())
@settings(max_examples=60)
def test_undo_brings_back_each_bench_and_redo_each_edit(bench: Bench, data: st.DataObject) -> None:
    history = History(bench)
    benches_seen = [bench]
    for _ in range(data.draw(st.integers(0, 8))):
        edit = data.draw(edits(history.bench))
        try:
            history = history.do(edit)
        except EditRefused:
            continue
        benches_seen.append(history.bench)
    assert len(history.edits) == len(benches_seen) - 1
    for before in reversed(benches_seen[:-1]):
        assert history.can_undo
        history = history.undo()
        assert history.bench == before
    assert not history.can_undo
    for after in benches_seen[1:]:
        assert history.can_redo
        history = history.redo()
        assert history.bench == after
    assert not history.can_redo


@given(benches(), st.data())
@settings(max_examples=60)
def test_an_edit_leaves_a_bench_that_a_file_can_hold(bench: Bench, data: st.DataObject) -> None:
    for _ in range(3):
        try:
            bench = data.draw(edits(bench)).apply(bench)
        except EditRefused:
            continue
    assert bench_of(dump(bench)) == bench


def test_a_new_edit_forgets_what_was_undone() -> None:
    history = History(small()).do(TurnMotor("M1")).undo()
    assert history.can_redo
    history = history.do(RemoveWire(0))
    assert not history.can_redo
    assert history.edits == (RemoveWire(0),)


def test_a_history_does_not_change() -> None:
    start = History(small())
    after = start.do(RemoveWire(0))
    assert (start.bench, start.can_undo, start.can_redo) == (small(), False, False)
    after.undo()
    assert after.bench == RemoveWire(0).apply(small())


def test_there_is_nothing_before_the_first_edit_or_after_the_last() -> None:
    with pytest.raises(EditRefused, match="nothing to undo"):
        History(small()).undo()
    with pytest.raises(EditRefused, match="nothing to do again"):
        History(small()).do(RemoveWire(0)).redo()


def test_edits_are_values() -> None:
    assert MakeWire("a.b", "c.d") == MakeWire("a.b", "c.d", 0.5, 0.3)
    assert {RemoveWire(1), RemoveWire(1), SetPlace("x", "cut")} == {RemoveWire(1), SetPlace("x", "cut")}
    history = History(small()).do(MakeWire("M1.m", "bus.A"))
    assert pickle.loads(pickle.dumps(history)) == history


# Names on the bench


def test_every_terminal_of_the_contract_is_there() -> None:
    sections = ("stock.left", "stock.right", "blade.left", "blade.right", "frog", "exit.left", "exit.right")
    assert terminals(bench_of(CONTRACT)) == (
        "bus.A",
        "bus.B",
        "far.A",
        "far.B",
        "near.A",
        "near.B",
        *(f"T1.{section}" for section in sections),
        "P1.left",
        "P1.right",
        *(f"T2.{section}" for section in sections),
        "M1.k",
        "M1.m",
        "M1.p",
        "Q1.a",
        "Q1.b",
        "Q1.out",
        "Q1.c",
        "Q1.d",
        "Q1.out2",
        "L1.1",
        "L1.2",
    )


def test_a_dead_frog_and_a_long_rail_have_the_terminals_of_the_contract() -> None:
    text = SMALL.split("[[motor]]")[0].replace("number = 6", 'number = 6\nfrog = "dead"').replace("= 300", "= 900")
    names = terminals(bench_of(text))
    assert "T1.frog" not in names
    assert "T1.exit.left" in names
    assert [name for name in names if name.startswith("P1")] == ["P1.left", "P1.right"]


@given(benches())
@settings(max_examples=40)
def test_every_terminal_is_there_once(bench: Bench) -> None:
    assert len(set(terminals(bench))) == len(terminals(bench))
    assert {end for wire in bench.wires for end in wire.ends} <= set(terminals(bench))


def test_a_bench_knows_its_pieces_and_motors_by_name() -> None:
    assert small().piece("P1").id == "P1"
    assert small().motor_of("T1") == small().motors[0]
    assert small().motor_of("P1") is None
    with pytest.raises(KeyError):
        small().piece("P9")


def test_a_bare_piece_has_no_places_and_no_blades() -> None:
    piece = Piece(id="X", kind="x")
    assert (piece.sections(), piece.places(), piece.point_sets) == ((), (), ())
    with pytest.raises(KeyError):
        piece.with_place("X.gap.closure.left", "cut")
    with pytest.raises(ValueError, match="no blades"):
        piece.with_setting("normal")


def test_a_bench_of_nothing_but_a_supply_will_do() -> None:
    assert terminals(Bench(supplies=(Supply("bus", "dcc"),))) == ("bus.A", "bus.B")

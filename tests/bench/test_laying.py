"""Edits of a bench that is being laid: joints, refitting, taps; any run of them leaves a bench that a file can hold."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
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
    Edit,
    EditRefused,
    History,
    MakeWire,
    Remove,
    ReplacePiece,
)
from sim.bench.laying import AddTap, JoinEnds, PartEnds, Refit, SetJoint, TakeUp, free_name, joint_of, names_of
from sim.bench.model import Bench, Changeover, Lamp, Motor, Polarity, Train
from sim.bench.piece import JOINTS
from sim.bench.reading import parse
from sim.bench.table import Table
from sim.bench.terminals import terminals
from sim.bench.vocabulary import STANDARD_VEHICLES
from sim.bench.writing import dump
from sim.track.formations import KINDS, Plain, Turnout
from sim.track.laying import PIECES, ends_of, joinable, laid, open_places, reshaped
from sim.track.layout import Layout
from tests.bench.examples import CONTRACT, bench_of, small


def read_back(bench: Bench) -> Bench:
    return parse(dump(bench), KINDS, name="bench")


def with_second() -> Bench:
    """The small bench with a second plain piece, joined to nothing."""
    return AddPiece(Plain(id="P2", kind="plain", length_mm=90.0)).apply(small())


# Joints


def test_two_ends_are_joined_and_parted() -> None:
    joined = JoinEnds("P2.b", "P1.b", right="insulated").apply(with_second())
    assert joint_of(joined, "P1.b") == ("P2.b", "P1.b", ("metal", "insulated"))
    assert joint_of(joined, "P2.b") == joint_of(joined, "P1.b")
    assert read_back(joined) == joined
    assert PartEnds("P1.b").apply(joined) == with_second()
    assert PartEnds("P2.b").apply(joined) == with_second()


def test_a_second_joint_of_a_piece_does_not_take_over_what_is_said_of_the_first() -> None:
    """P1 writes its joint at b first; when it writes one at a too, the one at b is no longer its first."""
    bench = PartEnds("P1.a").apply(with_second())
    bench = JoinEnds("P1.b", "P2.a", left="bad").apply(bench)
    bench = JoinEnds("P1.a", "T1.main").apply(bench)
    assert joint_of(bench, "P1.b") == ("P1.b", "P2.a", ("bad", "metal"))
    assert joint_of(bench, "P1.a") == ("P1.a", "T1.main", ("metal", "metal"))
    states = {joint.end: [side.state for side in joint.sides] for joint in Layout(read_back(bench)).joints}
    assert states == {"P1.b": ["bad", "metal"], "P1.a": ["metal", "metal"]}
    assert joint_of(PartEnds("T1.main").apply(bench), "P2.a") == ("P1.b", "P2.a", ("bad", "metal"))


@pytest.mark.parametrize(
    ("end", "side", "states"), [("P1.a", "left", ("bad", "metal")), ("T1.main", "left", ("metal", "bad"))]
)
def test_a_joiner_is_changed_on_the_side_that_is_meant(end: str, side: str, states: tuple[str, str]) -> None:
    bench = SetJoint(end, side, "bad").apply(small())
    assert joint_of(bench, "P1.a") == ("P1.a", "T1.main", states)
    assert SetJoint(end, side, "metal").apply(bench) == small()


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (JoinEnds("P1.a", "P2.a"), "a joint at P1.a already"),
        (JoinEnds("P2.a", "T1.main"), "a joint at T1.main already"),
        (JoinEnds("P2.a", "P2.b"), "an end of another piece"),
        (JoinEnds("P2.a", "P1.c"), "an end of a piece of track"),
        (JoinEnds("P2.a", "P1.b", left="glue"), "metal or insulated or bad"),
        (PartEnds("P1.b"), "P1.b, which is open"),
        (PartEnds("P9.b"), "an end of a piece of track"),
        (SetJoint("P1.b", "left", "bad"), "P1.b, which is open"),
        (SetJoint("P1.a", "middle", "bad"), "left or right"),
        (SetJoint("P1.a", "left", "glue"), "metal or insulated or bad"),
        (AddTap("T1"), "names something already"),
        (AddTap("far", -1.0), "metres|m"),
        (AddTap(""), "name"),
        (Refit(Plain(id="P9", kind="plain", length_mm=90.0)), "the id of a piece of track or a motor"),
        (Refit(Plain(id="P2", kind="plain", length_mm=0.0)), "length_mm"),
        (TakeUp(Bench()), "supply"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(edit: Edit, why: str) -> None:
    with pytest.raises(EditRefused, match=why):
        edit.apply(with_second())


def test_a_refusal_in_words_names_no_place_in_a_file() -> None:
    with pytest.raises(EditRefused) as refused:
        AddPiece(Plain(id="P2", kind="plain", length_mm=90.0, joins=Table(a="P1.a"))).apply(small())
    assert "track[" in str(refused.value)
    assert "track[" not in refused.value.words
    assert refused.value.words.startswith("a joint at P1.a")


# Refitting, taps, taking up


def test_a_turnout_with_a_dead_frog_loses_the_wire_to_its_frog_and_nothing_else() -> None:
    bench = small()
    after = Refit(reshaped(bench.piece("T1"), frog="dead")).apply(bench)
    assert [wire.ends for wire in after.wires] == [("bus.A", "T1.stock.left")]
    assert read_back(after) == after
    with pytest.raises(EditRefused, match=r"T1\.frog"):
        ReplacePiece(reshaped(bench.piece("T1"), frog="dead")).apply(bench)


def test_a_motor_that_loses_a_contact_loses_its_wires() -> None:
    bench = small()
    assert Refit(dataclasses.replace(bench.motors[0], changeovers=())).apply(bench).wires == bench.wires[:1]


def test_a_tap_is_made_and_taken_away_with_its_wires() -> None:
    bench = AddTap("far", 4.0).apply(small())
    assert bench.bus is not None
    assert bench.bus.taps == {"far": 4.0}
    wired = MakeWire("far.A", "T1.stock.left").apply(bench)
    assert read_back(wired) == wired
    after = Remove("far").apply(wired)
    assert after.wires == small().wires
    assert "far.A" not in terminals(after)


def test_a_bench_is_taken_up_and_laid_down_again() -> None:
    history = History(small()).do(TakeUp(dataclasses.replace(bench_of(CONTRACT), level=None)))
    assert history.bench.title == "Branch to the goods shed"
    assert history.undo().bench == small()


def test_a_free_name_is_free() -> None:
    assert free_name(small(), "T") == "T2"
    assert free_name(small(), "Q") == "Q1"
    assert free_name(Bench(tracks=(Plain(id="P2", kind="plain", length_mm=9.0),)), "P") == "P1"


# Any run of edits

Draw = Callable[[st.SearchStrategy[Any]], Any]


def _ends(bench: Bench) -> list[str]:
    return [f"{piece.id}.{end}" for piece in bench.tracks for end in piece.ENDS]


_SIZES: tuple[dict[str, object], ...] = (
    {"number": 8.0}, {"frog": "dead"}, {"frog": "live"}, {"frog": "isolated"}, {"branch": "straight-points"},
    {"hand": "left"}, {"hand": "right"}, {"length_mm": 700.0}, {"length_mm": 60.0}, {"radius_mm": 450.0},
    {"radius_mm": None},
)  # fmt: skip


def _lay(bench: Bench, draw: Draw) -> Edit:
    what = draw(st.sampled_from(PIECES))
    open_ends = list(open_places(Layout(bench)))
    at = draw(st.sampled_from([None, *open_ends]))
    return AddPiece(laid(bench, what, at, draw(st.sampled_from(ends_of(what)))))


def _mount(bench: Bench, draw: Draw) -> Edit:
    points = [points.id for points in bench.point_sets]
    letters = draw(st.permutations("kmpabc"))
    contacts = [Changeover(letters[k], letters[k + 1], letters[k + 2]) for k in (0, 3)][: draw(st.integers(0, 2))]
    name = free_name(bench, "M")
    return AddMotor(
        Motor(
            name,
            tuple(draw(st.lists(st.sampled_from([*points, "T9"]), max_size=3))),
            changeovers=tuple(contacts),
            by_hand=draw(st.booleans()),
        )
    )


def _train(bench: Bench, draw: Draw) -> Edit:
    vehicle = draw(st.sampled_from(STANDARD_VEHICLES))
    return AddTrain(Train(free_name(bench, "V"), (vehicle,), draw(st.sampled_from([*_ends(bench), "P9.a"])), 40.0))


def _refit(bench: Bench, draw: Draw) -> Edit:
    if not bench.tracks:
        return Remove("nothing")
    piece = draw(st.sampled_from(bench.tracks))
    known = {field.name for field in dataclasses.fields(piece)}
    sizes = [size for size in _SIZES if known.issuperset(size)]
    return Refit(reshaped(piece, **draw(st.sampled_from(sizes)))) if sizes else Refit(piece)


def _joint(bench: Bench, draw: Draw) -> Edit:
    ends = st.sampled_from([*_ends(bench), "P9.a"])
    states = st.sampled_from(JOINTS)
    edit: Edit = draw(
        st.builds(SetJoint, ends, st.sampled_from(["left", "right"]), states)
        | st.builds(PartEnds, ends)
        | st.builds(JoinEnds, ends, ends, states, states)
    )
    return edit


def _wire(bench: Bench, draw: Draw) -> Edit:
    every = st.sampled_from(terminals(bench))
    return MakeWire(draw(every), draw(every), number=draw(st.sampled_from([None, "W7"])))


_SORTS: dict[str, Callable[[Bench, Draw], Edit]] = {
    "lay": _lay,
    "mount": _mount,
    "train": _train,
    "refit": _refit,
    "joint": _joint,
    "wire": _wire,
    "tap": lambda bench, draw: AddTap(draw(st.sampled_from(["far", "near"]))),
    "lamp": lambda bench, draw: AddLamp(Lamp(free_name(bench, "L"))),
    "polarity": lambda bench, draw: AddPolarity(Polarity(free_name(bench, "Q"))),
    "remove": lambda bench, draw: Remove(draw(st.sampled_from(sorted(names_of(bench))))),
}


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_any_run_of_edits_leaves_a_bench_that_a_file_can_hold_and_is_undone_exactly(data: st.DataObject) -> None:
    history = History(small())
    seen = [history.bench]
    for _ in range(data.draw(st.integers(1, 14))):
        sort = data.draw(st.sampled_from(["lay", "lay", *_SORTS]))
        edit = _SORTS[sort](history.bench, data.draw)
        try:
            history = history.do(edit)
        except EditRefused:
            continue
        bench = history.bench
        assert read_back(bench) == bench, edit
        Layout(bench)
        seen.append(bench)
    while history.can_undo:
        assert history.bench == seen.pop()
        history = history.undo()
    assert history.bench == seen.pop() == small()
    while history.can_redo:
        history = history.redo()
        assert read_back(history.bench) == history.bench


def test_a_piece_has_the_scale_and_the_rail_of_what_it_meets() -> None:
    text = dump(small()).replace('scale = "HO"', 'scale = "N"\nrail = "code 55"')
    bench = bench_of(text)
    for what in PIECES:
        piece = laid(bench, what, "T1.diverging")
        after = AddPiece(piece).apply(bench)
        layout = Layout(after)
        assert (layout.scale(piece.id).name, layout.rail(piece.id)) == ("N", "code 55"), what
    apart = laid(bench, "turnout-left", None)
    assert isinstance(apart, Turnout)
    assert (dict(apart.joins), apart.scale) == ({}, "N")


def test_a_piece_that_closes_a_ring_is_joined_at_both_ends() -> None:
    """All of a circle but for two curves as they come out of the box."""
    curve = laid(small(), "curve", None)
    assert isinstance(curve, Plain)
    assert curve.radius_mm is not None
    rest = dataclasses.replace(curve, id="P1", length_mm=2 * math.pi * curve.radius_mm - 2 * curve.length_mm)
    bench = Bench(supplies=small().supplies, tracks=(rest,))
    first = laid(bench, "curve", "P1.b")
    assert first.joins == {"a": "P1.b"}
    bench = AddPiece(first).apply(bench)
    last = laid(bench, "curve", "P2.b")
    assert last.joins == {"a": "P2.b", "b": "P1.a"}
    assert open_places(Layout(AddPiece(last).apply(bench))) == {}
    assert laid(bench, "plain", "P2.b").joins == {"a": "P2.b"}, "straight on, its far end lies beside the ring"


def test_an_end_can_be_joined_to_those_of_other_groups_in_its_scale_and_to_what_it_lies_against() -> None:
    layout = Layout(with_second())
    assert set(joinable(layout, "P1.b")) == {"P2.a", "P2.b"}
    assert joinable(layout, "P1.a") == (), "it is joined already"
    other_scale = AddPiece(Plain(id="P3", kind="plain", length_mm=90.0, scale="N")).apply(with_second())
    assert "P3.a" not in joinable(Layout(other_scale), "P1.b")
    ring = Plain(id="P1", kind="plain", length_mm=2 * math.pi * 400.0, radius_mm=400.0, turns="left")
    half = dataclasses.replace(ring, length_mm=math.pi * 400.0)
    second = dataclasses.replace(half, id="P2", joins=Table(a="P1.b"))
    assert joinable(Layout(Bench(tracks=(half, second))), "P1.a") == ("P2.b",)

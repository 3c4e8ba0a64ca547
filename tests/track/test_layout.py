"""Layouts: scales, places, and which rail meets which."""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from sim.bench.model import Bench, Wire
from sim.bench.table import Table
from sim.track.formations import End, Plain, Turnout
from sim.track.layout import Layout
from sim.track.standards import SCALES
from tests.track.making import Step, chains, layout_of, turnout


def plain(name: str, joins: dict[str, str] | None = None, length: float = 200.0, **more: str) -> Plain:
    return Plain(id=name, kind="plain", length_mm=length, joins=Table(joins or {}), joint=Table(more))


def test_scale_and_rail_come_from_the_piece_joined_or_are_ho() -> None:
    pieces = (turnout(scale="N"), plain("P1", {"a": "T1.main"}), plain("P2", {"a": "P1.b"}), plain("P3"))
    layout = Layout(Bench(tracks=pieces))
    assert [layout.scale(name) for name in ("T1", "P1", "P2", "P3")] == [*[SCALES["N"]] * 3, SCALES["HO"]]
    assert [layout.rail(name) for name in ("T1", "P1", "P2", "P3")] == [*["code 55"] * 3, "code 83"]
    named = Layout(Bench(tracks=(dataclasses.replace(pieces[0], rail="code 40"), *pieces[1:])))
    assert [named.rail(name) for name in ("T1", "P1")] == ["code 40", "code 55"]


def test_a_joint_exchanges_left_and_right_and_keeps_its_states_by_its_writer() -> None:
    stretch = plain("P1", {"a": "T1.main"}, left="insulated", right="bad")
    (joint,) = Layout(Bench(tracks=(turnout(), stretch))).joints
    # Into P1 from a, its left is its own left; into T1 from main, the stock rail of a left leg is on the right.
    assert (joint.end, joint.other) == ("P1.a", "T1.main")
    assert joint.sides == (
        ("left", "P1.left", "T1.stock.left", "insulated"),
        ("right", "P1.right", "T1.exit.left", "bad"),
    )
    (joint,) = Layout(Bench(tracks=(turnout(), plain("P1", {"b": "T1.diverging"}, left="insulated")))).joints
    assert joint.sides == (
        ("left", "P1.right", "T1.exit.right", "insulated"),
        ("right", "P1.left", "T1.stock.right", "metal"),
    )


@settings(max_examples=60, deadline=None)
@given(chains())
def test_rails_that_a_joint_joins_end_at_the_same_place(chain: tuple[list[Step], dict[str, float]]) -> None:
    layout = layout_of(chain[0])
    outlines = {
        f"{name}.{rail.node}": shapely.Polygon(
            layout.placement(name).points(np.concatenate([rail.left_edge, rail.right_edge[::-1]]))
        )
        for name in layout.pieces
        for rail in layout.geometry(name).rails(0.0)
        if rail.part in {"rail", "stock", "exit"}
    }
    assert layout.joints
    for joint in layout.joints:
        assert {side.side for side in joint.sides} == {"left", "right"}
        for side in joint.sides:
            assert outlines[side.one].distance(outlines[side.other]) < 1e-6
        # ... and the two sides are a gauge apart.
        left, right = joint.sides
        assert outlines[left.one].distance(outlines[right.other]) > 10.0


@settings(max_examples=40, deadline=None)
@given(chains())
def test_headings_run_on_through_every_joint(chain: tuple[list[Step], dict[str, float]]) -> None:
    steps, _ = chain
    layout = layout_of(steps)
    for one, two in itertools.pairwise(steps):
        ends = []
        for step, end in ((one, one.leaves), (two, two.enters)):
            pose = layout.geometry(step.piece.id).end_poses[end]
            place = layout.placement(step.piece.id)
            x, y = place.points(np.array([[pose.x, pose.y]]))[0]
            ends.append((x, y, pose.heading + place.heading))
        (x1, y1, out), (x2, y2, back) = ends
        assert (x1, y1) == pytest.approx((x2, y2), abs=1e-6)
        assert math.cos(out - back) == pytest.approx(-1.0)


def test_the_first_piece_lies_at_the_origin_and_groups_lie_apart() -> None:
    groups = ((turnout(), plain("P1", {"b": "T1.toe"})), (plain("P2"), plain("P3", {"a": "P2.b"})), (plain("P4"),))
    layout = Layout(Bench(tracks=tuple(piece for group in groups for piece in group)))
    first = layout.placement("T1")
    assert (first.x, first.y, first.heading) == (0.0, 0.0, 0.0)
    boxes = []
    for group in groups:
        points = [
            layout.placement(piece.id).points(np.concatenate([rail.left_edge, rail.right_edge]))
            for piece in group
            for rail in layout.geometry(piece.id).rails(0.0)
        ]
        boxes.append(shapely.MultiPoint(np.concatenate(points)).envelope)
    assert boxes[0].distance(boxes[1]) >= 40.0
    assert boxes[1].distance(boxes[2]) >= 40.0


def test_open_ends_are_those_that_meet_nothing() -> None:
    layout = Layout(Bench(tracks=(turnout(), plain("P1", {"a": "T1.main"}), End(id="E1", kind="end"))))
    assert set(layout.open_ends) == {("T1", "toe"), ("T1", "diverging"), ("P1", "b"), ("E1", "a")}
    assert layout.neighbour("T1", "main") == ("P1", "a")
    assert layout.neighbour("P1", "a") == ("T1", "main")
    assert layout.neighbour("P1", "b") is None


def test_a_joint_with_a_buffer_stop_joins_no_rails() -> None:
    layout = Layout(Bench(tracks=(plain("P1"), End(id="E1", kind="end", joins=Table({"a": "P1.b"})))))
    (joint,) = layout.joints
    assert joint.sides == ()


def test_layouts_of_benches_that_differ_in_wiring_alone_are_equal() -> None:
    tracks = (turnout(), plain("P1", {"a": "T1.main"}))
    one = Layout(Bench(tracks=tracks))
    cut = tracks[0].with_place("T1.gap.closure.left", "closed").with_setting("diverging")
    two = Layout(Bench(tracks=(cut, tracks[1]), wires=(Wire(ends=("T1.frog", "P1.left")),)))
    assert one == two
    assert hash(one) == hash(two)
    for changed in (
        (dataclasses.replace(tracks[0], blade_contact="worn"), tracks[1]),
        (dataclasses.replace(tracks[0], gap_mm=0.7), tracks[1]),
        (tracks[0], plain("P1", {"a": "T1.diverging"})),
        (tracks[0], plain("P1", {"a": "T1.main"}, left="bad")),
        (tracks[0], plain("P2", {"a": "T1.main"})),
    ):
        assert Layout(Bench(tracks=changed)) != one


@pytest.mark.parametrize(("length", "each"), [(250.0, 250.0), (900.0, 300.0), (1000.0, 250.0)])
def test_the_lengths_of_a_long_rail_are_alike(length: float, each: float) -> None:
    layout = Layout(Bench(tracks=(plain("P1", length=length), turnout())))
    assert layout.node_mm("P1") == pytest.approx(each)
    assert layout.node_mm("T1") == 0.0


def test_blades_and_touch_are_those_of_the_piece() -> None:
    piece: Turnout = turnout(blade_touch=0.2, blade_contact="oxidised")
    layout = Layout(Bench(tracks=(piece, plain("P1"))))
    assert (layout.touch("T1"), layout.blade_condition("T1"), layout.touch("P1")) == (0.2, "oxidised", 0.0)


def test_a_way_in_at_the_toe_goes_as_the_points_are_set() -> None:
    layout = Layout(Bench(tracks=(turnout("left"), End(id="E1", kind="end"))))
    assert layout.entered("T1", "toe", {}) == (0, 1)
    assert layout.entered("T1", "toe", {"T1": 1.0}) == (1, 1)
    assert layout.entered("T1", "diverging", {}) == (1, -1)
    assert layout.entered("T1", "main", {"T1": 1.0}) == (0, -1)
    assert layout.entered("E1", "a", {}) is None


def test_poses_on_the_bench_are_poses_of_the_piece_where_it_lies() -> None:
    layout = Layout(Bench(tracks=(plain("P1"), turnout("wye"), plain("P2", {"a": "P1.b", "b": "T1.diverging"}))))
    stations = np.array([0.0, 50.0, 300.0])
    x, y, heading = layout.pose("T1", 1, stations)
    mine_x, mine_y, mine_heading = layout.geometry("T1").tracks[1].pose(stations)
    place = layout.placement("T1")
    assert np.stack([x, y], axis=-1) == pytest.approx(place.points(np.stack([mine_x, mine_y], axis=-1)))
    assert heading - mine_heading == pytest.approx(place.heading)
    # The diverging end meets the straight P2, which lies along the x axis: the train comes out along it.
    end = layout.pose("T1", 1, np.array([layout.geometry("T1").tracks[1].length_mm]))
    assert (end[0][0], end[1][0]) == pytest.approx((400.0, 0.0), abs=1e-9)
    assert math.cos(end[2][0]) == pytest.approx(-1.0)

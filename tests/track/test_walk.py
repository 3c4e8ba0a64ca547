"""Walking along the track: out and back, through joints both ways, to stops."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.model import Bench
from sim.bench.table import Table
from sim.track.formations import End, Plain
from sim.track.layout import Layout
from sim.track.walk import BEYOND_END_MM, Spot, advance, distance_to_stop, spot_at
from tests.track.making import Step, chains, layout_of, path_of, turnout


def plain(name: str, joins: dict[str, str] | None = None, length: float = 200.0) -> Plain:
    return Plain(id=name, kind="plain", length_mm=length, joins=Table(joins or {}))


@st.composite
def walks(draw: st.DrawFn) -> tuple[list[Step], dict[str, float], Layout, Spot, float]:
    steps, travel = draw(chains())
    layout = layout_of(steps)
    step = draw(st.sampled_from(steps))
    index, _ = path_of(layout, step)
    length = layout.geometry(step.piece.id).tracks[index].length_mm
    station = draw(st.floats(0.0, 1.0)) * length
    return steps, travel, layout, Spot(step.piece.id, index, station, draw(st.booleans())), draw(st.floats(0.0, 900.0))


def whereabouts(layout: Layout, spot: Spot) -> tuple[float, float, float]:
    """x, y and the way it looks, on the bench."""
    x, y, heading = (float(v[0]) for v in layout.pose(spot.piece, spot.path, np.array([spot.s_mm])))
    return x, y, heading if spot.forward else heading + math.pi


def same_spot(one: Spot, two: Spot) -> None:
    assert (one.piece, one.path, one.forward) == (two.piece, two.path, two.forward)
    assert one.s_mm == pytest.approx(two.s_mm)


@settings(max_examples=150, deadline=None)
@given(walks())
def test_walking_out_and_back_returns(walk: tuple[list[Step], dict[str, float], Layout, Spot, float]) -> None:
    _, travel, layout, spot, distance = walk
    for ds in (distance, -distance):
        room = distance_to_stop(layout, spot, travel, distance, backward=ds < 0)
        there = advance(layout, spot, math.copysign(room, ds), travel)
        back = advance(layout, there, -math.copysign(room, ds), travel)
        x, y, looks = whereabouts(layout, back)
        assert (x, y) == pytest.approx(whereabouts(layout, spot)[:2], abs=1e-6)
        assert math.cos(looks - whereabouts(layout, spot)[2]) == pytest.approx(1.0)


@settings(max_examples=100, deadline=None)
@given(walks())
def test_small_steps_go_where_one_great_step_goes(
    walk: tuple[list[Step], dict[str, float], Layout, Spot, float],
) -> None:
    _, travel, layout, spot, distance = walk
    there = advance(layout, spot, distance, travel)
    here = spot
    for _ in range(40):
        before = whereabouts(layout, here)
        here = advance(layout, here, distance / 40, travel)
        after = whereabouts(layout, here)
        # It never jumps, and it looks the way it goes.
        gone = math.dist(before[:2], after[:2])
        assert gone <= distance / 40 + 1e-6
        if gone > 1.0:
            way = math.atan2(after[1] - before[1], after[0] - before[0])
            assert math.cos(way - (before[2] + after[2]) / 2) ** 2 > 0.99
            assert math.cos(way - before[2]) > 0.9
    assert whereabouts(layout, here)[:2] == pytest.approx(whereabouts(layout, there)[:2], abs=1e-5)


def test_an_open_end_runs_on_for_a_while_and_a_buffer_stop_does_not() -> None:
    layout = Layout(Bench(tracks=(plain("P1"), End(id="E1", kind="end", joins=Table({"a": "P1.b"})))))
    spot = Spot("P1", 0, 120.0, True)
    assert distance_to_stop(layout, spot, {}, 5000.0) == pytest.approx(80.0)
    assert distance_to_stop(layout, spot, {}, 5000.0, backward=True) == pytest.approx(120.0 + BEYOND_END_MM)
    assert distance_to_stop(layout, spot, {}, 50.0) == 50.0
    assert advance(layout, spot, 1e6, {}) == Spot("P1", 0, 200.0, True)
    beyond = advance(layout, spot, -1e6, {})
    assert beyond == Spot("P1", 0, -BEYOND_END_MM, True)
    assert advance(layout, beyond, BEYOND_END_MM + 30.0, {}) == Spot("P1", 0, 30.0, True)


def test_points_decide_the_way_out_and_not_the_way_in() -> None:
    tracks = (turnout(), plain("P1", {"a": "T1.main"}), plain("P2", {"b": "T1.diverging"}))
    layout = Layout(Bench(tracks=tracks))
    # In front of the toe, beyond an open end, it goes by the path that it is on already.
    assert advance(layout, Spot("T1", 0, 10.0, True), 500.0, {"T1": 1.0}).piece == "P1"
    before = (plain("P0", {"b": "T1.toe"}), *tracks)
    layout = Layout(Bench(tracks=before))
    assert advance(layout, Spot("P0", 0, 150.0, True), 460.0, {"T1": 0.0}).piece == "P1"
    far = advance(layout, Spot("P0", 0, 150.0, True), 460.0, {"T1": 1.0})
    assert (far.piece, far.forward) == ("P2", False)
    # Trailing in against the points it is on the leg that it came by.
    length = layout.geometry("T1").tracks[1].length_mm
    same_spot(advance(layout, Spot("P2", 0, 150.0, True), 60.0, {"T1": 0.0}), Spot("T1", 1, length - 10.0, False))


def test_something_put_at_an_end_looks_towards_it() -> None:
    layout = Layout(Bench(tracks=(turnout(), plain("P1", {"a": "T1.main"}))))
    length = layout.geometry("T1").tracks[0].length_mm
    assert spot_at(layout, "T1.toe", 40.0) == Spot("T1", 0, 40.0, False)
    assert spot_at(layout, "T1.toe", 40.0, {"T1": 1.0}) == Spot("T1", 1, 40.0, False)
    assert spot_at(layout, "T1.diverging", 40.0).path == 1
    assert spot_at(layout, "P1.a", 40.0) == Spot("P1", 0, 40.0, False)
    assert spot_at(layout, "P1.b", 40.0) == Spot("P1", 0, 160.0, True)
    # Further in than the piece is long, it stands on the next, and still looks back.
    same_spot(spot_at(layout, "P1.b", 210.0), Spot("T1", 0, length - 10.0, True))


def test_a_place_at_a_buffer_stop_is_measured_from_it() -> None:
    stop = End(id="E1", kind="end", joins=Table({"a": "P1.b"}))
    layout = Layout(Bench(tracks=(plain("P1"), stop, End(id="E2", kind="end"))))
    assert spot_at(layout, "E1.a", 25.0) == Spot("P1", 0, 175.0, True)
    with pytest.raises(ValueError, match="no track"):
        spot_at(layout, "E2.a", 25.0)
    with pytest.raises(KeyError):
        spot_at(layout, "P1.toe", 25.0)


def test_between_two_buffer_stops_joined_there_is_no_track() -> None:
    stops = (End(id="E1", kind="end", joins=Table({"a": "E2.a"})), End(id="E2", kind="end"))
    layout = Layout(Bench(tracks=(plain("P1"), *stops)))
    for end in ("E1.a", "E2.a"):
        with pytest.raises(ValueError, match="no track"):
            spot_at(layout, end, 0.0)


def test_a_reversing_loop_brings_back_what_looks_the_other_way() -> None:
    loop = Plain(
        id="P1",
        kind="plain",
        length_mm=1500.0,
        radius_mm=300.0,
        turns="left",
        joins=Table({"a": "T1.main", "b": "T1.diverging"}),
    )
    layout = Layout(Bench(tracks=(turnout("wye"), loop)))
    start = Spot("T1", 0, 10.0, True)
    length = layout.geometry("T1").tracks[0].length_mm
    back = advance(layout, start, 2 * length + 1500.0 - 20.0, {"T1": 0.0})
    same_spot(back, Spot("T1", 1, 10.0, False))

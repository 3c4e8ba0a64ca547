"""Contacts over several pieces: both ways through joints, open ends and buffer stops."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.model import Bench
from sim.bench.table import Table
from sim.track.contact import contact_length_mm, contacts
from sim.track.formations import End, Plain
from sim.track.layout import Layout
from sim.track.route import RouteContacts, route_contacts
from sim.track.standards import SCALES
from sim.track.wheels import standard_wheel
from tests.track.making import Step, chains, layout_of, path_of, polygons, shifts, touched, turnout

HO = SCALES["HO"]
OWN = standard_wheel(HO)


def plain(name: str, joins: dict[str, str] | None = None, length: float = 200.0) -> Plain:
    return Plain(id=name, kind="plain", length_mm=length, joins=Table(joins or {}))


def metal_of(layout: Layout, travel: dict[str, float]) -> dict[str, list[shapely.Geometry]]:
    """Every metal rail of a layout as polygons in the bench's frame."""
    found = {}
    for name in layout.pieces:
        place = layout.placement(name)
        for node, parts in polygons(layout.geometry(name), travel.get(name, 0.0)).items():
            found[f"{name}.{node}"] = [shapely.transform(part, place.points) for part in parts]
    return found


@settings(max_examples=60, deadline=None)
@given(chains(), st.data())
def test_a_route_touches_what_lies_under_the_wheels_on_the_bench(
    chain: tuple[list[Step], dict[str, float]], data: st.DataObject
) -> None:
    steps, travel = chain
    layout = layout_of(steps)
    # Near one of the joints, seen from the piece on either side of it.
    k = data.draw(st.integers(0, len(steps) - 2))
    step, end = data.draw(st.sampled_from(((steps[k], steps[k].leaves), (steps[k + 1], steps[k + 1].enters))))
    piece, (index, _) = step.piece.id, path_of(layout, step)
    path = layout.geometry(piece).tracks[index]
    shift = data.draw(st.sampled_from(shifts(HO)))
    station = (0.0 if path.ends[0] == end else path.length_mm) + data.draw(st.floats(-1.5, 1.5))
    found = route_contacts(layout, travel, piece, index, 20.0, OWN, shift).touching(station)
    metal = metal_of(layout, travel)
    for row, edge in ((0, -0.03), (1, 0.03)):
        half = contact_length_mm(OWN, 0.6) + edge
        stations = np.linspace(station - half, station + half, 60)
        poses = list(zip(*(values.tolist() for values in layout.pose(piece, index, stations)), strict=True))
        for side, nodes in enumerate(touched(poses, metal, OWN, shift)):
            assert nodes <= found[side] if row == 0 else found[side] <= nodes


@settings(max_examples=60, deadline=None)
@given(chains(), st.sampled_from(shifts(HO)))
def test_a_route_reads_the_same_from_every_piece_of_it(
    chain: tuple[list[Step], dict[str, float]], shift: float
) -> None:
    steps, travel = chain
    layout = layout_of(steps)
    whole = sum(layout.geometry(step.piece.id).tracks[path_of(layout, step)[0]].length_mm for step in steps) + 1.0
    seen: set[frozenset[tuple[str, str, float, float]]] = set()
    start = 0.0
    for step in steps:
        index, run = path_of(layout, step)
        length = layout.geometry(step.piece.id).tracks[index].length_mm
        route = route_contacts(layout, travel, step.piece.id, index, whole, OWN, shift * run)
        origin = start if run > 0 else start + length
        turned = {"left": "right", "right": "left"}
        seen.add(
            frozenset(
                (
                    touch.node,
                    touch.side if run > 0 else turned[touch.side],
                    round(min(origin + run * touch.from_mm, origin + run * touch.to_mm), 5),
                    round(max(origin + run * touch.from_mm, origin + run * touch.to_mm), 5),
                )
                for touch in route.intervals
            )
        )
        start += length
    assert len(seen) == 1


@settings(max_examples=60, deadline=None)
@given(chains(), st.sampled_from(shifts(HO)))
def test_contact_is_never_lost_along_a_chain(chain: tuple[list[Step], dict[str, float]], shift: float) -> None:
    steps, travel = chain
    layout = layout_of(steps)
    index, _ = path_of(layout, steps[0])
    route = route_contacts(layout, travel, steps[0].piece.id, index, 5000.0, OWN, shift)
    for side in ("left", "right"):
        reached = -math.inf
        for touch in sorted((t for t in route.intervals if t.side == side), key=lambda t: t.from_mm):
            assert touch.from_mm <= reached or reached == -math.inf
            reached = max(reached, touch.to_mm)
        assert reached == math.inf


def by_itself() -> tuple[Layout, RouteContacts]:
    layout = Layout(Bench(tracks=(turnout(),)))
    return layout, route_contacts(layout, {"T1": 0.0}, "T1", 0, 100.0, OWN, 0.0)


def test_open_ends_run_on_for_ever() -> None:
    _, route = by_itself()
    assert route.touching(-1e6) == (frozenset({"T1.stock.left"}), frozenset({"T1.stock.right"}))
    assert route.touching(1e6) == (frozenset({"T1.stock.left"}), frozenset({"T1.exit.left"}))
    assert (route.stop_before, route.stop_after) == (None, None)


def test_own_points_stand_as_asked() -> None:
    layout, route = by_itself()
    against = route_contacts(layout, {"T1": 1.0}, "T1", 0, 100.0, OWN, 0.0)
    assert against != route
    assert route_contacts(layout, {"T1": 1.0}, "T1", 0, 100.0, OWN, 0.0, as_set=True) == route
    table = contacts(layout.geometry("T1"), 0, OWN, 0.0, 1.0)
    for station in np.arange(1.0, 360.0, 3.7):
        left, right = table.touching(float(station))
        assert against.touching(float(station)) == (
            frozenset(f"T1.{node}" for node in left),
            frozenset(f"T1.{node}" for node in right),
        )


def test_the_way_beyond_goes_by_the_settings() -> None:
    tracks = (plain("P1"), turnout(), plain("P2", {"a": "T1.main"}), plain("P3", {"a": "T1.diverging", "b": "P4.a"}))
    joined = (plain("P0", {"b": "T1.toe"}), *tracks, plain("P4"))
    layout = Layout(Bench(tracks=joined))
    for travel, beyond in ((0.0, "P2"), (1.0, "P3")):
        route = route_contacts(layout, {"T1": travel}, "P0", 0, 600.0, OWN, 0.0)
        left, right = route.touching(200.0 + 370.0 + 40.0)
        assert (left, right) == (frozenset({f"{beyond}.left"}), frozenset({f"{beyond}.right"}))


def test_rails_beyond_reach_are_left_out() -> None:
    layout = Layout(Bench(tracks=(plain("P1"), plain("P2", {"a": "P1.b"}), plain("P3", {"a": "P2.b"}))))
    for reach, pieces in ((0.0, {"P1"}), (1.0, {"P1", "P2"}), (201.0, {"P1", "P2", "P3"})):
        route = route_contacts(layout, {}, "P1", 0, reach, OWN, 0.0)
        assert {touch.node.partition(".")[0] for touch in route.intervals} == pieces


def test_buffer_stops_are_found_within_reach_at_both_ends() -> None:
    stops = (End(id="E1", kind="end", joins=Table({"a": "P1.a"})), End(id="E2", kind="end", joins=Table({"a": "P2.a"})))
    layout = Layout(Bench(tracks=(plain("P1"), plain("P2", {"b": "P1.b"}, 150.0), *stops)))
    assert _stops(layout, "P1", 500.0) == (0.0, 350.0)
    assert _stops(layout, "P1", 150.0) == (0.0, 350.0)
    assert _stops(layout, "P1", 100.0) == (0.0, 350.0)
    assert _stops(layout, "P2", 0.0) == (0.0, None)
    assert _stops(layout, "P2", 200.0) == (0.0, 350.0)


def _stops(layout: Layout, piece: str, reach: float) -> tuple[float | None, float | None]:
    route = route_contacts(layout, {}, piece, 0, reach, OWN, 0.0)
    return route.stop_before, route.stop_after


def test_a_ring_goes_round_and_round() -> None:
    quarter = math.pi / 2 * 300.0
    pieces = [
        Plain(
            id=f"R{k}",
            kind="plain",
            length_mm=quarter,
            radius_mm=300.0,
            turns="left",
            joins=Table({"b": f"R{(k + 1) % 4}.a"}),
        )
        for k in range(4)
    ]
    layout = Layout(Bench(tracks=tuple(pieces)))
    route = route_contacts(layout, {}, "R0", 0, 9 * quarter, OWN, 0.0)
    for turn in range(-8, 9):
        left, right = route.touching((turn + 0.25) * quarter)
        assert (left, right) == (frozenset({f"R{turn % 4}.left/0"}), frozenset({f"R{turn % 4}.right/0"}))


def test_a_wheel_on_a_joint_touches_both_pieces() -> None:
    layout = Layout(Bench(tracks=(turnout(), plain("P1", {"b": "T1.main"}))))
    length = layout.geometry("T1").tracks[0].length_mm
    route = route_contacts(layout, {}, "T1", 0, 50.0, OWN, 0.0)
    assert route.touching(length) == (
        frozenset({"T1.stock.left", "P1.right"}),
        frozenset({"T1.exit.left", "P1.left"}),
    )
    for side, offset in itertools.product((0, 1), (-1.0, 1.0)):
        assert len(route.touching(length + offset)[side]) == 1


def test_beyond_points_set_against_it_a_route_goes_on_over_the_leg_it_came_to() -> None:
    for end in ("a", "b"):
        layout = Layout(Bench(tracks=(turnout(), plain("P1", {end: "T1.diverging"}))))
        against = route_contacts(layout, {"T1": 0.0}, "P1", 0, 500.0, OWN, 0.0)
        trailing = route_contacts(layout, {"T1": 1.0}, "P1", 0, 500.0, OWN, 0.0)
        outward = -1 if end == "a" else 1
        near, far = (100.0 + outward * distance for distance in (130.0, 900.0))
        # At the joint the rails are the same however the points are set; further on, only where they are set for it do
        # others follow.
        assert against.touching(near) == trailing.touching(near)
        assert against.touching(far) == against.touching(near)
        assert trailing.touching(far) != trailing.touching(near)

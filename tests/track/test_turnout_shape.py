"""The shape of turnouts: closed forms, published angles and rows, and the parts of the frog."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import shapely.affinity

from sim.track.geometry import Geometry, RailShape
from sim.track.lines import Floats
from sim.track.rails import rail_section
from sim.track.standards import SCALES
from tests.track.making import (
    HANDS,
    NUMBERS,
    edges,
    every_default,
    head,
    least,
    leg,
    other,
    shape,
    turnout,
)

TOE = 80.0


def gauge_lines(geometry: Geometry) -> dict[str, Floats]:
    """The gauge line of each leg's inner rail from the tip on, points set for that leg, as the rails have it."""
    lines = {}
    for k, path in enumerate(geometry.tracks):
        side = leg(geometry, k)
        travel = path.travel.get("", 0.0)
        # The left leg's inner rail is its right rail, whose gauge line is its left edge.
        inner, edge = other(side), side
        frog = [
            rail
            for rail in geometry.rails(travel)
            if rail.part == "vee" and math.dist(rail.left_edge[0], rail.right_edge[0]) < 0.01
        ]
        vee = frog[0].left_edge if side == "left" else frog[0].right_edge
        parts = [edges(geometry, travel, f"blade.{inner}", edge), vee, edges(geometry, travel, f"exit.{side}", edge)]
        lines[side] = np.concatenate(parts)
    return lines


def frog_point(geometry: Geometry) -> tuple[float, float]:
    """Where the gauge lines of the two inner rails cross."""
    found = {}
    for side, line in gauge_lines(geometry).items():
        found[side] = shapely.LineString(line)
    crossing = found["left"].intersection(found["right"])
    return crossing.x, crossing.y


def slope(line: Floats, at: float) -> float:
    """Heading of a gauge line at its vertices just beyond x = at."""
    k = int(np.searchsorted(line[:, 0], at + 1.0))
    d = line[k + 1] - line[k]
    return math.atan2(d[1], d[0])


# Those of right-hand turnouts are checked against the books in tests/reference/test_turnouts.py.
OTHERS = [row for row in every_default() if row[0] != "right"]


@pytest.mark.parametrize(("hand", "scale", "number"), OTHERS)
def test_lead_and_angle_follow_the_closed_forms(hand: str, scale: str, number: int) -> None:
    geometry = shape(turnout(hand, scale, number))
    x, _ = frog_point(geometry)
    gauge = geometry.gauge_mm
    # model.md section 2; 2GN is turnout.toml approximation.lead (from memory).
    lead = gauge / 2 * (2 * number + math.sqrt(4 * number**2 + 1)) if hand == "wye" else 2 * gauge * number
    assert x - TOE == pytest.approx(lead, abs=0.05)
    lines = gauge_lines(geometry)
    angle = slope(lines["left"], x) - slope(lines["right"], x)
    assert angle == pytest.approx(2 * math.atan(1 / (2 * number)), abs=1e-6)


@pytest.mark.parametrize(("hand", "scale", "number"), OTHERS)
def test_radius_follows_the_closed_form(hand: str, scale: str, number: int) -> None:
    geometry = shape(turnout(hand, scale, number))
    gauge = geometry.gauge_mm
    if hand == "wye":  # model.md section 2
        radius = gauge * number * (2 * number + math.sqrt(4 * number**2 + 1))
    else:  # 2GN², turnout.toml approximation.radius (from memory)
        radius = 2 * gauge * number**2
    curved = [path for path in geometry.tracks if any(run.curvature for run in path.line.runs)]
    assert len(curved) == (2 if hand == "wye" else 1)
    for path in curved:
        a, b, c = np.stack(
            path.pose(np.array([TOE + 1, TOE + gauge * number, TOE + 1.9 * gauge * number]))[:2], axis=-1
        )
        area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2
        assert math.dist(a, b) * math.dist(b, c) * math.dist(c, a) / (4 * area) == pytest.approx(radius, rel=1e-6)


def test_straight_points_open_so_far_that_a_wheel_back_clears_or_by_the_standard() -> None:
    scale = SCALES["N"]
    spread = scale.point_spread_mm
    assert spread is not None
    tight = turnout("right", "N", 6, branch="straight-points").sizes(scale, rail_section("code 55"))
    assert tight.blade_opening_mm == pytest.approx(scale.gauge_mm - spread)
    thin = turnout("right", "N", 6, branch="straight-points", rail="code 40")
    backs = edges(shape(thin), 0.0, "blade.left", "left")
    stock = edges(shape(thin), 0.0, "stock.left", "right")
    behind = np.interp(backs[:, 0], stock[:, 0], stock[:, 1]) - backs[:, 1]
    blade = backs[:, 0] <= TOE + thin.sizes(scale, rail_section("code 40")).blade_mm
    assert behind[blade].min() == pytest.approx(least(scale) + 0.15, abs=0.002)


def test_the_values_shown_for_ho_no_6() -> None:
    # bench-file.md, the turnout's optional keys.
    sizes = turnout().sizes(SCALES["HO"], rail_section("code 83"))
    assert round(sizes.closure_mm, 1) == 10.0
    assert round(sizes.exit_mm, 1) == 19.3
    assert round(sizes.blade_mm, 1) == 118.8
    assert round(sizes.blade_opening_mm, 2) == 2.58
    assert (sizes.gap_mm, sizes.toe_mm, sizes.leg_mm, sizes.touch) == (0.6, 80.0, 90.0, 0.1)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("number", NUMBERS)
def test_the_closed_blade_lies_against_its_stock_rail_and_the_other_stands_open(hand: str, number: int) -> None:
    piece = turnout(hand, number=number)
    geometry, sizes = shape(piece), piece.sizes(SCALES["HO"], rail_section("code 83"))
    for k, path in enumerate(geometry.tracks):
        travel = path.travel.get("", 0.0)
        closed, opened = other(leg(geometry, k)), leg(geometry, k)
        outer = {"left": 1, "right": -1}
        tips = {side: _tip(geometry, travel, side) for side in ("left", "right")}
        half = geometry.gauge_mm / 2
        assert tips[closed] == pytest.approx((TOE, outer[closed] * half), abs=1e-6)
        assert tips[opened] == pytest.approx((TOE, outer[opened] * (half - sizes.blade_opening_mm)), abs=1e-6)
        (contact,) = [blade for blade in geometry.topology.blades if blade.blade == f"blade.{closed}"]
        assert (contact.stock, contact.closed_at) == (f"stock.{closed}", travel)


def _blade(geometry: Geometry, travel: float, side: str) -> RailShape:
    (blade,) = [rail for rail in geometry.rails(travel) if rail.moves and rail.node == f"blade.{side}"]
    return blade


def _tip(geometry: Geometry, travel: float, side: str) -> tuple[float, float]:
    blade = _blade(geometry, travel, side)
    x, y = (blade.right_edge if side == "left" else blade.left_edge)[0]
    return float(x), float(y)


def test_half_way_both_blades_stand_half_open_and_hinges_never_move() -> None:
    piece = turnout()
    geometry, sizes = shape(piece), piece.sizes(SCALES["HO"], rail_section("code 83"))
    for side, sign in (("left", -1), ("right", 1)):
        assert _tip(geometry, 0.5, side)[1] == pytest.approx(
            -sign * geometry.gauge_mm / 2 + sign * sizes.blade_opening_mm / 2
        )
        closed = _blade(geometry, 0.0, side)
        opened = _blade(geometry, 1.0, side)
        moved = np.abs(opened.left_edge - closed.left_edge)
        assert moved[-1] == pytest.approx((0.0, 0.0), abs=1e-12)
        # A rigid turn: what it moves falls evenly from the tip to the hinge.
        share = 1 - (closed.left_edge[:, 0] - TOE) / sizes.blade_mm
        assert moved[:, 1] == pytest.approx(sizes.blade_opening_mm * share, abs=0.01)


def test_a_blade_is_planed_to_what_room_there_is() -> None:
    geometry = shape(turnout())
    (blade,) = [rail for rail in geometry.rails(0.0) if rail.moves and rail.node == "blade.right"]
    width = blade.left_edge[:, 1] - blade.right_edge[:, 1]
    # Beside a curve of radius R the room is about x²/2R; R = 2GN² (closed form), the rail half a gauge inside it.
    x = blade.left_edge[:, 0] - TOE
    room = x**2 / (2 * (2 * 16.5 * 36 - 8.25))
    assert width == pytest.approx(np.minimum(room, head(SCALES["HO"])), abs=0.003)


@pytest.mark.parametrize("hand", HANDS)
def test_rails_are_parted_by_a_slot_at_every_gap_place(hand: str) -> None:
    for gap in (0.4, 1.5):
        geometry = shape(turnout(hand, gap_mm=gap, frog="live"))
        solid: dict[str, list[shapely.Geometry]] = {}
        for rail in geometry.rails(0.0):
            outline = shapely.make_valid(shapely.Polygon(np.concatenate([rail.left_edge, rail.right_edge[::-1]])))
            solid.setdefault(rail.node, []).append(outline)
        metal = {node: shapely.unary_union(parts) for node, parts in solid.items()}
        for name, mark in geometry.marks.places.items():
            kind, _, side = name.partition(".")
            if kind == "gap":
                where, _, side = side.partition(".")
                outer = metal[f"{'blade' if where == 'closure' else 'exit'}.{side}"]
                assert outer.distance(metal["frog"]) == pytest.approx(gap, abs=0.01)
                middle = shapely.Point(mark.x, mark.y)
                assert middle.distance(outer) == pytest.approx(gap / 2, abs=0.01)
                assert middle.distance(metal["frog"]) == pytest.approx(gap / 2, abs=0.01)


def test_gap_places_are_measured_along_their_rails_from_the_frog_point() -> None:
    piece = turnout()
    geometry, sizes = shape(piece), piece.sizes(SCALES["HO"], rail_section("code 83"))
    x, y = frog_point(geometry)
    for name, mark in geometry.marks.places.items():
        if name.startswith("gap."):
            distance = sizes.closure_mm if "closure" in name else sizes.exit_mm
            # The mark is in the middle of the head, half a head beside the gauge line.
            assert math.dist((x, y), (mark.x, mark.y)) == pytest.approx(math.hypot(distance, 0.508), abs=0.1)
            assert (mark.x < x) == ("closure" in name)


@pytest.mark.parametrize(("hand", "scale", "number"), list(every_default()))
def test_wing_rails_stand_one_flangeway_from_the_frog_point(hand: str, scale: str, number: int) -> None:
    geometry = shape(turnout(hand, scale, number))
    point = shapely.Point(frog_point(geometry))
    wings = [
        shapely.Polygon(np.concatenate([rail.left_edge, rail.right_edge[::-1]]))
        for rail in geometry.rails(0.0)
        if rail.part == "wing"
    ]
    left, right = sorted(wing.distance(point) for wing in wings)[:2]
    assert (left, right) == pytest.approx((SCALES[scale].flangeway_mm,) * 2, abs=0.005)


@pytest.mark.parametrize(
    ("scale", "number", "branch"),
    [*(("HO", number, "arc") for number in NUMBERS), *(("N", number, "straight-points") for number in (4, 5, 6, 7))],
)
def test_a_left_hand_turnout_is_the_mirror_of_a_right_hand_one(scale: str, number: int, branch: str) -> None:
    right, left = (shape(turnout(hand, scale, number, branch=branch)) for hand in ("right", "left"))
    for travel in (0.0, 0.4, 1.0):
        one, two = _outlines(right, travel), _outlines(left, travel)
        assert set(one) == {_swapped(node) for node in two}
        for node, outline in one.items():
            assert _same(two[_swapped(node)], outline)


def test_a_wye_is_its_own_mirror() -> None:
    wye = shape(turnout("wye"))
    for travel in (0.0, 0.3, 1.0):
        one, two = _outlines(wye, travel), _outlines(wye, 1.0 - travel)
        for node, outline in one.items():
            assert _same(two[_swapped(node)], outline)


def _swapped(node: str) -> str:
    kind, _, side = node.rpartition(".")
    return f"{kind}.{other(side)}" if kind else node


def _outlines(geometry: Geometry, travel: float) -> dict[str, shapely.Geometry]:
    found: dict[str, list[shapely.Geometry]] = {}
    for rail in geometry.rails(travel):
        outline = shapely.Polygon(np.concatenate([rail.left_edge, rail.right_edge[::-1]]))
        found.setdefault(rail.node, []).append(shapely.make_valid(outline))
    return {node: shapely.unary_union(parts) for node, parts in found.items()}


def _same(one: shapely.Geometry, two: shapely.Geometry) -> bool:
    """Whether two outlines are each other's mirror in the x axis."""
    mirrored = shapely.affinity.scale(two, 1.0, -1.0, origin=(0, 0))
    return bool(one.symmetric_difference(mirrored).area < 1e-6 * one.area)

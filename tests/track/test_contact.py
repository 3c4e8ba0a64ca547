"""Contact tables: the defaults of every scale, the thresholds at which they change.

Against rails as polygons they are checked in tests/reference/test_contact.py.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable

import numpy as np
import pytest

from sim.bench.model import WheelSize
from sim.bench.table import Table
from sim.track.contact import ContactTable, Touch, contact_length_mm, contacts, trap_mm
from sim.track.formations import Plain, Turnout
from sim.track.geometry import Geometry
from sim.track.standards import SCALES
from sim.track.wheels import Wheel, play_mm, standard_wheel, wheel
from tests.track.making import (
    GIVE,
    HANDS,
    every_default,
    half_contact,
    head,
    least,
    leg,
    other,
    polygons,
    poses_about,
    shape,
    shifts,
    touched,
    turnout,
)


def nodes(touches: Iterable[Touch]) -> set[str]:
    """The rails of some intervals."""
    return {touch.node for touch in touches}


def sides(table: ContactTable) -> dict[str, tuple[Touch, ...]]:
    """The intervals of each wheel."""
    return {"left": table.left, "right": table.right}


def overlaps(touches: tuple[Touch, ...]) -> dict[frozenset[str], list[tuple[float, float]]]:
    """Where a wheel touches two rails at once."""
    found: dict[frozenset[str], list[tuple[float, float]]] = {}
    for one, two in itertools.combinations(touches, 2):
        low, high = max(one.from_mm, two.from_mm), min(one.to_mm, two.to_mm)
        if low <= high:
            found.setdefault(frozenset({one.node, two.node}), []).append((low, high))
    return found


def allowed(geometry: Geometry, path_index: int) -> dict[str, set[str]]:
    """What each wheel may touch on a path with the points set for it."""
    side = leg(geometry, path_index)
    inner = other(side)
    way = {f"stock.{inner}", f"blade.{inner}", "frog", f"exit.{side}"}
    return {side: {f"stock.{side}"}, inner: way & set(geometry.topology.sections)}


@pytest.mark.parametrize("frog", ["isolated", "live", "dead"])
@pytest.mark.parametrize(("hand", "scale", "number"), list(every_default()))
def test_a_turnout_as_delivered_is_right_for_its_scale(hand: str, scale: str, number: int, frog: str) -> None:
    row = SCALES[scale]
    geometry = shape(turnout(hand, scale, number, frog=frog))
    for index, path in enumerate(geometry.tracks):
        inner, way_out = other(leg(geometry, index)), f"exit.{leg(geometry, index)}"
        gaps = {
            frozenset({f"blade.{inner}", "frog"}): geometry.marks.places.get(f"gap.closure.{inner}"),
            frozenset({"frog", way_out}): geometry.marks.places.get(f"gap.{way_out}"),
        }
        for shift in shifts(row):
            table = contacts(geometry, index, standard_wheel(row), shift, path.travel.get("", 0.0))
            for side, touches in sides(table).items():
                assert nodes(touches) == allowed(geometry, index)[side]
            double = overlaps(sides(table)[inner])
            closed_blade = frozenset({f"stock.{inner}", f"blade.{inner}"})
            at_gaps = {pair for pair, mark in gaps.items() if mark is not None}
            assert set(double) == {closed_blade} | at_gaps
            for pair in at_gaps:
                mark = gaps[pair]
                assert mark is not None
                (low, high), *more = double[pair]
                assert not more
                assert (low + high) / 2 == pytest.approx(mark.stations[index], abs=0.01)
                assert high - low == pytest.approx(2 * half_contact(geometry, standard_wheel(row)) - 0.6, abs=0.01)


def test_a_wheel_passes_without_losing_the_rail() -> None:
    for hand, scale, number in every_default():
        row, geometry = SCALES[scale], shape(turnout(hand, scale, number))
        for index, path in enumerate(geometry.tracks):
            for shift in shifts(row):
                table = contacts(geometry, index, standard_wheel(row), shift, path.travel.get("", 0.0))
                for touches in sides(table).values():
                    reached = 0.0
                    for touch in sorted(touches, key=lambda t: t.from_mm):
                        assert touch.from_mm <= reached
                        reached = max(reached, touch.to_mm)
                    assert reached >= path.length_mm


def touched_anywhere(piece: Turnout, index: int, wheel_side: str, *, flange: bool = False) -> set[str]:
    """Rails that the scale's own wheel touches on a path set for it, in any of three lateral places."""
    row, geometry = SCALES[piece.scale], shape(piece)
    found: set[str] = set()
    for shift in shifts(row):
        travel = geometry.tracks[index].travel.get("", 0.0)
        table = contacts(geometry, index, standard_wheel(row), shift, travel)
        found |= nodes(getattr(table, f"flange_{wheel_side}") if flange else getattr(table, wheel_side))
    return found


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("number", [4, 6, 9, 12])
def test_exit_gaps_nearer_than_tread_and_head_let_a_tread_stand_on_both_exit_rails(
    hand: str, scale: str, number: int
) -> None:
    row = SCALES[scale]
    # The other exit rail begins half a slot beyond the middle of the gap; there it is reached when the heads are
    # nearer than the tread goes beyond the gauge line: N (W + h), less N times the give.
    edge = number * (row.wheel_width_mm - row.flange_mm + head(row) - GIVE) - 0.3
    for index in (0, 1):
        for exit_mm, both in ((edge + 0.3, False), (edge - 0.3, True)):
            piece = turnout(hand, scale, number, gap_at_mm=Table({"exit": exit_mm}))
            side = leg(shape(piece), index)
            found = touched_anywhere(piece, index, other(side))
            assert f"exit.{side}" in found
            assert (f"exit.{other(side)}" in found) is both


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("number", [4, 6, 9, 12])
def test_closure_gaps_nearer_than_a_wheel_back_let_a_flange_brush_the_other_closure_rail(
    hand: str, scale: str, number: int
) -> None:
    row = SCALES[scale]
    # The other closure rail ends half a slot before the middle of the gap, where it must be G - B - T away, less the
    # give. The gauge lines close in on each other as those of a curve: a little later than 1 in N.
    edge = number * (least(row) - GIVE) - 0.3
    for index in (0, 1):
        for closure_mm, brushes in ((edge + 0.5, False), (edge - 0.3, True)):
            piece = turnout(hand, scale, number, gap_at_mm=Table({"closure": closure_mm}))
            side = leg(shape(piece), index)
            found = touched_anywhere(piece, index, other(side))
            assert (f"blade.{side}" in found) is brushes
            if brushes:
                assert f"blade.{side}" in touched_anywhere(piece, index, other(side), flange=True)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("number", [4, 6, 9, 12])
def test_blades_opened_less_than_the_pinch_are_brushed_by_a_wheel_back(hand: str, scale: str, number: int) -> None:
    row = SCALES[scale]
    # At the pinch, x = 2N sqrt(Gh) from the tip (model.md section 2), so much of the opening is left.
    left_over = 1 - np.sqrt(head(row) / row.gauge_mm) / 0.6
    for index in (0, 1):
        for clear, brushes in ((0.03, False), (-0.06, True)):
            opening = float((least(row) + clear) / left_over)
            piece = turnout(hand, scale, number, blade_opening_mm=opening)
            side = leg(shape(piece), index)
            assert (f"blade.{side}" in touched_anywhere(piece, index, side)) is brushes


@pytest.mark.parametrize("width", [0.1, 0.6, 1.2, 1.5, 1.52, 2.5])
def test_a_round_wheel_bridges_slots_up_to_a_millimetre_and_a_half(width: float) -> None:
    geometry = shape(turnout(frog="live", gap_mm=width))
    own = standard_wheel(SCALES["HO"])
    station = geometry.marks.places["gap.exit.left"].stations[0]
    assert station is not None
    _, right = contacts(geometry, 0, own, 0.0, 0.0).touching(station)
    if width <= 1.5:
        assert right == {"frog", "exit.left"}
    else:
        assert right == set()


def test_the_contact_length_is_that_of_a_wheel_sunk_by_the_give_or_half_a_slot() -> None:
    own = Wheel(14.4, 0.76, 2.8, 5.25)
    # A circle of radius R sunk by d into a line touches it for about sqrt(2Rd) to either side.
    chord = np.sqrt(5.25**2 - (5.25 - GIVE) ** 2)
    assert contact_length_mm(own, 0.0) == pytest.approx(chord, rel=0.002)
    assert contact_length_mm(own, 1.4) == 0.7
    assert contact_length_mm(own, 5.0) == 0.75


def test_an_open_blade_is_brushed_by_the_flange_alone() -> None:
    geometry = shape(turnout(blade_opening_mm=1.2))
    table = contacts(geometry, 0, standard_wheel(SCALES["HO"]), -0.3, 0.0)
    assert "blade.left" in nodes(table.flange_left)
    assert "blade.left" in nodes(table.left)
    assert "stock.left" not in nodes(table.flange_left)


@pytest.mark.parametrize("number", [4, 6, 12])
def test_tables_of_a_left_hand_turnout_mirror_those_of_a_right_hand_one(number: int) -> None:
    row = SCALES["HO"]
    right, left = shape(turnout("right", number=number)), shape(turnout("left", number=number))
    for index, travel, shift in itertools.product((0, 1), (0.0, 0.4, 1.0), shifts(row)):
        one = contacts(right, index, standard_wheel(row), shift, travel)
        two = contacts(left, index, standard_wheel(row), -shift, travel)
        for here, there in ((one.left, two.right), (one.right, two.left)):
            assert len(here) == len(there)
            mirrored = sorted(there, key=lambda t: (_mirror(t.node), t.from_mm))
            for a, b in zip(here, mirrored, strict=True):
                assert a.node == _mirror(b.node)
                assert (a.from_mm, a.to_mm) == pytest.approx((b.from_mm, b.to_mm), abs=1e-6)


def _mirror(node: str) -> str:
    kind, _, side = node.rpartition(".")
    return f"{kind}.{other(side)}" if kind else node


def test_a_sampled_table_says_the_same_as_its_intervals() -> None:
    geometry = shape(turnout())
    table = contacts(geometry, 1, standard_wheel(SCALES["HO"]), 0.3, 1.0)
    stations, names, samples = table.sample(0.1)
    assert stations[1] - stations[0] <= 0.1
    assert (stations[0], stations[-1]) == (0.0, geometry.tracks[1].length_mm)
    for k in range(0, len(stations), 7):
        for wheel_side, found in enumerate(table.touching(float(stations[k]))):
            assert {name for name, on in zip(names, samples[wheel_side, :, k], strict=True) if on} == found


def test_ends_are_marked_where_a_rail_goes_on() -> None:
    geometry = shape(turnout())
    table = contacts(geometry, 0, standard_wheel(SCALES["HO"]), 0.0, 0.0)
    assert {touch.node for touch in table.left + table.right if touch.at_first} == {"stock.left", "stock.right"}
    assert {touch.node for touch in table.left + table.right if touch.at_last} == {"stock.left", "exit.left"}


def test_long_plain_rail_is_touched_node_by_node() -> None:
    geometry = shape(Plain(id="P1", kind="plain", length_mm=900.0, radius_mm=500.0, turns="right"))
    own = standard_wheel(SCALES["HO"])
    table = contacts(geometry, 0, own, 0.1, 0.0)
    half = contact_length_mm(own, 0.0)
    for side, touches in sides(table).items():
        assert [touch.node for touch in touches] == [f"{side}/0", f"{side}/1", f"{side}/2"]
        for k, touch in enumerate(touches):
            assert (touch.from_mm, touch.to_mm) == pytest.approx((300 * k - half, 300 * (k + 1) + half), abs=1e-5)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("scale", SCALES)
def test_a_path_set_for_a_train_never_traps_it_and_one_set_against_it_does(hand: str, scale: str) -> None:
    piece = turnout(hand, scale)
    geometry, own = shape(piece), standard_wheel(SCALES[scale])
    tips, (frog,) = geometry.marks.tips["left"].stations, geometry.marks.frog_points
    for index, path in enumerate(geometry.tracks):
        travel = path.travel.get("", 0.0)
        assert trap_mm(geometry, index, own, travel) is None
        station = trap_mm(geometry, index, own, 1.0 - travel)
        assert station is not None
        tip, point = tips[index], frog.stations[index]
        assert tip is not None
        assert point is not None
        # Past the frog, and before it has run out of the blades.
        assert tip < station < point


def test_a_trap_is_where_the_blades_leave_no_room_for_two_flanges() -> None:
    geometry, own = shape(turnout()), standard_wheel(SCALES["HO"])
    station = trap_mm(geometry, 0, own, 1.0)
    assert station is not None
    play = play_mm(16.5, own)
    metal = polygons(geometry, 1.0)

    def free(at: float) -> bool:
        flanges = Wheel(own.back_to_back_mm, own.flange_mm, own.flange_mm + 1e-9, own.radius_mm)
        poses = poses_about(geometry, 0, at, 1e-9)[:1]
        return any(touched(poses, metal, flanges, shift) == (set(), set()) for shift in np.linspace(-play, play, 61))

    assert free(station + 0.6)
    assert not free(station - 0.6)


def test_a_wheelset_too_wide_for_its_gauge_is_not_trapped_by_plain_rail() -> None:
    geometry = shape(turnout())
    wide = wheel(WheelSize(15.1, 0.76, 2.8, 5.25), SCALES["HO"])
    station = trap_mm(geometry, 0, wide, 1.0)
    (frog,) = geometry.marks.frog_points
    assert station is not None
    assert frog.stations[0] is not None
    assert station < frog.stations[0] + 20.0

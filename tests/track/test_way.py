"""The ways that a train can take over a piece and on, on layouts small enough to count them by hand."""

from __future__ import annotations

import pytest

from sim.bench.model import Bench
from sim.track.layout import Layout
from sim.track.way import MOST_WAYS, Outline, changing, facing, ways
from sim.track.wheels import standard_wheel
from tests.proof.neighbours import LINK, bench, plain, turnout


def named(layout: Layout, outline: Outline) -> tuple[str, ...]:
    """The legs as "T1:diverging": the piece and the last end of its track; "back" where the way runs it from there."""
    return tuple(
        f"{leg.piece}:{layout.geometry(leg.piece).tracks[leg.track].ends[1]}{'' if leg.direction > 0 else ' back'}"
        for leg in outline.legs
    )


def found(bench: Bench, piece: str, track: int, reach: float) -> tuple[list[tuple[str, ...]], bool]:
    layout = Layout(bench)
    outlines, more = ways(layout, piece, track, reach)
    return [named(layout, one) for one in outlines], more


def test_a_piece_alone_has_one_way() -> None:
    layout = Layout(bench(turnout("T1", "M1", "isolated")))
    for track in (0, 1):
        (one,), more = ways(layout, "T1", track, 500.0)
        assert [(leg.piece, leg.track, leg.direction, leg.origin) for leg in one.legs] == [("T1", track, 1, 0.0)]
        assert (one.stop_before, one.stop_after, more) == (None, None, False)


def test_over_a_crossover_the_link_leads_back_through_the_other_turnout() -> None:
    """The two diverging ends are joined: over the link the other turnout is run from its frog to its toe."""
    crossover = bench(turnout("T1", "M1", "isolated"), turnout("T2", "M2", "isolated", joins=LINK))
    assert found(crossover, "T1", 0, 300.0) == ([("T1:main",)], False)
    assert found(crossover, "T1", 1, 300.0) == ([("T1:diverging", "T2:diverging back")], False)
    layout = Layout(crossover)
    (one,), _ = ways(layout, "T1", 1, 300.0)
    link = layout.geometry("T1").tracks[1].length_mm
    # a station of the way is the leg's origin less the track's own: T2's diverging end lies at the link
    assert one.legs[1].origin == pytest.approx(link + layout.geometry("T2").tracks[1].length_mm)


def test_it_branches_where_points_can_lie_either_way_and_ends_with_its_reach() -> None:
    two = bench(
        turnout("T1", "M1", "isolated"), plain("P1", "T1.main", length=100),
        turnout("T2", "M2", "isolated", joins='{ toe = "P1.b" }'),
    )  # fmt: skip
    assert found(two, "T1", 0, 90.0) == ([("T1:main", "P1:b")], False)  # it ends within P1
    far, _ = found(two, "T1", 0, 110.0)
    assert far == [("T1:main", "P1:b", "T2:main"), ("T1:main", "P1:b", "T2:diverging")]
    back, _ = found(two, "T2", 1, 110.0)
    assert back == [("T2:diverging", "P1:b", "T1:main")]  # into a turnout from its leg there is one way
    both, _ = found(two, "P1", 0, 10.0)
    assert both == [("P1:b", "T1:main", "T2:main"), ("P1:b", "T1:main", "T2:diverging")]


def test_a_loop_is_run_round_as_often_as_the_reach_allows() -> None:
    """A turnout's two legs joined by plain track: in at one, out at the other, and over the turnout again."""
    loop = bench(
        turnout("T1", "M1", "isolated"),
        '\n[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 400\njoins = { a = "T1.main", b = "T1.diverging" }\n',
    )
    length = Layout(loop).geometry("T1").tracks[1].length_mm
    assert found(loop, "T1", 0, 200.0) == ([("T1:main", "P1:b")], False)
    assert found(loop, "T1", 0, 401.0) == ([("T1:main", "P1:b", "T1:diverging back")], False)
    assert found(loop, "P1", 0, length - 1) == ([("P1:b", "T1:main", "T1:diverging back")], False)


def test_buffer_stops_are_stations_of_the_way() -> None:
    stops = bench(
        turnout("T1", "M1", "isolated"), plain("P1", "T1.main", length=150),
        '[[track]]\nid = "E1"\nkind = "end"\njoins = { a = "P1.b" }\n',
        '[[track]]\nid = "E2"\nkind = "end"\njoins = { a = "T1.toe" }\n',
    )  # fmt: skip
    layout = Layout(stops)
    length = layout.geometry("T1").tracks[0].length_mm
    (one,), _ = ways(layout, "T1", 0, 500.0)
    assert one.stop_before == 0.0
    assert one.stop_after == pytest.approx(length + 150)
    (near,), _ = ways(layout, "T1", 0, 0.0)
    assert (near.stop_before, near.stop_after) == (0.0, None)  # P1 is beyond its reach
    (other,), _ = ways(layout, "T1", 1, 500.0)
    assert (other.stop_before, other.stop_after) == (0.0, None)


@pytest.mark.parametrize(("levels", "count"), [(5, 32), (6, 64), (7, 64)])
def test_of_more_than_64_ways_the_first_are_taken(levels: int, count: int) -> None:
    """A tree of turnouts, toe on leg, doubles the ways with each level; a plain piece stands before it."""
    parts = ['\n[[track]]\nid = "P0"\nkind = "plain"\nlength_mm = 100\nscale = "HO"\n']
    ends = ["P0.b"]
    for level in range(levels):
        further = []
        for k, end in enumerate(ends):
            name = f"T{level}x{k}"
            parts.append(turnout(name, f"M{level}x{k}", "isolated", joins=f'{{ toe = "{end}" }}'))
            further += [f"{name}.main", f"{name}.diverging"]
        ends = further
    tree = bench(*parts)
    reached, more = found(tree, "P0", 0, 3000.0)
    assert (len(reached), more) == (count, levels == 7)
    assert len(set(reached)) == count
    assert count == min(2**levels, MOST_WAYS)
    assert reached[0] == ("P0:b", *(f"T{level}x0:main" for level in range(levels)))


@pytest.mark.parametrize(("frog", "kept"), [("isolated", {"frog"}), ("live", {"frog"}), ("dead", set())])
def test_rails_that_change_sides_are_frogs(frog: str, kept: set[str]) -> None:
    layout = Layout(bench(turnout("T1", "M1", frog)))
    assert changing(layout.geometry("T1"), standard_wheel(layout.scale("T1"))) == kept


def test_rails_that_face_each_other_across_an_open_track() -> None:
    """On the straight leg of a right-hand turnout the left stock rail faces all of the right rail, piece by piece."""
    layout = Layout(bench(turnout("T1", "M1", "isolated"), plain("P1", "T1.main")))
    geometry = layout.geometry("T1")
    right = {"stock.right", "blade.right", "frog", "exit.left"}
    assert facing(geometry, 0) == {("stock.left", one) for one in right}
    left = {"stock.left", "blade.left", "frog", "exit.right"}
    assert facing(geometry, 1) == {(one, "stock.right") for one in left}
    assert facing(layout.geometry("P1"), 0) == {("left", "right")}

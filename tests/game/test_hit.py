"""What is drawn at a place is what is hit there, at every size; the transform is its own inverse."""

from __future__ import annotations

import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.game.desk.hit import areas, focus_order, under
from sim.game.look.settings import Settings
from sim.game.paper.view import LEAST_SIZE, Rooms, World, rooms
from sim.game.whereabouts.area import middle_of
from sim.game.whereabouts.metal import nearest_metal
from tests.game.playing import GOOD_WIRES, Player

SIZES = [((1280, 800), 1.0), ((1024, 720), 1.0), ((1920, 1080), 1.0), ((1920, 1080), 1.5), ((3000, 1900), 2.0)]
# Kinds that nothing else may lie over: each must be hit at its own middle.
CLEAR = {
    "top",
    "button",
    "fold",
    "slip",
    "predict",
    "dial",
    "rocker",
    "slider",
    "direction",
    "lever",
    "plug",
    "terminal",
    "knob",
}


@given(
    st.floats(-2000, 2000), st.floats(-2000, 2000), st.floats(0.2, 12), st.floats(-5000, 5000), st.floats(-5000, 5000)
)
def test_the_transform_and_back_again(left: float, base: float, scale: float, x: float, y: float) -> None:
    world = World(left, base, scale)
    back = world.to_bench(world.to_screen((x, y)))
    assert back == pytest.approx((x, y), abs=1e-6)


def test_left_on_the_bench_is_up_on_the_screen() -> None:
    world = World(100, 400, 2)
    assert world.to_screen((0, 10))[1] < world.to_screen((0, 0))[1]
    assert world.to_screen((10, 0))[0] > world.to_screen((0, 0))[0]


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_everything_is_hit_where_it_lies(size: tuple[int, int], scale: float) -> None:
    player = Player(size=size, watching=False)
    player.window.set_up(Settings(scale=scale))
    for a, b in GOOD_WIRES[:3]:
        player.wire_by_clicks(a, b)
    bench = player.bench
    for area in areas(player.stage, bench.snapshot, bench.view):
        if area.target.kind in CLEAR:
            middle = middle_of(area)
            assert area.holds(middle)
            assert under(player.stage, bench.snapshot, bench.view, middle) == area.target, area


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_every_terminal_of_the_bench_can_be_pointed_at_and_probed(size: tuple[int, int], scale: float) -> None:
    player = Player(size=size, watching=False)
    player.window.set_up(Settings(scale=scale))
    names = {area.target.name for area in areas(player.stage, player.bench.snapshot, player.bench.view)}
    assert {"bus.A", "bus.B", "M1.k", "M1.m", "M1.p", "T1.frog", "T1.stock.left", "T1.exit.right"} <= names
    for name, spots in player.stage.fixtures.spots.items():
        for spot in spots:
            metal = nearest_metal(player.stage, (spot.probe_x, spot.probe_y), 4)
            assert metal is not None
            assert metal[0] == name


def test_gaps_and_tabs_keep_out_of_each_others_way() -> None:
    player = Player()
    bench = player.bench
    for mark in player.stage.places:
        if mark.place.kind == "gap":
            found = under(player.stage, bench.snapshot, bench.view, (mark.x, mark.y))
            assert found is not None
            assert (found.kind, found.name) == ("place", mark.place.name)


def test_a_sheet_covers_what_lies_under_it() -> None:
    player = Player()
    rect = player.stage.rooms.sheet
    found = under(player.stage, player.bench.snapshot, player.bench.view, (rect.x + 20, rect.y + 200))
    assert found is not None
    assert found.kind == "paper"


def test_tab_goes_through_everything_once_and_comes_round() -> None:
    player = Player()
    order = focus_order(player.stage, player.bench.snapshot, player.bench.view)
    seen = []
    for _ in range(len(order)):
        player.key(pygame.K_TAB)
        seen.append(player.bench.view.focus)
    assert len(set(seen)) == len(order)
    player.key(pygame.K_TAB)
    assert player.bench.view.focus == seen[0]
    player.key(pygame.K_TAB, pygame.KMOD_SHIFT)
    assert player.bench.view.focus == seen[-1]


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_no_button_lies_over_another(size: tuple[int, int], scale: float, theme: str) -> None:
    """On the job sheet as it is opened, with its brief and then with its log."""
    player = Player(size=size, watching=False)
    player.window.set_up(Settings(theme, scale))
    seen = set()
    for _ in range(2):
        bench = player.bench
        found = [
            area
            for area in areas(player.stage, bench.snapshot, bench.view)
            if area.target.kind in {"button", "again", "fold", "slip", "top", "predict"}
        ]
        for k, area in enumerate(found):
            met = [other.target for other in found[k + 1 :] if other.rect.inflate(-2, -2).colliderect(area.rect)]
            assert met == [], area.target
        seen |= {area.target.name for area in found}
        player.wire_by_clicks("bus.A", "T1.stock.left")
        if "turn-sheet" in seen:
            player.click(player.place("button", "turn-sheet"))
            player.wire_by_clicks("bus.B", "T1.stock.right")
    assert {"hint", "test", "ask", "sheet"} <= seen


@given(
    st.tuples(st.integers(LEAST_SIZE[0], 4000), st.integers(LEAST_SIZE[1], 2400)),
    st.sampled_from([1.0, 1.1, 1.25, 1.5, 1.8, 2.0]),
)
def test_the_rooms_fill_the_window_and_do_not_overlap(size: tuple[int, int], scale: float) -> None:
    divided: Rooms = rooms(size, scale)
    whole = pygame.Rect((0, 0), divided.size)
    parts = [divided.top, divided.mat, divided.meter, divided.supply, divided.throttle]
    for k, part in enumerate(parts):
        assert whole.contains(part)
        assert not any(part.colliderect(other) for other in parts[k + 1 :])
    for inner in (divided.sheet, divided.folded, divided.fixtures, divided.track):
        assert divided.mat.contains(inner)
    assert 1.0 <= divided.unit <= scale


def test_a_window_too_small_for_its_scale_takes_what_fits() -> None:
    assert rooms((1024, 720), 2.0).unit == 1.0
    assert rooms((2048, 1440), 2.0).unit == 2.0
    assert rooms((800, 600), 1.0).size == LEAST_SIZE

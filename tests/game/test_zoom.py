"""Looking closer: the mat is zoomed about the pointer and drawn along; everything on it stays where it belongs."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pygame
import pytest

from sim.game.app.shot import draw
from sim.game.desk.hit import areas, under
from sim.game.look.theme import load_theme
from sim.game.paper.camera import HOME, MOST_ZOOM, Camera
from sim.game.paper.view import rooms
from sim.game.whereabouts.stage import Stage, Stages
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.game.whereabouts.zooming import Shift
from sim.session.acts import Plug, Power, Predict
from sim.session.session import Session
from tests.game.large import station
from tests.game.playing import GOOD_WIRES, Player

Pos = tuple[float, float]


def wheel(player: Player, at: Pos, turns: int) -> None:
    player.point(at)
    for _ in range(abs(turns)):
        player._post(pygame.MOUSEWHEEL, x=0, y=1 if turns > 0 else -1)
    player.wait(0.3)


def bare(player: Player) -> Pos:
    """A place of bare mat between track and blocks."""
    return 600.0, 470.0


def test_the_wheel_zooms_about_the_pointer_from_1_to_12_times() -> None:
    player = Player()
    at = bare(player)
    before = player.stage.world.to_bench(at)
    for turns in (3, 2, 1):
        wheel(player, at, turns)
        after = player.stage.world.to_bench(at)
        assert math.dist(before, after) * player.stage.world.scale <= 1.0
    assert player.bench.view.camera.zoom == pytest.approx(1.25**6, rel=1e-3)
    wheel(player, at, 30)
    assert player.bench.view.camera.zoom == MOST_ZOOM
    wheel(player, at, -40)
    assert player.bench.view.camera == HOME
    assert player.stage.shift is None


def test_bare_mat_is_drawn_along_but_never_over_its_edge() -> None:
    player = Player()
    wheel(player, bare(player), 4)
    start = (600.0, 560.0)
    assert under(player.stage, player.bench.snapshot, player.bench.view, start) is None
    held = player.stage.world.to_bench(start)
    player.drag(start, (500.0, 520.0))
    assert player.stage.world.to_screen(held) == pytest.approx((500.0, 520.0), abs=1.0)
    for _ in range(8):
        player.drag((700.0, 540.0), (380.0, 540.0))
    camera = player.bench.view.camera
    assert camera.x == pytest.approx(1 - 0.5 / camera.zoom)
    player.key(pygame.K_HOME)
    assert player.bench.view.camera == HOME


def test_at_its_whole_size_nothing_is_drawn_along() -> None:
    player = Player()
    player.drag((600.0, 470.0), (500.0, 430.0))
    assert player.bench.view.camera == HOME
    assert player.bench.view.hand is None


def test_with_the_keyboard_alone() -> None:
    player = Player()
    player.focus("terminal", "T1.frog")
    spot = player.stage.fixtures.spots["T1.frog"][0]
    player.key(pygame.K_z)
    player.key(pygame.K_z)
    assert player.bench.view.camera.zoom == pytest.approx(2.25)
    now = player.stage.fixtures.spots["T1.frog"][0]
    assert (now.probe_x, now.probe_y) == pytest.approx((spot.probe_x, spot.probe_y), abs=2.0)
    x = player.bench.view.camera.x
    player.key(pygame.K_LEFT, pygame.KMOD_CTRL)
    assert player.bench.view.camera.x < x
    player.key(pygame.K_z, pygame.KMOD_SHIFT)
    assert player.bench.view.camera.zoom == pytest.approx(1.5)
    player.key(pygame.K_HOME)
    assert player.bench.view.camera == HOME


def test_what_the_focus_comes_to_is_brought_into_sight() -> None:
    player = Player()
    wheel(player, (900.0, 590.0), 6)
    mat = player.window.rooms.mat
    player.focus("terminal", "M1.k")
    assert mat.collidepoint(player.place("terminal", "M1.k"))
    player.focus("terminal", "T1.stock.left")
    assert mat.collidepoint(player.place("terminal", "T1.stock.left"))


@pytest.mark.parametrize("below", [False, True])
def test_wiring_probing_and_driving_work_when_zoomed(below: bool) -> None:
    player = Player()
    if below:
        player.key(pygame.K_v)
    player.key(pygame.K_j)
    spot = player.place("terminal", "T1.frog")
    wheel(player, spot, 2)
    assert player.place("terminal", "T1.frog") == pytest.approx(spot, abs=4.0)
    player.wire_by_drag("T1.frog", "T1.stock.right")
    assert [wire.ends for wire in player.bench.snapshot.bench.wires] == [("T1.frog", "T1.stock.right")]
    stage = player.stage
    line = max(stage.lines["T1.stock.right"], key=len)
    inside = [tuple(row) for row in line.tolist() if player.window.rooms.mat.inflate(-80, -80).collidepoint(row)]
    player.drag(player.place("probe", "red"), inside[len(inside) // 2])
    assert player.bench.snapshot.meter.red == "T1.stock.right"
    tip = player.bench.view.red_mm
    assert tip is not None
    assert stage.world.to_screen(tip) == pytest.approx(inside[len(inside) // 2], abs=3.0)
    player.bench.act(Predict("T1", "normal", "right"))
    player.key(pygame.K_HOME)
    vehicle = player.place("vehicle", "shunter")
    wheel(player, vehicle, 2)
    before = player.bench.snapshot.trains[0].vehicles[0].axles[0][0]
    grip = player.place("vehicle", "shunter")
    way = -90 if below else 90
    player.drag(grip, (grip[0] + way, grip[1]))
    moved = player.bench.snapshot.trains[0].vehicles[0].axles[0][0] - before
    assert moved == pytest.approx(90 / player.stage.world.scale, abs=2.0)


def outside(surface: pygame.Surface, player: Player) -> bytes:
    """All pixels but those of the mat and of the gutter with the supply's cables."""
    copy = surface.copy()
    mat = player.window.rooms.mat
    copy.fill((0, 0, 0), (mat.x, mat.y, player.window.rooms.supply.x + 10 - mat.x, mat.height))
    return pygame.image.tobytes(copy, "RGB")


@pytest.mark.slow
@pytest.mark.parametrize("below", [False, True])
@pytest.mark.parametrize("zoom", [1.6, 4.0, 12.0])
def test_nothing_is_drawn_outside_of_the_mat(zoom: float, below: bool) -> None:
    player = Player()
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    player.point((5.0, 5.0))
    player.wait(1.5)
    view = ViewState(below=below, needle=player.bench.view.needle, folded=True, slip=False)
    snapshot = player.bench.snapshot
    plain = draw(snapshot, view, (1280, 800))
    for x, y in ((0.1, 0.1), (0.5, 0.75), (0.9, 0.3)):
        camera = Camera(zoom, x, y).held()
        close = draw(snapshot, replace(view, camera=camera), (1280, 800))
        assert outside(close, player) == outside(plain, player)
        assert pygame.image.tobytes(close, "RGB") != pygame.image.tobytes(plain, "RGB")


def test_the_ruler_stays_true() -> None:
    player = Player()
    wheel(player, bare(player), 4)
    stage = player.stage
    surface = draw(player.bench.snapshot, player.bench.view, (1280, 800))
    x = round(stage.world.to_screen((stage.plan.zero_mm + 250.0, 0.0))[0])
    mat = player.window.rooms.mat
    column = pygame.surfarray.array3d(surface)[:, mat.y + 180].astype(int)
    bright = column[x - 6 : x + 7].sum(axis=1)
    assert int(np.argmax(bright)) in {6, 7}  # the strong line of the grid at 250 mm
    assert bright.max() > np.median(bright) + 12


def test_pointing_beside_the_mat_meets_nothing_that_lies_on_it() -> None:
    player = Player()
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    wheel(player, (700.0, 400.0), 5)
    panel = player.window.rooms.throttle
    for x, y in itertools.product(range(panel.x + 4, panel.right, 40), range(panel.y + 4, panel.bottom, 30)):
        target = under(player.stage, player.bench.snapshot, player.bench.view, (float(x), float(y)))
        assert target is None or target.kind not in {"wire", "terminal", "blade", "place", "vehicle"}


def test_results_show_the_whole_again_and_the_bench_is_as_it_was() -> None:
    player = Player()
    wheel(player, bare(player), 4)
    camera = player.bench.view.camera
    player.key(pygame.K_t)
    player.wait_for_result()
    assert player.stage.shift is None
    player.key(pygame.K_ESCAPE)
    assert player.bench.view.camera == camera
    assert player.stage.shift is not None


def glides(player: Player) -> bool:
    return player.bench.view.glides


def test_while_it_moves_the_picture_follows_and_then_stands_as_drawn_anew() -> None:
    player = Player()
    player.point(bare(player))
    player._post(pygame.MOUSEWHEEL, x=0, y=1)
    assert glides(player)
    assert player.bench.lively
    player.wait(0.3)
    assert not glides(player)
    assert player.look() == []
    assert pygame.image.tobytes(player.surface, "RGB") == pygame.image.tobytes(
        draw(player.bench.snapshot, player.bench.view, (1280, 800)), "RGB"
    )


# A large bench


def large(camera: Camera = HOME, below: bool = False) -> tuple[Stage, Session]:
    bench = station(20)
    return Stages().of(bench, rooms((1280, 800)), load_theme(), below, camera), Session(bench)


def test_twenty_turnouts_are_laid_out_without_one_thing_on_another() -> None:
    stage, _ = large()
    blocks = [place.housing.union(place.face) for place in stage.fixtures.blocks]
    assert len(blocks) == 20
    assert all(not a.colliderect(b) for a, b in itertools.combinations(blocks, 2))
    assert all(not block.colliderect(bar.rect) for block in blocks for bar in stage.fixtures.bars)
    mat = stage.rooms.mat
    assert all(mat.contains(block) for block in blocks)
    tags = [pygame.Rect(round(x - 9), round(y - 9), 18, 18) for _, x, y in stage.tags]
    assert len(tags) > 20
    assert all(not a.colliderect(b) for a, b in itertools.combinations(tags, 2))


def test_twenty_turnouts_can_be_wired_where_they_are_looked_at() -> None:
    whole, session = large()
    snapshot = session.snapshot()
    shift = whole.shift
    assert shift is not None
    natural = 1 / shift.times
    assert natural <= MOST_ZOOM
    mat = whole.rooms.mat
    for place in (whole.fixtures.blocks[0], whole.fixtures.blocks[9], whole.fixtures.blocks[19]):
        at = (float(place.housing.centerx), float(place.housing.centery))
        stage, _ = large(HOME.closer(natural, at, mat).over(at, mat))
        spots = {name: spots[0] for name, spots in stage.fixtures.spots.items() if name.startswith(f"{place.motor}.")}
        xs = sorted(spot.probe_x for spot in spots.values())
        assert min(b - a for a, b in itertools.pairwise(xs)) >= 24
        view = ViewState(folded=True, slip=False)
        for name, spot in spots.items():
            target = under(stage, snapshot, view, (spot.probe_x, spot.probe_y))
            assert target == Target("terminal", name)


def test_the_keys_reach_every_terminal_of_twenty_turnouts() -> None:
    stage, session = large(Camera(6.0, 0.3, 0.8).held())
    seen = {a.target.name for a in areas(stage, session.snapshot(), ViewState()) if a.target.kind == "terminal"}
    assert {f"M{n}.k" for n in range(1, 21)} | {f"T{n}.frog" for n in range(1, 21)} <= seen


@pytest.mark.parametrize(("theme", "below"), [("night", False), pytest.param("hall", True, marks=pytest.mark.slow)])
def test_twenty_turnouts_are_drawn_from_afar_and_close(theme: str, below: bool) -> None:
    _, session = large()
    snapshot = session.snapshot()
    view = ViewState(folded=True, slip=False, below=below)
    first = draw(snapshot, view, (1280, 800), theme=theme)
    near = replace(view, camera=Camera(8.0, 0.2, 0.8).held())
    close = draw(snapshot, near, (1280, 800), theme=theme)
    assert pygame.image.tobytes(first, "RGB") != pygame.image.tobytes(close, "RGB")


def test_a_shift_and_its_camera_agree() -> None:
    mat = pygame.Rect(16, 48, 1000, 736)
    camera = HOME.closer(3.0, (400.0, 300.0), mat)
    shift = Shift.of(camera, mat, mat)
    assert shift.x(400.0) == pytest.approx(400.0, abs=1.0)
    assert shift.y(300.0) == pytest.approx(300.0, abs=1.0)
    assert shift.times == pytest.approx(3.0)
    assert camera.closer(1 / 3, (400.0, 300.0), mat) == pytest.approx(HOME)

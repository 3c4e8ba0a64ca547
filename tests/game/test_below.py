"""The board turned over: a mirror image that is wired, measured, driven and tested as from above."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.edits import MakeWire
from sim.electric.parts import PartRef
from sim.game.desk.hit import areas, under
from sim.game.draw.railway.plywood import INK
from sim.game.look.settings import Settings
from sim.game.paper.clearing import dense
from sim.game.paper.view import World
from sim.game.picture.below import told_below
from sim.game.picture.compositor import paint
from sim.game.picture.rolling import train_bodies
from sim.game.shorts.lensing import lens_words
from sim.game.shorts.shortslot import loop_path, offered_at, slot_shown, strip_of
from sim.game.whereabouts import joinery
from sim.game.whereabouts.area import middle_of
from sim.game.whereabouts.metal import nearest_metal
from sim.game.whereabouts.ways import Ways
from sim.resources import level_path
from sim.session.acts import Direction, Do, Drive, Plug, Power, Predict
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES, LEVEL, Player
from tests.game.test_hit import CLEAR, SIZES
from tests.game.test_type import Watch, watch  # noqa: F401 - a fixture


def from_below(
    size: tuple[int, int] = (1280, 800), scale: float = 1.0, level: str = "right-hand", *, watching: bool = True
) -> Player:
    player = Player(level_path(level), size, watching=watching)
    player.window.set_up(Settings(scale=scale))
    player.surface = pygame.Surface(player.window.rooms.size)
    player.window.compositor.forget()
    player.look()
    if not seen_from_below(player):
        player.key(pygame.K_v)
    assert seen_from_below(player)
    return player


def seen_from_below(player: Player) -> bool:
    return player.stage.below


def folded(player: Player) -> bool:
    return player.bench.view.folded


@given(
    st.floats(-2000, 2000), st.floats(-2000, 2000), st.floats(0.2, 12), st.floats(-5000, 5000), st.floats(-5000, 5000)
)
def test_the_transform_from_below_and_back_again(left: float, base: float, scale: float, x: float, y: float) -> None:
    world = World(left, base, scale, below=True)
    assert world.to_bench(world.to_screen((x, y))) == pytest.approx((x, y), abs=1e-6)
    assert world.to_screen((x + 1, y))[0] < world.to_screen((x, y))[0]


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_every_place_is_mirrored_about_the_middle_of_the_mat(size: tuple[int, int], scale: float) -> None:
    player = from_below(size, scale, watching=False)
    below, above = player.stage, player.stage.above
    assert above is not None
    middle = (below.rooms.mat.x + below.rooms.mat.right) / 2
    for name, spots in above.fixtures.spots.items():
        for one, other in zip(spots, below.fixtures.spots[name], strict=True):
            assert one.x + other.x == pytest.approx(2 * middle)
            assert one.y == other.y
    for node, lines in above.lines.items():
        for rows, others in zip(lines, below.lines[node], strict=True):
            assert rows[:, 0] + others[:, 0] == pytest.approx(2 * middle)
            assert rows[:, 1] == pytest.approx(others[:, 1])
    for mark, twin in zip(above.places, below.places, strict=True):
        assert mark.x + twin.x == pytest.approx(2 * middle)
        assert math.cos(mark.bearing) == pytest.approx(-math.cos(twin.bearing))
        assert math.sin(mark.bearing) == pytest.approx(math.sin(twin.bearing))
    toe = below.world.to_screen((below.plan.zero_mm, 0))[0]
    assert toe > middle
    letters = below.fixtures.blocks[0]
    assert letters.letters == tuple(sorted(letters.letters, reverse=True))
    assert list(letters.xs) == sorted(letters.xs)


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_everything_is_hit_where_it_lies_from_below(size: tuple[int, int], scale: float) -> None:
    player = from_below(size, scale, watching=False)
    for a, b in GOOD_WIRES[:3]:
        player.wire_by_clicks(a, b)
    bench, stage = player.bench, player.stage
    assert len(bench.snapshot.bench.wires) == 3
    for area in areas(stage, bench.snapshot, bench.view):
        if area.target.kind in CLEAR:
            assert under(stage, bench.snapshot, bench.view, middle_of(area)) == area.target, area
    for name, spots in stage.fixtures.spots.items():
        for spot in spots:
            metal = nearest_metal(stage, (spot.probe_x, spot.probe_y), 4)
            assert metal is not None
            assert metal[0] == name
    for mark in stage.places:
        if mark.place.kind == "gap":
            found = under(stage, bench.snapshot, bench.view, (mark.x, mark.y))
            assert found is not None
            assert found.name == mark.place.name


def test_a_whole_job_is_done_from_below() -> None:
    player = Player()
    player.click(player.place("top", "turn"))
    assert seen_from_below(player)
    player.click(player.place("predict", "normal/right"))
    player.click(player.place("predict", "diverging/left"))
    for a, b in GOOD_WIRES[:3]:
        player.wire_by_drag(a, b)
    for a, b in GOOD_WIRES[3:]:
        player.wire_by_clicks(a, b)
    assert [wire.ends for wire in player.bench.snapshot.bench.wires] == list(GOOD_WIRES)
    player.probe("red", "T1.frog")
    player.probe("black", "T1.stock.right")
    player.wait(0.5)
    value = player.bench.snapshot.meter.value
    assert value is not None
    assert value < 2
    player.key(pygame.K_BACKSPACE)
    player.click(player.place("blade", "T1"))
    player.wait(2.0)
    assert player.bench.snapshot.travel["T1"] == 1.0
    player.key(pygame.K_t)
    player.wait_for_result()
    assert player.bench.result is not None
    assert player.bench.result.passed
    assert not seen_from_below(player)
    player.key(pygame.K_ESCAPE)
    assert seen_from_below(player)
    assert folded(player)


def test_a_gap_is_bridged_and_a_rail_is_probed_from_below(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(level_path("right-hand").read_text(encoding="utf-8").partition("[level]")[0], encoding="utf-8")
    player = Player(own)
    player.key(pygame.K_v)
    player.key(pygame.K_f)
    name = "T1.gap.closure.left"
    before = next(mark.place.state for mark in player.stage.places if mark.place.name == name)
    player.click(player.place("place", name))
    after = next(mark.place.state for mark in player.stage.places if mark.place.name == name)
    assert (before, after) == ("cut", "closed")
    line = max(player.stage.lines["T1.stock.right"], key=len)
    x, y = (float(v) for v in line[int(len(line) * 0.4)])
    player.drag(player.place("probe", "red"), (x, y))
    assert player.bench.snapshot.meter.red == "T1.stock.right"
    mm = player.bench.view.red_mm
    assert mm is not None
    assert player.stage.world.to_screen(mm) == pytest.approx((x, y), abs=2)
    player.key(pygame.K_v)
    assert player.stage.world.to_screen(mm)[0] == pytest.approx(
        player.stage.rooms.mat.x + player.stage.rooms.mat.right - x, abs=2
    )


def test_a_train_is_drawn_and_moved_from_below() -> None:
    player = from_below()
    stood = player.bench.snapshot.trains[0]
    (_, bearing, (x, _)), *_ = train_bodies(player.stage, stood)
    above = player.stage.above
    assert above is not None
    (_, other, (x0, _)), *_ = train_bodies(above, stood)
    assert x + x0 == pytest.approx(player.stage.rooms.mat.x + player.stage.rooms.mat.right)
    assert math.cos(bearing) == pytest.approx(-math.cos(other))
    start = player.place("vehicle", stood.id)
    player.drag(start, (start[0] - 200, start[1]))
    moved = player.bench.snapshot.trains[0].vehicles[0].axles[0]
    assert moved[0] == pytest.approx(stood.vehicles[0].axles[0][0] + 200 / player.stage.world.scale, abs=8)


def test_current_is_shown_along_the_mirrored_way() -> None:
    player = Player()
    for a, b in EXCHANGED_WIRES:
        player.wire_by_drag(a, b)
    snapshot, above = player.bench.snapshot, player.stage
    player.key(pygame.K_v)
    below = player.stage
    one, other = Ways.now(above, snapshot), Ways.now(below, snapshot)
    turn = below.rooms.mat.x + below.rooms.mat.right
    for index, ends in enumerate(EXCHANGED_WIRES):
        way, twin_way = (
            one.through(PartRef("wire", "", (index,)), *ends),
            other.through(PartRef("wire", "", (index,)), *ends),
        )
        assert len(way) == len(twin_way) > 4
        for (x, y), (tx, ty) in zip(way, twin_way, strict=True):
            assert (turn - x, y) == pytest.approx((tx, ty), abs=0.02)
    for mark, twin in zip(above.places, below.places, strict=True):
        if mark.place.kind == "bond":
            bond = joinery.bond_way(above, mark)
            assert [turn - x for x, _ in bond] == pytest.approx([x for x, _ in joinery.bond_way(below, twin)])


def test_a_short_is_shown_from_below_with_its_whole_loop() -> None:
    player = Player()
    for a, b in EXCHANGED_WIRES:
        player.wire_by_drag(a, b)
    for name in ("normal/right", "diverging/left"):
        player.click(player.place("predict", name))
    for key in (pygame.K_v, pygame.K_u, pygame.K_p, *[pygame.K_PLUS] * 12):
        player.key(key)
    for _ in range(60):
        if player.bench.snapshot.fault is None:
            player.wait(0.1)
    fault, below = player.bench.snapshot.fault, player.stage
    assert fault is not None
    above = below.above
    assert above is not None
    loop = Ways.now(below, player.bench.snapshot).loop(fault.loop)
    from_above = Ways.now(above, player.bench.snapshot).loop(fault.loop)
    turn = below.rooms.mat.x + below.rooms.mat.right
    bars = {bar.side: bar.rect for bar in below.fixtures.bars}
    on_board = [(turn - x, y) for x, y in from_above if x < above.fixtures.bars[0].rect.x - 40]
    assert len(on_board) > 40
    for x, y in on_board:  # all that does not belong to the cables lies on the mirrored way
        assert min(math.dist((x, y), point) for point in loop) < 1.5
    assert any(bars["A"].left - 1 <= x <= bars["A"].left + 6 and bars["A"].collidepoint(x, y) for x, y in loop)
    assert any(bars["B"].left - 1 <= x <= bars["B"].left + 6 and bars["B"].collidepoint(x, y) for x, y in loop)
    panel = below.rooms.supply
    assert all(math.dist(end, (panel.x, panel.y + 50)) < 40 for end in (loop[0], loop[-1]))
    player.wait(2.0)
    whole = pygame.Surface(player.surface.get_size())
    paint(whole, player.window.screen.sprites(player.window.rooms, player.window.theme))
    assert pygame.image.tobytes(whole, "RGB") == pygame.image.tobytes(player.surface, "RGB")


@pytest.mark.parametrize("level", ["right-hand", "wye", "from-below"])
def test_drawing_only_the_changes_gives_the_same_from_below(level: str) -> None:
    player = from_below(level=level)
    spot = player.place("terminal", "T1.frog")
    player.click(spot)
    player.point((spot[0] - 60, spot[1] - 90))
    player.key(pygame.K_ESCAPE)
    player.key(pygame.K_1)
    player.wait(0.4)
    whole = pygame.Surface(player.surface.get_size())
    paint(whole, player.window.screen.sprites(player.window.rooms, player.window.theme))
    assert pygame.image.tobytes(whole, "RGB") == pygame.image.tobytes(player.surface, "RGB")
    player.wait(3.0)
    assert player.look() == []


def test_turning_over_twice_gives_the_same_picture() -> None:
    player = Player()
    player.wait(1.0)
    first = pygame.image.tobytes(player.surface, "RGB")
    player.key(pygame.K_v)
    assert folded(player)
    assert pygame.image.tobytes(player.surface, "RGB") != first
    player.key(pygame.K_v)
    assert not folded(player)
    player.wait(1.0)
    assert pygame.image.tobytes(player.surface, "RGB") == first


@pytest.mark.parametrize(("size", "scale"), [*SIZES[:3], ((1600, 1125), 1.5)])
def test_no_text_is_cut_off_from_below(watch: Watch, size: tuple[int, int], scale: float) -> None:  # noqa: F811
    player = from_below(size, scale)
    player.look()
    assert {"FROM BELOW", "mirrored: the toe is on the right", "toe 0", "Turn over"} <= {
        text for _, text, _ in watch.inks
    }
    assert watch.cut == []


@pytest.mark.parametrize("size", [(1280, 800), (1024, 720), (1920, 1080)])
def test_ink_on_the_plywood_can_be_read_everywhere(size: tuple[int, int]) -> None:
    """4.5:1 for text, by WCAG 2: contrast of relative luminances."""

    def luminance(colours: Any) -> Any:
        share = np.asarray(colours, dtype=float) / 255
        linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
        return linear @ np.array([0.2126, 0.7152, 0.0722])

    player = from_below(size)
    mat = player.stage.rooms.mat
    ground = player.window.screen.sprites(player.window.rooms, player.window.theme)[0].surface
    light = luminance(pygame.surfarray.array3d(ground))[mat.x + 20 : mat.right - 20]
    foot = light[:, mat.bottom - 58 : mat.bottom - 44]
    head = light[-340:, 172:232]
    for part in (*np.array_split(foot, 8), *np.array_split(head, 3)):
        assert (np.median(part) + 0.05) / (luminance(INK) + 0.05) >= 4.5


def _shorted(player: Player) -> None:
    for a, b in EXCHANGED_WIRES:
        player.bench.act(Do(MakeWire(a, b)))
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    player.bench.act(Direction("shunter", 1), Drive("shunter", 0.6))
    for _ in range(400):
        if player.bench.snapshot.fault is None:
            player.bench.snapshot = player.bench.session.step(0.1)
    player.wait(0.1)


def _covered(player: Player) -> set[str]:
    """The terminals that cannot be pointed at."""
    bench = player.bench
    view = replace(bench.view, lens_away=bench.snapshot.fault)  # the magnifier can be put away
    every = [area for area in areas(player.stage, bench.snapshot, view) if area.target.kind == "terminal"]
    return {a.target.name for a in every if under(player.stage, bench.snapshot, view, middle_of(a)) != a.target}


def tripped(player: Player) -> bool:
    """Whether a short is told."""
    return player.bench.snapshot.fault is not None


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_a_short_leaves_the_sheet_folded_and_is_told_along_the_mats_foot(size: tuple[int, int], scale: float) -> None:
    player = from_below(size, scale, watching=False)
    _shorted(player)
    bench, stage = player.bench, player.stage
    assert tripped(player)
    strip = strip_of(stage, bench.snapshot, bench.view)
    assert strip is not None
    assert strip.box.right <= stage.rooms.mat.right
    assert not _covered(player)
    assert not any({"test", "slip"} & set(area.target) for area in areas(stage, bench.snapshot, bench.view))
    papers = [area.rect for area in areas(stage, bench.snapshot, bench.view) if area.target.kind == "paper"]
    assert papers == [strip.box]
    player.key(pygame.K_j)
    assert not folded(player)
    assert strip_of(stage, bench.snapshot, player.bench.view) is None
    assert not _covered(player)
    player.key(pygame.K_j)
    player.key(pygame.K_p)
    assert not tripped(player)
    assert strip_of(stage, bench.snapshot, bench.view) is None


@pytest.mark.parametrize("size", [(1024, 720), (1366, 768), (1920, 1080)])
@pytest.mark.parametrize("theme", ["night", "hall"])
def test_from_below_one_slip_tells_a_short_and_the_magnifier_leaves_free_what_is_to_be_read(
    size: tuple[int, int], theme: str
) -> None:
    player = Player(LEVEL, size, theme, watching=False)
    player.key(pygame.K_v)
    _shorted(player)
    player.wait(4.0)
    sight = player.stage, player.bench.snapshot, player.bench.view
    slot, strip = slot_shown(*sight), strip_of(*sight)
    assert slot is not None
    assert slot.glass is not None
    assert strip is not None
    assert slot.box is None  # no second card
    assert [area.rect for area in areas(*sight) if area.target == ("paper", "strip")] == [strip.box]
    told = [words for _, words in strip.lines]
    assert any(words.startswith("Caution: ") for words in told), "it is told, whatever else has no room"
    heading, _ = lens_words(player.stage, player.bench.snapshot, offered_at(*sight) or (0.0, 0.0), 4.0)
    if size[0] > 1024:
        player.click(strip.box.center)  # the caution has been read
        sight = player.stage, player.bench.snapshot, player.bench.view
        strip = strip_of(*sight)
        assert strip is not None
        assert next(words for _, words in strip.lines[1:]) in (heading, heading.partition(",")[0])
    x, y = slot.glass
    free = told_below(player.stage)
    assert len(free) == 3  # stencil, blades, slot
    for box in (*free, strip.box):
        near = min(max(x, box.left), box.right), min(max(y, box.top), box.bottom)
        assert math.dist(near, slot.glass) > slot.radius, box
    way = dense(loop_path(*sight), 2.0).tolist()
    assert not [point for point in way if math.dist(point, slot.glass) < slot.radius]
    if (size, theme) != ((1024, 720), "hall"):  # there a caution, until it has been read, has no other room
        assert not [point for point in way if strip.box.collidepoint(point)]


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_a_job_that_opens_from_below_leaves_free_of_its_sheet_what_is_to_be_wired(
    size: tuple[int, int], theme: str
) -> None:
    player = Player(level_path("from-below"), size, theme, watching=False)
    assert player.bench.view.below
    assert not player.bench.view.folded
    stage = player.stage
    sheet = stage.rooms.sheet
    paper = player.area("paper", "sheet").rect
    assert paper == sheet
    fixtures = stage.fixtures
    assert sheet.collidelist([bar.rect for bar in fixtures.bars]) < 0
    assert sheet.collidelist([place.housing.union(place.face) for place in fixtures.blocks]) < 0
    for spots in fixtures.spots.values():
        assert not any(sheet.inflate(12, 12).collidepoint(spot.x, spot.y) for spot in spots)
    for lines in stage.lines.values():
        assert not any(sheet.collidepoint(x, y) for line in lines for x, y in line.tolist())
    for tip in ("red", "black"):
        assert not any(sheet.colliderect(area.rect) for area in [player.area("probe", tip)])
    wires = len(player.stage.bench.wires)
    player.wire_by_drag("bus.A", "T1.stock.left")  # with the sheet open
    assert len(player.stage.bench.wires) == wires + 1

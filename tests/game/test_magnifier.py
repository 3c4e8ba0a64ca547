"""The magnifier: it shows what touches what, larger and anew, and says so; on a short it offers itself."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pygame
import pytest

from sim.bench.edits import SetPlace
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway.closer import WheelBoxes
from sim.game.items.common.thing import Sight
from sim.game.items.tools.magnifier import _held
from sim.game.look.theme import load_theme
from sim.game.paper.view import World, rooms
from sim.game.shorts.closeup import Seen, closeup
from sim.game.shorts.lensing import bridged_at, lens_words, seen_at
from sim.game.whereabouts.parking import park
from sim.game.whereabouts.stage import Stage, Stages
from sim.session.acts import Direction, Do, Drive, Plug, Power, Predict
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.standards import SCALES
from sim.track.wheels import standard_wheel
from tests.game.playing import EXCHANGED_WIRES, Player
from tests.session.benches import bench


def shorted(size: tuple[int, int] = (1280, 800)) -> Player:
    player = Player(size=size)
    for a, b in EXCHANGED_WIRES:
        player.wire_by_clicks(a, b)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    shunter = player.bench.snapshot.trains[0].id
    player.bench.act(Direction(shunter, 1), Drive(shunter, 0.5))
    for _ in range(1200):
        player.window.tick(1 / 60)
        if player.bench.snapshot.fault is not None:
            break
    player.wait(2.5)  # first it is seen to burn, and the train comes to rest
    player.look()
    return player


def out(player: Player) -> bool:
    """Whether it is in use."""
    return _held(Sight(player.stage, player.bench.snapshot, player.bench.view)) is not None


@pytest.mark.parametrize("size", [(1280, 800), (1024, 720), (1920, 1080)])
def test_on_a_short_it_offers_itself_beside_the_bridged_place_and_covers_no_sentence(size: tuple[int, int]) -> None:
    player = shorted(size)
    held = _held(Sight(player.stage, player.bench.snapshot, player.bench.view))
    assert held is not None
    wheel = next(step for step in player.bench.snapshot.fault.loop if step.ref.kind == "wheel")  # type: ignore[union-attr]
    axle = int(wheel.ref.detail[0]) - 1
    x, y, _ = player.bench.snapshot.trains[0].vehicles[0].axles[axle]
    assert math.dist(held.of, (x, y)) < 12.0
    glass = player.area("lens", "").rect
    assert player.window.rooms.mat.contains(glass)
    assert not glass.colliderect(player.window.rooms.sheet)
    assert not glass.collidepoint(held.place)


def test_put_away_it_does_not_come_again_for_that_short_but_for_the_next() -> None:
    player = shorted()
    player.key(pygame.K_l)
    assert not out(player)
    player.wait(0.3)
    assert not out(player)
    player.bench.act(Power(True))  # the breaker closed again on the same fault: another short
    player.wait(2.5)
    assert player.bench.snapshot.fault is not None
    assert out(player)


def test_it_can_be_moved_away_and_then_shows_what_lies_under_it() -> None:
    player = shorted()
    player.wait(1.5)  # the train has come to rest
    start = player.place("lens", "")
    player.drag(start, (start[0] - 30, start[1] + 30))
    held = _held(Sight(player.stage, player.bench.snapshot, player.bench.view))
    assert held is not None
    assert held.glass == (start[0] - 30, start[1] + 30)
    assert player.stage.world.to_screen(held.of) == pytest.approx(held.glass, abs=0.6)
    player.drag(player.place("lens", ""), tuple(map(float, park(player.stage, "lens").center)))  # type: ignore[arg-type]
    assert not out(player)


def test_key_l_looks_at_what_is_ringed_and_the_arrows_move_it() -> None:
    player = Player()
    player.focus("place", "T1.gap.exit.left")
    player.key(pygame.K_l)
    held = _held(Sight(player.stage, player.bench.snapshot, player.bench.view))
    assert held is not None
    mark = next(m for m in player.stage.places if m.place.name == "T1.gap.exit.left")
    assert held.of == pytest.approx(player.stage.world.to_bench((mark.x, mark.y)))
    heading, _ = lens_words(player.stage, player.bench.snapshot, held.of, 4.0)
    assert heading.startswith("Left exit gap, ")
    player.focus("lens", "")
    before = player.place("lens", "")
    player.key(pygame.K_LEFT)
    player.key(pygame.K_DOWN)
    after = player.place("lens", "")
    assert after[0] < before[0]
    assert after[1] > before[1]
    player.key(pygame.K_l)
    assert not out(player)


def standing(mm: float, end: str = "T1.main", **more: object) -> tuple[Stage, Snapshot]:
    session = Session(bench(end=end, mm=mm, **more))  # type: ignore[arg-type]
    snapshot = session.step(Session.DT, (Power(True),))
    return Stages().of(snapshot.bench, rooms((1280, 800)), load_theme()), snapshot


def test_it_says_which_rails_a_wheel_touches_as_the_session_has_it() -> None:
    seen: set[int] = set()
    for mm in np.arange(90.0, 112.0, 0.5).tolist():
        stage, snapshot = standing(mm)
        x, y, heading = snapshot.trains[0].vehicles[0].axles[0]
        for sign, column in ((1, 0), (-1, 1)):
            touching = snapshot.trains[0].vehicles[0].touching[0][column]
            at = (x - math.sin(heading) * 8.9 * sign, y + math.cos(heading) * 8.9 * sign)
            _, text = lens_words(stage, snapshot, at, 4.0)
            assert "front" in text
            assert ("both rail ends at once" in text or "at once" in text) == (len(touching) > 1)
            for rail, words in (("T1.frog", "the frog"), ("T1.blade.right", "right closure rail")):
                if rail in touching and "both rail ends" not in text:
                    assert words in text
            seen.add(len(touching))
    assert seen >= {1, 2}


def test_a_wheels_boxes_are_the_contact_tables_zones() -> None:
    scale = SCALES["HO"]
    size = standard_wheel(scale)
    inner = size.back_to_back_mm / 2
    flat = World(0.0, 0.0, 1.0)
    zones = (inner, inner + size.flange_mm, size.reach_mm)
    boxes = WheelBoxes((100.0, 0.0, 0.0), 1, zones, size.radius_mm, 0.5, flat)
    ys = sorted({round(-y, 6) for _, y in boxes.tread})
    assert ys == pytest.approx([inner + size.flange_mm, size.reach_mm], abs=1e-6)
    assert sorted({round(-y, 6) for _, y in boxes.flange}) == pytest.approx([inner, inner + size.flange_mm], abs=1e-6)
    assert sorted({round(x, 6) for x, _ in boxes.tread_touch}) == pytest.approx([99.5, 100.5])


def test_a_slot_is_as_wide_as_it_is_and_solder_fills_it() -> None:
    stage, snapshot = standing(30.0)
    geometry = stage.plan.by_id["T1"].geometry
    mark = stage.plan.by_id["T1"].mark(geometry.marks.places["gap.closure.right"])
    session = Session(snapshot.bench)
    closed = session.step(Session.DT, (Do(SetPlace("T1.gap.closure.right", "closed")),))
    scale = 40.0
    one = Seen((mark.x, mark.y), scale, (200, 200), snapshot.feeds, None, frozenset())
    other = Seen((mark.x, mark.y), scale, (200, 200), closed.feeds, None, frozenset({"T1.gap.closure.right"}))
    cut, bridged = closeup(stage, snapshot, one), closeup(stage, closed, other)
    assert closeup(stage, snapshot, one) is cut  # kept

    def run(surface: pygame.Surface) -> int:
        """How far from the middle along the rail it looks as in the middle."""
        row = pygame.surfarray.array3d(surface)[:, 100].astype(int)
        alike = np.abs(row - row[100]).sum(axis=1) < 60
        left = next(k for k in range(100) if not alike[100 - k])
        right = next(k for k in range(100) if not alike[100 + k])
        return left + right

    assert run(cut) == pytest.approx(geometry.gap_mm * scale, abs=5)
    solder = np.array(load_theme()["solder"])
    middle = pygame.surfarray.array3d(bridged)[96:104, 96:104].reshape(-1, 3).astype(int)
    assert np.abs(middle - solder).sum(axis=1).mean() < 150
    assert (
        np.abs(pygame.surfarray.array3d(cut)[96:104, 96:104].reshape(-1, 3).astype(int) - solder).sum(axis=1).min()
        > 150
    )


def test_the_lens_is_about_six_times_the_mat_and_holds_a_wheel() -> None:
    stage, snapshot = standing(60.0)
    seen = seen_at(stage, snapshot, (100.0, 0.0), 176)
    assert 5.0 <= seen.scale / stage.world.scale <= 7.5
    assert seen.size[0] / seen.scale > 10.4


def letters_in(picture: pygame.Surface, side: str, stage: Stage, size_px: float) -> list[pygame.Rect]:
    """Where the letter of a side stands in a picture."""
    tag = side_tag(side, stage.unit, stage.theme, size_px)
    rows, solid = pygame.surfarray.array3d(tag).astype(int), pygame.surfarray.array_alpha(tag) == 255
    ground = pygame.surfarray.array3d(picture).astype(int)
    wide, high = tag.get_size()
    windows = np.lib.stride_tricks.sliding_window_view(ground, (wide, high), (0, 1))
    differ = np.abs(windows.transpose(0, 1, 3, 4, 2) - rows).max(axis=4)
    found = np.argwhere((differ * solid).max(axis=(2, 3)) <= 3)
    return [pygame.Rect(int(x), int(y), wide, high) for x, y in found]


@pytest.mark.parametrize("radius", [88, 60])
def test_where_one_wheel_bridges_a_gap_it_shows_the_gap_with_a_spark_between_the_letters_of_both_sides(
    radius: int,
) -> None:
    session = Session(bench(mm=100.0, frog="exchanged"))
    snapshot = session.step(Session.DT, (Power(True),))
    while snapshot.fault is None:
        snapshot = session.step(0.05)
    stage = Stages().of(snapshot.bench, rooms((1280, 800)), load_theme())
    place = bridged_at(stage, snapshot)
    assert place is not None
    heading, text = lens_words(stage, snapshot, place, 4.0)
    assert heading.startswith("Right closure gap")
    assert "both rail ends" in text
    seen = seen_at(stage, snapshot, place, 2 * radius)
    picture = closeup(stage, snapshot, seen)
    gap = next(mark for mark in stage.places if mark.place.name == "T1.gap.closure.right")
    (spark,) = seen.sparks
    assert spark == pytest.approx(stage.world.to_bench((gap.x, gap.y)), abs=0.1)
    at = seen.world(stage.below).to_screen(spark)
    assert min(picture.get_at((round(at[0]), round(at[1])))[:3]) > 240
    size = max(12.0, 16.0 * min(1.0, radius / 88))
    a, b = (letters_in(picture, side, stage, size) for side in "AB")
    assert any(box.centerx > at[0] for box in a)  # beside the frog
    assert b
    assert all(box.centerx < at[0] for box in b)  # beside the closure rail
    assert all(math.dist(box.center, at) > 0.12 * 2 * radius for box in a + b)  # the spark is free


def test_where_two_wheels_make_a_short_it_is_titled_by_what_touches() -> None:
    player = shorted((1280, 800))
    stage, snapshot = player.stage, player.bench.snapshot
    place = bridged_at(stage, snapshot)
    assert place is not None
    heading, text = lens_words(stage, snapshot, place, 4.0)
    assert heading == "Front wheel on the frog"
    assert text == "It stands on the frog (side A), the rear wheel on the right closure rail (side B)."
    seen = seen_at(stage, snapshot, place, 176)
    assert len(seen.sparks) == 2
    assert math.dist(seen.sparks[0], place) < 0.2
    assert letters_in(closeup(stage, snapshot, seen), "A", stage, 16.0)
    cold = replace(snapshot, fault=None)
    assert not seen_at(stage, cold, place, 176).sparks
    assert lens_words(stage, cold, place, 4.0)[0].startswith("Right closure gap")

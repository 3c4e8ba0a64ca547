"""Benches of many turnouts: as large as there is room for, and nothing drawn or laid out anew without need."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.bench.writing import dump
from sim.game.look.theme import load_theme
from sim.game.paper.camera import HOME
from sim.game.paper.view import rooms
from sim.game.picture import composed, trackwork
from sim.game.picture.compositor import Compositor
from sim.game.whereabouts.stage import Stage, Stages
from sim.session.acts import Do, Plug, Power, Throw
from sim.session.session import Session
from tests.game.large import station
from tests.game.playing import Player


@pytest.fixture
def many(tmp_path: Path) -> Callable[[int], Player]:
    def opened(count: int) -> Player:
        path = tmp_path / "station.toml"
        path.write_text(dump(station(count)), encoding="utf-8")
        player = Player(path, (1920, 1080), watching=False)
        player.picture()
        return player

    return opened


def staged(count: int, size: tuple[int, int] = (1920, 1080), straight: int = 5) -> Stage:
    return Stages().of(station(count, straight=straight), rooms(size), load_theme(), False, HOME)


@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080), (2560, 1440)])
@pytest.mark.parametrize(("count", "straight"), [(20, 5), (60, 5), (60, 10)])
def test_the_track_of_a_large_bench_takes_its_share_of_the_mat(
    size: tuple[int, int], count: int, straight: int
) -> None:
    stage = staged(count, size, straight)
    (x0, y0), (x1, y1) = stage.plan.box
    (left, foot), (right, top) = stage.world.to_screen((x0, y0)), stage.world.to_screen((x1, y1))
    mat = stage.rooms.mat
    assert left >= mat.left
    assert right <= mat.right
    assert foot <= mat.bottom
    assert (right - left) / mat.width >= 0.4 or (foot - top) / mat.height >= 0.4
    assert top > max(block.face.bottom for block in stage.fixtures.blocks)


def test_a_throw_lays_nothing_out_anew(many: Callable[[int], Player]) -> None:
    player = many(20)
    before = player.stage
    player.bench.act(Throw("T7"))
    player.wait(0.2)
    assert player.bench.snapshot.bench is not before.bench
    assert player.stage is before
    player.bench.act(Throw("T7"), Plug(True), Power(True))
    player.wait(0.2)
    assert player.stage is before


def test_what_lies_otherwise_is_laid_out_anew() -> None:
    session, stages = Session(station(3)), Stages()
    divided, theme = rooms((1280, 800)), load_theme()
    first = stages.of(session.snapshot().bench, divided, theme)
    session.step(Session.DT, (Throw("T1"),))
    assert stages.of(session.snapshot().bench, divided, theme) is first
    session.step(Session.DT, (Do(MakeWire("bus.A", "T2.frog")),))
    after = stages.of(session.snapshot().bench, divided, theme)
    assert after is not first
    assert len(after.runs) == len(first.runs) + 1


def test_in_a_throw_only_the_tiles_round_the_points_are_drawn(
    many: Callable[[int], Player], monkeypatch: pytest.MonkeyPatch
) -> None:
    player = many(20)
    drawn: list[pygame.Rect] = []
    tile = composed._tile
    monkeypatch.setattr(composed, "_tile", lambda box, *rest: drawn.append(box) or tile(box, *rest))  # type: ignore[func-returns-value]
    player.bench.act(Throw("T7"))
    player.wait(0.2)
    player.picture()
    laid = player.stage.plan.by_id["T7"]
    left, top, right, foot = laid.bounds
    (x0, y0), (x1, y1) = player.stage.world.to_screen((left, top)), player.stage.world.to_screen((right, foot))
    near = pygame.Rect(round(x0), round(y0), round(x1 - x0), round(y1 - y0)).inflate(80, 80)
    assert 0 < len(drawn) <= 6
    assert all(near.colliderect(box) for box in drawn)


def test_a_picture_in_tiles_is_the_one_that_is_drawn_at_once(many: Callable[[int], Player]) -> None:
    player = many(20)
    player.bench.act(Throw("T7"))
    player.wait(2.0)
    in_steps = pygame.image.tobytes(player.picture(), "RGB")
    composed_anew = pygame.Surface(player.window.size)
    player.window.compositor = Compositor()
    trackwork._bodies.cache_clear()  # type: ignore[attr-defined]
    player.window.frame(composed_anew)
    assert pygame.image.tobytes(composed_anew, "RGB") == in_steps


def test_far_off_the_tags_leave_the_track_to_be_seen() -> None:
    stage = staged(60)
    tag = stage.theme.tag_px * stage.unit
    boxes = [pygame.Rect(round(x - tag / 2), round(y - tag / 2), round(tag), round(tag)) for _, x, y in stage.tags]
    assert 0 < len(boxes) < 60
    assert all(len(box.collidelistall(boxes)) == 1 for box in boxes)

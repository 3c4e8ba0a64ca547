"""The test track: how one comes to it, that all of it fits, and what is laid is kept."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.bench.reading import parse
from sim.bench.writing import dump
from sim.game.desk.every import THINGS
from sim.game.desk.hit import areas, focus_order
from sim.game.draw.pages.compare_sheet import BUTTONS
from sim.game.items.common.commands import SetUp
from sim.game.look.fonts import Type
from sim.game.picture.laying import APART, ITEMS
from sim.game.picture.nameplates import labels
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.paging import result_areas
from sim.resources import level_path
from sim.resources import test_track_path as start_path
from sim.session.acts import Do, Power
from sim.track.formations import KINDS
from tests.game.playing import GOOD_WIRES, Player
from tests.game.yard import WIRES, bare_sleepers, bench, lay, track, wait_for, wire


def test_it_is_reached_from_the_list_of_jobs_by_mouse_and_by_key() -> None:
    for by_key in (False, True):
        player = Player(None)
        assert isinstance(player.window.screen, JobsScreen)
        if by_key:
            player.key(pygame.K_a)
        else:
            places = player.window.screen.places(player.window.rooms, player.window.theme)
            player.click(places["track"].center)
        assert [piece.id for piece in bench(player).tracks] == ["T1"]
        assert bench(player).motors
        assert player.area("drawer", "wye")


def test_a_bench_file_without_a_job_has_the_drawer_and_a_job_has_none(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(start_path().read_text(encoding="utf-8"), encoding="utf-8")
    assert Player(own).area("drawer", "plain")
    job = Player()
    assert not [a for a in areas(job.stage, job.bench.snapshot, job.bench.view) if a.target.kind == "drawer"]
    job.key(pygame.K_k)
    job.key(pygame.K_o)
    job.key(pygame.K_a)
    assert (job.bench.view.first, job.bench.view.work, job.bench.view.folded) == (None, None, False)


def test_the_drawer_folds_away_and_makes_room_for_a_short() -> None:
    player = track()
    player.key(pygame.K_a)
    assert player.bench.view.folded
    player.click(player.place("fold", "sheet"))
    assert player.area("drawer", "lamp")
    wire(player)
    player.bench.act(Do(MakeWire("bus.A", "bus.B")))
    player.click(player.place("plug", "supply"))
    player.bench.act(Power(True))
    player.wait(0.5)
    assert player.bench.snapshot.fault is not None
    assert not [a for a in areas(player.stage, player.bench.snapshot, player.bench.view) if a.target.kind == "drawer"]


def test_nothing_is_the_next_job_after_the_test_track() -> None:
    for target, follows in ((start_path(), False), (level_path("right-hand"), True)):
        player = Player(target)
        wires = WIRES if not follows else GOOD_WIRES
        player.bench.act(*(Do(MakeWire(a, b)) for a, b in wires))
        player.key(pygame.K_t)
        player.wait_for_result()
        assert player.bench.result is not None
        assert player.bench.result.passed
        names = {area.target.name for area in result_areas(player.bench, player.stage)}
        assert ("next" in names) is follows
        player.key(pygame.K_RETURN)
        assert isinstance(player.window.screen, BenchScreen)
        assert (player.bench.name == "right-hand" or not follows) is not follows


@pytest.mark.parametrize(
    ("size", "theme", "scale"), [((1024, 720), "hall", 1.0), ((1280, 800), "night", 1.0), ((1920, 1080), "hall", 1.5)]
)
def test_compartments_and_choices_are_large_enough_whole_and_apart(
    size: tuple[int, int], theme: str, scale: float
) -> None:
    player = track(size)
    player.window.do(SetUp("theme", theme))
    player.window.do(SetUp("scale", str(scale)))
    player.surface = pygame.Surface(player.window.rooms.size)
    stage = player.stage
    kind = Type(stage.theme, stage.unit)
    every = areas(stage, player.bench.snapshot, player.bench.view)
    mine = [a for a in every if a.target.kind == "drawer" or a.target.name in {"test", "compare", "break"}]
    assert len(mine) == len(ITEMS) + 3
    for area in mine:
        assert min(area.rect.size) >= 24 * stage.unit
        assert stage.rooms.sheet.contains(area.rect)
    assert not [1 for a, b in combinations(mine, 2) if a.rect.colliderect(b.rect)]
    for item in ITEMS:
        rect = player.area("drawer", item.name).rect
        assert kind.fit(item.word, "small", rect.width - 4 * stage.unit) == item.word
    wire(player)
    player.key(pygame.K_k)
    player.key(pygame.K_k)
    wait_for(player, "compared")
    words = dict(BUTTONS)
    for area in areas(player.stage, player.bench.snapshot, player.bench.view):
        room = area.rect.width - 8 * stage.unit
        assert kind.fit(words[area.target.name], "button", room) == words[area.target.name]


def test_every_key_of_the_test_track_stands_on_the_page_of_keys() -> None:
    keys = {key for thing in THINGS for key, _ in thing.keys}
    assert {"A", "K", "O", "E", "W", "Del"} <= keys


def test_what_is_laid_is_kept_by_a_file_as_it_lies() -> None:
    player = track()
    for item, place in (("plain", "T1.main"), ("turnout-left", "P1.b"), ("curve", "T2.diverging"), ("end", "T2.main")):
        lay(player, item, place)
    player.click(player.place("joint", "P1.a/left"))
    now = bench(player)
    assert parse(dump(now), KINDS, name="kept") == now
    assert len(now.tracks) == 5


def test_nothing_on_the_bench_at_all_is_still_a_bench() -> None:
    player = track()
    player.click(bare_sleepers(player, "T1"))
    player.click(player.place("piece-slip", "remove"))
    assert bench(player).tracks == ()
    for key in (pygame.K_o, pygame.K_ESCAPE, pygame.K_v, pygame.K_v, pygame.K_TAB):
        player.key(key)
        player.wait(0.2)
    assert focus_order(player.stage, player.bench.snapshot, player.bench.view)
    lay(player, "wye", APART)
    assert [piece.id for piece in bench(player).tracks] == ["T1"]


@pytest.mark.parametrize(("size", "theme"), [((1024, 720), "hall"), ((1280, 800), "night")])
def test_on_a_grown_bench_names_lie_over_nothing_and_the_bars_keep_clear_of_the_sheet(
    size: tuple[int, int], theme: str
) -> None:
    player = track(size)
    player.window.do(SetUp("theme", theme))
    for item, place in (("plain", "T1.main"), ("turnout-left", "P1.b"), ("plain", APART), ("turnout-right", APART)):
        lay(player, item, place)
    stage = player.stage
    names = [sprite.rect for sprite in labels(stage)]
    size_px = round(stage.theme.tag_px * stage.unit)
    tags = [pygame.Rect(round(x - size_px / 2), round(y - size_px / 2), size_px, size_px) for _, x, y in stage.tags]
    assert names
    assert not [1 for a, b in combinations(names, 2) if a.colliderect(b)]
    assert not [1 for name in names for tag in tags if name.colliderect(tag)]
    for bar in stage.fixtures.bars:
        assert bar.rect.x >= stage.rooms.sheet.right
        assert len(bar.xs) >= 2

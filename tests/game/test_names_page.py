"""The labelled picture of a turnout: everything on it has its name, none over another, and three ways lead to it."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pygame
import pytest

from sim.game.draw.pages.keys_sheet import NAMES
from sim.game.paper.labelling import Shelf
from sim.game.paper.plan import sleepers
from sim.game.paper.railviews import FROG_PARTS
from sim.game.paper.view import Point
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.keys_page import KeysScreen
from sim.game.screens.parts_page import NamesScreen, as_many_as_fit, named_places
from sim.game.screens.screen import Screen
from sim.game.whereabouts.joinery import jumper_way
from sim.resources import level_path
from tests.game.lettering import unseen, watching
from tests.game.playing import Player

WANTED = {
    "toe", "left stock rail", "right stock rail", "left blade", "right blade", "closure rail", "exit rail", "frog",
    "bond", "jumper", "closure gap", "exit gap", "main end", "diverging end", "outer", "common",
}  # fmt: skip
SIZES = [
    ((1024, 720), 1.0), ((1280, 720), 1.0), ((1280, 800), 1.0), ((1366, 768), 1.0), ((1920, 1080), 1.5),
    ((2560, 1440), 2.0), *(((size), None) for size in ((1024, 720), (1366, 768), (1920, 1080), (2560, 1440))),
]  # fmt: skip


def opened(
    size: tuple[int, int] = (1280, 800), theme: str = "night", scale: float | None = 1.0
) -> tuple[Player, NamesScreen]:  # fmt: skip
    player = Player(level_path("first-frog"), size, theme, scale=scale, watching=False)
    player.key(pygame.K_F3)
    assert isinstance(player.window.screen, NamesScreen)
    return player, player.window.screen


@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_every_name_stands_and_none_lies_over_another(size: tuple[int, int], scale: float | None, theme: str) -> None:
    player, screen = opened(size, theme, scale)
    rooms, look = player.window.rooms, player.window.theme
    labels = screen.labels(rooms, look)
    assert {label.words for label in labels} == WANTED
    sheet = screen.arranged(rooms, look).box
    mat = screen.stage(rooms, look).rooms.mat
    for label in labels:
        assert mat.contains(label.box)
        assert not label.box.colliderect(sheet)
        assert label.box.bottom < label.at[1] or label.box.top > label.at[1], "its leader is seen"
        x = label.at[0]
        assert label.box.left <= x <= label.box.right, "its leader is upright"
    for one, other in combinations(labels, 2):
        assert not one.box.colliderect(other.box), (one.words, other.words)
        for mine, box in ((one, other.box), (other, one.box)):
            ends = sorted((mine.at[1], float(mine.box.centery)))
            crosses = box.left <= mine.at[0] <= box.right and ends[0] < box.centery < ends[1]
            assert not crosses, f"the leader of {mine.words} runs through another label"


def test_a_name_without_room_takes_no_other_with_it_and_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    places = [("toe", (50.0, 300.0)), ("frog", (200.0, 300.0)), ("main end", (400.0, 300.0))]
    widths = {"toe": 40.0, "frog": 50.0, "main end": 80.0}
    shelf = Shelf(280, -1, 1, 0, 600)
    every = as_many_as_fit(places, widths, 20, shelf, [], 1.0)
    assert {label.words for label in every} == {"toe", "frog", "main end"}
    some = as_many_as_fit(places, widths, 20, shelf, [pygame.Rect(0, 100, 90, 260)], 1.0)
    assert {label.words for label in some} == {"frog", "main end"}
    player, screen = opened()
    rooms, look = player.window.rooms, player.window.theme
    assert screen.left_out(rooms, look) == 0
    monkeypatch.setattr("sim.game.screens.parts_page.laid_out", lambda *_: None)
    screen = NamesScreen()
    assert screen.left_out(rooms, look) == len(WANTED)
    with watching() as lettering:
        page = lettering.page(screen.sprites(rooms, look), rooms.size, look.words.of)
    assert not unseen(page, "16 more names in a larger window.")


@pytest.mark.parametrize("theme", ["night", "hall"])
def test_every_word_is_read_whole(theme: str) -> None:
    player, screen = opened((1024, 720), theme)
    with watching() as lettering:
        look = player.window.theme
        page = lettering.page(screen.sprites(player.window.rooms, look), player.window.rooms.size, look.words.of)
    for words in (*WANTED, "The names of a turnout", "Esc, Enter or a click: back"):
        assert not unseen(page, words), words


def test_each_name_is_on_what_it_names() -> None:
    player, screen = opened()
    stage = screen.stage(player.window.rooms, player.window.theme)
    places = dict(named_places(stage))
    for words, section in (("left stock rail", "T1.stock.left"), ("exit rail", "T1.exit.left")):
        lines = stage.lines[section]
        assert min(abs(x - places[words][0]) + abs(y - places[words][1]) for line in lines for x, y in line) < 6


def test_the_page_of_keys_leads_to_it_by_click_and_it_leads_back() -> None:
    player = Player(level_path("first-frog"), watching=False)
    player.key(pygame.K_F1)
    keys = player.window.screen
    assert isinstance(keys, KeysScreen)
    player.click(keys.arranged(player.window.rooms, player.window.theme).places[NAMES].center)
    assert isinstance(page_of(player), NamesScreen)
    player.key(pygame.K_ESCAPE)
    assert isinstance(page_of(player), KeysScreen)


def page_of(player: Player) -> Screen:
    """The page that is open."""
    return player.window.screen


def test_the_first_job_leads_to_it_by_its_sheet() -> None:
    player = Player(level_path("first-frog"), watching=False)
    player.click(player.place("button", "names"))
    assert player.on(NamesScreen)
    player.click((600, 300))
    assert player.on(BenchScreen)
    player.focus("button", "names")
    player.key(pygame.K_RETURN)
    assert player.on(NamesScreen)


def test_the_key_opens_it_and_closes_it() -> None:
    player, _ = opened()
    player.key(pygame.K_F3)
    assert isinstance(player.window.screen, BenchScreen)


@pytest.mark.parametrize("size", [(1024, 720), (1366, 768), (1920, 1080)])
def test_the_jumper_is_pointed_at_where_its_wire_is_seen(size: tuple[int, int]) -> None:
    player, screen = opened(size, "night", None)
    stage = screen.stage(player.window.rooms, player.window.theme)
    x, y = dict(named_places(stage))["jumper"]
    assert min(_away((x, y), jumper_way(stage, mark)) for mark in stage.places if mark.place.kind == "jumper") < 2
    rail = [(a, b) for view in stage.views("T1") if view.part in FROG_PARTS for a, b in view.middle]
    hidden = [stage.world.to_screen((float(a), float(b)))[0] for a, b in rail]
    assert not min(hidden) <= x <= max(hidden), "the frog hides it there"


def _away(at: Point, way: tuple[Point, ...]) -> float:
    """How far a place is from a line, px."""
    return min(
        float(np.hypot(at[0] - a[0] - share * (b[0] - a[0]), at[1] - a[1] - share * (b[1] - a[1])))
        for a, b in pairwise(way)
        for share in np.linspace(0, 1, 60)
    )


@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize("size", [(1024, 720), (1366, 768), (1920, 1080), (2560, 1440)])
def test_no_name_lies_on_a_sleeper(size: tuple[int, int], theme: str) -> None:
    player, screen = opened(size, theme, None)
    rooms, look = player.window.rooms, player.window.theme
    stage = screen.stage(rooms, look)
    for sleeper in sleepers(stage.plan.laid[0]):
        ends = [stage.world.to_screen(point) for point in (sleeper.a, sleeper.b)]
        for label in screen.labels(rooms, look):
            assert not label.box.clipline(*ends), label.words

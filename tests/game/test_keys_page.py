"""The page of keys is read leaf by leaf, in every window: nothing is left out, and nothing lies over anything."""

from __future__ import annotations

import pygame
import pytest

from sim.game.draw.pages.keys_sheet import keys_leaves
from sim.game.items.common.commands import SetUp
from sim.game.look.fonts import Type
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.keys_page import KEYS, KeysScreen
from tests.game.playing import Player

SIZES = ((1024, 720), (1280, 800), (1920, 1080))


def opened(size: tuple[int, int] = (1280, 800), theme: str = "night") -> Player:
    player = Player(size=size)
    player.window.do(SetUp("theme", theme))
    player.key(pygame.K_F1)
    return player


def leaf(player: Player) -> int:
    screen = player.window.screen
    assert isinstance(screen, KeysScreen)
    return screen.leaf


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
def test_every_key_stands_once_under_its_heading_and_within_the_sheet(size: tuple[int, int], theme: str) -> None:
    player = opened(size, theme)
    rooms, look = player.window.rooms, player.window.theme
    box = KeysScreen().arranged(rooms, look).box
    kind = Type(look, rooms.unit)
    leaves = keys_leaves(rooms.size, rooms.unit, look, KEYS)
    columns = [column for pair in leaves for column in pair if column]
    assert [line for column in columns for line in column if line[0]] == [line for line in KEYS if line[0]]
    headings = dict.fromkeys(line[1] for line in KEYS if not line[0])
    for column in columns:
        assert column[0][0] == ""  # each column begins with a heading,
        assert column[-1][0] != ""  # and ends with a key
        assert {line[1] for line in column if not line[0]} <= set(headings)
        least = sum(kind.height("body") if line[0] else kind.height("eyebrow") for line in column)
        assert least < box.height - 134 * rooms.unit
    assert box.bottom <= rooms.size[1]


@pytest.mark.parametrize("size", [*SIZES, (2560, 1440)])
@pytest.mark.parametrize("theme", ["night", "hall"])
def test_the_keys_are_shared_out_evenly_over_as_few_leaves_as_it_takes(size: tuple[int, int], theme: str) -> None:
    player = opened(size, theme)
    rooms, look = player.window.rooms, player.window.theme
    leaves = keys_leaves(rooms.size, rooms.unit, look, KEYS)
    columns = [len(column) for pair in leaves for column in pair]
    assert min(columns[:-1]) > 0.6 * max(columns)
    assert sum(columns[-2:]) > 0.5 * sum(columns[:2]), "the last leaf is as good as empty"


def test_tab_and_arrows_turn_the_leaves_round_and_escape_goes_back() -> None:
    player = opened()
    before = pygame.image.tobytes(player.surface, "RGB")
    player.key(pygame.K_TAB)
    assert leaf(player) == 1
    assert pygame.image.tobytes(player.surface, "RGB") != before
    player.key(pygame.K_TAB, pygame.KMOD_SHIFT)
    assert leaf(player) == 0
    player.key(pygame.K_LEFT)
    assert leaf(player) > 0
    player.key(pygame.K_RIGHT)
    assert leaf(player) == 0
    player.key(pygame.K_ESCAPE)
    assert isinstance(player.window.screen, BenchScreen)


def test_a_click_turns_on_and_from_the_last_leaf_goes_back() -> None:
    player = opened()
    rooms = player.window.rooms
    count = len(keys_leaves(rooms.size, rooms.unit, player.window.theme, KEYS))
    for turned in range(count):
        assert leaf(player) == turned
        player._post(pygame.MOUSEBUTTONDOWN, pos=(600, 400), button=1)
    assert isinstance(player.window.screen, BenchScreen)

"""A page that is one sheet lies on a mat that takes the whole width, and cuts none of its numbers."""

from __future__ import annotations

import pygame
import pytest

from sim.game.screens.screen import SheetScreen
from tests.game.lettering import watching
from tests.game.playing import Player

SIZES = ((1024, 720), (1280, 800), (1366, 768), (1920, 1080))
PAGES = {"keys": pygame.K_F1, "settings": pygame.K_F2}


def opened(name: str, size: tuple[int, int], theme: str) -> Player:
    player = Player(size=size, theme=theme, watching=False)
    player.key(PAGES[name])
    assert isinstance(player.window.screen, SheetScreen)
    return player


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize("size", SIZES)
def test_the_mat_reaches_as_far_beside_the_sheet_on_its_right_as_on_its_left(
    size: tuple[int, int], theme: str, name: str
) -> None:
    player = opened(name, size, theme)
    rooms, look = player.window.rooms, player.window.theme
    screen = player.window.screen
    assert isinstance(screen, SheetScreen)
    sheet = screen.arranged(rooms, look).box
    seen = player.picture()
    margin = round(20 * rooms.unit)  # the wood's, and a little of the mat's edge
    assert margin < sheet.left
    assert sheet.right < size[0] - margin
    for x in (margin, size[0] - 1 - margin):
        red, green, *_ = seen.get_at((x, sheet.centery + 3))
        assert green > red, "the mat is green, the wood is brown"
    wood = seen.get_at((size[0] - 1 - round(8 * rooms.unit), sheet.centery + 3))
    assert wood[0] >= wood[1]


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("size", SIZES)
def test_all_that_is_written_stands_on_the_sheet(size: tuple[int, int], name: str) -> None:
    player = opened(name, size, "night")
    rooms, look, screen = player.window.rooms, player.window.theme, player.window.screen
    assert isinstance(screen, SheetScreen)
    with watching() as lettering:
        page = lettering.page(screen.sprites(rooms, look), rooms.size, look.words.of)
    assert page.texts
    sheet = screen.arranged(rooms, look).box
    assert all(sheet.contains(text.box) for text in page.texts)

"""The page of the parts in other languages: it opens from the settings, and each part stands in the player's words."""

from __future__ import annotations

import pygame
import pytest

from sim.game.app.window import Window
from sim.game.look.languages import LANGUAGES, PARTS
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.view import rooms
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.languages_page import LanguagesScreen
from sim.game.screens.settings_page import SettingsScreen
from sim.words import SETS, Words
from tests.game.lettering import Page, faults, watching
from tests.game.playing import LEVEL


def key(window: Window, *keys: int) -> None:
    for each in keys:
        window.handle(pygame.event.Event(pygame.KEYDOWN, key=each, mod=0))


def seen(theme_name: str, words: str, size: tuple[int, int], scale: float = 1.0) -> Page:
    theme = load_theme(theme_name, Words(words))
    room = rooms(size, scale, theme.widths)
    with watching() as lettering:
        return lettering.page(LanguagesScreen().sprites(room, theme), room.size, theme.words.of)


def test_it_opens_from_the_settings_and_goes_back_to_them() -> None:
    window = Window((1280, 800), LEVEL)
    for leave in (pygame.K_ESCAPE, pygame.K_RETURN):
        key(window, pygame.K_F2)
        settings = window.screen
        assert isinstance(settings, SettingsScreen)
        spot = settings.arranged(window.rooms, window.theme).places["", "languages"].center
        window.handle(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=spot, button=1))
        pages = [type(window.screen)]
        for pressed in (leave, pygame.K_ESCAPE):
            key(window, pressed)
            pages.append(type(window.screen))
        assert pages == [LanguagesScreen, SettingsScreen, BenchScreen]


def test_every_part_has_a_name_in_every_language() -> None:
    assert len(LANGUAGES) == len(PARTS[0]) - 1
    assert all(all(name.strip() for name in part) for part in PARTS)
    for column in zip(*PARTS, strict=True):
        assert len(set(column)) == len(column)


@pytest.mark.parametrize("words", SETS)
@pytest.mark.parametrize("theme_name", theme_names())
def test_all_is_seen_whole_and_only_the_parts_follow_the_set(theme_name: str, words: str) -> None:
    for size, scale in (((1024, 720), 1.0), ((1280, 800), 1.0), ((1920, 1080), 1.4)):
        page = seen(theme_name, words, size, scale)
        assert faults(page, load_theme(theme_name).least_type) == []
        texts = {text.words for text in page.texts}
        assert {Words(words).of(part.said) for part in PARTS} <= texts
        assert {name for part in PARTS for name in part[1:]} <= texts

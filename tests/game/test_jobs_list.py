"""The list of jobs says how far it is turned, and the beginning of each brief ends where it is said to go on."""

from __future__ import annotations

import pygame
import pytest

from sim.game.draw.pages.ledger import ledger_rows
from sim.game.screens.jobs_page import JobsScreen
from tests.game.lettering import Page, watching
from tests.game.playing import Player

_PAUSES = ("…", ".", "!", "?")


def _page(player: Player) -> Page:
    rooms, theme = player.window.rooms, player.window.theme
    with watching() as lettering:
        return lettering.page(player.window.screen.sprites(rooms, theme), rooms.size, theme.words.of)


def _list(size: tuple[int, int], theme: str) -> tuple[Player, JobsScreen]:
    player = Player(None, size, theme)
    assert isinstance(player.window.screen, JobsScreen)
    return player, player.window.screen


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_a_brief_ends_with_a_sentence_or_says_that_it_goes_on(size: tuple[int, int], theme: str) -> None:
    player, screen = _list(size, theme)
    said = [text.words for text in _page(player).texts]
    rows = {name for name in screen.places(player.window.rooms, player.window.theme)}
    found = 0
    for job in screen.jobs:
        if job.name not in rows or job.command:
            continue
        start = job.brief[:18]
        shown = [words for words in said if words.startswith(start)]
        assert len(shown) == 1, job.title
        assert shown[0].endswith(_PAUSES), shown
        assert shown[0].rstrip(" …") in job.brief
        assert not shown[0].rstrip(" …").endswith((",", ";", ":"))
        found += 1
    assert found > 3


def test_the_list_says_how_much_there_is_above_and_below() -> None:
    player, screen = _list((1280, 800), "night")

    def beyond() -> tuple[int, int]:
        texts = [text.words for text in _page(player).texts]
        above = next((int(words.split()[0]) for words in texts if words.endswith("more above")), 0)
        below = next((int(words.split()[0]) for words in texts if words.endswith("more below")), 0)
        return above, below

    count = len(screen.jobs)
    for _ in range(count):
        rooms = player.window.rooms
        _, shown = ledger_rows(screen._box(rooms), rooms.unit, screen.jobs, screen.first)
        assert beyond() == (min(shown), count - 1 - max(shown))
        player.window.handle(pygame.event.Event(pygame.MOUSEWHEEL, y=-1, x=0))
    assert beyond()[0] > 0

"""One Escape too many does not end the program; the ways out that are meant do."""

from __future__ import annotations

import pygame
import pytest

from sim.game.app.window import Window
from sim.game.items.common.commands import AskWindow, Page, ShowPage
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.keys_page import KeysScreen
from sim.game.screens.question import Question
from sim.game.whereabouts.viewstate import ViewState
from tests.game.playing import LEVEL


def press(window: Window, *keys: int, mod: int = 0) -> None:
    for key in keys:
        window.handle(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod))
        window.tick(1 / 60)


def seen(window: Window) -> ViewState:
    """The view of the bench that is open."""
    assert isinstance(window.screen, BenchScreen)
    return window.screen.view


def asked(window: Window) -> Question:
    assert window.question is not None
    return window.question


def test_escape_on_the_list_of_jobs_asks_first() -> None:
    window = Window((1280, 800), LEVEL)
    press(window, pygame.K_ESCAPE)
    assert isinstance(window.screen, JobsScreen)
    assert window.question is None
    press(window, pygame.K_ESCAPE)
    assert asked(window).title == "Leave frogbench?"
    assert window.running


@pytest.mark.parametrize(
    ("keys", "stays"),
    [
        ((pygame.K_ESCAPE,), True),
        ((pygame.K_RETURN,), True),
        ((pygame.K_SPACE,), True),
        ((pygame.K_TAB, pygame.K_RETURN), False),
        ((pygame.K_RIGHT, pygame.K_LEFT, pygame.K_RETURN), True),
        ((pygame.K_LEFT, pygame.K_KP_ENTER), False),
    ],
)
def test_what_the_keys_answer(keys: tuple[int, ...], stays: bool) -> None:
    window = Window((1280, 800))
    press(window, pygame.K_ESCAPE, *keys)
    assert window.running == stays
    assert window.question is None


def test_escape_puts_away_one_page_after_the_other() -> None:
    window = Window((1280, 800), LEVEL)
    bench = window.screen
    window.do(ShowPage(Page.SETTINGS))
    settings = window.screen
    window.do(ShowPage(Page.CAUTIONS))
    press(window, pygame.K_ESCAPE)
    assert window.screen is settings
    press(window, pygame.K_ESCAPE)
    assert window.screen is bench
    window.do(ShowPage(Page.KEYS))
    window.do(ShowPage(Page.NAMES))
    press(window, pygame.K_ESCAPE)
    assert isinstance(window.screen, KeysScreen)
    press(window, pygame.K_F2, pygame.K_F1, pygame.K_ESCAPE)
    assert window.screen is bench, "a page that is in the pile already is not laid there twice"


@pytest.mark.parametrize("page", [*Page, AskWindow.OPEN, AskWindow.SAVE_AS])
@pytest.mark.parametrize("tabs", [0, 1, 4])
def test_escape_puts_away_a_page_alone_whatever_its_ring_is_round(page: Page | AskWindow, tabs: int) -> None:
    window = Window((1280, 800), LEVEL)
    bench, settings = window.screen, window.settings
    window.do(ShowPage(page) if isinstance(page, Page) else page)
    assert window.screen is not bench
    press(window, *[pygame.K_TAB] * tabs, pygame.K_ESCAPE)
    assert window.screen is bench
    assert window.settings == settings
    assert window.question is None
    assert window.running


def test_escape_puts_a_caution_away_before_it_leaves_the_bench() -> None:
    window = Window((1280, 800), LEVEL)
    press(window, pygame.K_u)
    assert seen(window).caution is not None
    press(window, pygame.K_ESCAPE)
    assert seen(window).caution is None
    press(window, pygame.K_ESCAPE)
    assert isinstance(window.screen, JobsScreen)


def test_escape_stops_a_test_before_it_leaves_the_bench() -> None:
    window = Window((1280, 800), LEVEL)
    press(window, pygame.K_t)
    assert seen(window).testing is not None
    press(window, pygame.K_ESCAPE)
    for _ in range(40):
        window.tick(1 / 60)
    assert seen(window).testing is None
    assert isinstance(window.screen, BenchScreen)
    assert window.screen.result is None


def test_nothing_else_is_done_while_it_is_asked() -> None:
    window = Window((1280, 800))
    page = window.screen
    press(window, pygame.K_ESCAPE, pygame.K_F2, pygame.K_s, pygame.K_a)
    window.handle(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=(200, 300), button=1))
    assert window.screen is page
    assert window.settings.sound
    asked(window)


@pytest.mark.parametrize(("number", "stays"), [(0, True), (1, False)])
def test_the_buttons_answer(number: int, stays: bool) -> None:
    window = Window((1280, 800))
    press(window, pygame.K_ESCAPE)
    place = asked(window).arranged(window.rooms, window.theme).places[number]
    window.handle(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=place.center, button=1))
    assert window.running == stays


def test_ctrl_and_q_leaves_from_everywhere() -> None:
    for target in (None, LEVEL):
        window = Window((1280, 800), target)
        press(window, pygame.K_q, mod=pygame.KMOD_CTRL)
        assert not window.running

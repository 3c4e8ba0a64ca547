"""One Escape too many does not end the program; the ways out that are meant do."""

from __future__ import annotations

import pygame
import pytest

from sim.game.app.window import Window
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.question import Question
from tests.game.playing import LEVEL


def press(window: Window, *keys: int, mod: int = 0) -> None:
    for key in keys:
        window.handle(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod))
        window.tick(1 / 60)


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
        ((pygame.K_ESCAPE,), False),
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

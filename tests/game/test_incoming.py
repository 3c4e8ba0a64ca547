"""One press means one thing, however long a page takes to draw; what repeats does so once a frame."""

from __future__ import annotations

import pygame
import pytest

from sim.game.app.incoming import Incoming


def down(key: int) -> pygame.event.Event:
    return pygame.event.Event(pygame.KEYDOWN, key=key, mod=0)


def up(key: int) -> pygame.event.Event:
    return pygame.event.Event(pygame.KEYUP, key=key, mod=0)


def motion(x: int) -> pygame.event.Event:
    return pygame.event.Event(pygame.MOUSEMOTION, pos=(x, 0))


@pytest.mark.parametrize("key", [pygame.K_ESCAPE, pygame.K_RETURN, pygame.K_SPACE, pygame.K_t, pygame.K_F11])
def test_a_held_key_is_pressed_once(key: int) -> None:
    """Seen on a real screen: the list of jobs took 0.7 s to draw, and the one Escape that opened it also closed it."""
    incoming = Incoming()
    assert incoming.sift([down(key)]) == [down(key)]
    assert incoming.sift([down(key), down(key), up(key)]) == []
    assert incoming.sift([down(key)]) == [down(key)]


@pytest.mark.parametrize("key", [pygame.K_TAB, pygame.K_RIGHT, pygame.K_PAGEUP, pygame.K_PERIOD])
def test_a_key_that_means_more_of_the_same_repeats_once_a_frame(key: int) -> None:
    incoming = Incoming()
    assert incoming.sift([down(key)]) == [down(key)]
    assert incoming.sift([down(key), down(key), down(key)]) == [down(key)]
    assert incoming.sift([down(key), up(key)]) == [down(key)]


def test_two_quick_presses_are_two() -> None:
    key = pygame.K_ESCAPE
    assert Incoming().sift([down(key), up(key), down(key), up(key)]) == [down(key), down(key)]


def test_of_motions_in_a_row_the_last_counts() -> None:
    press = pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=(2, 0), button=1)
    assert Incoming().sift([motion(1), motion(2), press, motion(3), motion(4)]) == [motion(2), press, motion(4)]

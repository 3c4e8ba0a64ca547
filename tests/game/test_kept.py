"""Drawings are kept as long as pictures use them, and do not grow without end."""

from __future__ import annotations

import pygame
import pytest

from sim.game.draw.pen.kept import kept, kept_bytes, next_picture

SMALL = (100, 100)
ROOM = 64_000_000


@pytest.fixture
def drawn() -> list[int]:
    return []


def test_what_is_drawn_once_is_the_same_until_it_is_forgotten(drawn: list[int]) -> None:
    @kept
    def square(size: int, *, alpha: bool = True) -> pygame.Surface:
        drawn.append(size)
        return pygame.Surface((size, size), pygame.SRCALPHA if alpha else 0)

    before = kept_bytes()
    assert square(10) is square(10)
    assert square(10, alpha=False) is not square(10)
    assert drawn == [10, 10]
    assert kept_bytes() == before + 10 * 10 * 4 + 10 * 10 * square(10, alpha=False).get_bytesize()
    square.cache_clear()  # type: ignore[attr-defined]
    assert kept_bytes() == before
    square(10)
    assert drawn == [10, 10, 10]
    square.cache_clear()  # type: ignore[attr-defined]


def test_a_full_shelf_loses_what_was_used_longest_ago_but_nothing_of_late(drawn: list[int]) -> None:
    @kept
    def part(number: int) -> tuple[pygame.Surface, int]:
        drawn.append(number)
        return pygame.Surface((1000, 1000), pygame.SRCALPHA), number

    count = ROOM // 4_000_000 + 4
    for number in range(count):
        part(number)
    next_picture(SMALL)
    assert kept_bytes() >= count * 4_000_000  # all were used just now
    for _ in range(5):
        next_picture(SMALL)
        part(0)
    assert kept_bytes() <= ROOM
    drawn.clear()
    part(0)
    part(count - 1)
    assert drawn == []
    part(1)
    assert drawn == [1]
    part.cache_clear()  # type: ignore[attr-defined]


def test_a_larger_picture_has_a_larger_shelf(drawn: list[int]) -> None:
    @kept
    def part(number: int) -> pygame.Surface:
        drawn.append(number)
        return pygame.Surface((1000, 1000), pygame.SRCALPHA)

    large = (3840, 2160)
    for number in range(40):
        part(number)
    for _ in range(5):
        next_picture(large)
    drawn.clear()
    for number in range(40):
        part(number)
    assert drawn == []
    part.cache_clear()  # type: ignore[attr-defined]

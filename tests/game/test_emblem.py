"""The emblem shows its two rails and its frog at every size of an icon."""

from __future__ import annotations

import numpy as np
import pygame
import pytest

import sim.game  # noqa: F401 - before pygame, whose greeting it hides
from sim.game.draw.pen.emblem import emblem


def near(pixels: np.ndarray, colour: tuple[int, int, int]) -> int:
    """How many pixels are close to a colour."""
    return int(np.sum(np.abs(pixels.astype(int) - np.array(colour)).max(axis=2) < 60))


@pytest.mark.parametrize("size", [16, 24, 32, 48, 64, 128, 256])
def test_amber_violet_and_frog_each_take_their_share(size: int) -> None:
    pixels = pygame.surfarray.array3d(emblem(size))
    whole = size * size
    amber, violet, frog = (near(pixels, colour) for colour in ((255, 178, 46), (160, 122, 255), (240, 236, 222)))
    assert 0.05 * whole < amber < 0.25 * whole
    assert 0.05 * whole < violet < 0.25 * whole
    assert 0.05 * whole < frog < 0.25 * whole


@pytest.mark.parametrize("size", [16, 32, 64])
def test_the_corners_are_clear_and_the_middle_is_not(size: int) -> None:
    alpha = pygame.surfarray.array_alpha(emblem(size))
    assert alpha[0, 0] < 128
    assert alpha[-1, -1] < 128
    assert alpha[size // 2, size // 2] == 255


def test_the_edge_has_no_dark_rim_of_a_premultiplied_picture() -> None:
    """Where a rail meets the round corner, half clear pixels keep the rail's colour."""
    picture = emblem(64)
    alpha = pygame.surfarray.array_alpha(picture)
    pixels = pygame.surfarray.array3d(picture)
    half = (alpha > 40) & (alpha < 200)
    assert half.any()
    assert pixels[half].max() > 80

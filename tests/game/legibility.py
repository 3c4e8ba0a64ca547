"""How well every text of a page can be read: the contrast of its ink with what it stands on, as they come out drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.paper.plan import Floats
from sim.game.picture.compositor import paint
from tests.game.lettering import watching

__all__ = ["TEXT", "Legible", "legible"]

TEXT = 4.5
"""WCAG 2.2, success criterion 1.4.3."""
_ROUND = 6
"""Pixels that are looked at round a line's ink, so that most of them are ground, also round a single letter."""
_INK_SHARE = 0.04
"""Part of a line's box that is ink in any case: so many of its pixels differ most from the ground."""


class Legible(NamedTuple):
    """A line of a page, and the contrast with which it stands there."""

    words: str
    ratio: float
    box: pygame.Rect


def _luminance(colours: Floats) -> Floats:
    c = colours / 255.0
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    light: Floats = linear @ np.array([0.2126, 0.7152, 0.0722])
    return light


def legible(draw: Callable[[], Sequence[Sprite]], size: tuple[int, int]) -> list[Legible]:
    """Every text that a picture shows. The picture is drawn twice, once to see where its texts are."""
    picture = pygame.Surface(size)
    paint(picture, draw())
    with watching() as lettering:
        page = lettering.page(draw(), size, str)
    out = []
    whole = picture.get_rect()
    for text in page.texts:
        box = text.box.inflate(_ROUND, _ROUND).clip(whole)
        if box.width < 3 or box.height < 3 or not text.words.strip():
            continue
        light = _luminance(pygame.surfarray.array3d(picture.subsurface(box)).reshape(-1, 3).astype(float))
        ground = float(np.median(light))
        ratios = (np.maximum(light, ground) + 0.05) / (np.minimum(light, ground) + 0.05)
        count = max(1, int(len(ratios) * _INK_SHARE))
        ink = float(np.median(np.sort(ratios)[-count:]))
        out.append(Legible(text.words, round(ink, 2), box))
    return out

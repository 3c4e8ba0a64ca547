"""The window drawn so that its pictures can be compared: without text, and with polygons filled by one rule.

Text is kept out, so that a new word is not a new picture: a line draws nothing but keeps its measures. Polygons are
filled here, because pygame and pygame-ce fill their edges differently by a pixel of the pen's sheet; everything else
the two draw alike.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from typing import Any

import numpy as np
import pygame

from sim.game.look import fonts
from sim.game.paper.view import Point

__all__ = ["comparable", "fill_polygon", "forget_drawings"]


def forget_drawings() -> None:
    """Let everything that is kept drawn be drawn again."""
    for name, module in list(sys.modules.items()):
        if name.startswith("sim.game"):
            for thing in vars(module).values():
                if hasattr(thing, "cache_clear") and getattr(thing, "__module__", "").startswith("sim.game"):
                    thing.cache_clear()


def fill_polygon(surface: pygame.Surface, colour: Any, points: Sequence[Point], width: int = 0) -> pygame.Rect:
    """Fill every pixel whose middle lies inside a polygon, an even-odd rule; as pygame.draw.polygon without width."""
    if width:
        raise ValueError("an outline is not drawn by this rule")
    wide, high = surface.get_size()
    rows = np.asarray(points, dtype=np.float64)
    x0, y0 = max(0, int(rows[:, 0].min())), max(0, int(rows[:, 1].min()))
    x1, y1 = min(wide, int(rows[:, 0].max()) + 2), min(high, int(rows[:, 1].max()) + 2)
    if x1 <= x0 or y1 <= y0:
        return pygame.Rect(x0, y0, 0, 0)
    a, b = rows, np.roll(rows, -1, axis=0)
    rise = b[:, 1] - a[:, 1]
    sloping = rise != 0
    a, b, rise = a[sloping], b[sloping], rise[sloping]
    y = np.arange(y0, y1)[:, None] + 0.5
    crossed = (np.minimum(a[:, 1], b[:, 1]) <= y) & (y < np.maximum(a[:, 1], b[:, 1]))
    row, edge = np.nonzero(crossed)
    x = a[edge, 0] + (y[row, 0] - a[edge, 1]) * (b[edge, 0] - a[edge, 0]) / rise[edge]
    first = np.clip(np.ceil(x - 0.5 - 1e-9).astype(np.intp), x0, x1) - x0  # the first pixel right of the crossing
    crossings = np.zeros((x1 - x0 + 1, y1 - y0), dtype=np.uint8)
    np.add.at(crossings, (first, row), 1)
    inside = (np.add.accumulate(crossings, axis=0, dtype=np.uint8)[:-1] & 1).astype(bool)
    value = surface.map_rgb(colour) & 0xFFFFFFFF
    pixels = pygame.surfarray.pixels2d(surface)
    pixels[x0:x1, y0:y1][inside] = value
    del pixels
    return pygame.Rect(x0, y0, x1 - x0, y1 - y0)


@contextmanager
def comparable() -> Iterator[None]:
    """Draw so within; what was drawn before, and within, is not kept."""
    line, polygon = fonts._line, pygame.draw.polygon

    @lru_cache(maxsize=1500)
    def clear(file: str, size: int, spacing: float, text: str, colour: tuple[int, int, int]) -> pygame.Surface:
        return pygame.Surface(line(file, size, spacing, text, colour).get_size(), pygame.SRCALPHA)

    forget_drawings()
    fonts._line = clear
    pygame.draw.polygon = fill_polygon  # type: ignore[assignment]
    try:
        yield
    finally:
        fonts._line, pygame.draw.polygon = line, polygon
        forget_drawings()

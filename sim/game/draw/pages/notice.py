"""What a window shows that is too small for anything else."""

from __future__ import annotations

from functools import lru_cache

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import put
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["too_small"]


@lru_cache(maxsize=2)
def too_small(size: tuple[int, int], least: tuple[int, int], theme: Theme) -> Sprite:
    """A plain page of the window's size, px, that says what size is needed."""
    kind = Type(theme, 1.0)
    surface = pygame.Surface(size)
    surface.fill(theme["top"])
    text = f"This window is too small for the bench. Make it at least {least[0]} by {least[1]}."
    lines = kind.wrap(text, "body", max(160, min(size[0] - 48, 420)))
    y = (size[1] - len(lines) * kind.height("body")) / 2
    for line in lines:
        put(surface, (size[0] / 2, y), line, "body", theme["top-text"], kind, "middle")
        y += kind.height("body")
    return Sprite(surface, 0, 0)

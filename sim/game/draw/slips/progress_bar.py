"""The bar that fills while something is worked out, in the place of the button that asked for it."""

from __future__ import annotations

import math

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, rounded
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["progress"]


def progress(rect: pygame.Rect, unit: float, theme: Theme, share: float, words: str = "Testing, ") -> Sprite:
    """A bar that fills while the test runs; `words`: before its share."""
    pen = Pen(rect, 3)
    x, y, w, h = rect
    pen.polygon(rounded((x, y, w, h), 7 * unit), theme["ink-second"])
    filled = max(14 * unit, (w - 4 * unit) * min(1.0, share))
    pen.wash(
        rounded((x + 2 * unit, y + 2 * unit, filled, h - 4 * unit), 5 * unit), (theme["clean-top"], theme["clean-foot"])
    )
    end = x + 2 * unit + filled
    for top in (y + 2 * unit, y + h - 6 * unit):  # a mark where it ends, above and below the words
        pen.span(end - 2 * unit, top, end, top + 4 * unit, theme["paper"])
    sprite = pen.done()
    kind = Type(theme, unit)
    label = kind.line(f"{words}{math.floor(share * 100)} %", "button", theme["button-text"])
    lay(sprite.surface, label, ((w - label.get_width()) / 2, (h - label.get_height()) / 2))
    return sprite

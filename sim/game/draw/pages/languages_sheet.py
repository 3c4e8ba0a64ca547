"""The page of the parts in other languages: one sheet, a table with a line for each part."""

from __future__ import annotations

from functools import lru_cache

import pygame

from sim.game.draw.pen.ink import Sprite, merge
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.languages import LANGUAGES, PARTS
from sim.game.look.theme import Theme
from sim.words import verbatim

__all__ = ["LANGUAGES_SIZE", "languages_sheet"]

_EDGE, _HEAD, _STEP, _FOOT = 32.0, 84.0, 23.0, 24.0
_COLUMNS = (206.0, 226.0, 218.0, 166.0)  # layout px
LANGUAGES_SIZE = (2 * _EDGE + sum(_COLUMNS), _HEAD + _STEP * (len(PARTS) + 1) + _FOOT)
"""Width and height of the sheet, layout px."""


@lru_cache(maxsize=4)
def languages_sheet(box: Box, unit: float, theme: Theme) -> Sprite:
    """The sheet as one sprite; the parts' own names in the theme's words."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left, width = rect.x + _EDGE * unit - dx, rect.width - 2 * _EDGE * unit
    ink, second = theme["ink"], theme["ink-second"]
    put(surface, (left, rect.y + 22 * unit - dy), "In other languages", "result", ink, kind)
    put(surface, (left + width, rect.y + 40 * unit - dy), "Esc: back", "body", second, kind, "right")
    rule(surface, left, rect.y + 72 * unit - dy, width, unit, theme)
    rows = [("Part", *LANGUAGES), *((part.said, *map(verbatim, part[1:])) for part in PARTS)]
    for number, row in enumerate(rows):
        x, y = left, rect.y + (_HEAD + _STEP * number) * unit - dy
        for column, (text, wide) in enumerate(zip(row, _COLUMNS, strict=True)):
            role = "body-bold" if not (number and column) else "body"
            put(surface, (x, y), kind.fit(text, role, (wide - 12) * unit), role, ink if number else second, kind)
            x += wide * unit
    return whole

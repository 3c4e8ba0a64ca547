"""A name on a small paper label, with a thin leader to the place that it names; and the sheet that stands beside."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import clip, paper
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme
from sim.game.paper.view import Point

__all__ = ["glossary", "glossary_height", "label_size", "name_label"]

_ROLE = "body-bold"
_LINES = (
    "Points normal: set for the main track. Points diverging: set for the other one.",
    "The closed blade touches its stock rail, the open one does not.",
    "A contact joins its common to one outer at a time; the points say to which.",
    "Rest the pointer on a rail: it says its name.",
)


def label_size(unit: float, theme: Theme, words: str) -> tuple[float, float]:
    """Width and height of a label, px."""
    kind = Type(theme, unit)
    return kind.width(words, _ROLE) + 14 * unit, kind.height(_ROLE) + 4 * unit


@kept
def name_label(words: str, at: Point, box: Box, unit: float, theme: Theme) -> Sprite:
    """The label in its box, and its leader."""
    kind, rect = Type(theme, unit), pygame.Rect(box)
    edge = rect.bottom if rect.bottom <= at[1] else rect.top
    area = rect.union(pygame.Rect(round(at[0]) - 5, round(min(edge, at[1])) - 5, 10, round(abs(at[1] - edge)) + 10))
    pen = Pen(area.inflate(6, 6), 3)
    for wide, colour in ((3.6 * unit, theme["ring-dark"]), (1.6 * unit, theme["ring"])):
        pen.stroke([(at[0], float(edge)), at], wide, colour)
        pen.disc(at, wide + 1.4 * unit, colour)
    line = pen.done()
    plate = Pen(area.inflate(6, 6), 3)
    plate.polygon(rounded(box, 4 * unit), theme["label-paper"])
    part = plate.done()
    whole = merge([line, shade(part, (2 * unit, 3 * unit), 4 * unit, 0.5 * theme.shadow), part])
    text = kind.line(words, _ROLE, theme["ink"])
    lay(whole.surface, text, (rect.centerx - text.get_width() / 2 - whole.x, rect.y + 2 * unit - whole.y))
    return whole


def _rows(kind: Type, width: float) -> list[tuple[str, ...]]:
    return [kind.wrap(line, "body", width - 32 * kind.scale) for line in _LINES]


def glossary_height(width: float, unit: float, theme: Theme) -> int:
    """How high the sheet is, px."""
    kind = Type(theme, unit)
    count = sum(len(lines) for lines in _rows(kind, width))
    return round(
        (20 + 10 + 6 * len(_LINES)) * unit + kind.height("heading") + (count + 1) * kind.height("body")
    )


@kept
def glossary(box: Box, unit: float, theme: Theme) -> Sprite:
    """The sheet: what the picture is, the few names that it cannot point at, and the way back."""
    kind, rect = Type(theme, unit), pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(112 * unit), rect.y - round(14 * unit), unit, theme)])
    left, y = rect.x + 16 * unit - whole.x, rect.y + 20 * unit - whole.y
    put(whole.surface, (left, y), "The names of a turnout", "heading", theme["ink"], kind)
    y += kind.height("heading") + 4 * unit
    for lines in _rows(kind, rect.width):
        for line in lines:
            put(whole.surface, (left, y), line, "body", theme["ink"], kind)
            y += kind.height("body")
        y += 6 * unit
    put(whole.surface, (left, y), "Esc, Enter or a click: back", "body", theme["ink-second"], kind)
    return whole

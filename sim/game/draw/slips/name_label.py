"""A name on a small paper label, with a thin leader to the place that it names; and the sheet that stands beside."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme
from sim.game.paper.view import Point

__all__ = ["glossary", "label_size", "name_label"]

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


@kept
def glossary(width: int, unit: float, theme: Theme) -> Arrangement[str]:
    """The sheet at that width: what the picture is, the few names that it cannot point at, and the way back."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, left, room = sheet.kind, 16 * unit, width - 32 * unit
    count = sum(len(kind.wrap(line, "body", room)) for line in _LINES)
    high = (30 + 6 * len(_LINES)) * unit + kind.height("heading") + (count + 1) * kind.height("body")
    sheet.paper(pygame.Rect(0, 0, width, round(high)), 112)
    sheet.words((left, 20 * unit), "The names of a turnout", "heading", theme["ink"])
    top = 24 * unit + kind.height("heading")
    for line in _LINES:
        top = sheet.paragraph((left, top), line, "body", theme["ink"], room) + 6 * unit
    sheet.words((left, top), "Esc, Enter or a click: back", "body", theme["ink-second"])
    return sheet

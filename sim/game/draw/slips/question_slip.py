"""A question on paper in the middle of the mat, with the buttons that answer it."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, put
from sim.game.draw.pen.paper_parts import button, paper
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["Question", "question_places", "question_sheet", "question_size"]

Question = tuple[str, str, str, str]
"""Heading, what follows from a yes, the words of yes and of no."""

_WIDTH, _EDGE, _BUTTON = 380.0, 24.0, 38.0


def _lines(kind: Type, question: Question) -> tuple[str, ...]:
    return kind.wrap(question[1], "body", (_WIDTH - 2 * _EDGE) * kind.scale)


def question_size(unit: float, theme: Theme, question: Question) -> tuple[int, int]:
    """Width and height of the sheet, px."""
    kind = Type(theme, unit)
    text = kind.height("title") + kind.height("body") * len(_lines(kind, question))
    return round(_WIDTH * unit), round(text + (20 + 16 + _BUTTON + 20) * unit)


def question_places(box: Box, unit: float) -> dict[str, pygame.Rect]:
    """Where "yes" and "no" lie."""
    x, y, w, h = box
    wide = (w - (2 * _EDGE + 12) * unit) / 2
    top, high = round(y + h - (20 + _BUTTON) * unit), round(_BUTTON * unit)
    return {
        "yes": pygame.Rect(round(x + _EDGE * unit), top, round(wide), high),
        "no": pygame.Rect(round(x + w - _EDGE * unit - wide), top, round(wide), high),
    }


@kept
def question_sheet(box: Box, unit: float, theme: Theme, question: Question) -> Sprite:
    """The sheet as one sprite."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, True, 23)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left, y = rect.x + _EDGE * unit - dx, rect.y + 18 * unit - dy
    put(surface, (left, y), question[0], "title", theme["ink"], kind)
    y += kind.height("title")
    for line in _lines(kind, question):
        put(surface, (left, y), line, "body", theme["ink"], kind)
        y += kind.height("body")
    if not theme.lamp:  # white paper on a mat that is nearly white
        pen = Pen(rect, 3)
        pen.frame((rect.x, rect.y, rect.width, rect.height), 3 * unit, 2 * unit, theme["ink-second"])
        edge = pen.done()
        lay(surface, edge.surface, (edge.x - dx, edge.y - dy))
    places = question_places(box, unit)
    for name, words, look in (("yes", question[2], "main"), ("no", question[3], "plain")):
        sprite = button(box_of(places[name]), unit, theme, words, look)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    return whole

"""A question on paper in the middle of the mat, with the buttons that answer it."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import paper
from sim.game.look.theme import Theme

__all__ = ["Question", "question_sheet"]

Question = tuple[str, str, str, str]
"""Heading, what follows from a yes, the words of yes and of no."""

_WIDTH, _EDGE, _BUTTON = 380.0, 24.0, 38.0


@kept
def question_sheet(unit: float, theme: Theme, question: Question) -> Arrangement[str]:
    """The sheet, at the window's corner, to be moved; its buttons are "yes" and "no"."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, edge, width = sheet.kind, _EDGE * unit, round(_WIDTH * unit)
    heading, text, yes, no = question
    room = (_WIDTH - 2 * _EDGE) * unit
    lines = kind.height("title") + kind.height("body") * len(kind.wrap(text, "body", room))
    sheet.box = pygame.Rect(0, 0, width, round(lines + (20 + 16 + _BUTTON + 20) * unit))
    box = box_of(sheet.box)
    sheet.draw(paper, box, unit, theme, True, 23)
    sheet.words((edge, 18 * unit), heading, "title", theme["ink"])
    sheet.paragraph((edge, 18 * unit + kind.height("title")), text, "body", theme["ink"], room)
    if not theme.lamp:  # white paper on a mat that is nearly white
        sheet.draw(_outline, box, unit, theme)
    wide, high = (width - (2 * _EDGE + 12) * unit) / 2, round(_BUTTON * unit)
    top = round(sheet.box.height - (20 + _BUTTON) * unit)
    sheet.button("yes", pygame.Rect(round(edge), top, round(wide), high), yes, "main")
    sheet.button("no", pygame.Rect(round(width - edge - wide), top, round(wide), high), no)
    return sheet


def _outline(box: Box, unit: float, theme: Theme) -> Sprite:
    pen = Pen(pygame.Rect(box), 3)
    pen.frame(box, 3 * unit, 2 * unit, theme["ink-second"])
    return pen.done()

"""A small slip of paper that says what is seen at a place: its name, a sentence, a caution."""

from __future__ import annotations

from collections.abc import Iterable

import pygame

from sim.coach.cautions import Caution
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.slips.caution import caution_heading
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["word_slip"]

_MARGIN, _EDGE, _BREATH = 12.0, 7.0, 9.0


@kept
def word_slip(
    unit: float, theme: Theme, heading: str, text: str, caution: Caution | None, width: float
) -> Arrangement[str]:
    """The slip, at the window's corner, to be moved; no wider than its words, and than `width`, px."""
    slip: Arrangement[str] = Arrangement(unit, theme)
    kind, margin = slip.kind, _MARGIN * unit
    rows = _rows(kind, width - 2 * margin, ((heading, "body-bold", "ink"), (text, "body", "ink")))
    if caution is not None:
        rows += [("", "", "")] if rows else []  # a rule
        more = ((caution_heading(caution), "body-bold", "pencil-red"), (caution.text, "body", "ink"))
        rows += _rows(kind, width - 2 * margin, more)
    widest = max((kind.width(words, role) for words, role, _ in rows if words), default=0)
    high = sum(kind.height(role) - 1 if words else _BREATH * unit for words, role, _ in rows)
    wide = round(min(width, round(widest + 2 * margin)))
    slip.box = pygame.Rect(0, 0, wide, round(high + 2 * _EDGE * unit))
    slip.draw(_ground, box_of(slip.box), unit, theme)
    top = _EDGE * unit
    for words, role, colour in rows:
        if words:
            slip.words((margin, top), words, role, theme[colour])
            top += kind.height(role) - 1
        else:
            slip.rule((margin, top + 0.5 * _BREATH * unit), wide - 2 * margin)
            top += _BREATH * unit
    return slip


def _rows(kind: Type, room: float, told: Iterable[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """Texts, each with its type and its colour, broken into lines."""
    return [
        (line, role, colour) for words, role, colour in told if words for line in kind.wrap(words, role, room)
    ]


def _ground(box: Box, unit: float, theme: Theme) -> Sprite:
    pen = Pen(pygame.Rect(box), 3)
    pen.polygon(rounded(box, 4 * unit), theme["paper"])
    pen.frame(box, 4 * unit, 1.0 * unit, theme["ink-second"], 0.55)
    part = pen.done()
    return merge([shade(part, (2 * unit, 5 * unit), 5 * unit, 0.45 * theme.shadow), part])

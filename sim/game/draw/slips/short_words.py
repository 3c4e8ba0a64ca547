"""What is said of a short beside its loop, all on one slip of paper: its place, what stands there, the caution."""

from __future__ import annotations

from functools import lru_cache

import pygame

from sim.coach.cautions import Caution
from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.draw.pen.paper_parts import rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["short_words", "short_words_size"]

_MARGIN, _EDGE, _BREATH = 12.0, 7.0, 9.0

Rows = tuple[tuple[str, str, str], ...]
"""Lines as (words, kind of type, colour); one without words is a rule."""


@lru_cache(maxsize=16)
def _rows(unit: float, theme: Theme, heading: str, text: str, caution: Caution | None, width: int) -> Rows:
    kind = Type(theme, unit)
    room = width - 2 * _MARGIN * unit
    out = [(line, "body-bold", "ink") for line in (kind.wrap(heading, "body-bold", room) if heading else ())]
    out += [(line, "body", "ink") for line in (kind.wrap(text, "body", room) if text else ())]
    if caution is not None:
        if out:
            out.append(("", "", ""))
        first = f"Caution: {caution.heading[:1].lower()}{caution.heading[1:]}"
        out += [(line, "body-bold", "pencil-red") for line in kind.wrap(first, "body-bold", room)]
        out += [(line, "body", "ink") for line in kind.wrap(caution.text, "body", room)]
    return tuple(out)


def short_words_size(
    unit: float, theme: Theme, heading: str, text: str, caution: Caution | None, width: int
) -> tuple[int, int]:
    """Width and height of the slip where it may be so wide, px; no wider than its words."""
    kind = Type(theme, unit)
    rows = _rows(unit, theme, heading, text, caution, width)
    widest = max((kind.width(words, role) for words, role, _ in rows if words), default=0)
    high = sum(kind.height(role) - 1 if words else _BREATH * unit for words, role, _ in rows)
    return min(width, round(widest + 2 * _MARGIN * unit)), round(high + 2 * _EDGE * unit)


@kept
def short_words(
    box: Box, unit: float, theme: Theme, heading: str, text: str, caution: Caution | None, width: int
) -> Sprite:
    """The slip in its box; `width`: that its lines were broken for."""
    rect = pygame.Rect(box)
    pen = Pen(rect, 3)
    pen.polygon(rounded((rect.x, rect.y, rect.width, rect.height), 4 * unit), theme["paper"])
    pen.frame((rect.x, rect.y, rect.width, rect.height), 4 * unit, 1.0 * unit, theme["ink-second"], 0.55)
    part = pen.done()
    kind = Type(theme, unit)
    top = _EDGE * unit
    for words, role, colour in _rows(unit, theme, heading, text, caution, width):
        if words:
            lay(part.surface, kind.line(words, role, theme[colour]), (_MARGIN * unit, top))
            top += kind.height(role) - 1
        else:
            rule(part.surface, _MARGIN * unit, top + 0.5 * _BREATH * unit, rect.width - 2 * _MARGIN * unit, unit, theme)
            top += _BREATH * unit
    return merge([shade(part, (2 * unit, 5 * unit), 5 * unit, 0.45 * theme.shadow), part])

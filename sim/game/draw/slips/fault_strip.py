"""The strip of paper along the mat's foot that says what a short was, where the sheet must not cover the terminals."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.ink import Sprite, merge
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import paper
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["fault_strip", "strip_height"]

_HEADING = "Short: breaker open"


def _lines(kind: Type, width: float, text: str, foot: str) -> tuple[tuple[str, ...], bool]:
    """The sentence in lines, the first beside the heading, and whether the foot has room beside the last."""
    room = width - 28 * kind.scale
    lines = kind.wrap(text, "body", room, kind.width(_HEADING, "body-bold") + 12 * kind.scale)
    before = kind.width(lines[-1], "body") if len(lines) > 1 else room
    return lines, before + kind.width(foot, "mark") + 18 * kind.scale <= room


def strip_height(kind: Type, width: float, text: str, foot: str) -> int:
    """How high the strip is, px, at a width."""
    lines, beside = _lines(kind, width, text, foot)
    return round((kind.height("body")) * (len(lines) + (not beside)) + 14 * kind.scale)


@kept
def fault_strip(box: Box, unit: float, theme: Theme, text: str, foot: str) -> Sprite:
    """The strip as one sprite: heading, sentence, and at its foot what to do."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, False, 43)])
    left, right = rect.x + 14 * unit - whole.x, rect.right - 14 * unit - whole.x
    top, step = rect.y + 6 * unit - whole.y, kind.height("body")
    used = put(whole.surface, (left, top), _HEADING, "body-bold", theme["pencil-red"], kind)
    lines, beside = _lines(kind, rect.width, text, foot)
    for k, line in enumerate(lines):
        start = left + used + 12 * unit if k == 0 else left
        put(whole.surface, (start, top + k * step), line, "body", theme["ink"], kind)
    low = top + (len(lines) - 1 + (not beside)) * step + (step - kind.height("mark")) / 2
    put(whole.surface, (right, low), foot, "mark", theme["ink-second"], kind, "right")
    return whole

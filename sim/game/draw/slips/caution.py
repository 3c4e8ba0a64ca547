"""A caution on a small paper slip, with a beak where it belongs to a thing; and the page on which all can be read."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import pygame

from sim.coach.cautions import Caution
from sim.game.draw.pen.ink import Sprite, merge
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import bubble, clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["caution_slip", "caution_slip_size", "cautions_sheet", "cautions_sheet_height"]

_WIDTH, _MARGIN = 262.0, 11.0


def _lines(kind: Type, caution: Caution, width: float) -> tuple[str, ...]:
    return kind.wrap(caution.text, "body", width * kind.scale * kind.theme.type_scale)


def _height(kind: Type, count: int) -> float:
    return (kind.height("body") - 1) * (count + 1) + 14 * kind.scale


def caution_slip_size(unit: float, theme: Theme, caution: Caution, width: float = _WIDTH) -> tuple[int, int]:
    """Width and height of the slip, px; `width`: most that its words take, layout px."""
    kind = Type(theme, unit)
    lines = _lines(kind, caution, width)
    widest = max(kind.width(line, "body") for line in lines)
    return round(widest + 2 * _MARGIN * unit), round(_height(kind, len(lines)))


@lru_cache(maxsize=4)
def caution_slip(
    tip: tuple[int, int] | None, box: Box, unit: float, theme: Theme, caution: Caution, width: float = _WIDTH
) -> Sprite:
    """The slip; `tip`: where its beak points, None for a slip that only lies there."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    own = ("", *_lines(kind, caution, width))
    whole = bubble(tip if tip is not None else rect.center, box, unit, theme, own)
    out = Sprite(whole.surface.copy(), whole.x, whole.y)
    left, top = rect.x + _MARGIN * unit, rect.centery - (kind.height("body") - 1) * len(own) / 2
    heading = f"Caution: {caution.heading[:1].lower()}{caution.heading[1:]}"
    put(out.surface, (left - out.x, top - out.y), heading, "body-bold", theme["pencil-red"], kind)
    return out


_HEAD, _EDGE, _BREATH = 94.0, 32.0, 12.0


def _rows(kind: Type, width: float, cautions: Sequence[Caution]) -> list[tuple[Caution, tuple[str, ...]]]:
    return [(caution, kind.wrap(caution.text, "body", width - 2 * _EDGE * kind.scale)) for caution in cautions]


def cautions_sheet_height(width: int, unit: float, theme: Theme, cautions: Sequence[Caution]) -> int:
    """Height of the page at a width, px."""
    kind = Type(theme, unit)
    rows = _rows(kind, width, cautions)
    text = sum(kind.height("heading") + kind.height("body") * len(lines) + _BREATH * unit for _, lines in rows)
    return round(text + (_HEAD + 20) * unit)


@lru_cache(maxsize=2)
def cautions_sheet(box: Box, unit: float, theme: Theme, cautions: tuple[Caution, ...]) -> Sprite:
    """All cautions on one sheet."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left = rect.x + _EDGE * unit - dx
    put(surface, (left, rect.y + 26 * unit - dy), "Cautions", "result", theme["ink"], kind)
    corner = (rect.right - _EDGE * unit - dx, rect.y + 44 * unit - dy)
    put(surface, corner, "Esc: back", "body", theme["ink-second"], kind, "right")
    rule(surface, left, rect.y + 76 * unit - dy, rect.width - 2 * _EDGE * unit, unit, theme)
    y = rect.y + _HEAD * unit - dy
    for caution, lines in _rows(kind, rect.width, cautions):
        put(surface, (left, y), caution.heading, "heading", theme["ink"], kind)
        y += kind.height("heading")
        for line in lines:
            put(surface, (left, y), line, "body", theme["ink"], kind)
            y += kind.height("body")
        y += _BREATH * unit
    return whole

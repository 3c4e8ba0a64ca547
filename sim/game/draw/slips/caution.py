"""A caution on a small paper slip, with a beak where it belongs to a thing."""

from __future__ import annotations

import pygame

from sim.coach.cautions import Caution
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import bubble
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["caution_slip", "caution_slip_size"]

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


@kept
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

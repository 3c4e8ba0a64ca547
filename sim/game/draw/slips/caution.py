"""A caution on a small paper slip, with a beak where it belongs to a thing."""

from __future__ import annotations

import pygame

from sim.coach.cautions import Caution
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.draw.pen.paper_parts import bubble
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["caution_heading", "caution_slip", "caution_slip_size"]

_WIDTH, _MARGIN = 262.0, 11.0


def caution_heading(caution: Caution) -> str:
    """What a caution is headed with where it stands among other words."""
    return f"Caution: {caution.heading[:1].lower()}{caution.heading[1:]}"


def _lines(kind: Type, caution: Caution, width: float) -> tuple[str, ...]:
    return kind.wrap(caution.text, "body", width * kind.scale * kind.theme.type_scale)


def caution_slip_size(unit: float, theme: Theme, caution: Caution, width: float = _WIDTH) -> tuple[int, int]:
    """Width and height of the slip, px; `width`: most that its words take, layout px."""
    kind = Type(theme, unit)
    lines = _lines(kind, caution, width)
    widest = max(kind.width(line, "body") for line in lines)
    return round(widest + 2 * _MARGIN * unit), round((kind.height("body") - 1) * (len(lines) + 1) + 14 * unit)


@kept
def caution_slip(
    tip: tuple[int, int] | None, box: Box, unit: float, theme: Theme, caution: Caution, width: float = _WIDTH
) -> Arrangement[str]:
    """The slip; `tip`: where its beak points, None for a slip that only lies there."""
    slip: Arrangement[str] = Arrangement(unit, theme)
    rect = pygame.Rect(box)
    own = ("", *_lines(slip.kind, caution, width))
    slip.draw(bubble, tip if tip is not None else rect.center, box, unit, theme, own)
    top = rect.centery - (slip.kind.height("body") - 1) * len(own) / 2
    slip.words((rect.x + _MARGIN * unit, top), caution_heading(caution), "body-bold", theme["pencil-red"])
    return slip

"""The strip of paper along the mat's foot that says what a short was, where the sheet must not cover the terminals."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Theme

__all__ = ["fault_strip"]

_HEADING = "Short: breaker open"


@kept
def fault_strip(width: int, unit: float, theme: Theme, text: str, foot: str) -> Arrangement[str]:
    """The strip at that width, at the window's corner, to be moved: heading, sentence, and what to do at its foot."""
    strip: Arrangement[str] = Arrangement(unit, theme)
    kind, edge, step = strip.kind, 14 * unit, strip.kind.height("body")
    used = kind.width(_HEADING, "body-bold") + 12 * unit
    room = width - 2 * edge
    lines = kind.wrap(text, "body", room, used)
    before = kind.width(lines[-1], "body") if len(lines) > 1 else room
    last = len(lines) - 1 + (before + kind.width(foot, "mark") + 18 * unit > room)  # whether it has room beside
    strip.slip(pygame.Rect(0, 0, width, round(step * (last + 1) + 14 * unit)), 43)
    strip.words((edge, 6 * unit), _HEADING, "body-bold", theme["pencil-red"])
    for k, line in enumerate(lines):
        strip.words((edge + (0 if k else used), 6 * unit + k * step), line, "body", theme["ink"])
    low = 6 * unit + last * step + (step - kind.height("mark")) / 2
    strip.words((width - edge, low), foot, "mark", theme["ink-second"], "right")
    return strip

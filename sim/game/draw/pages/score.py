"""The score of a level on the result sheet: a bar for every part, and the total."""

from __future__ import annotations

from collections.abc import Hashable
from typing import TypeVar

import pygame

from sim.coach.marks import Mark, Marks
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.paper_parts import rule_colour
from sim.game.look.theme import Theme, mix

__all__ = ["put_score"]

K = TypeVar("K", bound=Hashable)

_LONGEST = 161.0  # layout px of the longest bar: 35 marks at 4.6 px
_LEAST = 60.0
_BESIDE = 596.0  # what stands beside the bars: heading, names, numbers, total


def put_score(sheet: Arrangement[K], marks: Marks) -> float:
    """The score at the upper right of a sheet; gives the left edge of all of it."""
    unit, kind, rect, ink, second = sheet.unit, sheet.kind, sheet.box, sheet.theme["ink"], sheet.theme["ink-second"]
    right, top = rect.right - 16 * unit, rect.y + 18 * unit
    line_x = right - 112 * unit
    sheet.words((right - 54 * unit, top), str(marks.total), "total", ink, "middle")
    sheet.words((right - 54 * unit, rect.y + 88 * unit), "of 100", "mark", second, "middle")
    line = pygame.Rect(round(line_x), round(top), max(1, round(1.6 * unit)), round(88 * unit))
    sheet.fill(line, rule_colour(sheet.theme))
    longest = min(_LONGEST, max(_LEAST, rect.width / unit - 32 - _BESIDE)) * unit
    scale = longest / max(1, *(part.of for part in marks.parts))
    step = min(19 * unit, 92 * unit / max(1, len(marks.parts)))
    left = line_x - 77 * unit - longest
    for k, part in enumerate(marks.parts):
        middle = top + k * step + 9 * unit
        sheet.level((left - 12 * unit, middle), part.name, "body-bold", ink, "right")
        sheet.draw(_bar, left, middle, scale, part, unit, sheet.theme)
        sheet.level((line_x - 46 * unit, middle), str(part.reached), "score", ink, "right")
        sheet.level((line_x - 42 * unit, middle), f"of {part.of}", "mark", second)
    return left - 12 * unit - max((kind.width(part.name, "body-bold") for part in marks.parts), default=0)


def _bar(left: float, middle: float, scale: float, part: Mark, unit: float, theme: Theme) -> Sprite:
    top, high = middle - 5 * unit, 10 * unit
    area = pygame.Rect(round(left) - 1, round(middle - 6 * unit), round(part.of * scale) + 3, round(12 * unit))
    pen = Pen(area, 3)
    pen.polygon(rounded((left, top, part.of * scale, high), 2 * unit), mix(theme["paper"], theme["ink-second"], 0.35))
    if part.of:
        inside = (left + 1.2 * unit, top + 1.2 * unit, part.of * scale - 2.4 * unit, high - 2.4 * unit)
        pen.polygon(rounded(inside, 1.4 * unit), mix(theme["paper"], theme["paper-under"], 0.6))
    if part.reached:
        colour = theme["score-bar"]
        shape = rounded((left, top, part.reached * scale, high), 2 * unit)
        pen.wash(shape, (mix(colour, (255, 255, 255), 0.12), colour))
    return pen.done()

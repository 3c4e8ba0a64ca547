"""The score of a level on the result sheet: a bar for every part, and the total."""

from __future__ import annotations

import pygame

from sim.coach.marks import Mark, Marks
from sim.game.draw.pen.ink import Pen, lay, rounded
from sim.game.draw.pen.panel import put
from sim.game.look.fonts import Type
from sim.game.look.theme import mix

__all__ = ["put_score"]

_LONGEST = 161.0  # layout px of the longest bar: 35 marks at 4.6 px
_LEAST = 60.0
_BESIDE = 596.0  # what stands beside the bars: heading, names, numbers, total


def put_score(surface: pygame.Surface, rect: pygame.Rect, shift: tuple[int, int], kind: Type, marks: Marks) -> float:
    """Draw the score at the upper right of a sheet; gives the left edge of all of it.

    rect: the sheet, px; shift: where the surface's corner lies, px.
    """
    unit, theme = kind.scale, kind.theme
    dx, dy = shift
    right, top = rect.right - 16 * unit, rect.y + 18 * unit
    line_x = right - 112 * unit
    total = kind.line(str(marks.total), "total", theme["ink"])
    lay(surface, total, (right - 54 * unit - total.get_width() / 2 - dx, top - dy))
    at = (right - 54 * unit - dx, rect.y + 88 * unit - dy)
    put(surface, at, "of 100", "mark", theme["ink-second"], kind, "middle")
    line = (round(line_x - dx), round(top - dy), max(1, round(1.6 * unit)), round(88 * unit))
    pygame.draw.rect(surface, mix(theme["paper"], theme["ink-second"], 0.42), line)
    longest = min(_LONGEST, max(_LEAST, rect.width / unit - 32 - _BESIDE)) * unit
    scale = longest / max(1, *(part.of for part in marks.parts))
    step = min(19 * unit, 92 * unit / max(1, len(marks.parts)))
    left = line_x - 77 * unit - longest
    for k, part in enumerate(marks.parts):
        middle = top + k * step + 9 * unit
        high = kind.height("body-bold") / 2
        put(surface, (left - 12 * unit - dx, middle - high - dy), part.name, "body-bold", theme["ink"], kind, "right")
        _bar(surface, left, middle, scale, shift, kind, part)
        reached = (line_x - 46 * unit - dx, middle - kind.height("score") / 2 - dy)
        put(surface, reached, str(part.reached), "score", theme["ink"], kind, "right")
        whole = (line_x - 42 * unit - dx, middle - kind.height("mark") / 2 - dy)
        put(surface, whole, f"of {part.of}", "mark", theme["ink-second"], kind)
    return left - 12 * unit - max((kind.width(part.name, "body-bold") for part in marks.parts), default=0)


def _bar(
    surface: pygame.Surface, left: float, middle: float, scale: float, shift: tuple[int, int], kind: Type, part: Mark
) -> None:
    unit, theme = kind.scale, kind.theme
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
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x - shift[0], sprite.y - shift[1]))

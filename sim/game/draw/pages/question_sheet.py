"""A question on a small sheet over the picture, with its answers as buttons; and a label that tells something once."""

from __future__ import annotations

from functools import lru_cache

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import button, paper
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["question_box", "question_places", "question_sheet", "told_label"]

_WIDTH, _HIGH, _GAP = 520.0, 40.0, 14.0
_MOST_LINES = 4


def _lines(kind: Type, words: str) -> tuple[str, ...]:
    return kind.wrap(words, "body", (_WIDTH - 56) * kind.scale)[:_MOST_LINES] if words else ()


def question_box(size: tuple[int, int], unit: float, theme: Theme, words: str) -> Box:
    """Where the sheet lies on a picture of that size."""
    kind = Type(theme, unit)
    width = round(_WIDTH * unit)
    height = 24 * unit + kind.height("title") + 8 * unit + len(_lines(kind, words)) * kind.height("body")
    height += (20 + _HIGH + 24) * unit
    return round((size[0] - width) / 2), round(size[1] * 0.42 - height / 2), width, round(height)


def question_places(box: Box, unit: float, count: int) -> tuple[pygame.Rect, ...]:
    """Where the buttons lie, from left to right."""
    x, y, w, h = box
    width = (w - 56 * unit - (count - 1) * _GAP * unit) / count
    top = y + h - (24 + _HIGH) * unit
    return tuple(
        pygame.Rect(round(x + 28 * unit + k * (width + _GAP * unit)), round(top), round(width), round(_HIGH * unit))
        for k in range(count)
    )


@lru_cache(maxsize=4)
def question_sheet(box: Box, unit: float, theme: Theme, title: str, words: str, answers: tuple[str, ...]) -> Sprite:
    """The sheet as one sprite; the first answer is the one that is meant if nothing else is chosen."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, True, 37)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left, y = rect.x + 28 * unit - dx, rect.y + 20 * unit - dy
    put(surface, (left, y), kind.fit(title, "title", rect.width - 56 * unit), "title", theme["ink"], kind)
    y += kind.height("title") + 6 * unit
    for line in _lines(kind, words):
        put(surface, (left, y), line, "body", theme["ink-second"], kind)
        y += kind.height("body")
    for k, (place, answer) in enumerate(zip(question_places(box, unit, len(answers)), answers, strict=True)):
        sprite = button(tuple(place), unit, theme, answer, "plain" if k else "main")
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    return whole


@lru_cache(maxsize=4)
def told_label(size: tuple[int, int], unit: float, theme: Theme, words: str, fault: bool) -> Sprite:
    """A paper label at the foot of the picture that says in a line or two what has been done, or why it was not."""
    kind = Type(theme, unit)
    lines = kind.wrap(words, "body", min(size[0] - 120 * unit, 820 * unit))[:3]
    width = max(kind.width(line, "body") for line in lines) + 36 * unit
    height = kind.height("body") * len(lines) + 20 * unit
    box = pygame.Rect(round((size[0] - width) / 2), round(size[1] - 28 * unit - height), round(width), round(height))
    pen = Pen(box, 3)
    pen.polygon(rounded((box.x, box.y, box.width, box.height), 6 * unit), theme["label-paper"])
    part = pen.done()
    whole = merge([shade(part, (3 * unit, 5 * unit), 6 * unit, 0.6 * theme.shadow), part])
    ink = theme["pencil-red"] if fault else theme["ink"]
    for k, line in enumerate(lines):
        at = (box.x + 18 * unit - whole.x, box.y + 10 * unit + k * kind.height("body") - whole.y)
        lay(whole.surface, kind.line(line, "body", ink), at)
    return whole

"""A question on a small sheet over the picture, with its answers as buttons; and a label that tells something once."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.arrangement import Arrangement, in_the_middle
from sim.game.draw.pen.ink import Pen, Sprite, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import paper
from sim.game.look.theme import Theme

__all__ = ["question_sheet", "told_label"]

_WIDTH, _EDGE, _HIGH, _GAP = 520.0, 28.0, 40.0, 14.0
_MOST_LINES = 4


@kept
def question_sheet(
    size: tuple[int, int], unit: float, theme: Theme, title: str, words: str, answers: tuple[str, ...]
) -> Arrangement[int]:
    """The sheet in a window of that size; the first answer is the one that is meant if nothing else is chosen."""
    sheet: Arrangement[int] = Arrangement(unit, theme)
    kind, inner = sheet.kind, (_WIDTH - 2 * _EDGE) * unit
    lines = kind.wrap(words, "body", inner)[:_MOST_LINES] if words else ()
    height = kind.height("title") + len(lines) * kind.height("body") + (32 + 20 + _HIGH + 24) * unit
    sheet.box = box = in_the_middle(size, round(_WIDTH * unit), height, size[1] * 0.42 - height / 2)
    sheet.draw(paper, box_of(box), unit, theme, True, 37)
    left, y = box.x + _EDGE * unit, box.y + 20 * unit
    sheet.words((left, y), kind.fit(title, "title", box.width - 2 * _EDGE * unit), "title", theme["ink"])
    sheet.column((left, y + kind.height("title") + 6 * unit), lines, "body", theme["ink-second"])
    wide = (box.width - 2 * _EDGE * unit - (len(answers) - 1) * _GAP * unit) / len(answers)
    for k, answer in enumerate(answers):
        x, top = left + k * (wide + _GAP * unit), box.bottom - (24 + _HIGH) * unit
        place = pygame.Rect(round(x), round(top), round(wide), round(_HIGH * unit))
        sheet.button(k, place, answer, "plain" if k else "main")
    return sheet


@kept
def told_label(size: tuple[int, int], unit: float, theme: Theme, words: str, fault: bool) -> Sprite:
    """A paper label at the foot of the picture that says in a line or two what has been done, or why it was not."""
    label: Arrangement[str] = Arrangement(unit, theme)
    kind = label.kind
    lines = kind.wrap(words, "body", min(size[0] - 120 * unit, 820 * unit))[:3]
    width = max(kind.width(line, "body") for line in lines) + 36 * unit
    height = kind.height("body") * len(lines) + 20 * unit
    box = in_the_middle(size, width, height, size[1] - 28 * unit - height)
    label.draw(_label, box_of(box), unit, theme)
    ink = theme["pencil-red"] if fault else theme["ink"]
    label.column((box.x + 18 * unit, box.y + 10 * unit), lines, "body", ink)
    return label.sprite


def _label(box: Box, unit: float, theme: Theme) -> Sprite:
    pen = Pen(pygame.Rect(box), 3)
    pen.polygon(rounded(box, 6 * unit), theme["label-paper"])
    part = pen.done()
    return merge([shade(part, (3 * unit, 5 * unit), 6 * unit, 0.6 * theme.shadow), part])

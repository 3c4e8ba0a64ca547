"""The strip of paper along the mat's foot that says what a short was, where the sheet must not cover the terminals."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.coach.cautions import Caution
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.kept import kept
from sim.game.draw.slips.caution import caution_heading
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["fault_strip"]

_HEADING = "Short: breaker open"


class _Row(NamedTuple):
    """A line of the strip: its red heading, how far in its words begin, px, and these with their type."""

    heading: str
    used: float
    words: str
    role: str


def _after(kind: Type, heading: str, words: str, role: str, room: float) -> list[_Row]:
    """A red heading, and words that run on after it."""
    used = kind.width(heading, "body-bold") + 12 * kind.scale
    lines = kind.wrap(words, role, room, used)
    return [_Row("" if k else heading, 0.0 if k else used, line, role) for k, line in enumerate(lines)]


@kept
def fault_strip(
    width: int, unit: float, theme: Theme, text: str, foot: str, place: str = "", caution: Caution | None = None
) -> Arrangement[str]:
    """The strip at that width, at the window's corner, to be moved: heading, sentence, and what to do at its foot.

    place: what the magnifier shows, beside the heading; caution: what to mind, after the sentence
    """
    strip: Arrangement[str] = Arrangement(unit, theme)
    kind, edge, step = strip.kind, 14 * unit, strip.kind.height("body")
    room = width - 2 * edge
    if place:
        rows = _after(kind, _HEADING, place, "body-bold", room)
        if len(rows) > 1:  # it has one line
            rows = _after(kind, _HEADING, place.partition(",")[0], "body-bold", room)[:1]
        rows += [_Row("", 0.0, line, "body") for line in kind.wrap(text, "body", room)]
    else:
        rows = _after(kind, _HEADING, text, "body", room)
    if caution is not None:
        rows += _after(kind, caution_heading(caution), caution.text, "body", room)
    before = rows[-1].used + kind.width(rows[-1].words, rows[-1].role)
    last = len(rows) - 1 + (before + kind.width(foot, "mark") + 18 * unit > room)  # whether it has room beside
    strip.slip(pygame.Rect(0, 0, width, round(step * (last + 1) + 14 * unit)), 43)
    for k, row in enumerate(rows):
        top = 6 * unit + k * step
        if row.heading:
            strip.words((edge, top), row.heading, "body-bold", theme["pencil-red"])
        strip.words((edge + row.used, top), row.words, row.role, theme["ink"])
    low = 6 * unit + last * step + (step - kind.height("mark")) / 2
    strip.words((width - edge, low), foot, "mark", theme["ink-second"], "right")
    return strip

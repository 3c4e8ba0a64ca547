"""Two wirings of one bench on one sheet, side by side: how each does, what only one has, where they differ."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import button, clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.proof.compare import Comparison, Difference, Only, Side

__all__ = ["BUTTONS", "compare_places", "compare_sheet"]

BUTTONS = (
    ("first", "Take the first"),
    ("second", "Take the second"),
    ("forget", "Forget the first"),
    ("back", "Back"),
)
_SHARES = ("No short or dead place", "No dead place")
_EDGE, _HEAD, _FOOT, _SCORES = 24.0, 60.0, 60.0, 92.0


def compare_places(box: Box, unit: float) -> Mapping[str, pygame.Rect]:
    """Where the buttons at the foot lie."""
    x, y, w, h = box
    gap = 10 * unit
    width = min(190 * unit, (w - 2 * _EDGE * unit - gap * (len(BUTTONS) - 1)) / len(BUTTONS))
    return {
        name: pygame.Rect(
            round(x + _EDGE * unit + (width + gap) * k), round(y + h - 50 * unit), round(width), round(36 * unit)
        )
        for k, (name, _) in enumerate(BUTTONS)
    }


@lru_cache(maxsize=4)
def compare_sheet(box: Box, unit: float, theme: Theme, found: Comparison) -> Sprite:
    """The sheet as one sprite."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left, top = rect.x + _EDGE * unit - dx, rect.y - dy
    width = rect.width - 2 * _EDGE * unit
    put(surface, (left, top + 18 * unit), "Two wirings of one bench", "title", theme["ink"], kind)
    column = (width - 32 * unit) / 2
    foot = top + rect.height - _FOOT * unit
    under = top + (_HEAD + _SCORES) * unit
    needed = (len(found.differences) + 1) * (kind.height("body") + unit) + 22 * unit
    middle = max(under + (foot - under) * 0.52, foot - needed)
    for number, (name, side) in enumerate((("First", found.first), ("Second", found.second))):
        x = left + number * (column + 32 * unit)
        _scores(surface, x, top + _HEAD * unit, column, kind, name, side)
        room = middle - (top + (_HEAD + _SCORES) * unit)
        _only(surface, x, top + (_HEAD + _SCORES) * unit, column, room, kind, side.only)
    rule(surface, left, middle, width, unit, theme)
    _differences(surface, left, middle + 8 * unit, width, foot - middle - 10 * unit, kind, found)
    for name, words in BUTTONS:
        place = compare_places(box, unit)[name]
        look = "main" if name == "back" else "plain"
        sprite = button((place.x, place.y, place.width, place.height), unit, theme, words, look)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    return whole


def _scores(surface: pygame.Surface, x: float, y: float, width: float, kind: Type, name: str, side: Side) -> None:
    theme, unit = kind.theme, kind.scale
    used = put(surface, (x, y), name, "heading", theme["ink"], kind)
    word, colour = ("every route clean", "ink-green") if side.passed else ("not clean", "pencil-red")
    put(surface, (x + used + 12 * unit, y + 3 * unit), word, "body-bold", theme[colour], kind)
    y += kind.height("heading") + 4 * unit
    label = max(kind.width(words, "body") for words in _SHARES) + 12 * unit
    for words, share in zip(_SHARES, (side.shares.safe, side.shares.live), strict=True):
        put(surface, (x, y), words, "body", theme["ink-second"], kind)
        percent = f"{100 * share:.0f} %"
        bar = pygame.Rect(0, 0, round(width - label - 56 * unit), round(11 * unit))
        pen = Pen(bar, 3)
        pen.polygon(rounded(tuple(bar), 4 * unit), mix(theme["paper"], theme["ink-second"], 0.35))  # type: ignore[arg-type]
        filled = bar.width * share
        if filled >= 2:
            shade = theme["ink-green"] if share >= 1 else theme["pencil-brown"]
            pen.polygon(rounded((0, 0, filled, bar.height), 4 * unit), shade)
        lay(surface, pen.done().surface, (x + label, y + kind.height("body") / 2 - bar.height / 2))
        put(surface, (x + width, y), percent, "body-bold", theme["ink"], kind, "right")
        y += kind.height("body") + 3 * unit


def _only(
    surface: pygame.Surface, x: float, y: float, width: float, room: float, kind: Type, only: tuple[Only, ...]
) -> None:
    """What only this one has, as far as there is room."""
    theme, unit = kind.theme, kind.scale
    head = "Only this one has" if only else "Nothing that the other has not"
    put(surface, (x, y), head, "body-bold", theme["ink"], kind)
    step = kind.height("body")
    y += step + 2 * unit
    end = y + room - 2 * step - 4 * unit
    for number, each in enumerate(only):
        text = each.text[:1].upper() + each.text[1:]
        lines = _sentences(text, width - 14 * unit, kind)
        if y + step * len(lines) > end - (step if number + 1 < len(only) else 0):
            more = f"and {len(only) - number} more"
            put(surface, (x + 14 * unit, y), more, "body-bold", theme["ink-second"], kind)
            break
        dot = Pen(pygame.Rect(0, 0, round(10 * unit), round(10 * unit)), 3)
        colour = theme["pencil-red" if each.fails else "pencil-brown"]
        dot.disc((5 * unit, 5 * unit), 3.6 * unit, colour)
        lay(surface, dot.done().surface, (x, y + step / 2 - 5 * unit))
        for line in lines:
            put(surface, (x + 14 * unit, y), line, "body", theme["ink"], kind)
            y += step
        y += 3 * unit


def _sentences(text: str, width: float, kind: Type, most: int = 4) -> tuple[str, ...]:
    """As many whole sentences of a text as make so many lines; the first one in any case."""
    sentences = text.replace(". ", ".\n").split("\n")
    lines = kind.wrap(sentences[0], "body", width)
    for count in range(2, len(sentences) + 1):
        longer = kind.wrap(" ".join(sentences[:count]), "body", width)
        if len(longer) > most:
            break
        lines = longer
    return lines


def _differences(
    surface: pygame.Surface, x: float, y: float, width: float, room: float, kind: Type, found: Comparison
) -> None:
    """The table of what is not alike."""
    theme, unit = kind.theme, kind.scale
    rows = found.differences
    step = kind.height("body") + 1 * unit
    columns = (x, x + width * 0.52, x + width * 0.76)
    if not rows:
        put(surface, (x, y), "The two are wired alike.", "body-bold", theme["ink"], kind)
        return
    for at, words in zip(columns, ("Where they differ", "first", "second"), strict=True):
        put(surface, (at, y), words, "body-bold", theme["ink"], kind)
    y += step
    most = int((room - step) // step)
    shown: tuple[Difference, ...] = rows if len(rows) <= most else rows[: max(0, most - 1)]
    for row in shown:
        cells = (row.what, row.first, row.second)
        limits = (width * 0.5, width * 0.23, width * 0.23)
        for at, words, limit in zip(columns, cells, limits, strict=True):
            colour = theme["ink-second"] if words == "none" else theme["ink"]
            put(surface, (at, y), kind.fit(words, "body", limit), "body", colour, kind)
        y += step
    if len(shown) < len(rows):
        put(surface, (x, y), f"and {len(rows) - len(shown)} more", "body-bold", theme["ink-second"], kind)

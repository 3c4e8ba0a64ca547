"""Two wirings of one bench on one sheet, side by side: how each does, what only one has, where they differ."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.proof.compare import Comparison, Difference, Only, Side

__all__ = ["BUTTONS", "compare_sheet"]

BUTTONS = (
    ("first", "Take the first"),
    ("second", "Take the second"),
    ("forget", "Forget the first"),
    ("back", "Back"),
)
_SHARES = ("No short or dead place", "No dead place")
_EDGE, _HEAD, _FOOT, _SCORES = 24.0, 60.0, 60.0, 92.0


@kept
def compare_sheet(box: Box, unit: float, theme: Theme, found: Comparison) -> Arrangement[str]:
    """The sheet, its buttons by name."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, rect = sheet.kind, pygame.Rect(box)
    sheet.paper(rect)
    left, width = rect.x + _EDGE * unit, rect.width - 2 * _EDGE * unit
    sheet.words((left, rect.y + 18 * unit), "Two wirings of one bench", "title", theme["ink"])
    column = (width - 32 * unit) / 2
    foot, under = rect.bottom - _FOOT * unit, rect.y + (_HEAD + _SCORES) * unit
    needed = (len(found.differences) + 1) * (kind.height("body") + unit) + 22 * unit
    middle = max(under + (foot - under) * 0.52, foot - needed)
    for number, (name, side) in enumerate((("First", found.first), ("Second", found.second))):
        x = left + number * (column + 32 * unit)
        _scores(sheet, x, rect.y + _HEAD * unit, column, name, side)
        _only(sheet, x, under, column, middle - under, side.only)
    sheet.rule((left, middle), width)
    _differences(sheet, left, middle + 8 * unit, width, foot - middle - 10 * unit, found)
    gap = 10 * unit
    wide = min(190 * unit, (width - gap * (len(BUTTONS) - 1)) / len(BUTTONS))
    for k, (name, words) in enumerate(BUTTONS):
        x, top = left + (wide + gap) * k, rect.bottom - 50 * unit
        place = pygame.Rect(round(x), round(top), round(wide), round(36 * unit))
        sheet.button(name, place, words, "main" if name == "back" else "plain")
    return sheet


def _scores(sheet: Arrangement[str], x: float, y: float, width: float, name: str, side: Side) -> None:
    kind, unit, theme = sheet.kind, sheet.unit, sheet.theme
    used = sheet.words((x, y), name, "heading", theme["ink"])
    word, colour = ("every route clean", "ink-green") if side.passed else ("not clean", "pencil-red")
    sheet.words((x + used + 12 * unit, y + 3 * unit), word, "body-bold", theme[colour])
    y += kind.height("heading") + 4 * unit
    label = max(kind.width(words, "body") for words in _SHARES) + 12 * unit
    for words, share in zip(_SHARES, (side.shares.safe, side.shares.live), strict=True):
        sheet.words((x, y), words, "body", theme["ink-second"])
        bar = pygame.Rect(0, 0, round(width - label - 56 * unit), round(11 * unit))
        bar.topleft = round(x + label), round(y + kind.height("body") / 2 - bar.height / 2)
        sheet.draw(_bar, bar, share, unit, theme)
        sheet.words((x + width, y), f"{100 * share:.0f} %", "body-bold", theme["ink"], "right")
        y += kind.height("body") + 3 * unit


def _bar(bar: pygame.Rect, share: float, unit: float, theme: Theme) -> Sprite:
    """How much of all is as it should be."""
    x, y, w, h = bar
    pen = Pen(bar, 3)
    pen.polygon(rounded((x, y, w, h), 4 * unit), mix(theme["paper"], theme["ink-second"], 0.35))
    if w * share >= 2:
        pen.polygon(rounded((x, y, w * share, h), 4 * unit), theme["ink-green" if share >= 1 else "pencil-brown"])
    return pen.done()


def _only(sheet: Arrangement[str], x: float, y: float, width: float, room: float, only: tuple[Only, ...]) -> None:
    """What only this one has, as far as there is room."""
    kind, unit, theme = sheet.kind, sheet.unit, sheet.theme
    head = "Only this one has" if only else "Nothing that the other has not"
    sheet.words((x, y), head, "body-bold", theme["ink"])
    step, inner = kind.height("body"), x + 14 * unit
    y += step + 2 * unit
    end = y + room - 2 * step - 4 * unit
    for number, each in enumerate(only):
        lines = _sentences(each.text[:1].upper() + each.text[1:], width - 14 * unit, kind)
        if y + step * len(lines) > end - (step if number + 1 < len(only) else 0):
            sheet.words((inner, y), f"and {len(only) - number} more", "body-bold", theme["ink-second"])
            break
        dot = pygame.Rect(round(x), round(y + step / 2 - 5 * unit), round(10 * unit), round(10 * unit))
        sheet.draw(_dot, dot, unit, theme, "pencil-red" if each.fails else "pencil-brown")
        y = sheet.column((inner, y), lines, "body", theme["ink"]) + 3 * unit


def _dot(box: pygame.Rect, unit: float, theme: Theme, role: str) -> Sprite:
    pen = Pen(box, 3)
    pen.disc((box.x + 5 * unit, box.y + 5 * unit), 3.6 * unit, theme[role])
    return pen.done()


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
    sheet: Arrangement[str], x: float, y: float, width: float, room: float, found: Comparison
) -> None:
    """The table of what is not alike."""
    kind, theme, rows = sheet.kind, sheet.theme, found.differences
    ink, second = theme["ink"], theme["ink-second"]
    if not rows:
        sheet.words((x, y), "The two are wired alike.", "body-bold", ink)
        return
    step = kind.height("body") + 1 * sheet.unit
    columns = ((x, width * 0.5), (x + width * 0.52, width * 0.23), (x + width * 0.76, width * 0.23))
    for (at, _), words in zip(columns, ("Where they differ", "first", "second"), strict=True):
        sheet.words((at, y), words, "body-bold", ink)
    most = int((room - step) // step)
    shown: tuple[Difference, ...] = rows if len(rows) <= most else rows[: max(0, most - 1)]
    for row in shown:
        y += step
        for (at, wide), words in zip(columns, (row.what, row.first, row.second), strict=True):
            sheet.words((at, y), kind.fit(words, "body", wide), "body", second if words == "none" else ink)
    if len(shown) < len(rows):
        sheet.words((x, y + step), f"and {len(rows) - len(shown)} more", "body-bold", second)

"""The page of settings: one sheet, a line of buttons for each thing that can be chosen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement, in_the_middle
from sim.game.draw.pen.kept import kept
from sim.game.look.settings import Choice
from sim.game.look.theme import Theme

__all__ = ["settings_sheet"]

_WIDE = 860.0
_HEAD, _FOOT = 82.0, 60.0
_TALL, _MIDDLE = 134.0, 106.0  # rows of two lines with their notes under the headings: notes of two lines, of one
_LOW = 84.0  # a row of one line, its note beside the heading
_SHORT_NOTE = 48  # letters that fit on one line of half the sheet
_BETWEEN = 28.0
_EXTRA = (("", "languages", "Other languages"), ("", "cautions", "Cautions"), ("", "close", "Done"))
"""The buttons at the foot, from left to right: line, value, words."""
_KEPT_WORDS = "Kept at once, and for the next start."
_MARGIN_LETTERS = 6  # beside a button's words, where buttons share a line by the length of their words


class _Cell(NamedTuple):
    """Where a line stands: left and upper edge on the sheet, width, its buttons' upper edge, layout px."""

    left: float
    top: float
    width: float
    buttons: float


def _cells(rows: Sequence[Choice]) -> tuple[list[_Cell], float]:
    """A cell for every line, and where the last row ends."""
    one = (_WIDE - 64 - _BETWEEN) / 2
    cells: list[_Cell] = []
    top, left = _HEAD, list(rows)
    while left:
        pair = left[:2]
        if len(pair) == 1 or any(choice.wide for choice in pair):
            cells.append(_Cell(32, top, _WIDE - 64, top + _LOW - 46))
            top, left = top + _LOW, left[1:]
            continue
        high = _TALL if any(len(choice.note) > _SHORT_NOTE for choice in pair) else _MIDDLE
        cells += (_Cell(32 + (one + _BETWEEN) * k, top, one, top + high - 45) for k in range(2))
        top, left = top + high, left[2:]
    return cells, top


@kept
def settings_sheet(
    size: tuple[int, int], unit: float, theme: Theme, rows: tuple[Choice, ...], fault: str
) -> Arrangement[tuple[str, str]]:
    """The sheet in a window of that size, its buttons by line and value.

    fault: why the settings cannot be kept, or empty
    """
    sheet: Arrangement[tuple[str, str]] = Arrangement(unit, theme)
    cells, high = _cells(rows)
    kind, rect = sheet.kind, in_the_middle(size, _WIDE * unit, (high + _FOOT) * unit, 64 * unit)
    sheet.paper(rect)
    title, back = sheet.headed("Settings", "Esc or F2: back", (22, 40, 70))
    if fault:
        start = title + 28 * unit
        lines = kind.wrap(fault, "body", back - 20 * unit - start)[:2]
        sheet.aside((start, rect.y + 42 * unit), lines, "body", theme["pencil-red"])
    for row, cell in zip(rows, cells, strict=True):
        _line_of(sheet, rect, row, cell)
    top = rect.bottom - 52 * unit
    for k, (name, value, words) in enumerate(_EXTRA):
        x = rect.right - (192 + 172 * (len(_EXTRA) - 1 - k)) * unit
        place = pygame.Rect(round(x), round(top), round(160 * unit), round(38 * unit))
        sheet.button((name, value), place, words, "main" if value == "close" else "plain")
    left, first = rect.x + 32 * unit, sheet.places[_EXTRA[0][:2]]
    foot = () if fault else kind.wrap(_KEPT_WORDS, "body", first.x - left - 24 * unit)[:2]
    sheet.aside((left, first.centery), foot, "body", theme["ink-second"])
    return sheet


def _line_of(sheet: Arrangement[tuple[str, str]], rect: pygame.Rect, row: Choice, cell: _Cell) -> None:
    """The heading, the note and the buttons of one line."""
    unit, kind, ink, second = sheet.unit, sheet.kind, sheet.theme["ink"], sheet.theme["ink-second"]
    x, y = rect.x + cell.left * unit, rect.y + cell.top * unit
    aside = sheet.words((x, y), row.heading, "heading", ink) + 14 * unit
    if cell.width > _WIDE / 2:
        drop = kind.ascent("heading") - kind.ascent("body")
        sheet.words((x + aside, y + drop), row.note, "body", second)
    else:
        sheet.paragraph((x, y + kind.height("heading")), row.note, "body", second, cell.width * unit, 2, 2 * unit)
    left, top = x, rect.y + cell.buttons * unit
    for (value, words), step in zip(row.values, _steps(row, cell), strict=True):
        place = pygame.Rect(round(left), round(top), round((step - 12) * unit), round(36 * unit))
        sheet.button((row.name, value), place, words, "chosen" if value == row.chosen else "plain")
        left += step * unit


def _steps(choice: Choice, cell: _Cell) -> list[float]:
    """From each button of a line to the next, layout px: alike, or where there are many by their words' length."""
    if not choice.wide:
        return [min(172.0, (cell.width + 12) / len(choice.values))] * len(choice.values)
    letters = [len(words) + _MARGIN_LETTERS for _, words in choice.values]
    return [min(172.0, (cell.width + 12) * share / sum(letters)) for share in letters]

"""The page of settings: one sheet, a line of buttons for each thing that can be chosen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.settings import Choice
from sim.game.look.theme import Theme

__all__ = ["settings_sheet", "sheet_size"]

_WIDE = 860.0
_HEAD, _FOOT = 82.0, 60.0
_TALL, _MIDDLE = 134.0, 106.0  # rows of two lines with their notes under the headings: notes of two lines, of one
_LOW = 84.0  # a row of one line, its note beside the heading
_SHORT_NOTE = 48  # letters that fit on one line of half the sheet
_BETWEEN = 28.0
_EXTRA = (("", "languages", "Other languages"), ("", "cautions", "Cautions"), ("", "close", "Done"))
"""The buttons at the foot, from left to right: line, value, words."""
_KEPT_WORDS = "Kept at once, and for the next start."
_HALF_VALUES = 3  # a line with no more buttons than this needs half the sheet's width


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
        if len(pair) == 1 or any(len(choice.values) > _HALF_VALUES for choice in pair):
            cells.append(_Cell(32, top, _WIDE - 64, top + _LOW - 46))
            top, left = top + _LOW, left[1:]
            continue
        high = _TALL if any(len(choice.note) > _SHORT_NOTE for choice in pair) else _MIDDLE
        cells += (_Cell(32 + (one + _BETWEEN) * k, top, one, top + high - 45) for k in range(2))
        top, left = top + high, left[2:]
    return cells, top


def sheet_size(rows: Sequence[Choice]) -> tuple[float, float]:
    """Width and height of the sheet, layout px."""
    return _WIDE, _cells(rows)[1] + _FOOT


@kept
def settings_sheet(
    box: Box, unit: float, theme: Theme, rows: tuple[Choice, ...], fault: str
) -> Arrangement[tuple[str, str]]:
    """The sheet; its buttons by line and value. `fault`: why the settings cannot be kept, or empty."""
    sheet: Arrangement[tuple[str, str]] = Arrangement(unit, theme)
    kind, rect = sheet.kind, pygame.Rect(box)
    left, ink, second = rect.x + 32 * unit, theme["ink"], theme["ink-second"]
    sheet.paper(rect)
    title = sheet.words((left, rect.y + 22 * unit), "Settings", "result", ink)
    corner = (rect.right - 32 * unit, rect.y + 40 * unit)
    back = sheet.words(corner, "Esc or F2: back", "body", second, "right")
    if fault:
        start = left + title + 28 * unit
        lines = kind.wrap(fault, "body", corner[0] - back - 20 * unit - start)[:2]
        top = rect.y + 42 * unit - kind.height("body") * len(lines) / 2
        for k, line in enumerate(lines):
            sheet.words((start, top + k * kind.height("body")), line, "body", theme["pencil-red"])
    sheet.rule((left, rect.y + 70 * unit), rect.width - 64 * unit)
    for row, cell in zip(rows, _cells(rows)[0], strict=True):
        _line_of(sheet, rect, row, cell)
    top = rect.bottom - 52 * unit
    for k, (name, value, words) in enumerate(_EXTRA):
        x = rect.right - (192 + 172 * (len(_EXTRA) - 1 - k)) * unit
        place = pygame.Rect(round(x), round(top), round(160 * unit), round(38 * unit))
        sheet.button((name, value), place, words, "main" if value == "close" else "plain")
    done = sheet.places[_EXTRA[0][:2]]
    foot = () if fault else kind.wrap(_KEPT_WORDS, "body", done.x - left - 24 * unit)[:2]
    top = done.centery - kind.height("body") * len(foot) / 2
    for k, line in enumerate(foot):
        sheet.words((left, top + k * kind.height("body")), line, "body", second)
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
    step = min(172.0, (cell.width + 12) / len(row.values))
    for k, (value, words) in enumerate(row.values):
        left, top = x + step * k * unit, rect.y + cell.buttons * unit
        place = pygame.Rect(round(left), round(top), round((step - 12) * unit), round(36 * unit))
        sheet.button((row.name, value), place, words, "chosen" if value == row.chosen else "plain")

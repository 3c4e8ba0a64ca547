"""The page of settings: one sheet, a line of buttons for each thing that can be chosen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Sprite, lay, merge
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import button, clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.settings import Choice
from sim.game.look.theme import Theme

__all__ = ["settings_places", "settings_sheet", "sheet_size"]

_WIDE = 860.0
_HEAD, _FOOT = 82.0, 60.0
_TALL, _MIDDLE = 134.0, 106.0  # rows of two lines with their notes under the headings: notes of two lines, of one
_LOW = 84.0  # a row of one line, its note beside the heading
_SHORT_NOTE = 48  # letters that fit on one line of half the sheet
_BETWEEN = 28.0
_EXTRA = (("", "languages", "Other languages"), ("", "cautions", "Cautions"), ("", "close", "Done"))
"""The buttons at the foot, from left to right: line, value, words."""
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


def _steps(choice: Choice, cell: _Cell) -> list[float]:
    """From each button of a line to the next, layout px: alike, or where there are many by their words' length."""
    if not choice.wide:
        return [min(172.0, (cell.width + 12) / len(choice.values))] * len(choice.values)
    letters = [len(words) + _MARGIN_LETTERS for _, words in choice.values]
    return [min(172.0, (cell.width + 12) * share / sum(letters)) for share in letters]


def sheet_size(rows: Sequence[Choice]) -> tuple[float, float]:
    """Width and height of the sheet, layout px."""
    return _WIDE, _cells(rows)[1] + _FOOT


def settings_places(box: Box, unit: float, rows: Sequence[Choice]) -> dict[tuple[str, str], pygame.Rect]:
    """Where the buttons lie, by line and value, in reading order; ("", "close") the very last."""
    x, y, w, h = box
    places: dict[tuple[str, str], pygame.Rect] = {}
    for choice, cell in zip(rows, _cells(rows)[0], strict=True):
        left, top = x + cell.left * unit, y + cell.buttons * unit
        for (value, _), step in zip(choice.values, _steps(choice, cell), strict=True):
            places[choice.name, value] = pygame.Rect(
                round(left), round(top), round((step - 12) * unit), round(36 * unit)
            )
            left += step * unit
    top = y + h - 52 * unit
    for k, (name, value, _) in enumerate(_EXTRA):
        left = x + w - (192 + 172 * (len(_EXTRA) - 1 - k)) * unit
        places[name, value] = pygame.Rect(round(left), round(top), round(160 * unit), round(38 * unit))
    return places


@lru_cache(maxsize=4)
def settings_sheet(box: Box, unit: float, theme: Theme, rows: tuple[Choice, ...], fault: str) -> Sprite:
    """The sheet as one sprite; `fault`: why the settings cannot be kept, or empty."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left = rect.x + 32 * unit - dx
    ink, second = theme["ink"], theme["ink-second"]
    title = put(surface, (left, rect.y + 22 * unit - dy), "Settings", "result", ink, kind)
    corner = (rect.right - 32 * unit - dx, rect.y + 40 * unit - dy)
    back = put(surface, corner, "Esc or F2: back", "body", second, kind, "right")
    if fault:
        start = left + title + 28 * unit
        lines = kind.wrap(fault, "body", corner[0] - back - 20 * unit - start)[:2]
        y = rect.y + 42 * unit - dy - kind.height("body") * len(lines) / 2
        for line in lines:
            put(surface, (start, y), line, "body", theme["pencil-red"], kind)
            y += kind.height("body")
    rule(surface, left, rect.y + 70 * unit - dy, rect.width - 64 * unit, unit, theme)
    for row, cell in zip(rows, _cells(rows)[0], strict=True):
        x, y = rect.x + cell.left * unit - dx, rect.y + cell.top * unit - dy
        put(surface, (x, y), row.heading, "heading", ink, kind)
        if cell.width > _WIDE / 2:
            aside = x + kind.width(row.heading, "heading") + 14 * unit
            drop = kind.ascent("heading") - kind.ascent("body")
            put(surface, (aside, y + drop), row.note, "body", second, kind)
            continue
        y += kind.height("heading")
        for line in kind.wrap(row.note, "body", cell.width * unit)[:2]:
            put(surface, (x, y), line, "body", second, kind)
            y += kind.height("body") - 2 * unit
    places = settings_places(box, unit, rows)
    for row in rows:
        for value, words in row.values:
            look = "chosen" if value == row.chosen else "plain"
            sprite = button(tuple(places[row.name, value]), unit, theme, words, look)
            lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    for name, value, words in _EXTRA:
        sprite = button(tuple(places[name, value]), unit, theme, words, "main" if value == "close" else "plain")
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    done = places[_EXTRA[0][:2]]
    room = done.x - dx - left - 24 * unit
    foot = () if fault else kind.wrap("Kept at once, and for the next start.", "body", room)[:2]
    y = done.centery - dy - kind.height("body") * len(foot) / 2
    for line in foot:
        put(surface, (left, y), line, "body", second, kind)
        y += kind.height("body")
    return whole

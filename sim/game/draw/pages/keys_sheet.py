"""The page of keys: one sheet in two columns, on as many leaves as it takes to be read."""

from __future__ import annotations

from collections.abc import Sequence

import pygame

from sim.game.draw.pen.arrangement import Arrangement, in_the_middle
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["NAMES", "Line", "keys_leaves", "keys_sheet"]

NAMES = "names"
"""The button that leads to the names of a turnout, in the middle of the sheet's head."""
_NAMES_WORDS = "What the parts are called"

Line = tuple[str, str]
"""A key and what it does; with an empty key, a heading."""
Leaf = tuple[tuple[Line, ...], tuple[Line, ...]]

_HEAD, _FOOT, _EDGE, _GUTTER, _KEY = 90.0, 44.0, 32.0, 16.0, 132.0
_STEP = 0.02  # of a column's height, by which it is made shorter as long as no further leaf comes of it


def _box(size: tuple[int, int], unit: float) -> pygame.Rect:
    return in_the_middle(size, min(size[0] - 96 * unit, 1000 * unit), min(size[1] - 100 * unit, 640 * unit), 76 * unit)


def _column(box: pygame.Rect, unit: float) -> float:
    """Width of a column, px."""
    return (box.width - (2 * _EDGE + _GUTTER) * unit) / 2


def _lines(kind: Type, words: str, width: float) -> tuple[str, ...]:
    return kind.wrap(words, "body", width - _KEY * kind.scale)


def _height(kind: Type, line: Line, width: float) -> float:
    """Height of a heading or of a key with all its words, px."""
    if not line[0]:
        return kind.height("eyebrow") + 12 * kind.scale
    return max(26 * kind.scale, kind.height("body") * len(_lines(kind, line[1], width)) + 4 * kind.scale)


@kept
def keys_leaves(size: tuple[int, int], unit: float, theme: Theme, lines: tuple[Line, ...]) -> tuple[Leaf, ...]:
    """The lines as they are laid out, leaf by leaf, each of two columns, on no more leaves than it takes and shared out
    evenly; a heading stands with the first of its keys, and again where its keys go on in the next column."""
    box, kind = _box(size, unit), Type(theme, unit)
    room = box.height - (_HEAD + _FOOT) * unit
    heights = [_height(kind, line, _column(box, unit)) for line in lines]
    columns = _filled(lines, heights, room)
    for share in range(1, round(1 / _STEP)):
        shorter = _filled(lines, heights, room * (1 - share * _STEP))
        if (len(shorter) + 1) // 2 > (len(columns) + 1) // 2:
            break
        columns = shorter
    columns += [()] * (len(columns) % 2)
    return tuple((columns[k], columns[k + 1]) for k in range(0, len(columns), 2))


def _filled(lines: Sequence[Line], heights: Sequence[float], room: float) -> list[tuple[Line, ...]]:
    """Columns of a height, filled one after the other."""
    columns: list[list[Line]] = [[]]
    used, heading, head = 0.0, ("", ""), 0.0
    for number, (line, high) in enumerate(zip(lines, heights, strict=True)):
        need = high
        if not line[0]:
            heading, head = line, high
            need += heights[number + 1] if number + 1 < len(lines) else 0.0
        if columns[-1] and used + need > room:
            columns.append([heading] if line[0] else [])
            used = head if line[0] else 0.0
        columns[-1].append(line)
        used += high
    return [tuple(column) for column in columns]


@kept
def keys_sheet(
    size: tuple[int, int], unit: float, theme: Theme, lines: tuple[Line, ...], leaf: int
) -> Arrangement[str]:
    """One leaf of the sheet in a window of that size."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, box, second = sheet.kind, _box(size, unit), theme["ink-second"]
    sheet.paper(box)
    sheet.headed("All keys", "Esc or F1: back", (26, 44, 76), _EDGE)
    wide = kind.width(_NAMES_WORDS, "button") + 32 * unit
    place = pygame.Rect(round(box.centerx - wide / 2), round(box.y + 30 * unit), round(wide), round(36 * unit))
    sheet.button(NAMES, place, _NAMES_WORDS)
    leaves, width = keys_leaves(size, unit, theme, lines), _column(box, unit)
    for side, column in enumerate(leaves[leaf % len(leaves)]):
        x, y = box.x + _EDGE * unit + side * (width + _GUTTER * unit), box.y + _HEAD * unit
        for line in column:
            _line(sheet, x, y, line, width)
            y += _height(kind, line, width)
    if len(leaves) > 1:
        foot = (box.centerx, box.bottom - 12 * unit - kind.height("body"))
        sheet.words(foot, f"{leaf % len(leaves) + 1} of {len(leaves)}. Tab or a click: on.", "body", second, "middle")
    return sheet


def _line(sheet: Arrangement[str], x: float, y: float, line: Line, width: float) -> None:
    unit, kind, theme, (key, words) = sheet.unit, sheet.kind, sheet.theme, line
    if not key:
        sheet.words((x, y + 8 * unit), words.upper(), "eyebrow", theme["ink-second"])
        return
    middle = y + max(26 * unit, kind.height("body") + 4 * unit) / 2
    for number, part in enumerate(_lines(kind, words, width)):
        sheet.level((x + _KEY * unit, middle + number * kind.height("body")), part, "body", theme["ink"])
    wide = max(26 * unit, kind.width(key, "small-bold") + 14 * unit)
    cap = pygame.Rect(round(x), round(middle - 11 * unit), round(wide), round(22 * unit))
    sheet.draw(_cap, box_of(cap), unit, theme)
    sheet.level((cap.centerx, cap.centery - 0.5 * unit), key, "small-bold", theme["ink"], "middle")


def _cap(cap: Box, unit: float, theme: Theme) -> Sprite:
    """The cap of a key."""
    x, y, w, h = cap
    pen = Pen(pygame.Rect(cap).inflate(2, 4), 3)
    ink, sheet, white = theme["ink-second"], theme["paper"], (255, 255, 255)
    pen.polygon(rounded((x, y + 1.6 * unit, w, h), 5 * unit), mix(ink, sheet, 0.25))
    pen.polygon(rounded(cap, 5 * unit), mix(ink, sheet, 0.35))
    top = rounded((x + unit, y + unit, w - 2 * unit, h - 2.4 * unit), 4 * unit)
    pen.wash(top, (mix(sheet, white, 0.6), mix(sheet, white, 0.1)))
    return pen.done()

"""The page of keys: one sheet in two columns, on as many leaves as it takes to be read."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import button, clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["NAMES_WORDS", "Line", "key_leaves", "keys_sheet", "names_place"]

NAMES_WORDS = "What the parts are called"

Line = tuple[str, str]
"""A key and what it does; with an empty key, a heading."""

_HEAD, _FOOT, _EDGE, _GUTTER, _KEY = 90.0, 44.0, 32.0, 16.0, 132.0


def _column(box: Box, unit: float) -> float:
    """Width of a column, px."""
    return (box[2] - (2 * _EDGE + _GUTTER) * unit) / 2


def _lines(kind: Type, words: str, width: float) -> tuple[str, ...]:
    return kind.wrap(words, "body", width - _KEY * kind.scale)


def _height(kind: Type, line: Line, width: float) -> float:
    """Height of a heading or of a key with all its words, px."""
    if not line[0]:
        return kind.height("eyebrow") + 12 * kind.scale
    return max(26 * kind.scale, kind.height("body") * len(_lines(kind, line[1], width)) + 4 * kind.scale)


def key_leaves(
    box: Box, unit: float, theme: Theme, lines: Sequence[Line]
) -> tuple[tuple[tuple[Line, ...], tuple[Line, ...]], ...]:
    """The lines as they are laid out, leaf by leaf, each of two columns; a heading stands with the first of its keys,
    and again where its keys go on in the next column."""
    kind, width = Type(theme, unit), _column(box, unit)
    room = box[3] - (_HEAD + _FOOT) * unit
    columns: list[list[Line]] = [[]]
    used, heading = 0.0, ("", "")
    for number, line in enumerate(lines):
        need = _height(kind, line, width)
        if not line[0]:
            heading = line
            need += _height(kind, lines[number + 1], width) if number + 1 < len(lines) else 0.0
        if columns[-1] and used + need > room:
            columns.append([heading] if line[0] else [])
            used = _height(kind, heading, width) if line[0] else 0.0
        columns[-1].append(line)
        used += _height(kind, line, width)
    columns += [[]] * (len(columns) % 2)
    return tuple((tuple(columns[k]), tuple(columns[k + 1])) for k in range(0, len(columns), 2))


def names_place(box: Box, unit: float, theme: Theme) -> pygame.Rect:
    """Where the button lies that leads to the names of a turnout: in the middle of the sheet's head."""
    width = Type(theme, unit).width(NAMES_WORDS, "button") + 32 * unit
    x, y, w, _ = box
    return pygame.Rect(round(x + (w - width) / 2), round(y + 30 * unit), round(width), round(36 * unit))


@lru_cache(maxsize=4)
def keys_sheet(box: Box, unit: float, theme: Theme, lines: tuple[Line, ...], leaf: int) -> Sprite:
    """One leaf of the sheet as one sprite."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left, right = rect.x + _EDGE * unit, rect.right - _EDGE * unit
    put(surface, (left - dx, rect.y + 26 * unit - dy), "All keys", "result", theme["ink"], kind)
    corner = (right - dx, rect.y + 44 * unit - dy)
    put(surface, corner, "Esc or F1: back", "body", theme["ink-second"], kind, "right")
    names = button(tuple(names_place(box, unit, theme)), unit, theme, NAMES_WORDS, "plain")
    lay(surface, names.surface, (names.x - dx, names.y - dy))
    rule(surface, left - dx, rect.y + 76 * unit - dy, right - left, unit, theme)
    leaves, width = key_leaves(box, unit, theme, lines), _column(box, unit)
    for side, column in enumerate(leaves[leaf % len(leaves)]):
        x, y = left + side * (width + _GUTTER * unit), rect.y + _HEAD * unit
        for line in column:
            _line(surface, dx, dy, x, y, line, width, kind)
            y += _height(kind, line, width)
    if len(leaves) > 1:
        foot = (rect.centerx - dx, rect.bottom - 12 * unit - kind.height("body") - dy)
        words = f"{leaf % len(leaves) + 1} of {len(leaves)}. Tab or a click: on."
        put(surface, foot, words, "body", theme["ink-second"], kind, "middle")
    return whole


def _line(
    surface: pygame.Surface, dx: int, dy: int, x: float, y: float, line: Line, width: float, kind: Type
) -> None:
    unit, (key, words) = kind.scale, line
    if not key:
        at = (x - dx, y + 8 * unit - dy)
        put(surface, at, words.upper(), "eyebrow", kind.theme["ink-second"], kind)
        return
    step = max(26 * unit, kind.height("body") + 4 * unit)
    for number, part in enumerate(_lines(kind, words, width)):
        _key_row(surface, dx, dy, x, y + number * kind.height("body"), step, key if number == 0 else "", part, kind)


def _key_row(
    surface: pygame.Surface,
    dx: int,
    dy: int,
    x: float,
    y: float,
    step: float,
    key: str,
    words: str,
    kind: Type,
) -> None:
    unit, theme = kind.scale, kind.theme
    left = x + _KEY * unit
    put(surface, (left - dx, y + step / 2 - kind.height("body") / 2 - dy), words, "body", theme["ink"], kind)
    if not key:
        return
    width = max(26 * unit, kind.width(key, "small-bold") + 14 * unit)
    cap = pygame.Rect(round(x), round(y + step / 2 - 11 * unit), round(width), round(22 * unit))
    pen = Pen(cap.inflate(2, 4), 3)
    pen.polygon(
        rounded((cap.x, cap.y + 1.6 * unit, cap.width, cap.height), 5 * unit),
        mix(theme["ink-second"], theme["paper"], 0.25),
    )
    pen.polygon(
        rounded((cap.x, cap.y, cap.width, cap.height), 5 * unit), mix(theme["ink-second"], theme["paper"], 0.35)
    )
    pen.wash(
        rounded((cap.x + unit, cap.y + unit, cap.width - 2 * unit, cap.height - 2.4 * unit), 4 * unit),
        (mix(theme["paper"], (255, 255, 255), 0.6), mix(theme["paper"], (255, 255, 255), 0.1)),
    )
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    put(
        surface,
        (cap.centerx - dx, cap.centery - kind.height("small-bold") / 2 - 0.5 * unit - dy),
        key,
        "small-bold",
        theme["ink"],
        kind,
        "middle",
    )

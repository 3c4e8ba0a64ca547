"""The list of everything opened once, on the test track's sheet: what dies by each, and what has a second way."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import arrow_button
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Row", "broken_list", "rows_shown"]

_HEAD, _FOOT = 70.0, 54.0


class Row(NamedTuple):
    """A line of the list: its name in it, the thing in words, what came of it, whether anything dies."""

    name: str
    words: str
    fate: str
    dies: bool


def _height(kind: Type, width: float, row: Row) -> float:
    lines = ((row.words, "body-bold"), (row.fate, "body"))
    return sum(len(kind.wrap(text, role, width)) * kind.height(role) for text, role in lines) + 11 * kind.scale


def rows_shown(box: Box, unit: float, theme: Theme, rows: tuple[Row, ...], top: int) -> int:
    """How many rows there is room for, from the one numbered `top` on; at least one."""
    kind = Type(theme, unit)
    room = box[3] - (_HEAD + _FOOT) * unit
    count = 0
    for row in rows[top:]:
        room -= _height(kind, box[2] - 40 * unit, row)
        if room < 0 and count:
            break
        count += 1
    return count


@kept
def broken_list(
    box: Box, unit: float, theme: Theme, rows: tuple[Row, ...], top: int, chosen: str | None, empty: str
) -> Arrangement[str]:
    """The list: the rows that are shown, by name, then the buttons "back", "up" and "down".

    empty: what is said where there is nothing to open
    """
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, rect = sheet.kind, pygame.Rect(box)
    left, second = rect.x + 20 * unit, theme["ink-second"]
    sheet.paper(rect)
    sheet.words((left, rect.y + 14 * unit), "Each opened once", "heading", theme["ink"])
    said = _count_words(sum(row.dies for row in rows), len(rows)) if rows else empty
    sheet.words((left, rect.y + 39 * unit), kind.fit(said, "body", rect.width - 40 * unit), "body", second)
    sheet.rule((left, rect.y + 63 * unit), rect.width - 40 * unit)
    count = rows_shown(box, unit, theme, rows, top)
    at = rect.y + _HEAD * unit
    for row in rows[top : top + count]:
        height = min(_height(kind, rect.width - 40 * unit, row), rect.bottom - _FOOT * unit - at)
        place = pygame.Rect(
            round(rect.x + 12 * unit), round(at), round(rect.width - 24 * unit), round(height - 2 * unit)
        )
        _row(sheet, place, row, row.name == chosen)
        at += height
    foot, high = round(rect.bottom - 46 * unit), round(34 * unit)
    back = pygame.Rect(round(rect.x + 14 * unit), foot, round(96 * unit), high)
    sheet.button("back", back, "Back")
    for name, aside, able in (("up", 90, top > 0), ("down", 50, top + count < len(rows))):
        place = pygame.Rect(round(rect.right - aside * unit), foot, round(36 * unit), high)
        sheet.spot(name, place)
        sheet.draw(arrow_button, box_of(place), unit, theme, name == "up", able)
    if rows:
        middle = back.right + (sheet.places["up"].x - back.right) / 2
        told = f"{top + 1} to {top + count} of {len(rows)}"
        sheet.words((middle, back.centery - kind.height("body") / 2), told, "body", second, "middle")
    return sheet


def _count_words(dying: int, count: int) -> str:
    """How many of the things opened mattered."""
    if not dying:
        return f"None of the {count} is missed when opened"
    return f"{dying} of {count} are missed when opened" if dying > 1 else f"1 of {count} is missed when opened"


def _row(sheet: Arrangement[str], place: pygame.Rect, row: Row, chosen: bool) -> None:
    theme, unit = sheet.theme, sheet.unit
    sheet.spot(row.name, place)
    if chosen:
        sheet.draw(_chosen, box_of(place), unit, theme)
    at, width = (place.x + 8 * unit, place.y + 3 * unit), place.width - 16 * unit
    foot = sheet.paragraph(at, row.words, "body-bold", theme["ink"], width)
    colour = theme["pencil-red"] if row.dies else theme["ink-green"]
    sheet.paragraph((at[0], foot), row.fate, "body", colour, width)


def _chosen(box: Box, unit: float, theme: Theme) -> Sprite:
    pen = Pen(pygame.Rect(box), 3)
    pen.polygon(rounded(box, 5 * unit), mix(theme["paper"], theme["ink"], 0.12))
    pen.frame(box, 5 * unit, 1.6 * unit, theme["ink-second"])
    return pen.done()

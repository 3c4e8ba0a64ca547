"""The list of everything opened once, on the test track's sheet: what dies by each, and what has a second way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, put
from sim.game.draw.pen.paper_parts import arrow_button, button, clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Row", "broken_list", "broken_places", "rows_shown"]

_HEAD, _FOOT = 70.0, 54.0


class Row(NamedTuple):
    """A line of the list: its name in it, the thing in words, what came of it, whether anything dies."""

    name: str
    words: str
    fate: str
    dies: bool


def _lines(kind: Type, width: float, row: Row) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The lines of a row: its words, and what came of it."""
    return kind.wrap(row.words, "body-bold", width), kind.wrap(row.fate, "body", width)


def _heights(kind: Type, width: float, row: Row) -> float:
    words, fate = _lines(kind, width, row)
    return len(words) * kind.height("body-bold") + len(fate) * kind.height("body") + 11 * kind.scale


def rows_shown(box: Box, unit: float, theme: Theme, rows: tuple[Row, ...], top: int) -> int:
    """How many rows there is room for, from the one numbered `top` on; at least one."""
    kind = Type(theme, unit)
    room = box[3] - (_HEAD + _FOOT) * unit
    count = 0
    for row in rows[top:]:
        room -= _heights(kind, box[2] - 40 * unit, row)
        if room < 0 and count:
            break
        count += 1
    return count


def broken_places(
    box: Box, unit: float, theme: Theme, rows: tuple[Row, ...], top: int
) -> Mapping[str, pygame.Rect]:
    """Where the rows that are shown lie, by name, then the buttons "back", "up" and "down"."""
    kind = Type(theme, unit)
    x, y, w, h = box
    places: dict[str, pygame.Rect] = {}
    at = y + _HEAD * unit
    for row in rows[top : top + rows_shown(box, unit, theme, rows, top)]:
        height = _heights(kind, w - 40 * unit, row)
        height = min(height, y + h - _FOOT * unit - at)
        places[row.name] = pygame.Rect(round(x + 12 * unit), round(at), round(w - 24 * unit), round(height - 2 * unit))
        at += height
    foot = y + h - 46 * unit
    places["back"] = pygame.Rect(round(x + 14 * unit), round(foot), round(96 * unit), round(34 * unit))
    places["up"] = pygame.Rect(round(x + w - 90 * unit), round(foot), round(36 * unit), round(34 * unit))
    places["down"] = pygame.Rect(round(x + w - 50 * unit), round(foot), round(36 * unit), round(34 * unit))
    return places


@kept
def broken_list(
    box: Box, unit: float, theme: Theme, rows: tuple[Row, ...], top: int, chosen: str | None, empty: str
) -> Sprite:
    """The list as one sprite; `empty`: what is said where there is nothing to open."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left = rect.x + 20 * unit - dx
    put(surface, (left, rect.y + 14 * unit - dy), "Each opened once", "heading", theme["ink"], kind)
    dying = sum(row.dies for row in rows)
    said = _count_words(dying, len(rows)) if rows else empty
    line = kind.fit(said, "body", rect.width - 40 * unit)
    put(surface, (left, rect.y + 39 * unit - dy), line, "body", theme["ink-second"], kind)
    rule(surface, left, rect.y + 63 * unit - dy, rect.width - 40 * unit, unit, theme)
    places = broken_places(box, unit, theme, rows, top)
    for row in rows:
        if row.name in places:
            _row(surface, places[row.name].move(-dx, -dy), unit, kind, row, row.name == chosen)
    shown = rows_shown(box, unit, theme, rows, top)
    sprite = button(box_of(places["back"]), unit, theme, "Back")
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    for name, able in (("up", top > 0), ("down", top + shown < len(rows))):
        sprite = arrow_button(box_of(places[name]), unit, theme, name == "up", able)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    if rows:
        count = f"{top + 1} to {top + shown} of {len(rows)}"
        middle = places["back"].right + (places["up"].x - places["back"].right) / 2 - dx
        y = places["back"].centery - kind.height("body") / 2 - dy
        put(surface, (middle, y), count, "body", theme["ink-second"], kind, "middle")
    return whole


def _count_words(dying: int, count: int) -> str:
    """How many of the things opened mattered."""
    if not dying:
        return f"None of the {count} is missed when opened"
    return f"{dying} of {count} are missed when opened" if dying > 1 else f"1 of {count} is missed when opened"


def _row(surface: pygame.Surface, place: pygame.Rect, unit: float, kind: Type, row: Row, chosen: bool) -> None:
    theme = kind.theme
    if chosen:
        pen = Pen(place, 3)
        pen.polygon(rounded(tuple(place), 5 * unit), mix(theme["paper"], theme["ink"], 0.12))  # type: ignore[arg-type]
        pen.frame(tuple(place), 5 * unit, 1.6 * unit, theme["ink-second"])  # type: ignore[arg-type]
        lay(surface, pen.done().surface, place.topleft)
    x, y, width = place.x + 8 * unit, place.y + 3 * unit, place.width - 16 * unit
    words, lines = _lines(kind, width, row)
    for line in words:
        put(surface, (x, y), line, "body-bold", theme["ink"], kind)
        y += kind.height("body-bold")
    colour = theme["pencil-red"] if row.dies else theme["ink-green"]
    for line in lines:
        put(surface, (x, y), line, "body", colour, kind)
        y += kind.height("body")

"""The page of settings: one sheet, a line of buttons for each thing that can be chosen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import pygame

from sim.game.draw.ink import Sprite, lay, merge
from sim.game.draw.panel import Box, put
from sim.game.draw.paper import button, clip, paper, rule
from sim.game.fonts import Type
from sim.game.settings import Choice
from sim.game.theme import Theme

__all__ = ["settings_places", "settings_sheet", "settings_size"]

_WIDTH, _HEAD, _ROW, _FOOT = 720.0, 96.0, 110.0, 74.0
_TEXT, _BUTTON, _BREATH = 54.0, 38.0, 4.0
_CAUTIONS, _DONE = ("", "cautions"), ("", "close")


def settings_size(count: int, room: float) -> tuple[float, float]:
    """Width and height of a sheet with so many lines, layout px; `room`: the height that there is for it."""
    return _WIDTH, min(_HEAD + _ROW * count + _FOOT, room)


def _pitch(box: Box, unit: float, count: int) -> float:
    """From one line to the next, layout px."""
    return min(_ROW, (box[3] / unit - _HEAD - _FOOT) / max(1, count))


def settings_places(box: Box, unit: float, rows: Sequence[Choice]) -> dict[tuple[str, str], pygame.Rect]:
    """Where the buttons lie, by line and value, from ("", "cautions") in the head to ("", "close") at the foot."""
    x, y, w, h = box
    head = (x + w - 352 * unit, y + 32 * unit, 150 * unit, 34 * unit)
    places = {_CAUTIONS: pygame.Rect(*map(round, head))}
    pitch = _pitch(box, unit, len(rows))
    high = min(_BUTTON, pitch - _TEXT - _BREATH)
    for number, row in enumerate(rows):
        top = y + (_HEAD + pitch * number + _TEXT) * unit
        width = 99.0 if len(row.values) > 3 else 160.0
        for k, (value, _) in enumerate(row.values):
            left = x + (32 + (width + 12) * k) * unit
            places[row.name, value] = pygame.Rect(round(left), round(top), round(width * unit), round(high * unit))
    left, top = x + w - 192 * unit, y + h - 60 * unit
    places[_DONE] = pygame.Rect(round(left), round(top), round(160 * unit), round(_BUTTON * unit))
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
    put(surface, (left, rect.y + 26 * unit - dy), "Settings", "result", ink, kind)
    corner = (rect.right - 32 * unit - dx, rect.y + 44 * unit - dy)
    put(surface, corner, "Esc or F2: back", "body", second, kind, "right")
    rule(surface, left, rect.y + 76 * unit - dy, rect.width - 64 * unit, unit, theme)
    pitch = _pitch(box, unit, len(rows))
    for number, row in enumerate(rows):
        top = rect.y + (_HEAD + pitch * number) * unit - dy
        put(surface, (left, top), row.heading, "heading", ink, kind)
        put(surface, (left, top + 26 * unit), row.note, "body", second, kind)
    places = settings_places(box, unit, rows)
    for row in rows:
        for value, words in row.values:
            look = "chosen" if value == row.chosen else "plain"
            sprite = button(tuple(places[row.name, value]), unit, theme, words, look)
            lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    for key, words, look in ((_CAUTIONS, "Cautions", "plain"), (_DONE, "Done", "main")):
        sprite = button(tuple(places[key]), unit, theme, words, look)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    done = places[_DONE]
    room = done.x - dx - left - 24 * unit
    foot = kind.wrap(fault or "Kept at once, and for the next start.", "body", room)[:2]
    y = done.centery - dy - kind.height("body") * len(foot) / 2
    for line in foot:
        put(surface, (left, y), line, "body", theme["pencil-red"] if fault else second, kind)
        y += kind.height("body")
    return whole

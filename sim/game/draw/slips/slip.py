"""The frog's slip: what the player said it must match, and the four readings, in one small table on paper."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, put
from sim.game.draw.pen.paper_parts import button, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["SETTINGS", "FrogTable", "slip", "slip_folded", "slip_places", "slip_size"]

SETTINGS = ("normal", "diverging")
_HEAD, _ROW, _LABEL = 26.0, 23.0, 126.0
_FOOT, _LINE = 27.0, 17.0  # what the readings mean: two lines of it


class FrogTable(NamedTuple):
    """What stands on the slip.

    number: place among the frogs, "frog 1 of 3", or "": with one its name is a button to the next
    asked: whether something must be said first; open: whether it still can be
    said: for each setting "left", "right" or ""; readings: for each setting those to the left and to the right stock
    rail, in words; pattern: what they mean; taken: how many readings of how many, or ""; spoilt: which of the readings
    were taken with the supply plugged in, and are struck through; right: the frog is as it should be
    """

    piece: str
    number: str
    asked: bool
    open: bool
    said: tuple[str, str]
    readings: tuple[tuple[str, str], tuple[str, str]]
    pattern: str
    taken: str
    spoilt: tuple[tuple[bool, bool], tuple[bool, bool]] = ((False, False), (False, False))
    right: bool = False


def slip_size(unit: float, asked: bool, width: float, line: float = _LINE) -> tuple[int, int]:
    """Width and height of the slip, px; `width` and `line`, of a line of small text, in layout px."""
    return round(width * unit), round((_HEAD + _ROW * (3 if asked else 2) + _FOOT + line) * unit)


def _column(box: Box, unit: float, k: int) -> tuple[float, float]:
    """Left edge and width of a setting's column."""
    x, _, w, _ = box
    width = (w - (_LABEL + 24) * unit) / 2
    return x + (_LABEL + 12) * unit + k * width, width


def slip_places(box: Box, unit: float, asked: bool) -> dict[str, pygame.Rect]:
    """Where its buttons lie: "normal/left" and so on, "next" (the piece's name, where there are several), "close"."""
    x, y, w, _ = box
    places = {
        "close": pygame.Rect(round(x + w - 28 * unit), round(y + 3 * unit), round(22 * unit), round(22 * unit)),
        "next": pygame.Rect(round(x + 8 * unit), round(y + 2 * unit), round(_LABEL * unit), round(24 * unit)),
    }
    if asked:
        for k, setting in enumerate(SETTINGS):
            left, width = _column(box, unit, k)
            half = (width - 14 * unit) / 2
            for n, side in enumerate(("left", "right")):
                places[f"{setting}/{side}"] = pygame.Rect(
                    round(left + n * (half + 4 * unit)), round(y + _HEAD * unit), round(half), round(21 * unit)
                )
    return places


@kept
def slip(box: Box, unit: float, theme: Theme, table: FrogTable) -> Sprite:
    """The slip as one sprite."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, False, 41)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    places = slip_places(box, unit, table.asked)
    ink, second = theme["ink"], theme["ink-second"]
    if table.number:
        _next_button(surface, (dx, dy), places["next"], f"Frog of {table.piece}", kind)
    else:
        at = (rect.x + 14 * unit - dx, rect.y + 4 * unit - dy)
        put(surface, at, kind.fit(f"Frog of {table.piece}", "body-bold", 100 * unit), "body-bold", ink, kind)
    for k, setting in enumerate(SETTINGS):
        left, width = _column(box, unit, k)
        put(
            surface,
            (left + width / 2 - 5 * unit - dx, rect.y + min(5 * unit, _HEAD * unit - kind.height("mark")) - dy),
            f"points {setting}",
            "mark",
            second,
            kind,
            "middle",
        )
    pen = Pen(places["close"], 3)
    cx, cy = places["close"].center
    pen.stroke(
        [(cx - 5 * unit, cy - 2.5 * unit), (cx, cy + 2.5 * unit), (cx + 5 * unit, cy - 2.5 * unit)], 2 * unit, second
    )
    mark = pen.done()
    lay(surface, mark.surface, (mark.x - dx, mark.y - dy))
    y = rect.y + _HEAD * unit
    if table.asked:
        put(surface, (rect.x + 14 * unit - dx, y + 1 * unit - dy), "it must match", "body", ink, kind)
        for k, setting in enumerate(SETTINGS):
            for side in ("left", "right"):
                place = places[f"{setting}/{side}"]
                look = "chosen" if table.said[k] == side else "plain"
                sprite = button(box_of(place), unit, theme, side, look, table.open or look == "chosen")
                lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
        y += _ROW * unit
    rule(surface, rect.x + 14 * unit - dx, y - 0.5 * unit - dy, rect.width - 28 * unit, unit, theme)
    for row, side in enumerate(("left", "right")):
        top = y + (row * (_ROW - 2) + 1) * unit
        put(surface, (rect.x + 14 * unit - dx, top - dy), f"to {side} stock rail", "body", ink, kind)
        for k in range(2):
            left, width = _column(box, unit, k)
            text = table.readings[k][row]
            spoilt = table.spoilt[k][row]
            colour = mix(second, theme["paper"], 0.35) if text == "–" else second if spoilt else ink
            middle = left + width / 2 - 5 * unit - dx
            put(surface, (middle, top - dy), text, "reading-small", colour, kind, "middle")
            if spoilt:
                _strike(surface, middle, top - dy, text, kind)
    y += 2 * (_ROW - 2) * unit
    text = table.pattern or "Frog to each stock rail, supply unplugged."
    room = rect.width - 28 * unit
    top = y + 3 * unit - dy
    colour = second if not table.pattern else theme["ink-green"] if table.right else theme["pencil-brown"]
    first, *rest = kind.wrap(text, "mark", room)
    put(surface, (rect.x + 14 * unit - dx, top), first, "mark", colour, kind)
    top += kind.height("mark") - 1 * unit
    corner = ", ".join(filter(None, (table.number, table.taken)))
    corner = corner[:1].upper() + corner[1:]
    room -= kind.width(corner, "mark") + 14 * unit if corner else 0
    put(surface, (rect.x + 14 * unit - dx, top), kind.fit(" ".join(rest), "mark", room), "mark", colour, kind)
    if corner:
        put(surface, (rect.right - 14 * unit - dx, top), corner, "mark", second, kind, "right")
    return whole


def _next_button(surface: pygame.Surface, origin: tuple[int, int], place: pygame.Rect, words: str, kind: Type) -> None:
    """The piece's name as a button with an arrow on it: the next of several frogs."""
    unit, theme = kind.scale, kind.theme
    dx, dy = origin
    sprite = button(box_of(place), unit, theme, "", "plain")
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    top = place.centery - kind.height("body-bold") / 2 - 0.5 * unit - dy
    room = place.width - 26 * unit
    put(surface, (place.x + 6 * unit - dx, top), kind.fit(words, "body-bold", room), "body-bold", theme["ink"], kind)
    pen = Pen(place, 3)
    x, y = place.right - 11 * unit, place.centery
    half = 2.5 * unit
    pen.stroke([(x - half, y - 2 * half), (x + half, y), (x - half, y + 2 * half)], 2 * unit, theme["ink"])
    mark = pen.done()
    lay(surface, mark.surface, (mark.x - dx, mark.y - dy))


def _strike(surface: pygame.Surface, middle: float, top: float, text: str, kind: Type) -> None:
    """A line of the pen through a reading, a little beyond its ends."""
    unit = kind.scale
    half = kind.width(text, "reading-small") / 2 + 5 * unit
    y = top + kind.height("reading-small") * 0.54
    rect = pygame.Rect(round(middle - half), round(y - 4 * unit), round(2 * half), round(8 * unit))
    pen = Pen(rect.inflate(4, 4), 4)
    pen.stroke([(middle - half, y + 1.2 * unit), (middle + half, y - 1.2 * unit)], 1.8 * unit, kind.theme["ink-second"])
    mark = pen.done()
    lay(surface, mark.surface, (mark.x, mark.y))


@kept
def slip_folded(box: Box, unit: float, theme: Theme) -> Sprite:
    """The slip folded to its heading."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, False, 41)])
    put(
        whole.surface,
        (rect.x + 14 * unit - whole.x, rect.y + 4 * unit - whole.y),
        "Frog readings",
        "body-bold",
        theme["ink"],
        kind,
    )
    pen = Pen(rect, 3)
    cx, cy = rect.right - 18 * unit, rect.centery
    pen.stroke(
        [(cx - 5 * unit, cy + 2.5 * unit), (cx, cy - 2.5 * unit), (cx + 5 * unit, cy + 2.5 * unit)],
        2 * unit,
        theme["ink-second"],
    )
    mark = pen.done()
    lay(whole.surface, mark.surface, (mark.x - whole.x, mark.y - whole.y))
    return whole

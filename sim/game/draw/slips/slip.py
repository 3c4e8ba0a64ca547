"""The frog's slip: what the player said it must match, and the four readings, in one small table on paper."""

from __future__ import annotations

import math
from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.icons import roof
from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = ["SETTINGS", "FrogTable", "slip", "slip_folded", "slip_size"]

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


@kept
def slip(box: Box, unit: float, theme: Theme, table: FrogTable) -> Arrangement[str]:
    """The slip; "close", "next" (the piece's name, where there are several), and "normal/left" and so on."""
    out: Arrangement[str] = Arrangement(unit, theme)
    kind, rect = out.kind, pygame.Rect(box)
    ink, second, left = theme["ink"], theme["ink-second"], rect.x + 14 * unit
    wide = (rect.width - (_LABEL + 24) * unit) / 2
    columns = [rect.x + (_LABEL + 12) * unit + k * wide for k in range(2)]
    middles = [column + wide / 2 - 5 * unit for column in columns]
    out.slip(rect, 41)
    close = pygame.Rect(
        round(rect.right - 28 * unit), round(rect.y + 3 * unit), round(22 * unit), round(22 * unit)
    )
    out.spot("close", close)
    out.draw(roof, close.center, unit, second, "down")
    name = f"Frog of {table.piece}"
    if table.number:
        _next_button(out, rect, name)
    else:
        out.words((left, rect.y + 4 * unit), kind.fit(name, "body-bold", 100 * unit), "body-bold", ink)
    top = rect.y + min(5 * unit, _HEAD * unit - kind.height("mark"))
    for setting, middle in zip(SETTINGS, middles, strict=True):
        out.words((middle, top), f"points {setting}", "mark", second, "middle")
    y = rect.y + _HEAD * unit
    if table.asked:
        more = max(0, math.floor(kind.height("body") - (_ROW - 4) * unit))  # larger type has a higher row
        out.words((left, y + 1 * unit), "it must match", "body", ink)
        half = (wide - 14 * unit) / 2
        for setting, column, said in zip(SETTINGS, columns, table.said, strict=True):
            for n, side in enumerate(("left", "right")):
                start = column + n * (half + 4 * unit)
                place = pygame.Rect(round(start), round(y + more / 2), round(half), round(21 * unit))
                look = "chosen" if said == side else "plain"
                out.button(f"{setting}/{side}", place, side, look, table.open or look == "chosen")
        y += _ROW * unit + more
    out.rule((left, y - 0.4 * unit), rect.width - 28 * unit)
    for row, side in enumerate(("left", "right")):
        top = y + (row * (_ROW - 2) + 1) * unit
        out.words((left, top), f"to {side} stock rail", "body", ink)
        for k, middle in enumerate(middles):
            text, spoilt = table.readings[k][row], table.spoilt[k][row]
            colour = mix(second, theme["paper"], 0.35) if text == "–" else second if spoilt else ink
            width = out.words((middle, top), text, "reading-small", colour, "middle")
            if spoilt:
                y_mid = top + kind.height("reading-small") * 0.54
                out.draw(_strike, (middle, y_mid), width / 2 + 5 * unit, unit, second)
    y += 2 * (_ROW - 2) * unit
    _meaning(out, rect, y + 3 * unit, table)
    return out


def _meaning(out: Arrangement[str], rect: pygame.Rect, top: float, table: FrogTable) -> None:
    """The foot of the slip: what the readings mean, which frog this is, how many readings are taken."""
    unit, theme, kind = out.unit, out.theme, out.kind
    left, room = rect.x + 14 * unit, rect.width - 28 * unit
    colour = theme["ink-green" if table.right else "pencil-brown"] if table.pattern else theme["ink-second"]
    first, *rest = kind.wrap(table.pattern or "Frog to each stock rail, supply unplugged.", "mark", room)
    out.words((left, top), first, "mark", colour)
    top += kind.height("mark") - 1 * unit
    corner = ", ".join(filter(None, (table.number, table.taken)))
    corner = corner[:1].upper() + corner[1:]
    room -= kind.width(corner, "mark") + 14 * unit if corner else 0
    out.words((left, top), kind.fit(" ".join(rest), "mark", room), "mark", colour)
    if corner:
        out.words((rect.right - 14 * unit, top), corner, "mark", theme["ink-second"], "right")


def _next_button(out: Arrangement[str], rect: pygame.Rect, words: str) -> None:
    """The piece's name as a button with an arrow on it: the next of several frogs."""
    unit, kind, ink = out.unit, out.kind, out.theme["ink"]
    place = pygame.Rect(
        round(rect.x + 8 * unit), round(rect.y + 2 * unit), round(_LABEL * unit), round(24 * unit)
    )
    out.button("next", place, "")
    top = place.centery - kind.height("body-bold") / 2 - 0.5 * unit
    words = kind.fit(words, "body-bold", place.width - 26 * unit)
    out.words((place.x + 6 * unit, top), words, "body-bold", ink)
    out.draw(roof, (place.right - 11 * unit, float(place.centery)), unit, ink, "right")


def _strike(middle: Point, half: float, unit: float, colour: Colour) -> Sprite:
    """A line of the pen through a reading, as far to both sides of a place."""
    x, y = middle
    rect = pygame.Rect(round(x - half), round(y - 4 * unit), round(2 * half), round(8 * unit))
    pen = Pen(rect.inflate(4, 4), 4)
    pen.stroke([(x - half, y + 1.2 * unit), (x + half, y - 1.2 * unit)], 1.8 * unit, colour)
    return pen.done()


@kept
def slip_folded(box: Box, unit: float, theme: Theme) -> Arrangement[str]:
    """The slip folded to its heading."""
    out: Arrangement[str] = Arrangement(unit, theme)
    rect = pygame.Rect(box)
    out.spot("close", rect)
    out.slip(rect, 41)
    out.words((rect.x + 14 * unit, rect.y + 4 * unit), "Frog readings", "body-bold", theme["ink"])
    out.draw(roof, (rect.right - 18 * unit, float(rect.centery)), unit, theme["ink-second"])
    return out

"""The sheet of the test track: a drawer of pieces, each with its picture; what can be asked; the newest words."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.icons import roof
from sim.game.draw.pen.ink import Pen, Sprite, lay, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.railway.outlines import HALF_MM
from sim.game.draw.railway.vehicle import Body, vehicle
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point
from sim.track.formations.menu import BoxItem
from sim.track.laying import BOX

__all__ = ["drawer"]

_COLUMNS = 4
_TOP, _PITCH, _CELL = 44.0, 52.0, 48.0


@kept
def drawer(
    box: Box,
    unit: float,
    theme: Theme,
    title: str,
    words: tuple[tuple[str, str], ...],
    compare: str,
    told: tuple[str, ...],
    able: bool,
) -> Arrangement[str]:
    """The sheet: the fold mark, the compartments, the buttons "compare", "break" and "test".

    words: each compartment's name and the word under it; compare: what that button says; told: the newest sentences
    """
    sheet: Arrangement[str] = Arrangement(unit, theme)
    rect = pygame.Rect(box)
    left, width = rect.x + 16 * unit, rect.width - 32 * unit
    sheet.paper(rect)
    heading = sheet.kind.fit(title, "heading", width - 34 * unit)
    sheet.words((left, rect.y + 14 * unit), heading, "heading", theme["ink"])
    fold = pygame.Rect(
        round(rect.right - 34 * unit), round(rect.y + 10 * unit), round(24 * unit), round(24 * unit)
    )
    sheet.spot("fold", fold)
    x, inner, gap = rect.x + 14 * unit, rect.width - 28 * unit, 5 * unit
    wide = (inner - gap * (_COLUMNS - 1)) / _COLUMNS
    place = fold
    for number, (name, word) in enumerate(words):
        row, column = divmod(number, _COLUMNS)
        top = rect.y + (_TOP + _PITCH * row) * unit
        place = pygame.Rect(round(x + (wide + gap) * column), round(top), round(wide), round(_CELL * unit))
        sheet.spot(name, place)
        sheet.draw(_compartment, box_of(place), unit, theme, name, word)
    upper, half = round(rect.bottom - 86 * unit), (inner - 6 * unit) / 2
    for name, text, start in (("compare", compare, x), ("break", "Break each once", x + half + 6 * unit)):
        sheet.button(name, pygame.Rect(round(start), upper, round(half), round(34 * unit)), text, "plain", able)
    test = pygame.Rect(round(x), round(rect.bottom - 46 * unit), round(inner), round(36 * unit))
    sheet.button("test", test, "Test every route", "main", able)
    _told(sheet, left, place.bottom, width, upper, told)
    sheet.draw(roof, fold.center, unit, theme["ink-second"])
    return sheet


def _told(
    sheet: Arrangement[str], x: float, top: float, width: float, foot: float, told: tuple[str, ...]
) -> None:
    """The newest sentence in bold ink, and those before it as far as there is room above it."""
    kind, unit = sheet.kind, sheet.unit
    step = kind.height("body")
    room = int((foot - top - 10 * unit) // step)
    rows: list[tuple[str, str]] = []
    for number, sentence in enumerate(reversed(told)):
        role = "body-bold" if not number else "body"
        lines = kind.wrap(sentence, role, width)
        if len(rows) + len(lines) > room:
            if not number and room > 0:
                kept_lines = [*lines[: room - 1], kind.fit(" ".join(lines[room - 1 :]), role, width)]
                rows = [(line, role) for line in kept_lines]
            break
        rows = [(line, role) for line in lines] + rows
    if rows:
        sheet.rule((x, top + 5 * unit), width)
    for number, (line, role) in enumerate(rows):
        colour = sheet.theme["ink" if role == "body-bold" else "ink-second"]
        sheet.words((x, top + 9 * unit + number * step), line, role, colour)


# Compartments


@kept
def _compartment(box: Box, unit: float, theme: Theme, name: str, word: str) -> Sprite:
    """A compartment: a shallow tray in the paper, the piece in it, its word beneath."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    x, y, w, h = rect
    pen = Pen(rect, 3)
    tray = mix(theme["paper"], theme["paper-under"], 0.55)
    pen.polygon(rounded((x, y, w, h), 5 * unit), mix(theme["paper-under"], theme["ink"], 0.25))
    pen.wash(
        rounded((x + unit, y + unit, w - 2 * unit, h - 2 * unit), 4 * unit),
        (mix(tray, theme["ink"], 0.06), tray, mix(tray, (255, 255, 255), 0.25)),
    )
    label = kind.height("small")
    middle = (x + w / 2, y + (h - label) / 2 + unit)
    _picture(pen, name, middle, unit, theme)
    part = pen.done()
    if name in _SMALL:
        small = _vehicle(name, middle, w - 5 * unit, unit, theme)
        lay(part.surface, small.surface, (small.x - x, small.y - y))
    text = kind.line(kind.fit(word, "small", w - 4 * unit), "small", theme["ink"])
    lay(part.surface, text, ((w - text.get_width()) / 2, h - text.get_height() - unit))
    return part


def _rails(pen: Pen, line: list[Point], unit: float, theme: Theme) -> None:
    """A length of track: dark bed, two light rails."""
    pen.stroke(line, 9.5 * unit, theme["timber"])
    for side in (-1, 1):
        moved = _beside(line, side * 2.9 * unit)
        pen.stroke(moved, 2.2 * unit, mix(theme["ink"], theme["nickel-dark"], 0.3))
        pen.stroke(moved, 1.1 * unit, theme["nickel-lit"])


def _beside(line: list[Point], offset: float) -> list[Point]:
    out = []
    for k, (px, py) in enumerate(line):
        a, b = line[max(0, k - 1)], line[min(len(line) - 1, k + 1)]
        run = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
        out.append((px - (b[1] - a[1]) / run * offset, py + (b[0] - a[0]) / run * offset))
    return out


def _bend(middle: Point, reach: float, fall: float) -> list[Point]:
    """A line from left to right that bends away: `fall` px down at its right end."""
    x, y = middle
    return [(x - reach + 2 * reach * t / 12, y + fall * (t / 12) ** 2) for t in range(13)]


def _picture(pen: Pen, name: str, middle: Point, unit: float, theme: Theme) -> None:
    x, y = middle
    reach = 24 * unit
    if name in _TRACK:
        _track(pen, _TRACK[name], middle, reach, unit, theme)
        return
    match name:
        case "motor" | "motor-2" | "lever":
            _motor(pen, name, x, y, unit, theme)
        case "lamp":
            pen.stroke([(x - reach, y), (x - 8 * unit, y)], 2.4 * unit, theme["copper-dark"])
            pen.stroke([(x + 8 * unit, y), (x + reach, y)], 2.4 * unit, theme["copper-dark"])
            pen.disc(middle, 9.5 * unit, theme["ink"])
            pen.disc(middle, 8 * unit, mix(theme["brass-lit"], theme["paper"], 0.35))
            cross = 5 * unit
            pen.stroke([(x - cross, y - cross), (x + cross, y + cross)], 1.8 * unit, theme["ink"])
            pen.stroke([(x - cross, y + cross), (x + cross, y - cross)], 1.8 * unit, theme["ink"])
        case "polarity":
            pen.polygon(rounded((x - 17 * unit, y - 10 * unit, 34 * unit, 20 * unit), 3 * unit), theme["housing"])
            pen.stroke([(x - 12 * unit, y - 5 * unit), (x - 6 * unit, y - 5 * unit)], 2.4 * unit, theme["side-a"])
            pen.stroke([(x - 12 * unit, y + 5 * unit), (x - 6 * unit, y + 5 * unit)], 2.4 * unit, theme["side-b"])
            pen.stroke([(x - 5 * unit, y - 4 * unit), (x + 6 * unit, y)], 2 * unit, theme["brass-lit"])
            pen.stroke([(x + 6 * unit, y), (x + 12 * unit, y)], 2.4 * unit, theme["brass-lit"])
        case "tap":
            for row, role in ((-4, "side-a"), (4, "side-b")):
                pen.stroke([(x - reach, y + row * unit), (x + reach, y + row * unit)], 4.4 * unit, theme["ink"])
                pen.stroke([(x - reach, y + row * unit), (x + reach, y + row * unit)], 2.6 * unit, theme[role])
            for at in (-6, 6):
                pen.disc((x + at * unit, y + (-4 if at < 0 else 4) * unit), 4 * unit, theme["brass-dark"])
                pen.disc((x + at * unit, y + (-4 if at < 0 else 4) * unit), 2.8 * unit, theme["brass-lit"])


_TRACK = {item.name: item for item in BOX}


def _track(pen: Pen, item: BoxItem, middle: Point, reach: float, unit: float, theme: Theme) -> None:
    """The tracks of a piece, each over the ones before it."""
    x, y = middle
    right = 8 * unit if item.stops else reach
    for at, fall in item.picture:
        up = y + at * unit
        _rails(pen, _bend((x, up), reach, fall * unit) if fall else [(x - reach, up), (x + right, up)], unit, theme)
    if item.stops:
        pen.polygon(rounded((x + 6 * unit, y - 8 * unit, 5 * unit, 16 * unit), 1.5 * unit), theme["trip-red"])
        pen.polygon(rounded((x + 11 * unit, y - 6 * unit, 4 * unit, 12 * unit), 1.5 * unit), theme["timber-dark"])


def _motor(pen: Pen, name: str, x: float, y: float, unit: float, theme: Theme) -> None:
    count = 2 if name == "motor-2" else 1
    if name == "lever":
        pen.stroke([(x - 1 * unit, y + 2 * unit), (x + 9 * unit, y - 11 * unit)], 3.4 * unit, theme["ink"])
        pen.stroke([(x - 1 * unit, y + 2 * unit), (x + 9 * unit, y - 11 * unit)], 1.8 * unit, theme["nickel-lit"])
        pen.disc((x + 9 * unit, y - 11 * unit), 3.6 * unit, theme["trip-red"])
    else:
        pen.polygon(rounded((x - 18 * unit, y - 12 * unit, 36 * unit, 14 * unit), 2.5 * unit), theme["housing"])
    wide = 13.0 if count == 1 else 19.0
    pen.polygon(
        rounded((x - wide * unit, y - 1 * unit, 2 * wide * unit, 12 * unit), 2 * unit),
        mix(theme["block-dark"], theme["ink"], 0.3),
    )
    pen.polygon(rounded((x - (wide - 1) * unit, y, 2 * (wide - 1) * unit, 10 * unit), 1.5 * unit), theme["block-lit"])
    screws = 3 * count
    for k in range(screws):
        at = x + (k - (screws - 1) / 2) * (8 if count == 1 else 6) * unit
        pen.disc((at, y + 5 * unit), 2.6 * unit, theme["brass-dark"])
        pen.disc((at, y + 5 * unit), 1.8 * unit, theme["brass"])


_SMALL: Mapping[str, tuple[str, tuple[float, ...], float]] = {
    "shunter": ("four-wheel shunter", (0.0, 26.0), 20.0),
    "wagon": ("metal-wheel wagon", (0.0, 40.0), 16.0),
    "diesel": ("bogie diesel", (0.0, 18.0, 58.0, 76.0), 16.0),
    "tender": ("tender engine", (0.0, 15.0, 30.0, 54.0, 76.0), 15.0),
}
"""Each compartment's vehicle: its name, its axles and how far it reaches over them, mm; long ones pushed together."""


def _vehicle(name: str, middle: Point, wide: float, unit: float, theme: Theme) -> Sprite:
    """The vehicle itself, small."""
    called, axles, over = _SMALL[name]
    places = tuple((-mm, 0.0, 0.0) for mm in axles)
    body = Body(called, places, over, 16.5, 5.5, False, True, 1 if name != "wagon" else 0)
    long = axles[-1] + 2 * over
    px = min(wide / (long + 9.0), 20 * unit / (2 * HALF_MM))
    offset = (middle[0] + (axles[-1] / 2) * px, middle[1])
    return vehicle(body, 0.0, round(px, 3), offset, 0.45 * unit, theme, 3)

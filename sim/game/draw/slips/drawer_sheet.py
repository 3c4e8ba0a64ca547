"""The sheet of the test track: a drawer of pieces, each with its picture; what can be asked; the newest words."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import button, clip, paper, rule
from sim.game.draw.railway.bodywork import HALF_MM
from sim.game.draw.railway.vehicle import Body, vehicle
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point
from sim.track.formations.menu import BoxItem
from sim.track.laying import BOX

__all__ = ["drawer", "drawer_places", "fold_mark"]

_COLUMNS = 4
_TOP, _PITCH, _CELL = 44.0, 52.0, 48.0


def drawer_places(box: Box, unit: float, names: tuple[str, ...]) -> Mapping[str, pygame.Rect]:
    """Where the compartments, the buttons ("test", "compare", "break") and the fold mark lie, in reading order."""
    x, y, w, h = box
    inner, gap = w - 28 * unit, 5 * unit
    width = (inner - gap * (_COLUMNS - 1)) / _COLUMNS
    places = {"fold": pygame.Rect(round(x + w - 34 * unit), round(y + 10 * unit), round(24 * unit), round(24 * unit))}
    for number, name in enumerate(names):
        column, row = number % _COLUMNS, number // _COLUMNS
        left, top = x + 14 * unit + (width + gap) * column, y + (_TOP + _PITCH * row) * unit
        places[name] = pygame.Rect(round(left), round(top), round(width), round(_CELL * unit))
    half = (inner - 6 * unit) / 2
    upper, lower = y + h - 86 * unit, y + h - 46 * unit
    left = x + 14 * unit
    places["compare"] = pygame.Rect(round(left), round(upper), round(half), round(34 * unit))
    places["break"] = pygame.Rect(round(left + half + 6 * unit), round(upper), round(half), round(34 * unit))
    places["test"] = pygame.Rect(round(left), round(lower), round(inner), round(36 * unit))
    return places


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
) -> Sprite:
    """The sheet as one sprite.

    words: each compartment's name and the word under it; compare: what that button says; told: the newest sentences
    """
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    left, width = rect.x + 16 * unit - dx, rect.width - 32 * unit
    heading = kind.fit(title, "heading", width - 34 * unit)
    put(surface, (left, rect.y + 14 * unit - dy), heading, "heading", theme["ink"], kind)
    places = drawer_places(box, unit, tuple(name for name, _ in words))
    for name, word in words:
        sprite = _compartment(_box(places[name]), unit, theme, name, word)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    for name, text, look in (
        ("compare", compare, "plain"),
        ("break", "Break each once", "plain"),
        ("test", "Test every route", "main"),
    ):
        sprite = button(_box(places[name]), unit, theme, text, look, able)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    _told(surface, left, places[words[-1][0]].bottom - dy, width, places["compare"].y - dy, kind, told)
    mark = fold_mark(_box(places["fold"]), unit, theme)
    lay(surface, mark.surface, (mark.x - dx, mark.y - dy))
    return whole


def _box(rect: pygame.Rect) -> Box:
    return rect.x, rect.y, rect.width, rect.height


def _told(
    surface: pygame.Surface, x: float, top: float, width: float, foot: float, kind: Type, told: tuple[str, ...]
) -> None:
    """The newest sentence in bold ink, and those before it as far as there is room above it."""
    step, unit = kind.height("body"), kind.scale
    room = int((foot - top - 10 * unit) // step)
    rows: list[tuple[str, str]] = []
    for number, sentence in enumerate(reversed(told)):
        role = "body-bold" if not number else "body"
        lines = kind.wrap(sentence, role, width)
        if len(rows) + len(lines) > room:
            if not number and room > 0:
                kept = [*lines[: room - 1], kind.fit(" ".join(lines[room - 1 :]), role, width)]
                rows = [(line, role) for line in kept]
            break
        rows = [(line, role) for line in lines] + rows
    if rows:
        rule(surface, x, top + 5 * unit, width, unit, kind.theme)
    for number, (line, role) in enumerate(rows):
        colour = kind.theme["ink" if role == "body-bold" else "ink-second"]
        put(surface, (x, top + 9 * unit + number * step), line, role, colour, kind)


@kept
def fold_mark(box: Box, unit: float, theme: Theme) -> Sprite:
    """The little roof that folds a sheet away."""
    pen = Pen(pygame.Rect(box), 3)
    cx, cy = pygame.Rect(box).center
    line = [(cx - 5 * unit, cy + 2.5 * unit), (cx, cy - 2.5 * unit), (cx + 5 * unit, cy + 2.5 * unit)]
    pen.stroke(line, 2 * unit, theme["ink-second"])
    return pen.done()


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

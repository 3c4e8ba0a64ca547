"""A slip of paper with a title and lines of choices: steppers, words, colours. Hit testing asks where they lie."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, put
from sim.game.draw.pen.paper_parts import button, paper
from sim.game.draw.railway.wires import wire_colour
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Choice", "Line", "choice_places", "choice_size", "choice_slip", "stepper"]

WIDTH = 304.0
_HEAD, _LINE, _TALL, _EDGE, _LABEL = 36.0, 38.0, 30.0, 14.0, 66.0


class Choice(NamedTuple):
    """Something on a line. look: "plain", "chosen" or "main" for a button, "value" for words alone, "cloth" for a dot.

    chosen: a dot that is ringed; able: a button that can be used now
    """

    name: str
    words: str
    look: str = "plain"
    chosen: bool = False
    able: bool = True


class Line(NamedTuple):
    """A line: what it is about, and what stands on it."""

    label: str
    choices: tuple[Choice, ...]


def stepper(label: str, name: str, value: str, less: bool = True, more: bool = True) -> Line:
    """A value between a button that takes away and one that adds: `name` with - and + after it."""
    return Line(
        label,
        (
            Choice(f"{name}-", "−", able=less),
            Choice(name, value, "value"),
            Choice(f"{name}+", "+", able=more),
        ),
    )


def _label_width(kind: Type, lines: tuple[Line, ...]) -> float:
    return max([_LABEL * kind.scale, *(kind.width(line.label, "body") + 12 * kind.scale for line in lines)])


def choice_size(unit: float, theme: Theme, lines: tuple[Line, ...]) -> tuple[int, int]:
    """Width and height of a slip with these lines, px."""
    return round(WIDTH * min(1.25, theme.type_scale) * unit), round((_HEAD + _LINE * len(lines) + 10) * unit)


def choice_places(box: Box, unit: float, theme: Theme, lines: tuple[Line, ...]) -> Mapping[str, pygame.Rect]:
    """Where everything on the lines lies, by name, in reading order."""
    kind = Type(theme, unit)
    x, y, w, _ = box
    label = _label_width(kind, lines)
    places: dict[str, pygame.Rect] = {}
    for number, line in enumerate(lines):
        left = x + _EDGE * unit + (label if line.label else 0.0)
        right = x + w - _EDGE * unit
        top = y + (_HEAD + _LINE * number) * unit
        gap = 6 * unit
        count = len(line.choices)
        narrow = [choice for choice in line.choices if choice.words in {"−", "+"}]
        small = 34 * unit
        rest = right - left - gap * (count - 1) - small * len(narrow)
        for choice in line.choices:
            width = small if choice in narrow else rest / max(1, count - len(narrow))
            places[choice.name] = pygame.Rect(round(left), round(top), round(width), round(_TALL * unit))
            left += width + gap
    return places


@kept
def choice_slip(box: Box, unit: float, theme: Theme, title: str, lines: tuple[Line, ...]) -> Sprite:
    """The slip as one sprite."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, False, 53)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    put(
        surface,
        (rect.x + _EDGE * unit - dx, rect.y + 8 * unit - dy),
        kind.fit(title, "body-bold", rect.width - 2 * _EDGE * unit),
        "body-bold",
        theme["ink"],
        kind,
    )
    places = choice_places(box, unit, theme, lines)
    for line in lines:
        if line.label:
            first = places[line.choices[0].name]
            middle = first.centery - dy - kind.height("body") / 2
            put(surface, (rect.x + _EDGE * unit - dx, middle), line.label, "body", theme["ink-second"], kind)
        for choice in line.choices:
            place = places[choice.name]
            if choice.look == "value":
                words = kind.fit(choice.words, "body-bold", place.width)
                at = (place.centerx - dx, place.centery - dy - kind.height("body-bold") / 2)
                put(surface, at, words, "body-bold", theme["ink"], kind, "middle")
                continue
            if choice.look == "cloth":
                sprite = _cloth((place.x, place.y, place.width, place.height), unit, theme, choice.name, choice.chosen)
            else:
                sprite = button(box_of(place), unit, theme, choice.words, choice.look, choice.able)
            lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    return whole


def _cloth(box: Box, unit: float, theme: Theme, name: str, chosen: bool) -> Sprite:
    """A dot in the colour of a wire's covering."""
    place = pygame.Rect(box)
    pen = Pen(place, 4)
    middle = (place.x + place.width / 2, place.y + place.height / 2)
    cloth = wire_colour(name, theme)
    if chosen:
        pen.disc(middle, 14.5 * unit, theme["ink"])
        pen.disc(middle, 12.6 * unit, theme["paper"])
    pen.disc(middle, 10.6 * unit, mix(cloth, (0, 0, 0), 0.6))
    pen.disc(middle, 9.4 * unit, cloth)
    pen.disc((middle[0] - 2.4 * unit, middle[1] - 2.8 * unit), 3.4 * unit, mix(cloth, (255, 255, 255), 0.45))
    return pen.done()

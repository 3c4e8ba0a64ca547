"""A slip of paper with a title and lines of choices: steppers, words, colours."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.railway.wires import wire_colour
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Choice", "Line", "choice_slip", "stepper"]

_WIDTH = 304.0
_HEAD, _LINE, _TALL, _EDGE, _LABEL, _STEPPER = 36.0, 38.0, 30.0, 14.0, 66.0, 34.0
_NARROW = frozenset({"−", "+"})


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


@kept
def choice_slip(unit: float, theme: Theme, title: str, lines: tuple[Line, ...]) -> Arrangement[str]:
    """The slip, at the window's corner, to be moved; every choice by its name, but for words alone."""
    slip: Arrangement[str] = Arrangement(unit, theme)
    kind, edge, gap = slip.kind, _EDGE * unit, 6 * unit
    width, height = round(_WIDTH * min(1.25, theme.type_scale) * unit), round((_HEAD + _LINE * len(lines) + 10) * unit)
    slip.slip(pygame.Rect(0, 0, width, height), 53)
    heading = kind.fit(title, "body-bold", width - 2 * edge)
    slip.words((edge, 8 * unit), heading, "body-bold", theme["ink"])
    label = _label_width(kind, lines)
    for number, line in enumerate(lines):
        left, top = edge + (label if line.label else 0.0), (_HEAD + _LINE * number) * unit
        if line.label:
            middle = round(top) + round(_TALL * unit) // 2 - kind.height("body") / 2
            slip.words((edge, middle), line.label, "body", theme["ink-second"])
        narrow = sum(choice.words in _NARROW for choice in line.choices)
        rest = width - edge - left - gap * (len(line.choices) - 1) - _STEPPER * unit * narrow
        for choice in line.choices:
            wide = _STEPPER * unit if choice.words in _NARROW else rest / max(1, len(line.choices) - narrow)
            _lay_choice(slip, pygame.Rect(round(left), round(top), round(wide), round(_TALL * unit)), choice)
            left += wide + gap
    return slip


def _lay_choice(slip: Arrangement[str], place: pygame.Rect, choice: Choice) -> None:
    kind, theme = slip.kind, slip.theme
    if choice.look == "value":
        words = kind.fit(choice.words, "body-bold", place.width)
        at = (place.centerx, place.centery - kind.height("body-bold") / 2)
        slip.words(at, words, "body-bold", theme["ink"], "middle")
    elif choice.look == "cloth":
        slip.spot(choice.name, place)
        slip.draw(_cloth, box_of(place), slip.unit, theme, choice.name, choice.chosen)
    else:
        slip.button(choice.name, place, choice.words, choice.look, choice.able)


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

"""What a gap does, on a card: the same moment twice, with the gap cut and with it closed."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Colour, Theme, mix

__all__ = ["Half", "card"]

_PICTURE = (240.0, 150.0)
_PAD = 16.0


class Half(NamedTuple):
    """One side of the card: its heading, whether it is how things are now, whether it fails, and its sentence."""

    heading: str
    now: bool
    fails: bool
    text: str


@kept
def card(unit: float, theme: Theme, title: str, where: str, halves: tuple[Half, Half]) -> Arrangement[int]:
    """The card, at the window's corner, to be moved, with the places of its two pictures: 0 and 1."""
    out: Arrangement[int] = Arrangement(unit, theme)
    kind, pad = out.kind, _PAD * unit
    wide = _PICTURE[0] * (1 + 0.5 * (theme.type_scale - 1)) * unit
    lines = max(len(kind.wrap(half.text, "body", wide)) for half in halves)
    head = pad + kind.height("heading") + kind.height("body") + 6 * unit
    top = head + kind.height("button") + 8 * unit
    high = top - 4 * unit + (_PICTURE[1] + _PAD + 16) * unit + lines * kind.height("body")
    out.slip(pygame.Rect(0, 0, round(2 * wide + 3 * pad), round(high)), 31)
    out.words((pad, pad - 3 * unit), title, "heading", theme["ink"])
    out.words((pad, pad - 2 * unit + kind.height("heading")), where, "body", theme["ink-second"])
    for number, half in enumerate(halves):
        left = pad + number * (pad + wide)
        place = pygame.Rect(round(left), round(top), round(wide), round(_PICTURE[1] * unit))
        out.spot(number, place)
        _half(out, place, half)
    return out


def _half(out: Arrangement[int], place: pygame.Rect, half: Half) -> None:
    unit, theme, kind = out.unit, out.theme, out.kind
    colour = theme["ink"] if half.now else mix(theme["ink-second"], theme["paper"], 0.35)
    grown = round((6 if half.now else 3) * unit)
    out.draw(_frame, place.inflate(grown, grown), unit, colour)
    colour = theme["pencil-red"] if half.fails else theme["ink"]
    up = place.y - kind.height("button") - 4 * unit
    used = out.words((place.x, up), half.heading, "button", colour)
    if half.now:
        aside = up + (kind.height("button") - kind.height("body")) / 2
        out.words((place.x + used + 10 * unit, aside), "as it is now", "body", theme["ink-second"])
    out.paragraph((place.x, place.bottom + 8 * unit), half.text, "body", colour, place.width)


def _frame(edge: pygame.Rect, unit: float, colour: Colour) -> Sprite:
    pen = Pen(edge, 3)
    pen.polygon(rounded((edge.x, edge.y, edge.width, edge.height), 4 * unit), colour)
    return pen.done()

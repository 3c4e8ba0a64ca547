"""What a gap does, on a card: the same moment twice, with the gap cut and with it closed."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.marks import ring
from sim.game.draw.pen.panel import Box
from sim.game.draw.pen.paper_parts import paper
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Half", "card", "card_places", "card_size"]

_PICTURE = (240.0, 150.0)
_PAD = 16.0


class Half(NamedTuple):
    """One side of the card: its heading, whether it is how things are now, whether it fails, and its sentence."""

    heading: str
    now: bool
    fails: bool
    text: str


def _wide(kind: Type) -> float:
    return _PICTURE[0] * (1 + 0.5 * (kind.theme.type_scale - 1)) * kind.scale


def _head(kind: Type) -> float:
    return kind.height("heading") + kind.height("body") + 6 * kind.scale


def card_size(kind: Type, halves: tuple[Half, Half]) -> tuple[int, int]:
    """Width and height of the card, px."""
    unit = kind.scale
    lines = max(len(kind.wrap(half.text, "body", _wide(kind))) for half in halves)
    high = (2 * _PAD + 8) * unit + _head(kind) + kind.height("button") + 4 * unit + _PICTURE[1] * unit + 8 * unit
    return round(2 * _wide(kind) + 3 * _PAD * unit), round(high + lines * kind.height("body"))


def card_places(box: Box, kind: Type) -> tuple[pygame.Rect, pygame.Rect]:
    """Where the two pictures lie."""
    unit = kind.scale
    top = box[1] + _PAD * unit + _head(kind) + kind.height("button") + 8 * unit
    wide = _wide(kind)
    lefts = (box[0] + _PAD * unit, box[0] + 2 * _PAD * unit + wide)
    first, second = (pygame.Rect(round(left), round(top), round(wide), round(_PICTURE[1] * unit)) for left in lefts)
    return first, second


@kept
def card(
    box: Box, unit: float, theme: Theme, title: str, where: str, halves: tuple[Half, Half],
    pictures: tuple[pygame.Surface, pygame.Surface],
) -> Sprite:  # fmt: skip
    """The card with its pictures."""
    kind = Type(theme, unit)
    sheet = paper(box, unit, theme, under=False, seed=31)
    x, y = box[:2]
    pen = Pen(pygame.Rect(box), 3)
    places = card_places(box, kind)
    for half, place in zip(halves, places, strict=True):
        edge = (
            place.inflate(round(6 * unit), round(6 * unit))
            if half.now
            else place.inflate(round(3 * unit), round(3 * unit))
        )
        colour = theme["ink"] if half.now else mix(theme["ink-second"], theme["paper"], 0.35)
        pen.polygon(rounded((edge.x, edge.y, edge.width, edge.height), 4 * unit), colour)
    frames = pen.done()
    ink = Pen(pygame.Rect(box), 1).done().surface
    top = _PAD * unit - 3 * unit
    lay(ink, kind.line(title, "heading", theme["ink"]), (_PAD * unit, top))
    lay(ink, kind.line(where, "body", theme["ink-second"]), (_PAD * unit, top + kind.height("heading") + 1 * unit))
    for half, place, picture in zip(halves, places, pictures, strict=True):
        colour = theme["pencil-red"] if half.fails else theme["ink"]
        left = place.x - x
        head = kind.line(half.heading, "button", colour)
        up = place.y - y - head.get_height() - 4 * unit
        lay(ink, head, (left, up))
        if half.now:
            note = kind.line("as it is now", "body", theme["ink-second"])
            lay(ink, note, (left + head.get_width() + 10 * unit, up + (head.get_height() - note.get_height()) / 2))
        ink.blit(picture, (left, place.y - y))
        mark = ring(left + place.width / 2, place.centery - y, 12 * unit, unit, theme)
        lay(ink, mark.surface, (mark.x, mark.y))
        line_top = place.bottom - y + 8 * unit
        for line in kind.wrap(half.text, "body", place.width):
            lay(ink, kind.line(line, "body", colour), (left, line_top))
            line_top += kind.height("body")
    return merge([sheet, frames, Sprite(ink, x, y)])

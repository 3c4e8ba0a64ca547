"""The throttle: an enamelled panel with a slider, a direction rocker and levers for points and switches."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, panel, rocker
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point

__all__ = ["LEVERS", "SETTINGS", "Lever", "Stand", "knob", "knob_rect", "throttle"]

LEVERS = 3
SETTINGS = ("normal", "diverging")


class Stand(NamedTuple):
    """How the throttle stands: the train's name (empty: no train), its place in `trains`, the way it is set to go.

    rightward: to the right on the screen, however the train faces
    """

    name: str
    number: int
    trains: int
    rightward: bool


class Lever(NamedTuple):
    """A lever: the first points that it moves, or the switch that it is; its setting ("normal", "diverging"); whether
    it is on its way; what may be written over it, the longest first, if that is other than the first name.
    """

    piece: str
    setting: str
    moving: bool
    names: tuple[str, ...] = ()

    def label(self, kind: Type, role: str, width: float) -> str:
        """What is written over it: the first of its names that has room, or the last with its middle left out."""
        every = self.names or (self.piece,)
        return kind.squeezed(next((name for name in every if kind.width(name, role) <= width), every[-1]), role, width)


def knob_rect(slot: pygame.Rect, unit: float, share: float) -> pygame.Rect:
    """The slider's knob in its slot at a throttle of 0..1."""
    left = slot.x + slot.width * share - 11 * unit
    return pygame.Rect(round(left), round(slot.centery - 17 * unit), round(22 * unit), round(34 * unit))


@kept
def throttle(
    box: Box, unit: float, theme: Theme, stand: Stand, levers: Sequence[Lever], chosen: int
) -> Arrangement[str]:
    """The panel with everything but the slider's knob, which goes into the place "slot".

    Its places: "slot" (its left end is 0, its right end 100), the halves of the rocker "left" and "right", the "name"
    of the train, every lever in the well by its number, and of a single one the words "normal" and "diverging".
    """
    out: Arrangement[str] = Arrangement(unit, theme)
    out.box = rect = pygame.Rect(box)
    more = min(120.0, rect.height / unit - 224.0)  # how much higher than its full height it is, layout px
    grown = 0.5 * more if more < 0 else 0.1 * more, 0.3 * min(0.0, more), 0.5 * more if more < 0 else 0.6 * more
    out.draw(panel, box, unit, theme, "Throttle")
    _slider(out, rect, grown[0], stand)
    _direction(out, rect, grown[1], stand)
    wide = rect.width - 124 * unit
    high = 87 + grown[2]
    well = pygame.Rect(
        round(rect.right - 16 * unit - wide), round(rect.bottom - (15 + high) * unit), round(wide), round(high * unit)
    )
    if levers:
        _well(out, well, levers, chosen)
    return out


def _slider(out: Arrangement[str], rect: pygame.Rect, lower: float, stand: Stand) -> None:
    """The slot with its scale, and over it the train's name."""
    unit, kind, quiet = out.unit, out.kind, out.theme["engraved-quiet"]
    slot = pygame.Rect(
        round(rect.x + 28 * unit), round(rect.y + (75 + lower) * unit),
        round(rect.width - 56 * unit), round(9 * unit),
    )  # fmt: skip
    line = pygame.Rect(
        round(rect.x + 16 * unit), round(rect.y + 34 * unit), round(rect.width - 32 * unit), round(24 * unit)
    )
    out.spot("slot", slot)
    out.spot("name", line)
    out.draw(_slot, box_of(slot), unit, out.theme)
    name = kind.fit(stand.name or "no train on the bench", "body", line.width - (44 * unit if stand.trains > 1 else 0))
    top = min(line.y, knob_rect(slot, unit, 0.0).y - kind.height("body"))  # larger type keeps clear of the knob
    out.words((line.x, top), name, "body", quiet)
    if stand.trains > 1:
        out.words((line.right, line.y), f"{stand.number + 1} of {stand.trains}", "mark", quiet, "right")
    for text, share in (("0", 0.0), ("50", 0.5), ("100", 1.0)):
        out.words((slot.x + slot.width * share, slot.bottom + 17 * unit), text, "small", quiet, "middle")


@kept
def _slot(box: Box, unit: float, theme: Theme) -> Sprite:
    slot = pygame.Rect(box)
    pen = Pen(slot.inflate(round(20 * unit), round(60 * unit)), 3)
    wide = (slot.x - 6 * unit, slot.y - unit, slot.width + 12 * unit, slot.height + 3 * unit)
    pen.polygon(rounded(wide, 6 * unit), (190, 205, 215), 0.18)
    pen.polygon(rounded((slot.x - 7 * unit, slot.y, slot.width + 14 * unit, slot.height), 5 * unit), (2, 3, 4))
    for k in range(11):
        x, top = slot.x + slot.width * k / 10, slot.bottom + 9 * unit
        foot = slot.bottom + (17 if k % 5 == 0 else 14) * unit
        pen.span(x - 0.8 * unit, top, x + 0.8 * unit, foot, theme["engraved-quiet"])
    return pen.done()


def _direction(out: Arrangement[str], rect: pygame.Rect, higher: float, stand: Stand) -> None:
    """The rocker for the way a train goes, and what it says."""
    unit, theme, half = out.unit, out.theme, round(41 * out.unit)
    back = pygame.Rect(
        round(rect.x + 17 * unit), round(rect.bottom - (87 + higher) * unit), half, half
    )
    fore = back.move(half, 0)
    out.spot("left", back)
    out.spot("right", fore)
    out.draw(_rocker, (back.x, back.y, 2 * half, half), unit, theme, stand.rightward)
    words = "direction" if not stand.name else "goes right" if stand.rightward else "goes left"
    role, colour = ("small-bold", "engraved") if stand.name else ("small", "engraved-quiet")
    out.words((fore.x, fore.bottom + 7 * unit), words, role, theme[colour], "middle")


@kept
def _rocker(box: Box, unit: float, theme: Theme, rightward: bool) -> Sprite:
    x, y, wide, high = box
    pen = Pen(pygame.Rect(box).inflate(round(8 * unit), round(8 * unit)), 3)
    rocker(pen, box, "right" if rightward else "left", unit, theme["rocker"], (44, 41, 35))
    for half, sign in (0, -1), (1, 1):
        place = pygame.Rect(x + half * (wide // 2), y, wide // 2, high)
        cx, cy = place.center
        colour = (250, 240, 214) if rightward == (sign > 0) else (140, 133, 116)
        back, tip = cx - sign * 6.5 * unit, cx + sign * 7.5 * unit
        pen.polygon([(back, cy - 9 * unit), (tip, cy), (back, cy + 9 * unit)], colour)
    return pen.done()


# The levers


def _well(out: Arrangement[str], well: pygame.Rect, levers: Sequence[Lever], chosen: int) -> None:
    """The levers in their well: so many as fit, the chosen one among them."""
    unit, kind, theme = out.unit, out.kind, out.theme
    first = min(max(0, chosen - LEVERS // 2), max(0, len(levers) - LEVERS))
    numbers = range(first, min(len(levers), first + LEVERS))
    width = well.width / len(numbers)
    places = {
        n: pygame.Rect(round(well.x + k * width), well.y, round(width), well.height) for k, n in enumerate(numbers)
    }
    for n, place in places.items():
        out.spot(str(n), place)
    out.draw(_sunk, box_of(well), unit, theme)
    if len(places) == 1:
        _single(out, places[first], levers[first])
        return
    high = kind.height("small-bold")
    for n, place in places.items():
        lever = levers[n]
        ends = place.y + high + 10 * unit, place.bottom - high - 9 * unit
        _upright(out, place.centerx, ends, lever, 26 * unit)
        label = lever.label(kind, "small-bold", place.width - 4)
        out.words((place.centerx, place.y + 3 * unit), label, "small-bold", theme["engraved"], "middle")
    y = well.bottom - high - unit
    for x, word, moving in _told(kind, levers, places, chosen):
        role, colour = ("small", "engraved-quiet") if moving else ("small-bold", "engraved")
        out.words((x, y), word, role, theme[colour], "middle")


def _told(
    kind: Type, levers: Sequence[Lever], places: dict[int, pygame.Rect], chosen: int
) -> list[tuple[float, str, bool]]:
    """What stands under several levers: where, in which words, and whether it is on its way.

    Of each how it stands, in a word or by its first letter; where two begin alike and have no room, how the one stands
    that was last thrown, with its name.
    """
    widest = max(kind.width(word, "small-bold") for word in SETTINGS)
    if all(widest <= place.width - 2 for place in places.values()):
        return [(place.centerx, levers[n].setting, levers[n].moving) for n, place in places.items()]
    letters = {word: kind.said(word)[:1].upper() for word in SETTINGS}
    if len(set(letters.values())) == len(SETTINGS):
        return [
            (place.centerx, kind.squeezed(letters[levers[n].setting], "small-bold", place.width), levers[n].moving)
            for n, place in places.items()
        ]
    lever = levers[chosen if chosen in places else next(iter(places))]
    first, *rest = places.values()
    well = first.unionall(rest)
    room = well.width - 6 * kind.scale - kind.width(f" {lever.setting}", "small-bold")
    return [(well.centerx, f"{lever.label(kind, 'small-bold', room)} {lever.setting}", lever.moving)]


def _single(out: Arrangement[str], place: pygame.Rect, lever: Lever) -> None:
    """One lever alone, with the words of its two settings beside it."""
    unit, kind, theme = out.unit, out.kind, out.theme
    ends = place.y + 19 * unit, place.bottom - 19 * unit
    x, left, high = place.x + 50 * unit, round(place.x + 36 * unit), round(30 * unit)
    for y, state in zip(ends, SETTINGS, strict=True):
        out.spot(state, pygame.Rect(left, round(y - high / 2), place.right - left, high))
        out.draw(_dash, (place.x + 38 * unit, y), unit, theme, lever.setting == state)
        on = lever.setting == state and not lever.moving
        role, colour = ("small-bold", "engraved") if on else ("small", "engraved-quiet")
        out.words((x, y - kind.height("mark") / 2), state, role, theme[colour])
    name = lever.label(kind, "body-bold", 54 * unit)
    out.words((x, place.centery - kind.height("body") / 2), name, "body-bold", theme["engraved"])
    _upright(out, place.x + 21 * unit, ends, lever, 30 * unit)


def _upright(out: Arrangement[str], x: float, ends: tuple[float, float], lever: Lever, width: float) -> None:
    """A lever in its slot: up is normal, down is diverging, between them it is on its way."""
    top, foot = ends
    y = (top + foot) / 2 if lever.moving else top if lever.setting == "normal" else foot
    out.draw(_lever_slot, x, top, foot, out.unit)
    out.draw(_handle, (x, y), out.unit, out.theme, width)


@kept
def _sunk(box: Box, unit: float, theme: Theme) -> Sprite:
    """The well in which the levers stand."""
    x, y, w, h = box
    pen = Pen(pygame.Rect(box).inflate(6, 6), 3)
    pen.polygon(rounded((x - 1, y - 1, w + 2, h + 3), 8 * unit), (190, 205, 215), 0.16)
    pen.polygon(rounded(box, 7 * unit), mix(theme["enamel-foot"], (0, 0, 0), 0.45 if theme.lamp else 0.12))
    return pen.done()


@kept
def _lever_slot(x: float, top: float, foot: float, unit: float) -> Sprite:
    left, high = x - 5.5 * unit, foot - top + 14 * unit
    pen = Pen(pygame.Rect(round(left) - 2, round(top - 7 * unit) - 2, round(11 * unit) + 4, round(high) + 4), 3)
    pen.polygon(rounded((left, top - 7 * unit, 11 * unit, high), 5.5 * unit), (2, 3, 4))
    return pen.done()


def _dash(at: Point, unit: float, theme: Theme, on: bool) -> Sprite:
    """The engraved dash beside one end of a single lever."""
    x, y = at
    pen = Pen(pygame.Rect(round(x) - 2, round(y - 4 * unit), round(6 * unit) + 4, round(8 * unit)), 3)
    dash = rounded((x, y - 1.4 * unit, 6 * unit, 2.8 * unit), unit)
    pen.polygon(dash, theme["engraved" if on else "engraved-quiet"])
    return pen.done()


@kept
def _handle(centre: tuple[float, float], unit: float, theme: Theme, width: float) -> Sprite:
    cx, cy = centre
    area = pygame.Rect(round(cx - width / 2 - 3), round(cy - 10 * unit), round(width + 6), round(20 * unit))
    pen = Pen(area, 4)
    pen.polygon(rounded((cx - width / 2, cy - 7.5 * unit, width, 15 * unit), 7 * unit), (24, 26, 28))
    pen.wash(
        rounded((cx - width / 2 + unit, cy - 6.5 * unit, width - 2 * unit, 13 * unit), 6.2 * unit),
        ((250, 250, 250), (206, 207, 208), (150, 152, 154), (196, 197, 198)),
    )
    part = pen.done()
    return merge([shade(part, (2 * unit, 4 * unit), 3.4 * unit, 0.6 * theme.shadow), part])


@kept
def knob(place: Box, unit: float, theme: Theme, share: float) -> Sprite:
    """The slider's knob in its slot at a throttle of 0..1, with the slot filled up to it."""
    slot = pygame.Rect(place)
    rect = knob_rect(slot, unit, share)
    fill = Pen(pygame.Rect(slot.x - round(6 * unit), slot.y, rect.centerx - slot.x + round(6 * unit), slot.height), 3)
    if share > 0.005:
        colour = theme["slot-fill"]
        fill.polygon(
            rounded(
                (slot.x - 5 * unit, slot.y + 2 * unit, rect.centerx - slot.x + 5 * unit, slot.height - 4 * unit),
                3 * unit,
            ),
            mix(colour, (120, 110, 90), 0.2),
        )
    pen = Pen(rect.inflate(4, 4), 4)
    x, y, w, h = rect
    pen.polygon(rounded((x, y, w, h), 5 * unit), (64, 50, 28))
    pen.wash(
        rounded((x + unit, y + unit, w - 2 * unit, h - 2 * unit), 4 * unit),
        ((246, 238, 214), (218, 205, 172), (170, 156, 122), (226, 214, 184)),
    )
    pen.span(x + 3.5 * unit, y + h / 2 - 1.2 * unit, x + w - 3.5 * unit, y + h / 2 + 1.2 * unit, (90, 78, 52))
    part = pen.done()
    merged = merge([fill.done(), shade(part, (2 * unit, 4 * unit), 3.5 * unit, 0.6 * theme.shadow), part])
    lay(merged.surface, part.surface, (part.x - merged.x, part.y - merged.y))
    return merged

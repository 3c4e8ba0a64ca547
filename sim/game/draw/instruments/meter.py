"""The meter: an enamelled panel with a seven-segment display and a rotary knob."""

from __future__ import annotations

import math
from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, blank, blur, circle, merge, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, gloss, panel, well
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = ["DIALS", "Shown", "digits", "meter", "shown"]

DIALS = ("off", "volts", "ohms", "buzzer")
_ANGLES = {"off": 167.0, "volts": 216.0, "ohms": 270.0, "buzzer": 324.0}  # degrees, clockwise from the right
_SEGMENTS = {
    "0": "abcdef", "1": "bc", "2": "abged", "3": "abgcd", "4": "fgbc", "5": "afgcd", "6": "afgedc",
    "7": "abc", "8": "abcdefg", "9": "abcdfg", "-": "g", " ": "", "L": "fed",
}  # fmt: skip
_PREFIXES = (("", 1.0), ("k", 1e3), ("M", 1e6))
_SLANT = 0.09  # of the height
_HEIGHT = 48.0
_WIDTH = 26.0
_PITCH = 39.0


class Shown(NamedTuple):
    """What the display shows: up to three digits, the digit after which the point stands (None: no point), the unit."""

    digits: str
    point: int | None
    unit: str


def shown(dial: str, value: float | None) -> Shown:
    """Digits for a value in ohms or volts; over range shows 0L, an idle meter dashes, an off one nothing."""
    if dial == "off":
        return Shown("   ", None, "")
    unit = "V" if dial == "volts" else "Ω"
    if value is None:
        return Shown("---", None, unit) if dial == "volts" else Shown(" 0L", 1, unit)
    size, prefix = abs(value), ""
    if dial != "volts":
        prefix, factor = next((row for row in _PREFIXES if size < 999.5 * row[1]), _PREFIXES[-1])
        size /= factor
    text = f"{size:.1f}" if size < 99.95 else f"{size:.0f}"
    head, _, tail = text.partition(".")
    digits = f"{head}{tail}"
    if value < 0 and len(digits) < 3:
        digits = f"-{digits}"
    digits = digits.rjust(3)
    return Shown(digits, len(digits) - len(tail) - 1 if tail else None, prefix + unit)


def _lacking(box: Box, unit: float) -> float:
    """How much lower than its full 256 px the panel is, layout px: display and knob share it, and what it has more."""
    return max(-48.0, 256.0 - box[3] / unit)


def _segment(pen: Pen, which: str, x: float, y: float, k: float, colour: Colour, alpha: float) -> None:
    w, h, t = _WIDTH * k, _HEIGHT * k, 5.6 * k
    g = 0.8 * k
    lines = {
        "a": ((0, 0), (w, 0)), "b": ((w, 0), (w, h / 2)), "c": ((w, h / 2), (w, h)), "d": ((0, h), (w, h)),
        "e": ((0, h / 2), (0, h)), "f": ((0, 0), (0, h / 2)), "g": ((0, h / 2), (w, h / 2)),
    }  # fmt: skip
    (x0, y0), (x1, y1) = lines[which]
    if y0 == y1:
        mid = min(max(y0, t / 2), h - t / 2)
        points = [
            (x0 + g, mid), (x0 + g + t / 2, mid - t / 2), (x1 - g - t / 2, mid - t / 2), (x1 - g, mid),
            (x1 - g - t / 2, mid + t / 2), (x0 + g + t / 2, mid + t / 2),
        ]  # fmt: skip
    else:
        mid = min(max(x0, t * 0.1), w - t * 0.1)
        top, foot = max(y0, t / 2) + g, min(y1, h - t / 2) - g
        points = [
            (mid, top), (mid + t / 2, top + t / 2), (mid + t / 2, foot - t / 2), (mid, foot),
            (mid - t / 2, foot - t / 2), (mid - t / 2, top + t / 2),
        ]  # fmt: skip
    pen.polygon([(x + px + (h - py) * _SLANT, y + py) for px, py in points], colour, alpha)


@kept
def digits(box: Box, shown_now: Shown, unit: float, theme: Theme) -> Sprite:
    """The digits in the room that the display has for them."""
    rect = pygame.Rect(box)
    k = rect.height / 84
    x = rect.x + 20 * unit
    y = rect.y + (rect.height - _HEIGHT * k) / 2 + 1 * unit
    lit, ghost = Pen(rect, 4), Pen(rect, 4)
    faint = mix(theme["display-ground"], theme["display"], 0.09)
    for k_digit in range(3):
        left = x + k_digit * _PITCH * k
        on = _SEGMENTS[shown_now.digits[k_digit]]
        for which in "abcdefg":
            if which in on:
                _segment(lit, which, left, y, k, theme["display"], 1.0)
            else:
                _segment(ghost, which, left, y, k, faint, 1.0)
        dot = circle((left + 31.5 * k, y + 45.2 * k), 3 * k)
        pointed = shown_now.point == k_digit
        (lit if pointed else ghost).polygon(dot, theme["display"] if pointed else faint)
    parts = [ghost.done()]
    front = lit.done()
    if theme.lamp:
        parts.append(_glow(front, 5 * unit, theme["display"]))
    return merge([*parts, front])


def _glow(part: Sprite, spread: float, colour: Colour) -> Sprite:
    import numpy as np

    alpha = pygame.surfarray.array_alpha(part.surface).astype(np.float32)
    soft = np.clip(blur(alpha, spread) * np.float32(0.55), 0, 255)
    surface = blank(*soft.shape)
    pixels = pygame.surfarray.pixels3d(surface)
    for channel in range(3):
        pixels[:, :, channel] = (soft * colour[channel] / 255).astype(np.uint8)
    del pixels
    alphas = pygame.surfarray.pixels_alpha(surface)
    alphas[...] = soft.astype(np.uint8)  # light without alpha is drawn by pygame-ce and left out by pygame
    del alphas
    return Sprite(surface, part.x, part.y)


def _sound(at: Point, unit: float, theme: Theme) -> Sprite:
    """A loudspeaker with its waves, about 26 x 20 px, its upper left corner at a place."""
    (x, y), colour = at, theme["display"]
    pen = Pen(pygame.Rect(round(x), round(y), 0, 0).inflate(round(80 * unit), round(60 * unit)), 3)
    outline = ((0, 6), (5, 6), (11, 0), (11, 18), (5, 12), (0, 12))
    pen.polygon([(x + px * unit, y + py * unit) for px, py in outline], colour)
    for k, radius in enumerate((5.5, 9.5, 13.5)):
        reach = math.radians(38 + 3 * k)
        arc = [
            (x + 11 * unit + radius * unit * math.cos(a), y + 9 * unit + radius * unit * math.sin(a))
            for a in (reach * (s / 6) for s in range(-6, 7))
        ]
        pen.stroke(arc, 2.1 * unit, colour)
    return pen.done()


def _knob(at: Point, share: float, unit: float, dial: str, theme: Theme) -> Sprite:
    """The knob, `share` of its full size."""
    cx, cy = at
    radius = 36 * share * unit
    reach = math.ceil(radius + 4 * unit)
    pen = Pen(pygame.Rect(round(cx) - reach, round(cy) - reach, 2 * reach, 2 * reach), 4)
    dark = theme["knob"]
    teeth = []
    for k in range(112):
        angle = 2 * math.pi * k / 112
        r = radius + (0.6 if k % 4 < 2 else -0.5) * unit
        teeth.append((cx + r * math.cos(angle), cy + r * math.sin(angle)))
    pen.polygon(teeth, dark)
    pen.disc((cx, cy), radius - 3.4 * unit, mix(dark, (120, 135, 145), 0.22))
    rim = radius - 4.6 * unit
    for k in range(9):
        share = k / 8
        pen.disc(
            (cx - 3 * unit * share, cy - 5 * unit * share),
            rim * (1 - 0.62 * share),
            mix((25, 30, 34), (52, 61, 68), share),
        )
    angle = math.radians(_ANGLES[dial])
    dx, dy = math.cos(angle), math.sin(angle)
    ends = [(cx - dx * 0.69 * radius, cy - dy * 0.69 * radius), (cx + dx * 0.69 * radius, cy + dy * 0.69 * radius)]
    shadow = [(x + 1.5 * unit, y + 2.2 * unit) for x, y in ends]
    for line, width, colour, alpha in ((shadow, 9 * unit, (0, 0, 0), 0.45), (ends, 8.6 * unit, (64, 75, 84), 1.0)):
        pen.stroke(line, width, colour, alpha)
        if alpha == 1.0:
            for end in line:
                pen.disc(end, width / 2, colour)
    pen.stroke(
        [(cx + dx * 0.36 * radius, cy + dy * 0.36 * radius), (cx + dx * 0.71 * radius, cy + dy * 0.71 * radius)],
        3.6 * unit,
        (236, 230, 214),
    )
    part = pen.done()
    return merge([shade(part, (3 * unit, 6 * unit), 6 * unit, 0.6 * theme.shadow), part])


@kept
def _display(box: Box, unit: float, theme: Theme) -> Sprite:
    pen = Pen(pygame.Rect(box).inflate(round(8 * unit), round(8 * unit)), 3)
    ground = theme["display-ground"]
    edge = mix(ground, (0, 0, 0), 0.3 if theme.lamp else 0.0)
    well(pen, box, 6 * unit, unit, (edge, ground, mix(ground, theme["display"], 0.03)))
    gloss(pen, box, 6 * unit, 0.03)
    return pen.done()


def _tick(at: Point, share: float, unit: float, name: str, chosen: bool, theme: Theme) -> Sprite:
    """The line round the knob that belongs to one of its words."""
    (cx, cy), angle = at, math.radians(_ANGLES[name])
    ends = [
        (cx + r * share * unit * math.cos(angle), cy + r * share * unit * math.sin(angle)) for r in (43, 51)
    ]
    pen = Pen(pygame.Rect(round(cx), round(cy), 0, 0).inflate(round(120 * unit), round(120 * unit)), 3)
    pen.stroke(ends, (2.4 if chosen else 2) * unit, theme["engraved" if chosen else "engraved-quiet"])
    return pen.done()


@kept
def meter(
    box: Box, unit: float, theme: Theme, dial: str, sign: str, beeps: bool, caution: str
) -> Arrangement[str]:
    """The instrument without its digits, which go into the place "digits".

    sign: of the unit; caution: a short warning written under the display, or empty
    """
    out: Arrangement[str] = Arrangement(unit, theme)
    kind, rect = out.kind, pygame.Rect(box)
    out.box = rect
    share = max(0.7, 1.0 - 0.0052 * _lacking(box, unit))  # of the knob's full size, 1.25 at most
    knob = rect.x + rect.width / 2, rect.bottom - (20 + 36 * share) * unit
    out.draw(panel, box, unit, theme, "Meter")
    high = round((84.0 - 0.47 * _lacking(box, unit)) * unit)
    display = pygame.Rect(round(rect.x + 16 * unit), round(rect.y + 37 * unit), round(rect.width - 32 * unit), high)
    out.draw(_display, box_of(display), unit, theme)
    for name in DIALS:
        chosen = name == dial
        out.draw(_tick, knob, share, unit, name, chosen, theme)
        place = _word_place(kind, knob, share, name)
        out.spot(name, place.inflate(round(6 * unit), round(4 * unit)))
        colour = theme["engraved" if chosen else "engraved-quiet"]
        out.words(place.topleft, name, "mark-bold" if chosen else "mark", colour)
    out.draw(_knob, knob, share, unit, dial, theme)
    reach = 37 * unit
    out.spot("knob", pygame.Rect(round(knob[0] - reach), round(knob[1] - reach), round(2 * reach), round(2 * reach)))
    out.spot("display", display)
    lower = round(kind.height("small-bold") - 2 * unit) if caution else 0  # the digits stand lower and smaller under it
    out.spot("digits", pygame.Rect(display.x, display.y + lower, display.width, display.height - lower))
    if dial != "off" and beeps:
        top = display.y + display.height / 2 - 26 * unit
        top = max(top, display.y + 22 * unit) if caution else top
        out.draw(_sound, (display.right - 39 * unit, top), unit, theme)
    if sign:
        at = min(display.y + display.height / 2 + 19 * unit, display.bottom - 14 * unit) - kind.height("unit") / 2
        out.words((display.right - 12 * unit, at), sign, "unit", theme["display"], "right")
    if caution:
        out.words((display.x + 8 * unit, display.y + 1 * unit), caution, "small-bold", theme["trip-text"])
    return out


def _word_place(kind: Type, knob: Point, share: float, name: str) -> pygame.Rect:
    """The box of a word round the knob."""
    width, height = kind.width(name, "mark-bold"), kind.height("mark")
    angle = math.radians(_ANGLES[name])
    px = knob[0] + 54 * share * kind.scale * math.cos(angle)
    py = knob[1] + 52 * share * kind.scale * math.sin(angle)
    left = px - width / 2 if name == "ohms" else px if name == "buzzer" else px - width
    top = py - height + 1 * kind.scale if name == "ohms" else py - height / 2
    return pygame.Rect(round(left), round(top), width, height)

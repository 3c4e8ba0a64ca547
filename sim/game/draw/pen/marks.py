"""What lies on top of the picture: rings round legal ends, arrowheads of current, meter probes, the focus ring."""

from __future__ import annotations

import math
from itertools import pairwise

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = [
    "MOST_ARROW",
    "arrow",
    "arrow_length",
    "arrow_of",
    "arrow_step",
    "close_mark",
    "focus_frame",
    "gap_ring",
    "letter_chip",
    "probe",
    "probe_tail",
    "ring",
]


@kept
def _ring(radius: float, unit: float, theme: Theme, strong: bool) -> pygame.Surface:
    size = math.ceil(2 * (radius + 6 * unit))
    middle = (size / 2, size / 2)
    pen = Pen(pygame.Rect(0, 0, size, size), 4)
    pen.disc(middle, radius, (255, 255, 255), 0.26 if not strong else 0.42)
    pen.ring(middle, radius, 5.2 * unit, theme["ring-dark"], 0.92)
    pen.ring(middle, radius, (2.4 if not strong else 3.2) * unit, theme["ring"])
    return pen.done().surface


def ring(x: float, y: float, radius: float, unit: float, theme: Theme, strong: bool = False) -> Sprite:
    """The ring round a legal end: pale on dark, so that it shows on cream, brass, wood and mat."""
    surface = _ring(round(radius, 1), unit, theme, strong)
    return Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2))


@kept
def focus_frame(box: tuple[int, int, int, int], radius: float, unit: float, theme: Theme) -> Sprite:
    """The ring of the keyboard's focus round a rectangle."""
    rect = pygame.Rect(box).inflate(round(8 * unit), round(8 * unit))
    pen = Pen(rect.inflate(4, 4), 3)
    x, y, w, h = rect
    pen.frame((x, y, w, h), radius + 4 * unit, 5.0 * unit, theme["ring-dark"], 0.92)
    pen.frame(
        (x + 1.3 * unit, y + 1.3 * unit, w - 2.6 * unit, h - 2.6 * unit), radius + 3 * unit, 2.4 * unit, theme["ring"]
    )
    return pen.done()


@kept
def gap_ring(box: tuple[int, int, int, int], unit: float, theme: Theme, chosen: bool) -> Sprite:
    """The mark of a place that can be cut or bridged: a dashed frame."""
    rect = pygame.Rect(box)
    pen = Pen(rect.inflate(6, 6), 3)
    points = rounded((rect.x, rect.y, rect.width, rect.height), 6 * unit)
    points.append(points[0])
    lengths = [math.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
    total = sum(lengths)
    dashes = max(6, round(total / (9 * unit)))

    def along(d: float) -> Point:
        for (a, b), length in zip(pairwise(points), lengths, strict=True):
            if d <= length and length > 0:
                return a[0] + (b[0] - a[0]) * d / length, a[1] + (b[1] - a[1]) * d / length
            d -= length
        return points[-1]

    for k in range(dashes):
        start = total * k / dashes
        run = [along(start + total / dashes * 0.6 * t / 4) for t in range(5)]
        pen.stroke(run, 4.6 * unit, theme["ring-dark"], 0.9)
        pen.stroke(run, (2.8 if chosen else 2.0) * unit, theme["ring"])
    return pen.done()


@kept
def close_mark(box: tuple[int, int, int, int], unit: float, theme: Theme) -> Sprite:
    """The cross that puts a paper label away, in the middle of its box."""
    rect = pygame.Rect(box)
    pen = Pen(rect, 3)
    x, y, arm = rect.centerx, rect.centery, 4.5 * unit
    for lean in (1, -1):
        pen.stroke([(x - arm, y - arm * lean), (x + arm, y + arm * lean)], 1.8 * unit, theme["ink-second"])
    return pen.done()


@kept
def letter_chip(letter: str, unit: float, theme: Theme) -> pygame.Surface:
    """The letter of a screw on a chip of its block, to stand over light."""
    kind = Type(theme, unit)
    label = kind.line(kind.fit(letter, "letter", 34 * unit), "letter", mix(theme["ink"], (0, 0, 0), 0.15))
    wide, high = round(label.get_width() + 7 * unit), round(17 * unit)
    pen = Pen(pygame.Rect(0, 0, wide, high), 3)
    pen.polygon(rounded((0, 0, wide, high), 4 * unit), theme["block-lit"], 0.86)
    part = pen.done().surface
    lay(part, label, ((wide - label.get_width()) / 2, (high - label.get_height()) / 2))
    return part


def arrow_length(amps: float) -> float:
    """Length of an arrowhead in layout px: grows with the current, from 9 to at most 17."""
    return min(MOST_ARROW, 9.0 + 1.7 * math.log2(1 + 3 * abs(amps)))


MOST_ARROW = 17.0
"""Length of the longest arrowhead, and of each in a short, layout px."""


@kept
def _arrow(length: float, angle: int, unit: float, fill: Colour, edge: Colour) -> pygame.Surface:
    size = math.ceil(length * 1.3 + 6)
    middle = size / 2
    a = math.radians(angle)
    c, s = math.cos(a), math.sin(a)

    def shape(grow: float) -> list[Point]:
        tip, back, wing, notch = (
            length * 0.56 + grow * 1.4,
            -length * 0.44 - grow,
            length * 0.44 + grow,
            -length * 0.2 - grow * 0.6,
        )
        flat = [(tip, 0.0), (back, wing), (notch, 0.0), (back, -wing)]
        return [(middle + x * c - y * s, middle + x * s + y * c) for x, y in flat]

    pen = Pen(pygame.Rect(0, 0, size, size), 5)
    pen.polygon(shape(1.3 * unit), edge)
    pen.polygon(shape(0), fill)
    return pen.done().surface


def arrow_step(amps: float, unit: float, short: bool = False) -> float:
    """The length, px, in which an arrowhead of current is drawn: in halves of a px, so that drawings can be kept."""
    return round((MOST_ARROW if short else arrow_length(amps)) * unit * 2) / 2


def arrow(x: float, y: float, angle: float, amps: float, unit: float, theme: Theme, short: bool = False) -> Sprite:
    """A still arrowhead of current: `angle` on the screen, radians, y down."""
    return arrow_of(x, y, angle, arrow_step(amps, unit, short), unit, theme, short)


def arrow_of(x: float, y: float, angle: float, length: float, unit: float, theme: Theme, short: bool = False) -> Sprite:
    """The same of a length, px."""
    fill, edge = (theme["arrow-short"], theme["arrow-short-edge"]) if short else (theme["arrow"], theme["arrow-edge"])
    surface = _arrow(length, round(math.degrees(angle) / 3) * 3 % 360, unit, fill, edge)
    return Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2))


def probe_tail(tip: Point, angle: float, unit: float) -> Point:
    """Where the lead leaves a probe whose tip rests at a place and whose handle points to `angle` (radians, y down)."""
    return tip[0] + 93 * unit * math.cos(angle), tip[1] + 93 * unit * math.sin(angle)


@kept
def probe(tip: Point, angle: float, unit: float, theme: Theme, red: bool) -> Sprite:
    """A meter probe: a steel tip and a ribbed handle that points to `angle`."""
    tail = probe_tail(tip, angle, unit)
    length = math.hypot(tail[0] - tip[0], tail[1] - tip[1])
    ux, uy = (tail[0] - tip[0]) / length, (tail[1] - tip[1]) / length
    nx, ny = -uy, ux

    def at(along: float, across: float) -> Point:
        return tip[0] + ux * along * unit + nx * across * unit, tip[1] + uy * along * unit + ny * across * unit

    left, top = min(tip[0], tail[0]) - 10 * unit, min(tip[1], tail[1]) - 10 * unit
    right, foot = max(tip[0], tail[0]) + 10 * unit, max(tip[1], tail[1]) + 10 * unit
    area = pygame.Rect(math.floor(left), math.floor(top), math.ceil(right - left), math.ceil(foot - top))
    pen = Pen(area, 4)
    body: Colour = (196, 60, 48) if red else (222, 216, 198)
    dark = mix(body, (20, 8, 4), 0.68)
    pen.polygon([at(0, 0), at(3, -1.0), at(20, -1.3), at(20, 1.3), at(3, 1.0)], (60, 60, 62))
    pen.polygon([at(1, -0.2), at(4, -0.8), at(20, -0.9), at(20, 0.3)], (236, 238, 240))
    outline = [
        at(16, -3.6),
        at(21, -5.6),
        at(30, -5.8),
        at(36, -4.4),
        at(62, -6.2),
        at(70, -5.6),
        at(90, -2.2),
        at(93, 0),
        at(90, 2.2),
        at(70, 5.6),
        at(62, 6.2),
        at(36, 4.4),
        at(30, 5.8),
        at(21, 5.6),
        at(16, 3.6),
    ]
    pen.polygon(outline, dark)
    inner = [
        at(17, -2.6),
        at(21.5, -4.6),
        at(30, -4.8),
        at(36, -3.4),
        at(62, -5.2),
        at(70, -4.6),
        at(89, -1.5),
        at(91.5, 0),
        at(89, 1.5),
        at(70, 4.6),
        at(62, 5.2),
        at(36, 3.4),
        at(30, 4.8),
        at(21.5, 4.6),
        at(17, 2.6),
    ]
    pen.polygon(inner, body)
    pen.polygon(
        [at(22, 2.2), at(36, 1.4), at(62, 2.6), at(72, 2.2), at(72, 3.6), at(62, 4.2), at(36, 2.6), at(22, 3.8)],
        mix(body, (0, 0, 0), 0.25),
    )
    pen.polygon(
        [at(38, -2.4), at(62, -3.8), at(84, -1.8), at(84, -0.9), at(62, -1.9), at(38, -1.2)], (255, 255, 255), 0.6
    )
    for k in range(3):
        pen.stroke([at(46 + 4 * k, -4.4), at(46 + 4 * k, 4.4)], 1.3 * unit, dark, 0.75)
    part = pen.done()
    return merge([shade(part, (7 * unit, 9 * unit), 4 * unit, 0.42 * theme.shadow), part])

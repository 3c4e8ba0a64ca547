"""Vehicles as smoked glass: body, hood and cab can be looked through, so that the wheels on the rails stay visible.

A vehicle is drawn in its own frame: mm along it from its leading axle backwards, mm across it, left positive.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, circle, plate, rounded
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = ["Body", "Look", "body_outline", "look_of", "vehicle"]


class Look(NamedTuple):
    """How a vehicle looks: what stands on its frame, and its colour."""

    style: str
    colour: Colour


class Body(NamedTuple):
    """A vehicle where it stands, on the screen but in mm: its middle line's bearing and every axle in its own frame.

    axles: (along, across, turned) of each axle, mm, mm, radians, leading first; overhang: mm beyond the end axles
    """

    name: str
    axles: tuple[tuple[float, float, float], ...]
    overhang: float
    gauge: float
    wheel_mm: float
    derailed: bool


_COLOURS: dict[str, Colour] = {
    "four-wheel shunter": (38, 84, 120),
    "bogie diesel": (150, 40, 30),
    "tender engine": (44, 96, 66),
    "metal-wheel wagon": (116, 92, 70),
}
_OTHERS: tuple[Colour, ...] = ((120, 62, 128), (46, 104, 110), (150, 96, 36), (86, 92, 140))


def look_of(name: str, axles: int) -> Look:
    """The look of a vehicle of that name, with so many axles."""
    colour = _COLOURS.get(name) or _OTHERS[sum(ord(letter) for letter in name) % len(_OTHERS)]
    if "wagon" in name or "car" in name.split():
        return Look("wagon", colour)
    if "tender" in name:
        return Look("tender", colour)
    return Look("shunter" if axles <= 3 else "diesel", colour)


def body_outline(body: Body) -> tuple[float, float, float]:
    """Front and back of the body along its frame (mm, front first), and half its width."""
    front = body.axles[0][0] + body.overhang
    back = body.axles[-1][0] - body.overhang
    return front, back, 15.2 * body.gauge / 16.5


Place = Callable[[float, float], Point]


def _box(
    pen: Pen,
    at: Place,
    x0: float,
    x1: float,
    half: float,
    radius: float,
    px: float,
    fill: tuple[Colour, float] | None,
    line: tuple[Colour, float, float] | None,
) -> None:
    left, right = min(x0, x1), max(x0, x1)
    shape = rounded((left * 10, -half * 10, (right - left) * 10, 2 * half * 10), radius * 10)
    points = [at(x / 10, y / 10) for x, y in shape]
    if fill:
        pen.polygon(points, fill[0], fill[1])
    if line:
        pen.stroke(points, line[2] * px, line[0], line[1], closed=True)


def _wheels(pen: Pen, at: Place, body: Body, theme: Theme, px: float) -> None:
    steel, dark = theme["wheel"], (24, 22, 20)
    share = body.gauge / 16.5
    inner, outer, radius = 7.15 * share, 10.1 * share, body.wheel_mm
    for along, across, turned in body.axles:
        c, s = math.cos(turned), math.sin(turned)

        def local(x: float, y: float, a: float = along, b: float = across, c: float = c, s: float = s) -> Point:
            return at(a + x * c - y * s, b + x * s + y * c)

        bar = 0.62 * share
        pen.polygon(plate(local, -bar, -inner, bar, inner), dark)
        pen.polygon(plate(local, -bar * 0.62, -inner, bar * 0.62, inner), (150, 150, 148))
        for side in (-1, 1):
            a, b = side * inner, side * outer
            pen.polygon(plate(local, -radius, a, radius, b), dark)
            m = 0.34 * share
            pen.polygon(plate(local, -radius + m, a + side * m, radius - m, b - side * m), steel)
            pen.polygon(
                plate(local, -radius + m, b - side * 3 * m, radius - m, b - side * m), mix(steel, (255, 255, 255), 0.35)
            )


def _hood(pen: Pen, at: Place, body: Body, look: Look, px: float) -> None:
    front, back, half = body_outline(body)
    share = body.gauge / 16.5
    line = (mix(look.colour, (255, 236, 220), 0.72), 0.55, 0.42 * share)
    tint = (look.colour, 0.58)
    length = front - back
    if look.style == "diesel":
        nose, cab = front - 6 * share, front - 0.3 * length
        cab_back = cab - 0.16 * length
        _box(pen, at, cab_back, back + 4 * share, half * 0.62, 2 * share, px, tint, line)
        _box(pen, at, nose, cab, half * 0.62, 4 * share, px, tint, line)
        _box(pen, at, cab, cab_back, half * 0.92, 1.6 * share, px, (look.colour, 0.72), line)
        for k in range(2):
            middle = at(back + (12 + 15 * k) * share, 0)
            pen.ring(middle, 5.4 * share * px, 0.5 * share * px, line[0], 0.75)
            pen.ring(middle, 1.5 * share * px, 0.4 * share * px, line[0], 0.75)
            for spoke in range(8):
                a = math.pi * spoke / 4 + 0.2
                pen.stroke(
                    [
                        (middle[0] + math.cos(a) * 1.6 * share * px, middle[1] + math.sin(a) * 1.6 * share * px),
                        (middle[0] + math.cos(a) * 5.2 * share * px, middle[1] + math.sin(a) * 5.2 * share * px),
                    ],
                    0.32 * share * px,
                    line[0],
                    0.5,
                )
        for k in range(10):
            x = cab_back - (8 + 2.0 * k) * share
            pen.stroke([at(x, -half * 0.45), at(x, half * 0.45)], 0.28 * share * px, line[0], 0.35)
        for side in (-1.0, 1.0):
            for share_along in (0.12, 0.5, 0.88):
                x = cab + (cab_back - cab) * share_along
                pen.polygon(
                    plate(at, x - 0.9 * share, side * half * 0.86, x + 0.9 * share, side * half * 0.7),
                    (168, 190, 204),
                    0.55,
                )
        for side in (-2.2, 2.2):
            pen.polygon(circle(at(nose - 0.8 * share, side * share), 0.9 * share * px), (255, 240, 200))
    elif look.style == "shunter":
        cab, cab_back = back + 0.42 * length, back + 4 * share
        _box(pen, at, front - 5 * share, cab, half * 0.66, 2.4 * share, px, tint, line)
        _box(pen, at, cab, cab_back, half * 0.95, 1.6 * share, px, (look.colour, 0.74), line)
        pen.polygon(plate(at, front - 9 * share, -0.9 * share, cab + 2 * share, 0.9 * share), (230, 210, 160), 0.4)
        stack = at(front - 15 * share, 0)
        pen.polygon(circle(stack, 2.6 * share * px), mix(look.colour, (255, 255, 255), 0.5), 0.9)
        pen.polygon(circle(stack, 1.7 * share * px), (14, 12, 10))
        for side in (-0.62, 0.0, 0.62):
            pen.polygon(
                plate(at, cab - 0.6 * share, half * (side - 0.2), cab - 2.2 * share, half * (side + 0.2)),
                (168, 198, 214),
                0.6,
            )
    elif look.style == "tender":
        cab = front - 0.5 * length
        cab_back = cab - 10 * share
        boiler = mix(look.colour, (20, 24, 22), 0.35)
        _box(pen, at, front - 3 * share, cab, half * 0.42, 3 * share, px, (boiler, 0.72), line)
        _box(pen, at, cab, cab_back, half * 0.86, 1.2 * share, px, (look.colour, 0.75), line)
        _box(pen, at, cab_back - 3 * share, back + 2 * share, half * 0.8, 1.4 * share, px, tint, line)
        _box(pen, at, cab_back - 7 * share, back + 9 * share, half * 0.6, 1.4 * share, px, ((14, 13, 12), 0.75), None)
        for x, r in ((front - 8 * share, 2.4), (front - 22 * share, 2.0), (front - 32 * share, 1.7)):
            pen.polygon(circle(at(x, 0), r * share * px), mix(boiler, (255, 240, 210), 0.4), 0.9)
            pen.polygon(circle(at(x, 0), r * 0.62 * share * px), (12, 11, 10))
    else:
        _box(pen, at, front - 3 * share, back + 3 * share, half * 0.86, 1.0 * share, px, (look.colour, 0.5), line)
        count = max(4, int(length / (4 * share)))
        for k in range(1, count):
            x = front - 3 * share - (length - 6 * share) * k / count
            pen.stroke([at(x, -half * 0.8), at(x, half * 0.8)], 0.26 * share * px, line[0], 0.4)


@kept
def vehicle(
    body: Body, bearing: float, px: float, offset: tuple[float, float], unit: float, theme: Theme, fine: int
) -> Sprite:
    """A vehicle with its leading axle at `offset` (px), its front towards `bearing` (screen, radians, y down).

    `fine` 1 to 3: how smoothly its edges are drawn.
    """
    look = look_of(body.name, len(body.axles))
    front, back, half = body_outline(body)
    c, s = math.cos(bearing), math.sin(bearing)

    def at(along: float, across: float) -> Point:
        return offset[0] + (along * c + across * s) * px, offset[1] + (along * s - across * c) * px

    corners = [at(x, y) for x in (front + 6, back - 6) for y in (-half - 2, half + 2)]
    xs, ys = [p[0] for p in corners], [p[1] for p in corners]
    area = pygame.Rect(
        math.floor(min(xs)) - 2,
        math.floor(min(ys)) - 2,
        math.ceil(max(xs) - min(xs)) + 5,
        math.ceil(max(ys) - min(ys)) + 5,
    )
    pen = Pen(area, fine)
    share = body.gauge / 16.5
    for end, way in ((front, 1), (back, -1)):
        pen.polygon(plate(at, end - way * share, -2.0 * share, end + way * 4.4 * share, 2.0 * share), (26, 22, 20))
        pen.polygon(plate(at, end, -1.3 * share, end + way * 3.6 * share, 1.3 * share), (58, 52, 48))
    glass = ((12, 12, 13), 0.44) if theme.lamp else ((30, 32, 36), 0.55)
    rim: Colour = theme["vehicle-rim"]
    _box(pen, at, front, back, half, 3.2 * share, px, glass, (rim, 0.85, 0.5 * share))
    _hood(pen, at, body, look, px)
    _box(
        pen,
        at,
        front - 0.9 * share,
        back + 0.9 * share,
        half - 0.9 * share,
        2.6 * share,
        px,
        None,
        (rim, 0.28, 0.3 * share),
    )
    _wheels(pen, at, body, theme, px)
    if body.derailed:
        middle = at((front + back) / 2, 0)
        pen.stroke(
            [(middle[0] - 9 * unit, middle[1] - 9 * unit), (middle[0] + 9 * unit, middle[1] + 9 * unit)],
            4 * unit,
            theme["glow-wide"],
        )
        pen.stroke(
            [(middle[0] - 9 * unit, middle[1] + 9 * unit), (middle[0] + 9 * unit, middle[1] - 9 * unit)],
            4 * unit,
            theme["glow-wide"],
        )
    return pen.done()

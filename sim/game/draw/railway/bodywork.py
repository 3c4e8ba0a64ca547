"""What stands on a vehicle's wheels, drawn once in its own frame: footplate, hoods, cab, boiler, load.

A vehicle's frame is in mm: along it from its leading axle backwards, across it, left positive. The lamp over the bench
stands to the upper left, so what a side looks like hangs on where the vehicle is headed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, blank, circle, lay, plate, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.railway.outlines import Frame, Look, cab_of, hood_of, lamps_of, paint_of, roof_of, window_depth
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = [
    "FOOTPLATE",
    "HULL_FINE",
    "Place",
    "hull",
]

Place = Callable[[float, float], Point]

HULL_FINE = 2.0
"""How many times larger than it is seen a hull is drawn, so that it can be turned without loss."""

FOOTPLATE = 0.85
"""How much of the footplate hides what is under it."""


class _Light:
    """Where the lamp stands, seen from a vehicle that is headed one way on the screen."""

    def __init__(self, bearing: float) -> None:
        x, y = -0.5, -0.87  # to the upper left
        c, s = math.cos(bearing), math.sin(bearing)
        self.ahead = x * c + y * s
        self.left = x * s - y * c

    def across(self, colours: Sequence[Colour]) -> tuple[Colour, ...]:
        """Colours from the side of the lamp to the other, as they lie from a vehicle's left to its right."""
        return tuple(colours if self.left >= 0 else reversed(colours))


def _tones(paint: Colour, theme: Theme) -> tuple[Colour, ...]:
    """A body's paint from the lamp's side to the other, as on a rounded roof."""
    white: Colour = (255, 252, 240)
    dark: Colour = (8, 14, 24)
    if theme.lamp:
        lit, pale = mix(paint, white, 0.74), mix(paint, white, 0.4)
        return lit, pale, mix(paint, white, 0.14), paint, mix(paint, dark, 0.34)
    return mix(paint, white, 0.34), mix(paint, white, 0.06), paint, mix(paint, dark, 0.2), mix(paint, dark, 0.45)


@kept
def hull(
    look: Look, frame: Frame, bearing: float, scale: float, unit: float, theme: Theme, lit: bool
) -> pygame.Surface:
    """A vehicle without its wheels, headed to the right, with its shadow, `HULL_FINE` times larger than it is seen.

    It is as the lamp over the bench lights it when it is headed to `bearing` (radians, y down). Its middle is the
    middle of the surface.

    scale: px of a mm as it is seen; lit: windows and headlamps shine
    """
    px = scale * HULL_FINE
    edge = 22 * unit * HULL_FINE  # for the shadow
    wide = math.ceil(((frame.long + 12 * frame.share) * px + 2 * edge) / 2) * 2
    high = math.ceil(((2 * frame.half + 2 * frame.share) * px + 2 * edge) / 2) * 2
    part = pygame.Rect(0, 0, wide, high).inflate(-2 * round(edge), -2 * round(edge))
    pen = Pen(part, 2, own=True)
    middle = (frame.front + frame.back) / 2

    def at(along: float, across: float) -> Point:
        return wide / 2 + (along - middle) * px, high / 2 - across * px

    light = _Light(bearing)
    _chassis(pen, at, look, frame, px, theme, light)
    body = {"diesel": _diesel, "shunter": _shunter, "tender": _tender}.get(look.style, _wagon)
    body(pen, at, look, frame, px, theme, light)
    cab = cab_of(look, frame)
    if cab is not None:
        _cab(pen, at, cab, frame.share, px, _tones(paint_of(look, theme), theme), light, lit)
    for end in (1, -1):
        for along, across in lamps_of(look, frame, end):
            _lamp(pen, at(along, across), frame.share * px, lit)
    drawn = pen.done()
    whole = blank(wide, high)
    for soft in _shadows(drawn, bearing, unit, theme):
        lay(whole, soft.surface, (soft.x, soft.y))
    lay(whole, drawn.surface, (drawn.x, drawn.y))
    return whole


def _shadows(part: Sprite, bearing: float, unit: float, theme: Theme) -> tuple[Sprite, ...]:
    """A tight shadow and a soft one, 4 px to the right and 7 px down as they are seen."""
    c, s = math.cos(bearing), math.sin(bearing)

    def shifted(x: float, y: float) -> Point:
        x, y = x * unit * HULL_FINE, y * unit * HULL_FINE
        return x * c + y * s, y * c - x * s

    return (
        shade(part, shifted(4, 7), 4.5 * unit * HULL_FINE, 0.62 * theme.shadow),
        shade(part, shifted(1.2, 2), 1.6 * unit * HULL_FINE, 0.4 * theme.shadow),
    )


def _box(at: Place, x0: float, x1: float, half: float, radius: float) -> list[Point]:
    shape = rounded((min(x0, x1) * 10, -half * 10, abs(x1 - x0) * 10, 20 * half), radius * 10)
    return [at(x / 10, y / 10) for x, y in shape]


def _block(
    pen: Pen, at: Place, box: tuple[float, float, float], radius: float, px: float, tones: Sequence[Colour],
    light: _Light,
) -> None:  # fmt: skip
    """A body with a rounded roof: dark outline, paint across it, lit along the edge at the lamp's side."""
    x0, x1, half = box
    edge = max(0.35 / max(px, 1e-6), 0.4)
    pen.polygon(_box(at, x0 + edge, x1 - edge, half + edge, radius + edge), mix(tones[-1], (0, 0, 0), 0.72))
    pen.wash(_box(at, x0, x1, half, radius), light.across(tones))
    side = half if light.left >= 0 else -half
    inset = 0.55 * (1 if side > 0 else -1)
    low, high = min(x0, x1) + radius * 0.6, max(x0, x1) - radius * 0.6
    pen.polygon(plate(at, low, side - inset, high, side), mix(tones[0], (255, 255, 255), 0.7))
    lit_end = max(x0, x1) if light.ahead >= 0 else min(x0, x1)
    back = -0.5 if light.ahead >= 0 else 0.5
    pen.polygon(plate(at, lit_end, -half + radius, lit_end + back, half - radius), tones[0], 0.7)


def _chassis(pen: Pen, at: Place, look: Look, frame: Frame, px: float, theme: Theme, light: _Light) -> None:
    """Couplings, buffer beams, the footplate with its rim, handrails along both sides."""
    share, half = frame.share, frame.half
    for end, way in ((frame.front, 1), (frame.back, -1)):
        pen.polygon(plate(at, end - way * share, -2.1 * share, end + way * 4.6 * share, 2.1 * share), (16, 13, 12))
        pen.polygon(plate(at, end, -1.3 * share, end + way * 3.7 * share, 1.3 * share), (84, 80, 76))
    top, foot = theme["footplate-top"], theme["footplate-foot"]
    rim, rim_dark = theme["vehicle-rim"], mix(theme["vehicle-rim"], (40, 34, 20), 0.5)
    outline = _box(at, frame.front, frame.back, half, 2.2 * share)
    line = max(0.85 * share, 1.2 * HULL_FINE / px)  # at least about a pixel as it is seen
    inner = _box(at, frame.front - line, frame.back + line, half - line, 1.8 * share)
    pen.wash([*outline, outline[0], inner[0], *reversed(inner)], light.across((rim, rim, rim_dark)))
    pen.wash(inner, light.across((top, mix(top, foot, 0.45), foot)), FOOTPLATE)
    for end, way in ((frame.front, 1), (frame.back, -1)):
        beam = plate(at, end - way * line, -half + 1.6 * share, end - way * (line + 1.9 * share), half - 1.6 * share)
        pen.polygon(beam, theme["buffer-beam"])
    if look.style == "wagon":
        return
    for side in (-1, 1):
        across = side * (half - 2.0 * share)
        low, high = frame.back + 6 * share, frame.front - 6 * share
        pen.polygon(plate(at, low, across - 0.2 * share, high, across + 0.2 * share), mix(rim, foot, 0.35))
        for k in range(7):
            spot = at(low + (high - low) * k / 6, across)
            pen.disc(spot, 0.95 * share * px, (14, 14, 14))
            pen.disc(spot, 0.68 * share * px, (255, 250, 232))


def _glass(pen: Pen, points: list[Point], lit: bool, light: _Light) -> None:
    if lit:
        pen.wash(points, light.across(((255, 250, 226), (255, 226, 140), (244, 176, 76))))
    else:
        pen.polygon(points, (9, 10, 12))


def _cab(
    pen: Pen, at: Place, cab: tuple[float, float, float], share: float, px: float, tones: Sequence[Colour],
    light: _Light, lit: bool,
) -> None:  # fmt: skip
    """A cab from above: a band of windows round its roof."""
    front, back, half = cab
    _block(pen, at, cab, 1.6 * share, px, tones, light)
    dark = mix(tones[-1], (0, 0, 0), 0.7)
    deep = window_depth(cab, share)
    for end, way in ((front, -1), (back, 1)):
        for side in (-1, 1):
            x0, x1 = end + way * 0.8 * share, end + way * (0.8 * share + deep)
            y0, y1 = side * 1.2 * share, side * (half - 2.6 * share)
            pen.polygon(plate(at, x0 - 0.35 * share, y0, x1 + 0.35 * share, y1), dark)
            inset = side * 0.3 * share
            _glass(pen, plate(at, min(x0, x1), y0 + inset, max(x0, x1), y1 - inset), lit, light)
    middle = (front + back) / 2
    roof = roof_of(cab, share)
    if roof is not None:
        reach = roof[0] - middle
        for side in (-1, 1):
            y0, y1 = side * (half - 2.9 * share), side * (half - 0.9 * share)
            pen.polygon(plate(at, middle - reach, y0, middle + reach, y1), dark)
            inset = side * 0.3 * share
            _glass(pen, plate(at, middle - reach + 0.3 * share, y0 + inset, middle + reach - 0.3 * share, y1 - inset),
                   lit, light)  # fmt: skip
        _block(pen, at, roof, 1.0 * share, px, tuple(mix(tone, tones[2], 0.5) for tone in tones), light)
    spot = at(middle, 0)
    pen.disc(spot, 1.7 * share * px, dark)
    pen.disc(spot, 1.25 * share * px, (255, 246, 216) if lit else (26, 24, 22))


def _lamp(pen: Pen, spot: Point, scale: float, lit: bool) -> None:
    pen.disc(spot, 1.55 * scale, (14, 12, 10))
    pen.disc(spot, 1.2 * scale, (196, 186, 160) if lit else (60, 58, 54))
    pen.disc(spot, 0.95 * scale, (255, 252, 236) if lit else (4, 4, 5))


def _fan(pen: Pen, middle: Point, radius: float, tones: Sequence[Colour]) -> None:
    dark = mix(tones[-1], (0, 0, 0), 0.78)
    pen.disc(middle, radius, dark)
    pen.ring(middle, radius, 0.16 * radius, tones[1])
    for k in range(6):
        a = math.pi * k / 3 + 0.3
        blade = [
            (middle[0] + math.cos(a + turn) * radius * far, middle[1] + math.sin(a + turn) * radius * far)
            for turn, far in ((-0.1, 0.2), (-0.22, 0.86), (0.28, 0.86), (0.1, 0.2))
        ]
        pen.polygon(blade, mix(tones[-1], tones[2], 0.6))
    pen.disc(middle, radius * 0.24, tones[1])


def _stack(pen: Pen, middle: Point, radius: float, tone: Colour) -> None:
    pen.disc((middle[0] + radius * 0.3, middle[1] + radius * 0.4), radius * 1.05, (0, 0, 0), 0.45)
    pen.disc(middle, radius, mix(tone, (0, 0, 0), 0.6))
    pen.disc(middle, radius * 0.84, mix(tone, (255, 255, 255), 0.35))
    pen.disc(middle, radius * 0.56, (10, 9, 8))


def _louvres(
    pen: Pen, at: Place, x0: float, x1: float, half: float, share: float, tones: Sequence[Colour]
) -> None:
    """Rows of slots along both sides of a hood."""
    count = max(3, round(abs(x1 - x0) / (2.1 * share)))
    for k in range(count):
        x = x0 + (x1 - x0) * (k + 0.5) / count
        for side in (-1, 1):
            slot = plate(at, x - 0.5 * share, side * half * 0.5, x + 0.3 * share, side * half * 0.88)
            pen.polygon(slot, mix(tones[-1], (0, 0, 0), 0.45))


def _shunter(pen: Pen, at: Place, look: Look, frame: Frame, px: float, theme: Theme, light: _Light) -> None:
    share, tones = frame.share, _tones(paint_of(look, theme), theme)
    front, back, half = box = hood_of(look, frame)
    _block(pen, at, box, 2.2 * share, px, tones, light)
    long = front - back
    pen.polygon(plate(at, front - 1.0 * share, -half * 0.7, front - 2.6 * share, half * 0.7), tones[-1])
    _louvres(pen, at, front - 0.42 * long, back + 0.1 * long, half, share, tones)
    _fan(pen, at(back + 0.42 * long, 0), 3.5 * share * px, tones)
    _stack(pen, at(front - 0.26 * long, 0), 2.3 * share * px, tones[2])


def _diesel(pen: Pen, at: Place, look: Look, frame: Frame, px: float, theme: Theme, light: _Light) -> None:
    share, tones = frame.share, _tones(paint_of(look, theme), theme)
    front, back, half = box = hood_of(look, frame)
    _block(pen, at, box, 2.2 * share, px, tones, light)
    nose = (frame.front - 6 * share, frame.front - 0.3 * frame.long, half)
    _block(pen, at, nose, 3.0 * share, px, tones, light)
    for low, high in ((nose[1] + share, nose[0] - 2.6 * share), (back + 2 * share, front - share)):
        for side in (-1, 1):
            stripe = plate(at, low, side * half * 0.66, high, side * half * 0.9)
            pen.polygon(stripe, theme["trim-diesel"])
    pen.polygon(plate(at, nose[0] - 4 * share, -2.4 * share, nose[1] + 2 * share, 2.4 * share), tones[-1], 0.35)
    _louvres(pen, at, front - 18 * share, back + 42 * share, half * 0.72, share, tones)
    for k in range(2):
        _fan(pen, at(back + (9 + 15 * k) * share, 0), 5.4 * share * px, tones)
    _stack(pen, at(front - 10 * share, 0), 2.2 * share * px, tones[2])


def _tender(pen: Pen, at: Place, look: Look, frame: Frame, px: float, theme: Theme, light: _Light) -> None:
    share, tones = frame.share, _tones(paint_of(look, theme), theme)
    front, back, half = box = hood_of(look, frame)
    cab = cab_of(look, frame)
    behind = (cab[1] if cab is not None else back) - 3 * share
    bunker = (behind, frame.back + 3 * share, 12.4 * share)
    _block(pen, at, bunker, 1.4 * share, px, tones, light)
    pen.polygon(_box(at, behind - 3 * share, frame.back + 14 * share, 9.4 * share, 1.2 * share), (12, 11, 11))
    for k in range(26):  # coal
        x = behind - 4.4 * share - (behind - frame.back - 20 * share) * ((k * 7) % 26) / 26
        y = 7.8 * share * (((k * 11) % 17) / 8 - 1)
        shape = circle(at(x, y), (1.0 + 0.35 * (k % 3)) * share * px, 6)
        pen.polygon(shape, (58, 58, 62) if k % 4 else (104, 104, 110))
    _block(pen, at, box, 3.0 * share, px, tones, light)
    for k in range(4):  # the boiler's bands
        x = front - (9 + 14 * k) * share
        if x > back + 4 * share:
            pen.polygon(plate(at, x, -half, x - 0.7 * share, half), mix(tones[-1], theme["brass"], 0.7))
    pen.polygon(plate(at, front, -half * 0.94, front - 6 * share, half * 0.94), (30, 30, 32), 0.85)
    _stack(pen, at(front - 4.5 * share, 0), 2.9 * share * px, (70, 70, 72))
    for along, radius, tone in ((20.0, 2.5, theme["brass"]), (34.0, 2.2, tones[1])):
        if front - along * share > back + 4 * share:
            spot = at(front - along * share, 0)
            pen.disc(spot, (radius + 0.4) * share * px, mix(tones[-1], (0, 0, 0), 0.6))
            pen.disc(spot, radius * share * px, tone)
            glint = spot[0] - 0.5 * share * px, spot[1] - 0.6 * share * px
            pen.disc(glint, radius * 0.4 * share * px, (255, 252, 236))


def _wagon(pen: Pen, at: Place, look: Look, frame: Frame, px: float, theme: Theme, light: _Light) -> None:
    share, tones = frame.share, _tones(paint_of(look, theme), theme)
    front, back, half = box = hood_of(look, frame)
    _block(pen, at, box, 1.0 * share, px, tones, light)
    floor = (front - 1.6 * share, back + 1.6 * share, half - 1.6 * share)
    pen.polygon(_box(at, *floor, 0.6 * share), mix(tones[-1], (0, 0, 0), 0.35))
    count = max(4, int((front - back) / (4 * share)))
    for k in range(count):
        x0 = floor[0] - (floor[0] - floor[1]) * k / count
        x1 = floor[0] - (floor[0] - floor[1]) * (k + 0.86) / count
        tone = mix(tones[2], tones[1 + (k * 5) % 3], 0.6)
        pen.polygon(plate(at, x0, -floor[2], x1, floor[2]), tone)

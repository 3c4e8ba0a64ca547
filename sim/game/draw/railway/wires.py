"""Wires: cloth-covered, with bare strands at their ends; ties and staples; meter leads; the plug."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = ["WIRE_ROLES", "box_of", "cable_plug", "lead", "plug_in", "socket", "staple", "tie", "wire", "wire_colour"]

WIRE_ROLES: dict[str, str] = {
    "red": "wire-rose", "rose": "wire-rose", "pink": "wire-rose", "orange": "wire-ochre", "brown": "wire-ochre",
    "yellow": "wire-ochre", "ochre": "wire-ochre", "white": "wire-cream", "cream": "wire-cream", "blue": "wire-steel",
    "steel": "wire-steel", "violet": "wire-violet", "grey": "wire-grey", "gray": "wire-grey", "black": "wire-grey",
    "green": "wire-green",
}  # fmt: skip


def wire_colour(name: str | None, theme: Theme) -> Colour:
    """The cloth's colour for a colour word of a bench file; grey for none or an unknown one."""
    return theme[WIRE_ROLES.get((name or "grey").lower(), "wire-grey")]


def box_of(points: Sequence[Point], margin: float) -> pygame.Rect:
    """The box of a polyline with so many pixels around it."""
    xs = [p[0] for p in points]
    ys = [p[1] for p in points]
    left, top = math.floor(min(xs) - margin), math.floor(min(ys) - margin)
    return pygame.Rect(left, top, math.ceil(max(xs) + margin) - left, math.ceil(max(ys) + margin) - top)


def _lengths(
    points: Sequence[Point],
) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.float64]], np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
    path = np.asarray(points, dtype=np.float64)
    return path, np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])


def _cut(points: Sequence[Point], start: float, end: float) -> list[Point]:
    """The part of a polyline from `start` px after its beginning to `end` px before its end."""
    path, along = _lengths(points)
    total = float(along[-1])
    if total <= start + end + 1:
        return list(points)
    inside = (along > start + 1e-6) & (along < total - end - 1e-6)
    at = np.concatenate([[start], along[inside], [total - end]])
    return list(zip(np.interp(at, along, path[:, 0]).tolist(), np.interp(at, along, path[:, 1]).tolist(), strict=True))


def _cloth(pen: Pen, points: Sequence[Point], width: float, colour: Colour, unit: float) -> None:
    """Slanted ticks along the covering."""
    path, along = _lengths(points)
    every = 2.6 * unit
    at = np.arange(every, float(along[-1]) - 0.5, every)
    if not len(at):
        return
    xs, ys = np.interp(at, along, path[:, 0]), np.interp(at, along, path[:, 1])
    xa, ya = np.interp(at + 0.6, along, path[:, 0]), np.interp(at + 0.6, along, path[:, 1])
    dx, dy = xa - xs, ya - ys
    length = np.maximum(np.hypot(dx, dy), 1e-9)
    dx, dy = dx / length, dy / length
    half = width / 2 - 1.0 * unit
    thin = 0.42 * unit
    dark, light = mix(colour, (0, 0, 0), 0.34), mix(colour, (255, 255, 255), 0.25)
    for k, (x, y, ux, uy) in enumerate(zip(xs.tolist(), ys.tolist(), dx.tolist(), dy.tolist(), strict=True)):
        nx, ny = -uy, ux
        a = (x + nx * half - ux * 1.1 * unit, y + ny * half - uy * 1.1 * unit)
        b = (x - nx * half + ux * 1.1 * unit, y - ny * half + uy * 1.1 * unit)
        pen.polygon(
            [
                (a[0] - ux * thin, a[1] - uy * thin),
                (a[0] + ux * thin, a[1] + uy * thin),
                (b[0] + ux * thin, b[1] + uy * thin),
                (b[0] - ux * thin, b[1] - uy * thin),
            ],
            dark if k % 2 else light,
            0.62,
        )


def _covering(pen: Pen, points: Sequence[Point], width: float, colour: Colour, unit: float, cloth: bool) -> None:
    pen.stroke(points, width, mix(colour, (10, 8, 6), 0.78))
    pen.stroke(points, width - 1.5 * unit, colour)
    lit = [(x - 0.16 * width, y - 0.18 * width) for x, y in points]
    pen.stroke(lit, width / 3, mix(colour, (255, 255, 255), 0.34))
    if cloth:
        _cloth(pen, points, width, colour, unit)


def _strands(pen: Pen, points: Sequence[Point], unit: float, theme: Theme) -> None:
    pen.stroke(points, 3.6 * unit, theme["copper-dark"])
    pen.stroke(points, 2.5 * unit, theme["copper"])
    pen.stroke([(x - 0.5 * unit, y - 0.5 * unit) for x, y in points], 0.9 * unit, theme["copper-lit"])


@kept
def wire(
    points: tuple[Point, ...],
    width: float,
    colour: Colour,
    unit: float,
    theme: Theme,
    bare: tuple[float, float],
    quick: bool = False,
) -> Sprite:
    """A dressed wire with its shadow; `bare` px of strands at its two ends. `quick`: no cloth, for one that moves."""
    pen = Pen(box_of(points, width), 2 if quick else 3)
    path, along = _lengths(points)
    total = float(along[-1])
    for end, length in enumerate(bare):
        if length > 0:
            _strands(
                pen,
                _cut(points, 0.0, total - length - 2 * unit)
                if end == 0
                else _cut(points, total - length - 2 * unit, 0.0),
                unit,
                theme,
            )
    _covering(pen, _cut(points, bare[0], bare[1]), width, colour, unit, not quick)
    part = pen.done()
    del path
    return merge([shade(part, (2 * unit, 3.4 * unit), 2.2 * unit, 0.55 * theme.shadow), part])


@kept
def lead(points: tuple[Point, ...], width: float, colour: Colour, unit: float, theme: Theme) -> Sprite:
    """A smooth meter lead that hangs in a curve; its shadow lies further off."""
    pen = Pen(box_of(points, width + 2), 3)
    pen.stroke(points, width, mix(colour, (10, 6, 4), 0.6))
    pen.stroke(points, width - 1.5 * unit, colour)
    pen.stroke([(x - 0.1 * width, y - 0.22 * width) for x, y in points], width / 4, mix(colour, (255, 255, 255), 0.5))
    part = pen.done()
    return merge([shade(part, (2 * unit, 9 * unit), 4 * unit, 0.4 * theme.shadow), part])


@kept
def tie(x: float, y: float, reach: float, upright: bool, unit: float, theme: Theme) -> Sprite:
    """A lacing tie: three turns of cord and a knot."""
    span, turns = reach + 5.2 * unit, 3
    area = pygame.Rect(
        math.floor(x - span - 8), math.floor(y - span - 8), math.ceil(2 * span + 16), math.ceil(2 * span + 16)
    )
    pen = Pen(area, 4)
    cord, dark = theme["cord"], theme["cord-dark"]

    def turned(along: float, across: float) -> Point:
        return (x + across, y + along) if upright else (x + along, y + across)

    for k in range(turns):
        a = (k - 1) * 2.6 * unit
        pen.stroke([turned(a, -span), turned(a, span)], 3.0 * unit, dark)
    for k in range(turns):
        a = (k - 1) * 2.6 * unit
        pen.stroke([turned(a, -span + 0.4 * unit), turned(a, span - 0.4 * unit)], 1.9 * unit, cord)
    end = span - 1.5 * unit
    pen.stroke([turned(-1.5 * unit, end), turned(2.4 * unit, end + 5.0 * unit)], 2.8 * unit, dark)
    pen.stroke([turned(-1.5 * unit, end), turned(2.2 * unit, end + 4.6 * unit)], 1.7 * unit, cord)
    part = pen.done()
    return merge([shade(part, (1 * unit, 2 * unit), 1.4 * unit, 0.5 * theme.shadow), part])


@kept
def staple(x: float, y: float, upright: bool, unit: float, theme: Theme) -> Sprite:
    """A brass staple over one wire."""
    span = 6.2 * unit
    area = pygame.Rect(
        math.floor(x - span - 4), math.floor(y - span - 4), math.ceil(2 * span + 8), math.ceil(2 * span + 8)
    )
    pen = Pen(area, 4)
    a, b = ((x - span, y), (x + span, y)) if upright else ((x, y - span), (x, y + span))
    pen.stroke([a, b], 3.4 * unit, theme["brass-dark"])
    pen.stroke([a, b], 2.2 * unit, mix(theme["brass-lit"], theme["brass"], 0.3))
    part = pen.done()
    return merge([shade(part, (1 * unit, 2 * unit), 1.4 * unit, 0.5 * theme.shadow), part])


@kept
def cable_plug(x: float, top: float, unit: float, theme: Theme) -> Sprite:
    """A pulled plug that hangs on its cable, pins down."""
    area = pygame.Rect(math.floor(x - 14 * unit), math.floor(top - 2), math.ceil(28 * unit), math.ceil(44 * unit))
    pen = Pen(area, 4)
    for side in (-4.5, 4.5):
        pen.span(x + (side - 2) * unit, top + 26 * unit, x + (side + 2) * unit, top + 39 * unit, theme["brass-dark"])
        pen.span(
            x + (side - 1.4) * unit, top + 26 * unit, x + (side + 0.6) * unit, top + 38.4 * unit, theme["brass-lit"]
        )
    pen.polygon(rounded((x - 11 * unit, top, 22 * unit, 29 * unit), 3.5 * unit), (12, 12, 12))
    pen.wash(
        rounded((x - 10 * unit, top + unit, 20 * unit, 27 * unit), 3 * unit), ((74, 74, 74), (48, 48, 48), (30, 30, 30))
    )
    for k in range(3):
        y = top + (9 + 5.5 * k) * unit
        pen.span(x - 6 * unit, y, x + 6 * unit, y + 1.6 * unit, (16, 16, 16))
    part = pen.done()
    return merge([shade(part, (3 * unit, 5 * unit), 4 * unit, 0.6 * theme.shadow), part])


@kept
def plug_in(x: float, top: float, unit: float, theme: Theme) -> Sprite:
    """The plug in its socket: its pins go into the panel at its right, its body stands out to be taken hold of."""
    area = pygame.Rect(math.floor(x - 16 * unit), math.floor(top - 2), math.ceil(36 * unit), math.ceil(50 * unit))
    pen = Pen(area, 4)
    for low in (9.0, 28.0):
        pen.span(x + 8 * unit, top + low * unit, x + 17 * unit, top + (low + 5) * unit, theme["brass-dark"])
        pen.span(x + 8 * unit, top + (low + 0.8) * unit, x + 17 * unit, top + (low + 3) * unit, theme["brass-lit"])
    pen.polygon(rounded((x - 12 * unit, top, 22 * unit, 43 * unit), 4 * unit), (12, 12, 12))
    body = rounded((x - 11 * unit, top + unit, 20 * unit, 41 * unit), 3.4 * unit)
    pen.wash(body, ((92, 92, 92), (56, 56, 56), (30, 30, 30)))
    pen.span(x - 9 * unit, top + 1.6 * unit, x + 7 * unit, top + 2.6 * unit, (168, 168, 168), 0.7)
    for k in range(4):
        left = x + (-8 + 4.2 * k) * unit
        pen.span(left, top + 9 * unit, left + 1.8 * unit, top + 34 * unit, (14, 14, 14))
        pen.span(left + 1.8 * unit, top + 9 * unit, left + 2.6 * unit, top + 34 * unit, (120, 120, 120), 0.6)
    part = pen.done()
    return merge([shade(part, (3 * unit, 5 * unit), 4 * unit, 0.6 * theme.shadow), part])


@kept
def socket(x: float, y: float, unit: float, theme: Theme, filled: Colour | None = None) -> Sprite:
    """A socket or bushing at a panel's left edge, 10 x 15 px; `filled` with a plug of that colour, or empty."""
    area = pygame.Rect(math.floor(x - 7 * unit), math.floor(y - 9 * unit), math.ceil(14 * unit), math.ceil(18 * unit))
    pen = Pen(area, 4)
    pen.polygon(rounded((x - 5 * unit, y - 7 * unit, 10 * unit, 14 * unit), 3 * unit), (5, 6, 7))
    pen.polygon(
        rounded((x - 3.4 * unit, y - 5 * unit, 5.6 * unit, 10 * unit), 2 * unit),
        filled or mix(theme["enamel"], (150, 160, 168), 0.25),
    )
    return pen.done()

"""Vehicles where they stand: the hull turned the way it is headed, its shadow, wheels on the rails, lamps.

A vehicle is drawn in its own frame: mm along it from its leading axle backwards, mm across it, left positive. What
stands on its wheels is drawn once (`bodywork`) and only turned from then on.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, plate
from sim.game.draw.pen.kept import kept
from sim.game.draw.railway.bodywork import HULL_FINE, Place, hull
from sim.game.draw.railway.outlines import HALF_MM, Frame, lamps_of, look_of
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point

__all__ = ["Body", "beam", "body_outline", "frame_of", "vehicle"]

_SECTORS = 16  # of a full turn: in so many ways a hull is lit
_REACH_MM = 92.0  # of the headlamps' light, HO
_BEAM_TURN = 0.5  # degrees, the steps in which that light turns


class Body(NamedTuple):
    """A vehicle where it stands, on the screen but in mm: its middle line's bearing and every axle in its own frame.

    axles: (along, across, turned) of each axle, mm, mm, radians, leading first; overhang: mm beyond the end axles
    alive: it has the volts that it needs
    ahead: which of its ends it drives with, 1 the leading one, -1 the other; 0 for a vehicle without motor
    """

    name: str
    axles: tuple[tuple[float, float, float], ...]
    overhang: float
    gauge: float
    wheel_mm: float
    derailed: bool
    alive: bool = True
    ahead: int = 0


def frame_of(body: Body) -> Frame:
    """The shape of a vehicle's frame."""
    return Frame(body.axles[0][0] + body.overhang, body.axles[-1][0] - body.overhang, body.gauge / 16.5)


def body_outline(body: Body) -> tuple[float, float, float]:
    """Front and back of the body along its frame (mm, front first), and half its width."""
    frame = frame_of(body)
    return frame.front, frame.back, HALF_MM * frame.share


def _frame_on_screen(bearing: float, px: float, offset: Point) -> Place:
    c, s = math.cos(bearing), math.sin(bearing)

    def at(along: float, across: float) -> Point:
        return offset[0] + (along * c + across * s) * px, offset[1] + (along * s - across * c) * px

    return at


@kept
def vehicle(
    body: Body, bearing: float, px: float, offset: tuple[float, float], unit: float, theme: Theme, fine: int
) -> Sprite:
    """A vehicle with its leading axle at `offset` (px), its front towards `bearing` (screen, radians, y down).

    `fine` 1 to 3: how smoothly its edges are drawn.
    """
    frame, look = frame_of(body), look_of(body.name, len(body.axles))
    at = _frame_on_screen(bearing, px, offset)
    sector = 2 * math.pi / _SECTORS
    lit = body.alive and body.ahead != 0
    drawn = hull(look, frame, round(bearing / sector) % _SECTORS * sector, round(px, 3), unit, theme, lit)
    turned = pygame.transform.rotozoom(drawn, -math.degrees(bearing), 1 / HULL_FINE)
    x, y = at((frame.front + frame.back) / 2, 0)
    left, top = round(x - turned.get_width() / 2), round(y - turned.get_height() / 2)
    reach = math.ceil((math.hypot(body.wheel_mm, 10.3 * frame.share) + 2) * px)
    for axle in body.axles:
        spot = at(axle[0], axle[1])
        box = pygame.Rect(round(spot[0]) - reach, round(spot[1]) - reach, 2 * reach, 2 * reach)
        pen = Pen(box, fine)
        _wheels(pen, at, axle, body, theme, hollow=not body.alive)
        lay(turned, pen.done().surface, (box.x - left, box.y - top))
    if body.derailed:
        pen = Pen(pygame.Rect(left, top, *turned.get_size()), fine)
        _struck_out(pen, (x, y), unit, theme)
        lay(turned, pen.done().surface, (0, 0))
    return Sprite(turned, left, top)


_STEEL = ((0x6E, 0x72, 0x76), (0xB4, 0xB7, 0xB8), (0xF4, 0xF4, 0xF1), (0xB4, 0xB7, 0xB8), (0x6E, 0x72, 0x76))
_FLANGE = (0x2B, 0x2F, 0x33)
_DEAD_TICK = (0xE4, 0xE2, 0xDA)


def _wheels(
    pen: Pen, at: Place, axle: tuple[float, float, float], body: Body, theme: Theme, *, hollow: bool
) -> None:
    """Both wheels of an axle: bright in the middle, a dark flange to the gauge, a tick where they touch the rail."""
    along, across, turned = axle
    c, s = math.cos(turned), math.sin(turned)
    share, radius = body.gauge / 16.5, body.wheel_mm
    inner, outer, rail = 6.9 * share, 10.3 * share, 8.9 * share

    def local(x: float, y: float) -> Point:
        return at(along + x * c - y * s, across + x * s + y * c)

    for side in (-1, 1):
        a, b = side * inner, side * outer
        edge = 0.42 * share
        grown = plate(local, -radius - edge, a - side * edge, radius + edge, b + side * edge)
        pen.polygon(grown, (12, 11, 11))
        if hollow:
            pen.polygon(plate(local, -radius, a, radius, b), theme["wheel"])
            pen.polygon(plate(local, -radius + edge * 1.5, a + side * edge * 1.5, radius - edge * 1.5,
                              b - side * edge * 1.5), (9, 10, 11))  # fmt: skip
        else:
            for k, tone in enumerate(_STEEL):
                x0 = -radius + 2 * radius * k / len(_STEEL)
                pen.polygon(plate(local, x0, a, x0 + 2 * radius / len(_STEEL), b), tone)
            pen.polygon(plate(local, -radius, b - side * 0.7 * share, radius, b), mix(_STEEL[0], _STEEL[1], 0.4))
        pen.polygon(plate(local, -radius - 0.7 * share, a, radius + 0.7 * share, a + side * 0.75 * share), _FLANGE)
        tick = plate(local, -2.0 * share, side * (rail - 0.34 * share), 2.0 * share, side * (rail + 0.34 * share))
        if not hollow:
            halo = plate(local, -2.6 * share, side * (rail - 0.8 * share), 2.6 * share, side * (rail + 0.8 * share))
            pen.polygon(halo, (255, 214, 140))
        pen.polygon(tick, _DEAD_TICK if hollow else (255, 255, 255))


def _struck_out(pen: Pen, middle: Point, unit: float, theme: Theme) -> None:
    """The cross over a vehicle that has come off."""
    x, y, arm = *middle, 9 * unit
    for lean in (1, -1):
        pen.stroke([(x - arm, y - arm * lean), (x + arm, y + arm * lean)], 6 * unit, (20, 12, 8))
        pen.stroke([(x - arm, y - arm * lean), (x + arm, y + arm * lean)], 4 * unit, theme["glow-wide"])


def beam(body: Body, bearing: float, px: float, offset: Point, theme: Theme) -> Sprite | None:
    """The light of the headlamps on what lies before a vehicle, to be added; None while it is dead, or has no lamps."""
    frame, look = frame_of(body), look_of(body.name, len(body.axles))
    lamps = lamps_of(look, frame, body.ahead)
    if not body.alive or not lamps:
        return None
    at = _frame_on_screen(bearing, px, offset)
    turn = bearing if body.ahead > 0 else bearing + math.pi
    step = math.radians(_BEAM_TURN)
    turned = _turned_cone(round(px, 3), frame.share, round(turn / step), theme)
    edge = frame.front if body.ahead > 0 else frame.back
    x, y = at(edge + body.ahead * _REACH_MM * frame.share / 2, 0)
    return Sprite(turned, round(x - turned.get_width() / 2), round(y - turned.get_height() / 2), True)


@kept
def _turned_cone(px: float, share: float, turn: int, theme: Theme) -> pygame.Surface:
    """The light of the headlamps, turned by so many steps; where it lies within a pixel does not show."""
    return pygame.transform.rotozoom(_cone(px, share, theme), -turn * _BEAM_TURN, 2.0)


@kept
def _cone(px: float, share: float, theme: Theme) -> pygame.Surface:
    """The light of two headlamps that look to the right, at half size, from the left edge of the surface on."""
    long, half = _REACH_MM * share * px / 2, 24.0 * share * px / 2
    wide, high = max(4, round(long)), max(4, round(2 * half))
    x = (np.arange(wide, dtype=np.float32) + 0.5)[:, None] / wide
    y = ((np.arange(high, dtype=np.float32) + 0.5)[None, :] - high / 2) / (share * px / 2)
    total = np.zeros((wide, high), dtype=np.float32)
    for lamp, spread, strength in ((-7.6, 5.0, 0.7), (7.6, 5.0, 0.7), (0.0, 15.0, 0.42)):
        reach = 1.6 + spread * x
        total += strength * np.exp(-(((y - lamp * (1 + 0.15 * x)) / reach) ** 2))
    fade = np.clip(1 - x, 0, 1) ** 1.5 * np.clip(x * 12, 0, 1)
    edge = np.clip((1 - np.abs(y) / 24.0) * 4, 0, 1)
    level = 0.62 if theme.lamp else 0.2
    light = np.clip(total * fade * edge * level, 0, 1)[:, :, None] * np.array((255, 235, 184), dtype=np.float32)
    out = pygame.Surface((wide, high), pygame.SRCALPHA)
    pixels = pygame.surfarray.pixels3d(out)
    pixels[...] = light.astype(np.uint8)
    del pixels
    return out

"""The supply: an enamelled panel with a moving-needle ammeter, a reading and the breaker's rocker."""

from __future__ import annotations

import math
from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, gloss, panel, rocker, well
from sim.game.look.theme import Theme, mix

__all__ = ["Face", "full_scale", "needle", "needle_angle", "supply"]

_SCALES = ((1.0, 0.2), (2.0, 0.5), (3.0, 0.5), (5.0, 1.0), (8.0, 2.0), (10.0, 2.0), (15.0, 3.0), (20.0, 5.0))
_RED = (196, 46, 36)


class Face(NamedTuple):
    """What the supply's face shows.

    aside: kind and volts; trip_amps: where the red begins; amps: the reading
    rocker: "on", "off" or "open"; status: a word or two under the reading; was: the amps flowed, and do no longer
    """

    aside: str
    trip_amps: float
    amps: float
    rocker: str
    status: str
    was: bool = False


def full_scale(trip_amps: float) -> tuple[float, float]:
    """Amps at the end of the ammeter's scale, and between its numbers, for a breaker that opens at `trip_amps`."""
    for end, step in _SCALES:
        if end >= trip_amps * 1.6:
            return end, step
    end = math.ceil(trip_amps * 1.6 / 10) * 10
    return float(end), end / 5


def _hub(face: pygame.Rect, unit: float) -> tuple[float, float, float]:
    """The middle that the needle turns about, and how long it is."""
    return face.centerx, face.bottom + 12 * unit, min(87 * unit, (face.height - 15 * unit) / 0.985)


def needle_angle(amps: float, trip_amps: float) -> float:
    """The needle's direction in degrees, 150 at zero to 30 at full scale, against the stop at 24 beyond it."""
    share = max(0.0, amps) / full_scale(trip_amps)[0]
    return 150 - 120 * min(share, 1.0) if share <= 1.0 else max(24.0, 30 - 60 * (share - 1))


def _tick_text(value: float) -> str:
    return f"{value:.0f}" if abs(value - round(value)) < 1e-6 else f"{value:.1f}"


@kept
def supply(box: Box, unit: float, theme: Theme, face: Face) -> Arrangement[str]:
    """The panel with everything but the needle, which goes into the place "face"; its rocker is "rocker"."""
    out: Arrangement[str] = Arrangement(unit, theme)
    kind, area = out.kind, pygame.Rect(box)
    out.box = area
    dial = pygame.Rect(
        round(area.x + 17 * unit), round(area.y + 37 * unit), round(area.width - 34 * unit),
        round(min(101 * unit, area.height * 0.45)),
    )  # fmt: skip
    switch = pygame.Rect(
        round(area.right - 84 * unit), round(area.bottom - 67 * unit), round(67 * unit), round(48 * unit)
    )
    out.spot("rocker", switch)
    out.spot("face", dial)
    out.draw(panel, box, unit, theme, "Supply", face.aside)
    out.draw(_face, box_of(dial), unit, theme, face.trip_amps)
    _numbers(out, dial, face.trip_amps)
    out.draw(_switch, box_of(switch), unit, theme, face.rocker)
    reading = f"was {_amps_text(face.amps)}" if face.was else _amps_text(face.amps)
    colour = theme["trip-text"] if face.rocker == "open" else theme["engraved"]
    out.words((dial.x, area.bottom - 60 * unit), reading, "reading", colour)
    out.words((dial.x, area.bottom - 33 * unit), face.status, "small", theme["engraved-quiet"])
    raised = 0.27 if face.rocker == "on" else 0.73  # the middle of the half that is not pressed in
    top = switch.y + raised * switch.height - kind.height("mark-bold") / 2
    word_colour = (255, 255, 255) if face.rocker == "open" else theme["ink"]
    out.words((switch.centerx, top), face.rocker, "mark-bold", word_colour, "middle")
    return out


def _numbers(out: Arrangement[str], dial: pygame.Rect, trip_amps: float) -> None:
    """The numbers along the scale, and what they count."""
    unit, theme, kind = out.unit, out.theme, out.kind
    cx, cy, radius = _hub(dial, unit)
    end, step = full_scale(trip_amps)
    for k in range(round(end / step) + 1):
        value = k * step
        px, py = _at(cx, cy, 150 - 120 * value / end, radius + 8.5 * unit)
        colour = _RED if value > trip_amps + 1e-6 else theme["ink"]
        at = px + (px - cx) / radius * 5 * unit, py - kind.height("mark") / 2
        out.words(at, _tick_text(value), "mark", colour, "middle")
    out.words((cx, dial.y + 0.54 * dial.height), "amps", "small", theme["ink-second"], "middle")


@kept
def _switch(box: Box, unit: float, theme: Theme, stands: str) -> Sprite:
    """The breaker's rocker, without its word."""
    pen = Pen(pygame.Rect(box).inflate(round(8 * unit), round(8 * unit)), 3)
    if stands == "open":
        rocker(pen, box, "upper", unit, theme["trip-red"], mix(theme["trip-red"], (0, 0, 0), 0.4))
    else:
        rocker(pen, box, "upper" if stands == "off" else "lower", unit, theme["rocker"], (122, 116, 100))
    return pen.done()


def _at(cx: float, cy: float, degrees: float, r: float) -> tuple[float, float]:
    """The place on the face in a direction from the hub, and so far from it."""
    a = math.radians(degrees)
    return cx + r * math.cos(a), cy - r * math.sin(a)


@kept
def _face(box: Box, unit: float, theme: Theme, trip_amps: float) -> Sprite:
    """The ammeter's face with its scale, without the numbers."""
    rect = pygame.Rect(box)
    pen = Pen(rect.inflate(round(8 * unit), round(8 * unit)), 3)
    paper, ink = theme["face"], theme["ink"]
    colours = (mix(paper, (255, 255, 255), 0.22), paper, mix(paper, (120, 96, 40), 0.22))
    well(pen, box, 6 * unit, unit, colours)
    cx, cy, radius = _hub(rect, unit)

    def at(degrees: float, r: float) -> tuple[float, float]:
        return _at(cx, cy, degrees, r)

    end, step = full_scale(trip_amps)
    from_red = 150 - 120 * trip_amps / end
    arc = [at(from_red + (30 - from_red) * k / 24, radius - 4.4 * unit) for k in range(25)]
    pen.stroke(arc, 8 * unit, _RED)
    pen.stroke([at(150 - 120 * k / 48, radius) for k in range(49)], 1.4 * unit, ink)
    parts = 5
    count = round(end / step) * parts
    for k in range(count + 1):
        angle = 150 - 120 * k / count
        major = k % parts == 0
        pen.stroke(
            [at(angle, radius), at(angle, radius - (14 if major else 9) * unit)], (1.9 if major else 1.2) * unit, ink
        )
    pen.disc((rect.right - 31 * unit, rect.bottom - 11 * unit), 2.4 * unit, mix(theme["brass"], (80, 60, 20), 0.3))
    gloss(pen, box, 6 * unit, 0.12)
    return pen.done()


def _amps_text(amps: float) -> str:
    return f"{amps:.2f}\u00a0A" if amps < 9.995 else f"{amps:.0f}\u00a0A"


@kept
def needle(face: Box, unit: float, theme: Theme, degrees: float) -> Sprite:
    """The needle with its shadow on a face, and the dark hub that covers its foot."""
    rect = pygame.Rect(face)
    cx, cy, radius = _hub(rect, unit)
    pen = Pen(rect, 3)
    a = math.radians(degrees)
    dx, dy = math.cos(a), -math.sin(a)
    tip, foot = radius - 2 * unit, 18 * unit

    def blade(x: float, y: float, colour: tuple[int, int, int], alpha: float) -> None:
        nx, ny = -dy, dx
        points = [
            (cx + dx * foot + nx * 2.0 * unit + x, cy + dy * foot + ny * 2.0 * unit + y),
            (cx + dx * tip + nx * 0.6 * unit + x, cy + dy * tip + ny * 0.6 * unit + y),
            (cx + dx * tip - nx * 0.6 * unit + x, cy + dy * tip - ny * 0.6 * unit + y),
            (cx + dx * foot - nx * 2.0 * unit + x, cy + dy * foot - ny * 2.0 * unit + y),
        ]
        pen.polygon(points, colour, alpha)

    blade(2.5 * unit, 4 * unit, (60, 45, 20), 0.3)
    blade(0, 0, (18, 15, 12), 1.0)
    pen.disc((cx, cy + 12 * unit), 35 * unit, (52, 60, 66))
    pen.disc((cx, cy + 12 * unit), 33.6 * unit, (22, 27, 30))
    shape = Pen(rect, 3)
    shape.polygon(rounded(face, 6 * unit), (255, 255, 255))
    part = pen.done()
    part.surface.blit(shape.done().surface, (0, 0), special_flags=pygame.BLEND_RGBA_MULT)
    return part

"""The supply: an enamelled panel with a moving-needle ammeter, a reading and the breaker's rocker."""

from __future__ import annotations

import math
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, gloss, panel, put, rocker, well
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Face", "face_rect", "full_scale", "needle", "needle_angle", "rocker_rect", "supply"]

_SCALES = ((1.0, 0.2), (2.0, 0.5), (3.0, 0.5), (5.0, 1.0), (8.0, 2.0), (10.0, 2.0), (15.0, 3.0), (20.0, 5.0))


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


def face_rect(box: Box, unit: float) -> pygame.Rect:
    """Where the ammeter's face lies in the supply's box."""
    x, y, w, h = box
    return pygame.Rect(
        round(x + 17 * unit), round(y + 37 * unit), round(w - 34 * unit), round(min(101 * unit, h * 0.45))
    )


def rocker_rect(box: Box, unit: float) -> pygame.Rect:
    """Where the rocker lies."""
    x, y, w, h = box
    return pygame.Rect(round(x + w - 84 * unit), round(y + h - 67 * unit), round(67 * unit), round(48 * unit))


def _hub(box: Box, unit: float) -> tuple[float, float, float]:
    rect = face_rect(box, unit)
    radius = min(87 * unit, (rect.height - 15 * unit) / 0.985)
    return rect.centerx, rect.bottom + 12 * unit, radius


def needle_angle(amps: float, trip_amps: float) -> float:
    """The needle's direction in degrees, 150 at zero to 30 at full scale, against the stop at 24 beyond it."""
    share = max(0.0, amps) / full_scale(trip_amps)[0]
    return 150 - 120 * min(share, 1.0) if share <= 1.0 else max(24.0, 30 - 60 * (share - 1))


def _tick_text(value: float) -> str:
    return f"{value:.0f}" if abs(value - round(value)) < 1e-6 else f"{value:.1f}"


@kept
def supply(box: Box, unit: float, theme: Theme, face: Face) -> Sprite:
    """The panel with everything but the needle."""
    kind = Type(theme, unit)
    base = _panel(box, unit, theme, face.aside, face.trip_amps)
    switch = _switch(box, unit, theme, face.rocker)
    surface = base.surface.copy()
    dx, dy = base.x, base.y
    lay(surface, switch.surface, (switch.x - dx, switch.y - dy))
    rect, place, area = face_rect(box, unit), rocker_rect(box, unit), pygame.Rect(box)
    reading = f"was {_amps_text(face.amps)}" if face.was else _amps_text(face.amps)
    colour = theme["trip-text"] if face.rocker == "open" else theme["engraved"]
    put(surface, (rect.x - dx, area.bottom - 60 * unit - dy), reading, "reading", colour, kind)
    put(surface, (rect.x - dx, area.bottom - 33 * unit - dy), face.status, "small", theme["engraved-quiet"], kind)
    raised = 0.27 if face.rocker == "on" else 0.73  # the middle of the half that is not pressed in
    word_y = place.y + raised * place.height - kind.height("mark-bold") / 2 - dy
    word_colour = (255, 255, 255) if face.rocker == "open" else theme["ink"]
    put(surface, (place.centerx - dx, word_y), face.rocker, "mark-bold", word_colour, kind, "middle")
    return Sprite(surface, dx, dy)


@kept
def _switch(box: Box, unit: float, theme: Theme, stands: str) -> Sprite:
    """The breaker's rocker, without its word."""
    place = rocker_rect(box, unit)
    pen = Pen(place.inflate(round(8 * unit), round(8 * unit)), 3)
    spot = place.x, place.y, place.width, place.height
    if stands == "open":
        rocker(pen, spot, "upper", unit, theme["trip-red"], mix(theme["trip-red"], (0, 0, 0), 0.4))
    else:
        rocker(pen, spot, "upper" if stands == "off" else "lower", unit, theme["rocker"], (122, 116, 100))
    return pen.done()


@kept
def _panel(box: Box, unit: float, theme: Theme, aside: str, trip_amps: float) -> Sprite:
    """The panel with its face and scale, which never change."""
    kind = Type(theme, unit)
    base = panel(box, unit, theme, "Supply", aside)
    rect = face_rect(box, unit)
    area = pygame.Rect(box)
    pen = Pen(area, 3)
    paper, ink, red = theme["face"], theme["ink"], (196, 46, 36)
    well(
        pen,
        (rect.x, rect.y, rect.width, rect.height),
        6 * unit,
        unit,
        (mix(paper, (255, 255, 255), 0.22), paper, mix(paper, (120, 96, 40), 0.22)),
    )
    cx, cy, radius = _hub(box, unit)

    def at(degrees: float, r: float) -> tuple[float, float]:
        a = math.radians(degrees)
        return cx + r * math.cos(a), cy - r * math.sin(a)

    end, step = full_scale(trip_amps)
    from_red = 150 - 120 * trip_amps / end
    arc = [at(from_red + (30 - from_red) * k / 24, radius - 4.4 * unit) for k in range(25)]
    pen.stroke(arc, 8 * unit, red)
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
    gloss(pen, (rect.x, rect.y, rect.width, rect.height), 6 * unit, 0.12)
    whole = merge([base, pen.done()])
    surface = whole.surface
    dx, dy = whole.x, whole.y
    for k in range(round(end / step) + 1):
        value = k * step
        px, py = at(150 - 120 * value / end, radius + 8.5 * unit)
        text = _tick_text(value)
        label = kind.line(text, "mark", red if value > trip_amps + 1e-6 else ink)
        lean = (px - cx) / radius
        lay(surface, label, (px + lean * 5 * unit - label.get_width() / 2 - dx, py - label.get_height() / 2 - dy))
    label = kind.line("amps", "small", theme["ink-second"])
    lay(surface, label, (cx - label.get_width() / 2 - dx, rect.y + 0.54 * rect.height - dy))
    return whole


def _amps_text(amps: float) -> str:
    return f"{amps:.2f}\u00a0A" if amps < 9.995 else f"{amps:.0f}\u00a0A"


@kept
def needle(box: Box, unit: float, theme: Theme, degrees: float) -> Sprite:
    """The needle with its shadow, and the dark hub that covers its foot."""
    rect = face_rect(box, unit)
    cx, cy, radius = _hub(box, unit)
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
    shape.polygon(rounded((rect.x, rect.y, rect.width, rect.height), 6 * unit), (255, 255, 255))
    part = pen.done()
    part.surface.blit(shape.done().surface, (0, 0), special_flags=pygame.BLEND_RGBA_MULT)
    return part

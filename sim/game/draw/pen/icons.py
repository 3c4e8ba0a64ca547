"""Line icons, 2 px, and the little roof that folds, unfolds or leads on."""

from __future__ import annotations

import math

import pygame

from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Colour
from sim.game.paper.view import Point

__all__ = ["icon", "roof"]


def _arc(cx: float, cy: float, r: float, start: float, end: float, steps: int = 18) -> list[tuple[float, float]]:
    return [
        (
            cx + r * math.cos(math.radians(start + (end - start) * k / steps)),
            cy + r * math.sin(math.radians(start + (end - start) * k / steps)),
        )
        for k in range(steps + 1)
    ]


@kept
def icon(name: str, unit: float, colour: Colour) -> pygame.Surface:
    """An icon of 22 x 22 layout px: back, undo, redo, again, turn, turnout, clock, folder, save, print, cross, gear."""
    size = round(22 * unit)
    pen = Pen(pygame.Rect(0, 0, size, size), 4)
    u, w = unit, 2 * unit
    if name == "back":
        pen.stroke([(14 * u, 4 * u), (7.5 * u, 11 * u), (14 * u, 18 * u)], 2.2 * u, colour)
    elif name in {"undo", "redo"}:
        line = [(5.5 * u, 8 * u), (12.5 * u, 8 * u), *_arc(12.5 * u, 12 * u, 4 * u, -90, 90, 14)[1:], (8 * u, 16 * u)]
        head = [(2.2 * u, 8 * u), (8 * u, 3.4 * u), (8 * u, 12.6 * u)]
        if name == "redo":
            line = [(22 * u - x, y) for x, y in line]
            head = [(22 * u - x, y) for x, y in head]
        pen.stroke(line, w, colour)
        pen.polygon(head, colour)
    elif name == "again":
        pen.stroke(_arc(11 * u, 11.5 * u, 6.4 * u, -20, 250, 36), w, colour)
        pen.polygon([(14.2 * u, 8.2 * u), (20.6 * u, 10.6 * u), (20.2 * u, 3.6 * u)], colour)
    elif name == "turn":
        pen.frame((2 * u, 14.5 * u, 18 * u, 6 * u), 1.2 * u, w, colour)
        pen.stroke([(3.2 * u, 11.5 * u), *_arc(10.2 * u, 11.5 * u, 7 * u, 180, 315, 14)[1:]], w, colour)
        pen.polygon([(19.6 * u, 11.4 * u), (19.6 * u, 4 * u), (12.2 * u, 8.6 * u)], colour)
    elif name == "gear":
        pen.stroke(_arc(11 * u, 11 * u, 4.9 * u, 0, 360, 40), 2.6 * u, colour)
        for k in range(8):
            dx, dy = math.cos(math.radians(45 * k)), math.sin(math.radians(45 * k))
            pen.stroke(
                [(11 * u + dx * 5.6 * u, 11 * u + dy * 5.6 * u), (11 * u + dx * 9.2 * u, 11 * u + dy * 9.2 * u)],
                3.2 * u,
                colour,
            )
    elif name == "turnout":
        pen.stroke([(2 * u, 15 * u), (20 * u, 15 * u)], w, colour)
        pen.stroke([(4 * u, 15 * u), (9 * u, 14 * u), (14 * u, 11 * u), (20 * u, 5.5 * u)], w, colour)
        pen.stroke([(2 * u, 19 * u), (20 * u, 19 * u)], 1.2 * u, colour)
    elif name == "clock":
        pen.stroke(_arc(11 * u, 11.5 * u, 7.6 * u, 0, 360, 40), w, colour)
        pen.stroke([(11 * u, 6.4 * u), (11 * u, 11.5 * u), (14.6 * u, 13.6 * u)], w, colour)
    elif name == "folder":
        line = [(2.5, 16), (2.5, 5), (8.5, 5), (10.5, 7.5), (19.5, 7.5), (19.5, 17.5), (2.5, 17.5), (2.5, 15)]
        pen.stroke([(x * u, y * u) for x, y in line], w, colour)
    elif name == "save":
        pen.stroke([(3 * u, 12 * u), (3 * u, 18.5 * u), (19 * u, 18.5 * u), (19 * u, 12 * u)], w, colour)
        pen.stroke([(11 * u, 2.5 * u), (11 * u, 10 * u)], w, colour)
        pen.polygon([(6.2 * u, 8.6 * u), (15.8 * u, 8.6 * u), (11 * u, 14.6 * u)], colour)
    elif name == "print":
        pen.stroke([(6 * u, 8 * u), (6 * u, 2.5 * u), (16 * u, 2.5 * u), (16 * u, 8 * u)], w, colour)
        pen.stroke([(6 * u, 16 * u), (2.5 * u, 16 * u), (2.5 * u, 8 * u), (19.5 * u, 8 * u), (19.5 * u, 16 * u),
                    (16 * u, 16 * u)], w, colour)  # fmt: skip
        pen.frame((5.5 * u, 12.5 * u, 11 * u, 7.5 * u), 0.6 * u, w, colour)
    elif name == "cross":
        pen.stroke([(5 * u, 5 * u), (17 * u, 17 * u)], w, colour)
        pen.stroke([(17 * u, 5 * u), (5 * u, 17 * u)], w, colour)
    return pen.done().surface


_WAYS = {"up": (0, -1), "down": (0, 1), "right": (1, 0)}


def roof(at: Point, unit: float, colour: Colour, way: str = "up", large: bool = False) -> Sprite:
    """Two short strokes that meet in a point upwards, downwards or to the right, their middle at a place."""
    (x, y), (dx, dy) = at, _WAYS[way]
    reach, rise = (6 * unit, 3 * unit) if large else (5 * unit, 2.5 * unit)
    pen = Pen(pygame.Rect(round(x), round(y), 0, 0).inflate(2 * round(9 * unit), 2 * round(9 * unit)), 3)
    line = [(x - dx * rise - abs(dy) * reach * k, y - dy * rise - dx * reach * k) for k in (1, -1)]
    pen.stroke([line[0], (x + dx * rise, y + dy * rise), line[1]], (2.2 if large else 2) * unit, colour)
    return pen.done()

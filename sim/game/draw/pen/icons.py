"""Line icons, 2 px, and the rail along the window's top with its words."""

from __future__ import annotations

import math
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, lay
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix

__all__ = ["TopItem", "icon", "top_items", "top_rail"]


class TopItem(NamedTuple):
    """A button of the top rail: its name, its words, its icon, whether it can be used now."""

    name: str
    words: str
    icon: str
    able: bool


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


def top_items(box: Box, unit: float, kind: Type, items: tuple[TopItem, ...]) -> dict[str, pygame.Rect]:
    """Where each button of the top rail lies; "jobs" stands at the left, the others from the right edge."""
    x, y, w, h = box
    places: dict[str, pygame.Rect] = {}
    right = x + w - 12 * unit
    for item in reversed([item for item in items if item.name != "jobs"]):
        width = kind.width(item.words, "body") + (40 * unit if item.icon else 16 * unit)
        width = width if item.words else 30 * unit  # an icon alone
        places[item.name] = pygame.Rect(round(right - width), round(y + 4 * unit), round(width), round(h - 8 * unit))
        right -= width + 10 * unit
    for item in items:
        if item.name == "jobs":
            places["jobs"] = pygame.Rect(
                round(x + 12 * unit),
                round(y + 4 * unit),
                round(kind.width(item.words, "body-bold") + 36 * unit),
                round(h - 8 * unit),
            )
    return places


@kept
def top_rail(box: Box, unit: float, theme: Theme, items: tuple[TopItem, ...], title: str, aside: str) -> pygame.Surface:
    """The rail along the top: back to the jobs, the chapter and the job, then the buttons."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    surface = pygame.Surface(rect.size)
    top = theme["top"]
    for row in range(rect.height):
        surface.fill(mix(theme["top-lit"], theme["top-foot"], row / rect.height), (0, row, rect.width, 1))
    surface.fill(theme["top-edge"], (0, rect.height - max(1, round(unit)), rect.width, max(1, round(unit))))
    surface.fill(theme["top-line"], (0, rect.height - max(2, round(2 * unit)), rect.width, max(1, round(unit))))
    places = top_items(box, unit, kind, items)
    for item in items:
        place = places[item.name]
        colour = theme["top-text"] if item.able else mix(theme["top-text"], top, 0.62)
        role = "body-bold" if item.name == "jobs" else "body"
        label = kind.line(item.words, role, colour)
        middle = place.centery - label.get_height() / 2
        if item.icon == "F1":
            _key_cap(surface, place, unit, kind, colour)
            lay(surface, label, (place.right - label.get_width() - 4 * unit, middle))
        elif item.icon:
            lay(surface, icon(item.icon, unit, colour), (place.x + 4 * unit, place.centery - 11 * unit))
            lay(surface, label, (place.right - label.get_width() - (4 if item.name != "jobs" else 8) * unit, middle))
        else:
            lay(surface, label, (place.x + 8 * unit, middle))
    left = (places["jobs"].right if "jobs" in places else rect.x + 8 * unit) + 22 * unit
    rest = min((place.x for name, place in places.items() if name != "jobs"), default=rect.right) - 20 * unit
    name = kind.line(kind.fit(title, "body-bold", max(40 * unit, rest - left)), "body-bold", theme["top-text"])
    lay(surface, name, (left, rect.centery - name.get_height() / 2))
    left += name.get_width() + 12 * unit
    if aside and left + kind.width(aside, "body") < rest:
        note = kind.line(aside, "body", theme["top-quiet"])
        lay(surface, note, (left, rect.centery - note.get_height() / 2))
    return surface


def _key_cap(surface: pygame.Surface, place: pygame.Rect, unit: float, kind: Type, colour: Colour) -> None:
    cap = pygame.Rect(round(place.x + 2 * unit), round(place.centery - 11 * unit), round(26 * unit), round(22 * unit))
    pen = Pen(cap, 3)
    pen.frame((cap.x, cap.y, cap.width, cap.height), 4 * unit, 1.4 * unit, colour, 0.8)
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x, sprite.y))
    label = kind.line("F1", "mark", colour)
    lay(surface, label, (cap.centerx - label.get_width() / 2, cap.centery - label.get_height() / 2))

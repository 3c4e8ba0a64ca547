"""The rail along the window's top: back to the jobs, what lies on the bench, and the buttons."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.icons import icon
from sim.game.draw.pen.ink import Pen, Sprite, blank
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.look.theme import Theme, mix

__all__ = ["TopItem", "top_rail"]


class TopItem(NamedTuple):
    """A button of the top rail: its name, its words, its icon, whether it can be used now."""

    name: str
    words: str
    icon: str
    able: bool


@kept
def top_rail(
    box: Box, unit: float, theme: Theme, items: tuple[TopItem, ...], title: str, aside: str
) -> Arrangement[str]:
    """The rail; "jobs" stands at the left, the other buttons from the right edge, then the title and what is beside."""
    rail: Arrangement[str] = Arrangement(unit, theme)
    kind, rect = rail.kind, pygame.Rect(box)
    rail.box = rect
    rail.draw(_bar, box, unit, theme)
    left, right = rect.x + 8 * unit, rect.right - 12 * unit
    places: dict[str, pygame.Rect] = {}
    for item in reversed(items):
        width = kind.width(item.words, "body") + (40 * unit if item.icon else 16 * unit)
        width = width if item.words else 30 * unit  # an icon alone
        start = right - width
        if item.name == "jobs":
            width, start = kind.width(item.words, "body-bold") + 36 * unit, rect.x + 12 * unit
        else:
            right -= width + 10 * unit
        places[item.name] = pygame.Rect(
            round(start), round(rect.y + 4 * unit), round(width), round(rect.height - 8 * unit)
        )
    for item in sorted(items, key=lambda item: places[item.name].x):
        rail.spot(item.name, places[item.name])
        _button(rail, places[item.name], item)
    left = (places["jobs"].right if "jobs" in places else left) + 22 * unit
    rest = min((place.x for name, place in places.items() if name != "jobs"), default=rect.right) - 20 * unit
    name = kind.fit(title, "body-bold", max(40 * unit, rest - left))
    middle = rect.centery - kind.height("body-bold") / 2
    left += rail.words((left, middle), name, "body-bold", theme["top-text"]) + 12 * unit
    if aside and left + kind.width(aside, "body") < rest:
        rail.words((left, rect.centery - kind.height("body") / 2), aside, "body", theme["top-quiet"])
    return rail


def _button(rail: Arrangement[str], place: pygame.Rect, item: TopItem) -> None:
    unit, theme = rail.unit, rail.theme
    colour = theme["top-text"] if item.able else mix(theme["top-text"], theme["top"], 0.62)
    role, edge = ("body-bold", 8) if item.name == "jobs" else ("body", 4)
    middle = place.centery - rail.kind.height(role) / 2
    if item.icon == "F1":
        cap = pygame.Rect(
            round(place.x + 2 * unit), round(place.centery - 11 * unit), round(26 * unit), round(22 * unit)
        )
        rail.draw(_key_cap, box_of(cap), unit, colour)
        high = rail.kind.height("mark")
        rail.words((cap.centerx, cap.centery - high / 2), "F1", "mark", colour, "middle")
    elif item.icon:
        rail.draw(_sign, item.icon, unit, colour, round(place.x + 4 * unit), round(place.centery - 11 * unit))
    if item.icon:
        rail.words((place.right - edge * unit, middle), item.words, role, colour, "right")
    else:
        rail.words((place.x + 8 * unit, middle), item.words, role, colour)


def _sign(name: str, unit: float, colour: tuple[int, int, int], x: int, y: int) -> Sprite:
    return Sprite(icon(name, unit, colour), x, y)


def _bar(box: Box, unit: float, theme: Theme) -> Sprite:
    rect = pygame.Rect(box)
    surface = blank(*rect.size)
    for row in range(rect.height):
        surface.fill(mix(theme["top-lit"], theme["top-foot"], row / rect.height), (0, row, rect.width, 1))
    surface.fill(theme["top-edge"], (0, rect.height - max(1, round(unit)), rect.width, max(1, round(unit))))
    surface.fill(theme["top-line"], (0, rect.height - max(2, round(2 * unit)), rect.width, max(1, round(unit))))
    return Sprite(surface, rect.x, rect.y)


def _key_cap(box: Box, unit: float, colour: tuple[int, int, int]) -> Sprite:
    pen = Pen(pygame.Rect(box), 3)
    pen.frame(box, 4 * unit, 1.4 * unit, colour, 0.8)
    return pen.done()

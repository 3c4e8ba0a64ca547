"""The slip that opens at a wire: its colours, and taking it off."""

from __future__ import annotations

from functools import lru_cache

import pygame

from sim.game.draw.ink import Pen, Sprite, lay, merge
from sim.game.draw.panel import Box, put
from sim.game.draw.paper import button, paper
from sim.game.draw.wires import wire_colour
from sim.game.fonts import Type
from sim.game.theme import Theme, mix

__all__ = ["CLOTHS", "wire_menu", "wire_menu_places", "wire_menu_size"]

CLOTHS = ("rose", "ochre", "cream", "green", "steel", "grey")


def wire_menu_size(unit: float) -> tuple[int, int]:
    """Width and height of the slip."""
    return round(236 * unit), round(112 * unit)


def wire_menu_places(box: Box, unit: float) -> dict[str, pygame.Rect]:
    """Where its buttons lie: a colour word each, "remove", "close"."""
    x, y, w, h = box
    places = {
        name: pygame.Rect(round(x + (14 + 35 * k) * unit), round(y + 33 * unit), round(28 * unit), round(28 * unit))
        for k, name in enumerate(CLOTHS)
    }
    places["remove"] = pygame.Rect(round(x + 14 * unit), round(y + h - 42 * unit), round(124 * unit), round(30 * unit))
    places["close"] = pygame.Rect(
        round(x + w - 84 * unit), round(y + h - 42 * unit), round(70 * unit), round(30 * unit)
    )
    return places


@lru_cache(maxsize=8)
def wire_menu(box: Box, unit: float, theme: Theme, title: str, colour: str) -> Sprite:
    """The slip as one sprite."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, False, 53)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    put(
        surface,
        (rect.x + 14 * unit - dx, rect.y + 7 * unit - dy),
        kind.fit(title, "body-bold", rect.width - 28 * unit),
        "body-bold",
        theme["ink"],
        kind,
    )
    places = wire_menu_places(box, unit)
    for name in CLOTHS:
        place = places[name]
        pen = Pen(place, 4)
        middle = (place.x + place.width / 2, place.y + place.height / 2)
        cloth = wire_colour(name, theme)
        if name == colour:
            pen.disc(middle, 13.5 * unit, theme["ink"])
            pen.disc(middle, 11.6 * unit, theme["paper"])
        pen.disc(middle, 10 * unit, mix(cloth, (0, 0, 0), 0.6))
        pen.disc(middle, 8.8 * unit, cloth)
        pen.disc((middle[0] - 2.4 * unit, middle[1] - 2.8 * unit), 3.4 * unit, mix(cloth, (255, 255, 255), 0.45))
        dot = pen.done()
        lay(surface, dot.surface, (dot.x - dx, dot.y - dy))
    for name, words in (("remove", "Take it off"), ("close", "Leave")):
        sprite = button(tuple(places[name]), unit, theme, words)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    return whole

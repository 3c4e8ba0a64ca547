"""The page of keys, F1."""

from __future__ import annotations

import pygame

from sim.game.draw.ink import Sprite
from sim.game.draw.ledger import keys_sheet
from sim.game.draw.mat import ground
from sim.game.keyboard import KEY_WORDS
from sim.game.theme import Theme
from sim.game.things.every import THINGS
from sim.game.view import Rooms, World

__all__ = ["KEYS", "KeysScreen"]


def _lines() -> tuple[tuple[str, str], ...]:
    """Every key, heading by heading; a heading is a line without a key."""
    out: list[tuple[str, str]] = []
    headings = [heading for heading, _ in KEY_WORDS]
    own = dict(KEY_WORDS)
    for thing in THINGS:
        if thing.heading and thing.heading not in headings:
            headings.append(thing.heading)
    for heading in headings:
        out.append(("", heading))
        out += own.get(heading, ())
        for thing in THINGS:
            if thing.heading == heading:
                out += thing.keys
    return tuple(out)


KEYS = _lines()


class KeysScreen:
    """All keys on one sheet; any of Esc, F1, Enter or a click goes back."""

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> str:
        """Take an event."""
        del rooms, theme
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return "close"
        if event.type == pygame.KEYDOWN and event.key in (
            pygame.K_ESCAPE,
            pygame.K_RETURN,
            pygame.K_SPACE,
            pygame.K_KP_ENTER,
        ):
            return "close"
        return ""

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Nothing moves here."""

    @property
    def lively(self) -> bool:
        """Nothing moves here."""
        return False

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        unit = rooms.unit
        world = World(rooms.mat.x + 128 * unit, rooms.mat.bottom - 212 * unit, 3.2 * unit)
        width = min(rooms.size[0] - 96 * unit, 1000 * unit)
        height = min(rooms.size[1] - 120 * unit, 620 * unit)
        box = (round((rooms.size[0] - width) / 2), round(76 * unit), round(width), round(height))
        return [Sprite(ground(rooms, world, 0.0, theme), 0, 0), keys_sheet(box, unit, theme, KEYS)]

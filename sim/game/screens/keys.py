"""The page of keys, F1."""

from __future__ import annotations

import pygame

from sim.game.draw.ink import Sprite
from sim.game.draw.ledger import keys_leaves, keys_sheet
from sim.game.draw.mat import ground
from sim.game.draw.panel import Box
from sim.game.fonts import Type
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


_ON = (pygame.K_PAGEDOWN, pygame.K_DOWN, pygame.K_RIGHT, pygame.K_TAB)
_BACK = (pygame.K_PAGEUP, pygame.K_UP, pygame.K_LEFT)
_AWAY = (pygame.K_ESCAPE, pygame.K_RETURN, pygame.K_SPACE, pygame.K_KP_ENTER)


class KeysScreen:
    """All keys on one sheet, or on several that are turned; any of Esc, F1, Enter or a click goes back."""

    def __init__(self, leaf: int = 0) -> None:
        """`leaf`: which of several sheets is shown."""
        self.leaf = leaf

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> str:
        """Take an event."""
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return "close"
        if event.type == pygame.MOUSEWHEEL:
            self._turn(-event.y, rooms, theme)
        if event.type == pygame.KEYDOWN:
            if event.key in _AWAY:
                return "close"
            if event.key in _ON + _BACK:
                self._turn(1 if event.key in _ON else -1, rooms, theme)
        return ""

    def _turn(self, by: int, rooms: Rooms, theme: Theme) -> None:
        self.leaf = min(max(0, self.leaf + by), self.leaves(rooms, theme) - 1)

    def leaves(self, rooms: Rooms, theme: Theme) -> int:
        """How many sheets there are."""
        return len(keys_leaves(self._box(rooms), rooms.unit, Type(theme, rooms.unit), KEYS)[1])

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Nothing moves here."""

    @property
    def lively(self) -> bool:
        """Nothing moves here."""
        return False

    @staticmethod
    def _box(rooms: Rooms) -> Box:
        unit = rooms.unit
        width = min(rooms.size[0] - 48 * unit, 1400 * unit)
        height = min(rooms.size[1] - 100 * unit, 700 * unit)
        return round((rooms.size[0] - width) / 2), round(76 * unit), round(width), round(height)

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        unit = rooms.unit
        world = World(rooms.mat.x + 128 * unit, rooms.mat.bottom - 212 * unit, 3.2 * unit)
        sheet = keys_sheet(self._box(rooms), unit, theme, KEYS, self.leaf)
        return [Sprite(ground(rooms, world, 0.0, theme), 0, 0), sheet]

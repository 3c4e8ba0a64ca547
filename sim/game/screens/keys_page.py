"""The page of keys, F1."""

from __future__ import annotations

import pygame

from sim.game.desk.every import THINGS
from sim.game.desk.keyboard import KEY_WORDS
from sim.game.draw.pages.keys_sheet import NAMES, keys_leaves, keys_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.items.common.commands import AskWindow, Page, ShowPage, WindowCommand
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.screen import ENTER_KEYS, SheetScreen, way_of

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


class KeysScreen(SheetScreen[str]):
    """All keys on one sheet of several leaves: Tab, arrows or a click turn them; Esc, F1 or Enter go back.

    A click on the last leaf goes back too.
    """

    def __init__(self) -> None:
        self.leaf = 0

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[str]:
        """The leaf that is seen."""
        return keys_sheet(rooms.size, rooms.unit, theme, KEYS, self.leaf)

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event."""
        self._count = len(keys_leaves(rooms.size, rooms.unit, theme, KEYS))
        return super().handle(event, rooms, theme)

    def press(self, name: str | None) -> WindowCommand | None:
        """A click: to the names of the parts, or on to the next leaf."""
        if name == NAMES:
            return ShowPage(Page.NAMES)
        self.leaf += 1
        return AskWindow.CLOSE if self.leaf >= self._count else None

    def key(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Turn the leaves, or go back."""
        way = way_of(event) or {pygame.K_PAGEUP: -1, pygame.K_PAGEDOWN: 1}.get(event.key, 0)
        self.leaf = (self.leaf + way) % self._count
        return AskWindow.CLOSE if event.key in ENTER_KEYS else None

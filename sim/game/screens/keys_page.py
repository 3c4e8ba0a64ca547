"""The page of keys, F1."""

from __future__ import annotations

import pygame

from sim.game.desk.every import THINGS
from sim.game.desk.keyboard import KEY_WORDS
from sim.game.draw.pages.keys_sheet import NAMES, keys_leaves, keys_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway.cutting_mat import ground
from sim.game.items.common.commands import AskWindow, Page, ShowPage, WindowCommand
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms, World
from sim.game.screens.screen import StillScreen

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


_CLOSE = (pygame.K_ESCAPE, pygame.K_RETURN, pygame.K_SPACE, pygame.K_KP_ENTER)
_BACK = (pygame.K_LEFT, pygame.K_UP, pygame.K_PAGEUP)
_ON = (pygame.K_TAB, pygame.K_RIGHT, pygame.K_DOWN, pygame.K_PAGEDOWN)


class KeysScreen(StillScreen):
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
        count = len(keys_leaves(rooms.size, rooms.unit, theme, KEYS))
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            if self.arranged(rooms, theme).under(event.pos) == NAMES:
                return ShowPage(Page.NAMES)
            self.leaf += 1
            return AskWindow.CLOSE if self.leaf >= count else None
        if event.type != pygame.KEYDOWN:
            return None
        if event.key in _CLOSE:
            return AskWindow.CLOSE
        back = event.key in _BACK or (event.key == pygame.K_TAB and getattr(event, "mod", 0) & pygame.KMOD_SHIFT)
        if back or event.key in _ON:
            self.leaf = (self.leaf + (-1 if back else 1)) % count
        return None

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        unit = rooms.unit
        world = World(rooms.mat.x + 128 * unit, rooms.mat.bottom - 212 * unit, 3.2 * unit)
        return [Sprite(ground(rooms, world, 0.0, theme), 0, 0), self.arranged(rooms, theme).sprite]

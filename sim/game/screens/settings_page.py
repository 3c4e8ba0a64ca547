"""The page of settings, F2."""

from __future__ import annotations

import pygame

from sim.game.draw.pages.settings_sheet import settings_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import focus_frame
from sim.game.draw.railway.cutting_mat import ground
from sim.game.items.common.commands import AskWindow, SetUp, WindowCommand, window_button
from sim.game.look.settings import Choice, Settings, choices
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms, World
from sim.game.screens.screen import StillScreen

__all__ = ["SettingsScreen"]

_BACK = (pygame.K_UP, pygame.K_LEFT)
_ON = (pygame.K_TAB, pygame.K_DOWN, pygame.K_RIGHT)


class SettingsScreen(StillScreen):
    """What can be chosen, with what is chosen inked in. `now` and `fault` are the window's to change."""

    def __init__(self, now: Settings, fault: str = "") -> None:
        """`fault`: why the settings cannot be read or kept, or empty."""
        self.now = now
        self.fault = fault
        self._focus: tuple[str, str] | None = None

    def rows(self, rooms: Rooms) -> tuple[Choice, ...]:
        """The lines of the page."""
        return choices(self.now, rooms.size)

    def places(self, rooms: Rooms) -> dict[tuple[str, str], pygame.Rect]:
        """Where the buttons lie."""
        return self.arranged(rooms, self.now.look).places

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[tuple[str, str]]:
        """The sheet."""
        return settings_sheet(rooms.size, rooms.unit, theme, self.rows(rooms), self.fault)

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event."""
        del theme
        places = self.places(rooms)
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            hit = next((key for key, rect in places.items() if rect.collidepoint(event.pos)), None)
            self._focus = None
            return self._act(hit)
        if event.type != pygame.KEYDOWN:
            return None
        if event.key == pygame.K_ESCAPE:
            return AskWindow.CLOSE
        if event.key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE):
            return self._act(self._focus)
        if event.key in _BACK + _ON:
            order = list(places)
            back = event.key in _BACK or bool(event.key == pygame.K_TAB and event.mod & pygame.KMOD_SHIFT)
            if self._focus is None:
                self._focus = order[-1 if back else 0]
            else:
                self._focus = order[(order.index(self._focus) + (-1 if back else 1)) % len(order)]
        return None

    @staticmethod
    def _act(key: tuple[str, str] | None) -> WindowCommand | None:
        if key is None:
            return None
        name, value = key
        return SetUp(name, value) if name else window_button(value)

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        unit = rooms.unit
        world = World(rooms.mat.x + 128 * unit, rooms.mat.bottom - 212 * unit, 3.2 * unit)
        out = [Sprite(ground(rooms, world, 0.0, theme), 0, 0)]
        out.append(self.arranged(rooms, theme).sprite)
        rect = self.places(rooms).get(self._focus) if self._focus is not None else None
        if rect is not None:
            out.append(focus_frame((rect.x, rect.y, rect.width, rect.height), 7 * unit, unit, theme))
        return out

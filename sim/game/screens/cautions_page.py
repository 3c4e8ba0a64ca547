"""The page of cautions, to be read again at any time; the page of settings opens it."""

from __future__ import annotations

import pygame

from sim.coach.cautions import CAUTIONS
from sim.game.draw.pages.cautions_sheet import cautions_sheet
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway.cutting_mat import ground
from sim.game.items.common.commands import AskWindow, WindowCommand
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms, World
from sim.game.screens.screen import StillScreen

__all__ = ["CautionsScreen"]


class CautionsScreen(StillScreen):
    """All cautions on one sheet; any of Esc, Enter or a click goes back."""

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event."""
        del rooms, theme
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return AskWindow.CLOSE
        leaves = (pygame.K_ESCAPE, pygame.K_RETURN, pygame.K_SPACE, pygame.K_KP_ENTER)
        return AskWindow.CLOSE if event.type == pygame.KEYDOWN and event.key in leaves else None

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        unit = rooms.unit
        world = World(rooms.mat.x + 128 * unit, rooms.mat.bottom - 212 * unit, 3.2 * unit)
        sheet = cautions_sheet(rooms.size, unit, theme, tuple(CAUTIONS.values()))
        return [Sprite(ground(rooms, world, 0.0, theme), 0, 0), sheet.sprite]

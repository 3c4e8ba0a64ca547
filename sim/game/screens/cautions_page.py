"""The page of cautions, to be read again at any time; the page of settings opens it."""

from __future__ import annotations

from sim.coach.cautions import CAUTIONS
from sim.game.draw.pages.cautions_sheet import cautions_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.screen import SheetScreen

__all__ = ["CautionsScreen"]


class CautionsScreen(SheetScreen[str]):
    """All cautions on one sheet."""

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[str]:
        """The sheet."""
        return cautions_sheet(rooms.size, rooms.unit, theme, tuple(CAUTIONS.values()))

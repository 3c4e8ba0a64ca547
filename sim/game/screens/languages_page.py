"""The page of the parts in other languages; the page of settings opens it."""

from __future__ import annotations

from sim.game.draw.pages.languages_sheet import languages_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.screen import SheetScreen

__all__ = ["LanguagesScreen"]


class LanguagesScreen(SheetScreen[str]):
    """All parts on one sheet."""

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[str]:
        """The sheet."""
        return languages_sheet(rooms.size, rooms.unit, theme)

"""The page of settings, F2."""

from __future__ import annotations

from sim.game.draw.pages.settings_sheet import settings_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.items.common.commands import SetUp, WindowCommand, window_button
from sim.game.look.settings import Choice, Settings, choices
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.screen import SheetScreen

__all__ = ["SettingsScreen"]


class SettingsScreen(SheetScreen[tuple[str, str]]):
    """What can be chosen, with what is chosen inked in. `now` and `fault` are the window's to change."""

    def __init__(self, now: Settings, fault: str = "") -> None:
        """`fault`: why the settings cannot be read or kept, or empty."""
        self.now = now
        self.fault = fault

    def rows(self, rooms: Rooms) -> tuple[Choice, ...]:
        """The lines of the page."""
        return choices(self.now, rooms.size)

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[tuple[str, str]]:
        """The sheet."""
        return settings_sheet(rooms.size, rooms.unit, theme, self.rows(rooms), self.fault)

    def act(self, name: tuple[str, str] | None) -> WindowCommand | None:
        """Set something up, at once, or a button at the foot."""
        if name is None:
            return None
        line, value = name
        return SetUp(line, value) if line else window_button(value)

"""What every page of the window can do."""

from __future__ import annotations

from typing import Protocol

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.items.common.commands import WindowCommand
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms

__all__ = ["Screen", "StillScreen"]


class Screen(Protocol):
    """A page: it takes events, lets time pass, and says what is to be seen. It has no clock and no display."""

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event; gives what is asked of the window, if anything is."""
        ...

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Let time pass."""
        ...

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture from the ground up."""
        ...

    @property
    def lively(self) -> bool:
        """Whether something moves, so that the next frame must come soon."""
        ...


class StillScreen:
    """A page on which nothing moves by itself."""

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Nothing moves here."""

    @property
    def lively(self) -> bool:
        """Nothing moves here."""
        return False

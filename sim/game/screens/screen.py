"""What every page of the window can do, and how one is handled that is a single sheet."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Hashable
from dataclasses import replace
from typing import Generic, Protocol, TypeVar

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import focus_frame
from sim.game.draw.pen.panel import NO_BOX, box_of
from sim.game.draw.pen.paper_parts import hover_frame
from sim.game.draw.railway.cutting_mat import ground
from sim.game.items.common.commands import AskWindow, WindowCommand
from sim.game.look.modifiers import shift_held
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms, World
from sim.game.paper.view import rooms as rooms_of

__all__ = ["ENTER_KEYS", "Asked", "Screen", "SheetScreen", "StillScreen", "way_of"]

ENTER_KEYS = (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE)

K = TypeVar("K", bound=Hashable)
R = TypeVar("R")


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


def way_of(event: pygame.event.Event) -> int:
    """Which way a key leads through what can have the focus: 1 on, -1 back, 0 for any other key."""
    if event.key == pygame.K_TAB:
        return -1 if shift_held(event) else 1
    return {pygame.K_LEFT: -1, pygame.K_UP: -1, pygame.K_RIGHT: 1, pygame.K_DOWN: 1}.get(event.key, 0)


class Asked(ABC, Generic[K, R]):
    """What lies on one sheet and is pointed at, gone through with Tab and arrows, and answered, always in one way.

    focus: what Enter acts on; hover: what the pointer is on; None for nothing
    """

    focus: K | None = None
    hover: K | None = None

    @abstractmethod
    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[K]:
        """The sheet."""

    @abstractmethod
    def act(self, name: K | None) -> R | None:
        """What a click on something comes to, or Enter with the focus on it; None for what is nothing."""

    @abstractmethod
    def escape(self) -> R:
        """What Esc comes to: it puts the sheet away and nothing else."""

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> R | None:
        """Take an event; gives what it comes to, if it comes to anything."""
        if event.type == pygame.MOUSEMOTION:
            self.hover = self.arranged(rooms, theme).under(event.pos)
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return self.press(self.arranged(rooms, theme).under(event.pos))
        if event.type == pygame.KEYDOWN:
            return self.escape() if event.key == pygame.K_ESCAPE else self.key(event, rooms, theme)
        return None

    def press(self, name: K | None) -> R | None:
        """A click."""
        return self.act(name)

    def key(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> R | None:
        """A key that is not Esc."""
        if event.key in ENTER_KEYS:
            return self.act(self.focus)
        order, way = list(self.arranged(rooms, theme).places), way_of(event)
        if way and order:
            at = order.index(self.focus) + way if self.focus in order else min(way, 0)
            self.focus = order[at % len(order)]
        return None

    def ringed(self) -> K | None:
        """What the ring is round."""
        return self.focus

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The sheet, an edge round what the pointer is on, and the ring of the focus."""
        sheet, unit, out = self.arranged(rooms, theme), rooms.unit, []
        for name, frame in ((self.hover, hover_frame), (self.ringed(), focus_frame)):
            place = sheet.places.get(name) if name is not None else None
            out += [] if place is None else [frame(box_of(place), 7 * unit, unit, theme)]
        return [sheet.sprite, *out]


class StillScreen:
    """A page on which nothing moves by itself."""

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Nothing moves here."""

    @property
    def lively(self) -> bool:
        """Nothing moves here."""
        return False


class SheetScreen(StillScreen, Asked[K, WindowCommand]):
    """A page that is one sheet on the mat. As it is here it is to be read: a click, Enter and Esc go back."""

    def act(self, name: K | None) -> WindowCommand | None:
        """Go back."""
        del name
        return AskWindow.CLOSE

    def escape(self) -> WindowCommand:
        """Back to what it lies over."""
        return AskWindow.CLOSE

    def press(self, name: K | None) -> WindowCommand | None:
        """A click; the keyboard's ring goes."""
        self.focus = None
        return self.act(name)

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The sheet on the mat."""
        whole = _whole_width(rooms)
        world = World(whole.mat.x + 128 * rooms.unit, whole.mat.bottom - 212 * rooms.unit, 3.2 * rooms.unit)
        ruled = ground(whole, world, 0.0, theme, "", NO_BOX, _NO_NUMBERS)
        return [Sprite(ruled, 0, 0), *super().sprites(rooms, theme)]


_NO_INSTRUMENTS = -16.0  # layout px: as wide a margin to the mat's right as to its left
_NO_NUMBERS = (0, 0, 1, 1)  # no number of the mat's edges lies in it: the sheet would cut some


def _whole_width(given: Rooms) -> Rooms:
    """The rooms of a window with the mat from margin to margin: no instruments lie beside a page."""
    return rooms_of(given.size, given.unit, replace(given.widths, side=_NO_INSTRUMENTS))

"""The page on which a bench file is chosen, to open it or to save the bench in it. Ctrl O and Ctrl S lead here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pygame

from sim.game.draw.pages.files import Files, Line, Listing, Place, Purpose
from sim.game.draw.pages.files_sheet import files_sheet, row_count
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.items.common.commands import AskWindow, OpenFile, SaveTo, WindowCommand
from sim.game.look.clipboard import clipboard_text
from sim.game.look.modifiers import ctrl_held
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.screen import SheetScreen, way_of

__all__ = ["FilesScreen"]

_WHEEL = 3  # rows
_ENTER = (pygame.K_RETURN, pygame.K_KP_ENTER)


class FilesScreen(SheetScreen[str]):
    """The dialogue. `fault` can be set by the window when what was chosen could not be done.

    What it asks for: `OpenFile`, `SaveTo`, to be closed.
    """

    typing = True  # letters are text here, not the window's keys

    def __init__(
        self,
        purpose: Purpose,
        folder: Path,
        read: Callable[[Path], Listing],
        places: Sequence[Place] = (),
        name: str = "",
        note: str = "",
        paste: Callable[[], str] = clipboard_text,
    ) -> None:
        """`read`: what lies in a folder; `name`: proposed for saving; `note`: what there is to know first.

        paste: what lies on the clipboard.
        """
        self._read = read
        self._paste = paste
        self.note = note if purpose == "save" else ""
        self._rows = 8
        stem = len(name.removesuffix(".toml"))
        listing = read(folder)
        focus = "name" if purpose == "save" else "list"
        self.files = Files(purpose, listing, tuple(places), name=Line(name, stem), focus=focus)
        if purpose == "open":
            self.files = self.files.entered(listing)

    @property
    def fault(self) -> str:
        """Why what was chosen could not be done, or empty."""
        return self.files.wrong

    @fault.setter
    def fault(self, words: str) -> None:
        self.files = replace(self.files, fault=words)

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event."""
        self._rows = row_count(rooms.size, rooms.unit, self.files.purpose == "save")
        if event.type == pygame.MOUSEWHEEL:
            self.files = self.files.turned(-_WHEEL * event.y, self._rows)
        elif event.type == pygame.TEXTINPUT:
            self._typed(event.text)
        return super().handle(event, rooms, theme)

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[str]:
        """The sheet."""
        return files_sheet(rooms.size, rooms.unit, theme, self.files, self.note)

    def press(self, name: str | None) -> WindowCommand | None:
        """A click: on a row it chooses, a second time it takes what is there; folders are taken at once."""
        kind, _, number = (name or "").partition(" ")
        if kind == "row":
            again = int(number) == self.files.chosen
            self.files = replace(self.files.set_on(int(number), self._rows), focus=self._after_click)
            entry = self.files.entry
            return self._take() if again or (entry is not None and entry.folder) else None
        if kind in ("list", "name"):
            self.files = replace(self.files, focus=self._after_click if kind == "list" else kind)
            return None
        return self.act(name)

    @property
    def _after_click(self) -> str:
        """Where typing goes on after a click in the list: to save, to the name."""
        return "name" if self.files.purpose == "save" else "list"

    def _typed(self, text: str) -> None:
        if self.files.purpose == "save":
            if text == " " and self.files.focus not in ("name", "list"):
                return  # it has pressed the button that the focus is on
            self.files = replace(self.files, name=self.files.name.typed(text), fault="", focus="name")
        elif self.files.focus == "list":
            self.files = self.files.seeking(text, self._rows)

    def key(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """A key: Tab goes about; the others depend on what the focus is on."""
        key, files = event.key, self.files
        if key == pygame.K_TAB:
            self.files = files.tabbed(way_of(event))
        elif key in _ENTER or (key == pygame.K_SPACE and files.focus not in ("name", "list")):
            return self.act(files.focus)
        elif files.purpose == "save" and ctrl_held(event):
            self._with_ctrl(key)
        elif (files.purpose == "save" and key in (pygame.K_BACKSPACE, pygame.K_DELETE)) or files.focus == "name":
            self._edit(key)
        elif files.focus == "list":
            return self._walk(key)
        elif way_of(event):
            self.files = files.tabbed(way_of(event))
        return None

    def _with_ctrl(self, key: int) -> None:
        """A key pressed with Ctrl: for the name."""
        if key == pygame.K_a:
            self.files = replace(self.files, name=self.files.name.all_marked(), focus="name")
        elif key == pygame.K_v:
            self._typed(self._paste())

    def _edit(self, key: int) -> None:
        name = self.files.name
        steps = {
            pygame.K_LEFT: name.caret - 1, pygame.K_RIGHT: name.caret + 1, pygame.K_HOME: 0,
            pygame.K_END: len(name.text),
        }  # fmt: skip
        if key in steps:
            name = name.moved(steps[key])
        elif key in (pygame.K_BACKSPACE, pygame.K_DELETE):
            name = name.rubbed(ahead=key == pygame.K_DELETE)
        elif key in (pygame.K_UP, pygame.K_DOWN):
            self.files = self.files.tabbed(-1 if key == pygame.K_UP else 1)
        if name != self.files.name:
            self.files = replace(self.files, name=name, fault="", focus="name")

    def _walk(self, key: int) -> WindowCommand | None:
        """A key pressed in the list."""
        files, most = self.files, len(self.files.listing.entries)
        steps = {
            pygame.K_UP: -1, pygame.K_DOWN: 1, pygame.K_PAGEUP: -self._rows, pygame.K_PAGEDOWN: self._rows,
            pygame.K_HOME: -most, pygame.K_END: most,
        }  # fmt: skip
        if key in steps:
            self.files = files.moved(steps[key], self._rows)
        elif key in (pygame.K_BACKSPACE, pygame.K_LEFT):
            self._up()
        elif key == pygame.K_RIGHT and files.entry is not None and files.entry.folder:
            return self._take()
        return None

    def act(self, name: str | None) -> WindowCommand | None:
        """A button, a place, Enter on something."""
        if name is None or name == "cancel":
            return None if name is None else AskWindow.CLOSE
        kind, _, number = name.partition(" ")
        if kind == "place":
            self._enter(self.files.places[int(number)].folder)
            self.files = replace(self.files, focus=self._after_click)
        elif kind == "up":
            self._up()
        elif kind == "list" or (kind == "go" and self.files.purpose == "open"):
            return self._take()
        else:
            return self._save()
        return None

    def _take(self) -> WindowCommand | None:
        """Go into the folder under the cursor, or take the file."""
        entry = self.files.entry
        if entry is None:
            return None
        path = self.files.listing.folder / entry.name
        if entry.folder:
            self._enter(path)
            return None
        return OpenFile(path) if self.files.purpose == "open" else self._save()

    def _save(self) -> WindowCommand | None:
        target = self.files.target()
        if isinstance(target, str):
            self.fault = target
            return None
        return SaveTo(target)

    def _up(self) -> None:
        folder = self.files.listing.folder
        if folder.parent != folder:
            self._enter(folder.parent, folder.name)

    def _enter(self, folder: Path, came_from: str = "") -> None:
        self.files = self.files.entered(self._read(folder), came_from)
        self.files = self.files.set_on(self.files.chosen, self._rows) if came_from else self.files

    def ringed(self) -> str:
        """What the ring of the focus is round: in the list, the row under the cursor."""
        if self.files.focus == "list" and self.files.chosen >= 0:
            return f"row {self.files.chosen}"
        return self.files.focus

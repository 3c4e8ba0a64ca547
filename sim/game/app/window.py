"""The window: the only place with a display and a clock. It hands events and time to the page that is open."""

from __future__ import annotations

import math
import warnings
from pathlib import Path
from typing import assert_never

import pygame

from sim.bench.faults import BenchFaults
from sim.game.app.filing import Opening, jobs_page
from sim.game.app.hearing import Hearing
from sim.game.app.keeping import keep_photo, keep_sheet
from sim.game.app.pages_open import FootLabel, OpenPages
from sim.game.app.setting_up import KeptSettings
from sim.game.app.shelf import Shelf
from sim.game.app.window_keys import window_key
from sim.game.desk.cautioning import Cautioning, names_of
from sim.game.draw.pages.notice import too_small
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.kept import empty_shelf
from sim.game.items.common.commands import (
    AskWindow,
    OpenFile,
    OpenLevel,
    SaveTo,
    SetUp,
    ShowPage,
    TogglePage,
    Unlist,
    WindowCommand,
)
from sim.game.look.settings import Settings
from sim.game.look.sound import Silence, Speaker
from sim.game.look.theme import Theme
from sim.game.paper.view import LEAST_SIZE, Rooms, largest_scale, rooms
from sim.game.picture.compositor import Compositor
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.files_page import FilesScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.marksbook import Forgetful, MarksBook
from sim.game.screens.question import Answer, Question
from sim.game.screens.screen import Screen
from sim.game.screens.settings_page import SettingsScreen
from sim.resources import level_path, test_track_path

__all__ = ["TITLE", "Window"]

TITLE = "frogbench"
_LEAVING = "Every bench is kept as it stands."
_CAUTIONS = "cautions"  # the setting that lists those seen


class Window:
    """The pages of the program on a surface: which is open, at what size, in which theme.

    It needs no display: `frame` draws on any surface of its size, and `handle` takes any event.
    """

    def __init__(
        self,
        size: tuple[int, int],
        target: Path | None = None,
        book: MarksBook | None = None,
        speaker: Speaker | None = None,
        pictures: Path | None = None,
        papers: Path | None = None,
    ) -> None:
        """`book`: where marks and settings are kept; `speaker`: what lets the bench be heard, nothing without one.

        pictures, papers: the folders for pictures of the window and for wiring sheets; without one none are kept.

        Raises BenchFaults for a file that cannot be read; a bench that cannot be set up is told on the list of jobs.
        """
        self.size = size
        self.book: MarksBook = book if book is not None else Forgetful()
        self.speaker: Speaker = speaker if speaker is not None else Silence()
        self.pictures = pictures
        self.papers = papers
        self._label = FootLabel()
        self._hearing = Hearing()
        self._kept = KeptSettings(self.book)
        self._full = False
        self.speaker.muted = not self.settings.sound
        self.cautioning = Cautioning(names_of(self._kept.line(_CAUTIONS)))
        shelf = Shelf(self.book, self.cautioning)
        shelf.note = self._kept.fault
        self._cautions_kept = self.cautioning.kept
        self._said = ""
        self.running = True
        self.compositor = Compositor()
        self.pages = OpenPages(_first(target, shelf))
        self.opening = Opening(self.pages, shelf, self._label)

    @property
    def screen(self) -> Screen:
        """The page that is seen."""
        return self.pages.seen

    @property
    def question(self) -> Question | None:
        """What is asked over it."""
        return self.pages.question

    @property
    def shelf(self) -> Shelf:
        """The benches that were opened."""
        return self.opening.shelf

    @property
    def rooms(self) -> Rooms:
        """The rooms of the window as it is."""
        return rooms(self.size, self.settings.scale, self.theme.widths)

    @property
    def settings(self) -> Settings:
        """What is set up."""
        return self._kept.now

    @property
    def theme(self) -> Theme:
        """Colours, sizes and words, by what is set up."""
        return self.settings.look

    @property
    def scale(self) -> float:
        """Of the interface, by what is set up and as far as the window has room for it."""
        return self.rooms.unit

    def set_up(self, settings: Settings) -> None:
        """Set things up, for as long as the window is open."""
        before, self._kept.now = self._kept.now, settings
        if (before.look, before.scale) != (settings.look, settings.scale):
            empty_shelf()
        self.speaker.muted = not settings.sound
        self.compositor.forget()
        self.fill_screen()

    def _change(self, name: str, value: str) -> None:
        """Set something up, at once and for the next start."""
        self.set_up(self._kept.change(name, value))
        if isinstance(self.screen, SettingsScreen):
            self.screen.now, self.screen.fault = self.settings, self._kept.fault

    def handle(self, event: pygame.event.Event) -> None:
        """Take an event."""
        if event.type == pygame.QUIT:
            self.running = False
        elif event.type == pygame.VIDEORESIZE:
            self.resize((event.w, event.h))
        elif event.type == pygame.DROPFILE:
            self.opening.open(Path(event.file))
        elif self.question is not None and event.type not in (pygame.DROPFILE, pygame.WINDOWLEAVE):
            self._answer(event)
        elif event.type == pygame.KEYDOWN and (command := window_key(event, typing=self._typing)):
            self.do(command)
        elif not self.small and (asked := self.screen.handle(event, self.rooms, self.theme)) is not None:
            self.do(asked)

    @property
    def _typing(self) -> bool:
        return isinstance(self.screen, FilesScreen)

    def _answer(self, event: pygame.event.Event) -> None:
        """An event while a question lies over the page."""
        question = self.pages.question
        answer = question.handle(event, self.rooms, self.theme) if question is not None else None
        if answer is not None:
            self.pages.question = None
            if answer.command is not None:
                self.do(answer.command)

    @property
    def told(self) -> str:
        """What the label at the foot says now."""
        return self._label.words

    def tell(self, words: str, *, fault: bool = False) -> None:
        """Say something in a label at the window's foot, for a while; `fault`: in red."""
        self._label.tell(words, fault=fault)

    def _photo(self) -> None:
        """Keep a picture of the window, and say where it is, or why there is none."""
        self._label.clear()
        title = self.screen.snapshot.bench.title if isinstance(self.screen, BenchScreen) else "jobs"
        words, failed = keep_photo(self._sprites(), self.rooms.size, self.pictures, title)
        self.tell(words, fault=failed)

    def _sheet(self) -> None:
        """Keep the wiring sheet of the open bench as it stands, and say where it is, or why there is none."""
        bench = self.pages.bench
        if bench is None:
            self.tell("Open a bench first, then print its wiring sheet.")
            return
        words, failed = keep_sheet(bench, self.settings.words, self.papers)
        self.tell(words, fault=failed)

    @property
    def small(self) -> bool:
        """Whether the window is too small to show anything but that."""
        return self.size[0] < LEAST_SIZE[0] or self.size[1] < LEAST_SIZE[1]

    def fill_screen(self) -> None:
        """Full screen, or a window again, as it is set up."""
        if pygame.display.get_surface() is not None and self._full != self.settings.full:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # the library says that it makes its window anew, as it should
                pygame.display.toggle_fullscreen()
            self._full = self.settings.full
            self.compositor.forget()

    def rest(self) -> None:
        """Nothing has happened for a moment, or the window closes: keep its size, if it has another one."""
        if not self._full and self.size != self.settings.window:
            self._change("window", f"{self.size[0]}x{self.size[1]}")

    def resize(self, size: tuple[int, int]) -> None:
        """The window has another size."""
        size = (max(320, size[0]), max(240, size[1]))
        if size != self.size:
            empty_shelf()
        self.size = size
        self.compositor.forget()

    def do(self, command: WindowCommand) -> None:
        """What a page, a key or an answer asks for."""
        match command:
            case ShowPage(page):
                self.pages.show(page, self._kept)
            case TogglePage(page):
                self.pages.toggle(page, self._kept)
            case SetUp(name, value):
                self._change(name, value)
            case OpenLevel(name):
                self.opening.open(level_path(name))
            case OpenFile(path):
                self.opening.open_listed(path)
            case SaveTo(path, over):
                self.opening.save_to(path, over=over)
            case Unlist(path):
                self.opening.unlist(path)
            case _:
                self._ask(command)

    def _ask(self, command: AskWindow) -> None:
        now = self.settings
        match command:
            case AskWindow.JOBS:
                self.opening.jobs()
            case AskWindow.TRACK:
                self.opening.open(test_track_path())
            case AskWindow.OPEN:
                self.opening.choose_to_open()
            case AskWindow.SAVE | AskWindow.SAVE_AS:
                self.opening.save(elsewhere=command is AskWindow.SAVE_AS)
            case AskWindow.AGAIN:
                self.opening.again()
            case AskWindow.ASK_AGAIN:
                self._ask_again()
            case AskWindow.SHEET:
                self._sheet()
            case AskWindow.PHOTO:
                self._photo()
            case AskWindow.FULL:
                self._change("screen", "window" if now.full else "full")
            case AskWindow.SOUND:
                self._change("sound", "off" if now.sound else "on")
            case AskWindow.LARGER | AskWindow.SMALLER:
                self._change_size(larger=command is AskWindow.LARGER)
            case AskWindow.AS_WINDOW:
                self._change("scale", "window")
            case AskWindow.CLOSE:
                self.pages.close()
            case AskWindow.LEAVE:
                answers = (Answer("Stay"), Answer("Leave", AskWindow.QUIT))
                self.pages.question = Question("Leave frogbench?", _LEAVING, answers)
            case AskWindow.QUIT:
                self.running = False
            case _:
                assert_never(command)

    def _change_size(self, *, larger: bool) -> None:
        """Make the interface larger or smaller than it is seen, to the next tenth, as far as the window holds it."""
        most = math.floor(largest_scale(self.size) * 100) / 100
        tenths = self.scale * 10
        wanted = (math.floor(tenths + 1.01) if larger else math.ceil(tenths - 1.01)) / 10
        if wanted > most:
            self.tell(f"This window holds sizes up to {most * 100:.0f}\u00a0%.")
        self._change("scale", f"{min(most, max(1.0, wanted)):g}")

    def _ask_again(self) -> None:
        """Begin the open job again; it is asked back first where something has been done."""
        if isinstance(self.screen, BenchScreen) and self.screen.begun:
            self.screen.ask_again()
        else:
            self.opening.again()

    @property
    def title(self) -> str:
        """For the window's title bar: the open bench's file, with a dot when there is something unsaved."""
        return self.opening.title or TITLE

    def tick(self, seconds: float) -> None:
        """Let time pass."""
        if isinstance(self.screen, BenchScreen | JobsScreen):
            self.screen.calm = self.settings.calm
        if isinstance(self.screen, BenchScreen):
            self.screen.take_aids(lids_off=self.settings.lids_off, bare=self.settings.bare)
        self.screen.tick(seconds, self.rooms, self.theme)
        if isinstance(self.screen, BenchScreen) and (file := self.shelf.own_file(self.screen)) is not None:
            self.screen.call(file.name)
        self._label.go_on(seconds)
        if isinstance(self.screen, BenchScreen):
            self.shelf.keep(self.screen)
            if self.shelf.note not in ("", self._said):
                self._said = self.shelf.note
                self.tell(f"Nothing is kept: {self.shelf.note}", fault=True)
            self._keep_cautions()
        self._hearing.hear(self.screen if isinstance(self.screen, BenchScreen) else None, self.speaker)

    @property
    def lively(self) -> bool:
        """Whether something moves, or will go away by itself."""
        return self.screen.lively or self._label.stands

    def _keep_cautions(self) -> None:
        """Write down which cautions have been seen, when there is a new one."""
        if self.cautioning.kept == self._cautions_kept:
            return
        self._cautions_kept = self.cautioning.kept
        try:
            self.book.set(_CAUTIONS, self._cautions_kept)
        except ValueError as wrong:
            self.shelf.note = str(wrong)

    def frame(self, surface: pygame.Surface) -> list[pygame.Rect]:
        """Bring a surface of the window's size up to date; gives the boxes that changed."""
        if self.small:
            return self.compositor.show(surface, [too_small(self.size, LEAST_SIZE, self.theme)])
        return self.compositor.show(surface, self._sprites())

    def _sprites(self) -> list[Sprite]:
        """The page, what is asked over it, and what is told at its foot."""
        out = self.screen.sprites(self.rooms, self.theme)
        if self.question is not None:
            out = [*out, *self.question.sprites(self.rooms, self.theme)]
        return [*out, *self._label.sprites(self.rooms, self.theme)]


def _first(target: Path | None, shelf: Shelf) -> Screen:
    """The page that the window begins with."""
    if target is None:
        return jobs_page(shelf)
    try:
        return shelf.opened(target)
    except BenchFaults:
        raise
    except ValueError as wrong:  # a sound file whose bench cannot be set up, a train too long for its track
        return jobs_page(shelf, f"{target.name}: {wrong}")

"""The window: the only place with a display and a clock. It hands events and time to the page that is open."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path

import pygame

from sim.bench.faults import BenchFaults
from sim.bench.given import given_names
from sim.game.app.disk import remarks_in, true_path
from sim.game.app.filing import REMARKS, SavingFailed, belongs_to_the_program, keep_bench, open_dialogue, save_dialogue
from sim.game.app.hearing import Hearing
from sim.game.app.keeping import as_png, keep_told
from sim.game.app.shelf import Shelf
from sim.game.app.window_keys import window_key
from sim.game.desk.cautioning import Cautioning, names_of
from sim.game.draw.pages.files import shown
from sim.game.draw.pages.notice import too_small
from sim.game.draw.pages.question_sheet import told_label
from sim.game.draw.pen.ink import Sprite
from sim.game.look.settings import Settings, read_settings
from sim.game.look.sound import Silence, Speaker
from sim.game.look.theme import Theme
from sim.game.paper.view import LEAST_SIZE, Rooms, largest_scale, rooms
from sim.game.picture.compositor import Compositor, paint
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.cautions_page import CautionsScreen
from sim.game.screens.files_page import FilesScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.keys_page import KeysScreen
from sim.game.screens.languages_page import LanguagesScreen
from sim.game.screens.marksbook import Forgetful, MarksBook
from sim.game.screens.parts_page import NamesScreen
from sim.game.screens.question import Answer, Question
from sim.game.screens.screen import Screen
from sim.game.screens.settings_page import SettingsScreen
from sim.resources import level_path, test_track_path
from sim.saving import is_there
from sim.session.memory import as_it_stands
from sim.sheet import sheet
from sim.words import Words, plain, verbatim

__all__ = ["TITLE", "Window"]

TITLE = "frogbench"
_TOLD_S = 6.0
_LEAVING = "Esc again leaves, Enter stays. Every bench is kept as it stands."
_FILING = ("open", "save", "save-as")
_SWITCHES: Mapping[str, Callable[[Settings], tuple[str, str]]] = {
    "full": lambda now: ("screen", "window" if now.full else "full"),
    "sound": lambda now: ("sound", "off" if now.sound else "on"),
    "as window": lambda now: ("scale", "window"),
}
_TOGGLED: Mapping[str, type] = {"keys?": KeysScreen, "settings?": SettingsScreen, "names?": NamesScreen}
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
        self.question: Question | None = None
        self._told: tuple[str, bool, float] | None = None
        self._hearing = Hearing()
        self._fault = ""
        self.settings = self._kept_settings()
        self._full = False
        self.speaker.muted = not self.settings.sound
        self.cautioning = Cautioning(names_of(self._kept_line(_CAUTIONS)))
        self.shelf = Shelf(self.book, self.cautioning)
        self.shelf.note = self._fault
        self._cautions_kept = self.cautioning.kept
        self._said = ""
        self.running = True
        self.compositor = Compositor()
        self._below: Screen | None = None
        self.screen: Screen = self._first(target)

    @property
    def rooms(self) -> Rooms:
        """The rooms of the window as it is."""
        return rooms(self.size, self.settings.scale, self.theme.widths)

    def _kept_settings(self) -> Settings:
        try:
            return read_settings(self.book.settings())
        except ValueError as wrong:
            self._fault = str(wrong)
            return Settings()

    def _kept_line(self, key: str) -> str:
        try:
            return self.book.settings().get(key, "")
        except ValueError:
            return ""  # said already where the settings are read

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
        self.settings = settings
        self.speaker.muted = not settings.sound
        self.compositor.forget()
        self.fill_screen()

    def _set(self, key: str, value: str) -> None:
        """Set something up, at once and for the next start."""
        self.set_up(read_settings({**self.settings.kept(), key: value}))
        try:
            self.book.set(key, self.settings.kept()[key])
            self._fault = ""
        except ValueError as wrong:
            self._fault = str(wrong)
        if isinstance(self.screen, SettingsScreen):
            self.screen.now, self.screen.fault = self.settings, self._fault

    def _first(self, target: Path | None) -> Screen:
        if target is None:
            return self._jobs()
        try:
            return self.shelf.opened(target)
        except BenchFaults:
            raise
        except ValueError as wrong:  # a sound file whose bench cannot be set up, a train too long for its track
            return self._jobs(f"{target.name}: {wrong}")

    def handle(self, event: pygame.event.Event) -> None:
        """Take an event."""
        if event.type == pygame.QUIT:
            self.running = False
        elif event.type == pygame.VIDEORESIZE:
            self.resize((event.w, event.h))
        elif event.type == pygame.DROPFILE:
            self._open(Path(event.file))
        elif self.question is not None and event.type not in (pygame.DROPFILE, pygame.WINDOWLEAVE):
            self._answer(event)
        elif event.type == pygame.KEYDOWN and (command := window_key(event, typing=self._typing)):
            self._command(command)
        elif not self.small:
            self._command(self.screen.handle(event, self.rooms, self.theme))

    @property
    def _typing(self) -> bool:
        return isinstance(self.screen, FilesScreen)

    def _answer(self, event: pygame.event.Event) -> None:
        """An event while a question lies over the page."""
        if self.question is None:
            return
        answer = self.question.handle(event, self.rooms, self.theme)
        if answer is not None:
            self.question = None
            self._command(answer)

    @property
    def told(self) -> str:
        """What the label at the foot says now."""
        return "" if self._told is None else plain(self._told[0])

    def tell(self, words: str, *, fault: bool = False) -> None:
        """Say something in a label at the window's foot, for a while; `fault`: in red."""
        self._told = (words, fault, _TOLD_S)

    def _photo(self) -> None:
        """Keep a picture of the window, and say where it is, or why there is none."""
        self._told = None
        picture = pygame.Surface(self.rooms.size)
        paint(picture, self._sprites())
        title = self.screen.snapshot.bench.title if isinstance(self.screen, BenchScreen) else "jobs"
        words, failed = keep_told("picture", as_png(picture), self.pictures, title, ".png")
        self.tell(words, fault=failed)

    def _sheet(self) -> None:
        """Keep the wiring sheet of the open bench as it stands, and say where it is, or why there is none."""
        bench = self._bench
        if bench is None:
            self.tell("Open a bench first, then print its wiring sheet.")
            return
        standing = as_it_stands(bench.session)
        said = Words(self.settings.words, () if bench.name else given_names(standing))
        page = sheet(standing, said).encode()
        words, failed = keep_told("wiring sheet", page, self.papers, standing.title, ".html")
        self.tell(words, fault=failed)

    @property
    def small(self) -> bool:
        """Whether the window is too small to show anything but that."""
        return self.size[0] < LEAST_SIZE[0] or self.size[1] < LEAST_SIZE[1]

    def _again(self) -> None:
        """Begin the open job again, as it is filed."""
        self.screen = self.shelf.again(self.screen) or self.screen

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
            self._set("window", f"{self.size[0]}x{self.size[1]}")

    def resize(self, size: tuple[int, int]) -> None:
        """The window has another size."""
        self.size = (max(320, size[0]), max(240, size[1]))
        self.compositor.forget()

    def _command(self, command: str) -> None:
        if command in _TOGGLED:
            self._command("close" if isinstance(self.screen, _TOGGLED[command]) else command[:-1])
        elif command in ("keys", "settings", "cautions", "languages", "names"):
            self._below = self._below or self.screen
            self.screen = self._page(command)
        elif command == "photo":
            self._photo()
        elif command == "sheet":
            self._sheet()
        elif command in ("larger", "smaller"):
            self._change_size(larger=command == "larger")
        elif command in _SWITCHES:
            self._set(*_SWITCHES[command](self.settings))
        elif command.startswith("set "):
            self._set(*command.split(" ")[1:])
        elif command == "close" and self._below is not None:
            self.screen, self._below = self._below, None
        elif command == "again?" and isinstance(self.screen, BenchScreen) and self.screen.begun:
            self.screen.ask_again()
        elif command in ("again", "again?"):
            self._again()
        elif command == "jobs":
            self.screen = self._jobs()
        elif command == "leave":
            self.question = Question("Leave frogbench?", _LEAVING, (Answer("Stay"), Answer("Leave", "quit")), "quit")
        elif command == "quit":
            self.running = False
        elif command == "track":
            self._open(test_track_path())
        elif command.startswith("open "):
            self._open(level_path(command[5:]))
        elif command.startswith("file "):
            self._open_listed(Path(command[5:]))
        elif command in _FILING:
            self._file(command)
        elif command.startswith(("save ", "save-over ")):
            word, _, path = command.partition(" ")
            self._save(Path(path), over=word == "save-over")
        elif command.startswith("unlist "):
            self.shelf.write(lambda: self.book.unlist(command[7:]))
            self.screen = self._jobs()

    def _change_size(self, *, larger: bool) -> None:
        """Make the interface larger or smaller than it is seen, to the next tenth, as far as the window holds it."""
        most = math.floor(largest_scale(self.size) * 100) / 100
        tenths = self.scale * 10
        wanted = (math.floor(tenths + 1.01) if larger else math.ceil(tenths - 1.01)) / 10
        if wanted > most:
            self.tell(f"This window holds sizes up to {most * 100:.0f}\u00a0%.")
        self._set("scale", f"{min(most, max(1.0, wanted)):g}")

    @property
    def _bench(self) -> BenchScreen | None:
        """The bench that is open, also while another page lies over it."""
        return next((page for page in (self.screen, self._below) if isinstance(page, BenchScreen)), None)

    @property
    def title(self) -> str:
        """For the window's title bar: the open bench's file, with a dot when there is something unsaved."""
        bench = self._bench
        file = self.shelf.own_file(bench)
        if bench is None:
            return TITLE
        name = file.name if file is not None else bench.snapshot.bench.title
        return " ".join(part for part in ("•" if file is not None and bench.unsaved else "", shown(name)) if part)

    def _file(self, command: str) -> None:
        """Ctrl O, Ctrl S, Ctrl Shift S: open or save."""
        bench = self._bench
        file = self.shelf.own_file(bench)
        if isinstance(self.screen, FilesScreen):
            return
        if command == "save" and bench is not None and file is not None:
            if remarks_in(file):
                answers = (Answer("Save elsewhere", "save-as"), Answer("Save over it", f"save-over {file}"))
                self.question = Question("Lose the remarks?", REMARKS, answers)
            else:
                self._save(file, over=True)
            return
        if command == "open":
            page = open_dialogue(file, self.shelf.recent())
        elif bench is not None:
            page = save_dialogue(bench, file, self.shelf.recent(), job=bool(bench.name))
        else:
            self.tell("Open a bench first, then save it.")
            return
        self._below = self._below or self.screen
        self.screen = page

    def _save(self, path: Path, *, over: bool) -> None:
        """Save the open bench; what is there already is written over only if that was asked."""
        bench = self._bench
        if bench is None:
            return
        if not over and is_there(path) and not belongs_to_the_program(path):
            words = REMARKS if remarks_in(path) else "There is a file of that name in this folder."
            answers = (Answer("Keep it"), Answer("Replace it", f"save-over {path}"))
            self.question = Question(f"Replace {verbatim(shown(path.name))}?", words, answers)
            return
        try:
            keep_bench(bench, path)
        except SavingFailed as wrong:
            if isinstance(self.screen, FilesScreen):
                self.screen.fault = str(wrong)
            else:
                self.tell(str(wrong), fault=True)
            return
        self.shelf.saved(bench, true_path(path))
        if isinstance(self.screen, FilesScreen):
            self._command("close")
        self.tell(f"Saved: {verbatim(shown(str(path)))}")

    def _page(self, name: str) -> Screen:
        pages: Mapping[str, Callable[[], Screen]] = {
            "keys": KeysScreen, "cautions": CautionsScreen, "languages": LanguagesScreen, "names": NamesScreen,
        }  # fmt: skip
        return pages[name]() if name in pages else SettingsScreen(self.settings, self._fault)

    def _open(self, path: Path) -> None:
        dialogue = self.screen if isinstance(self.screen, FilesScreen) else None
        try:
            self.screen = self.shelf.opened(path)
        except BenchFaults as wrong:
            more = f" (and {len(wrong.faults) - 1} more)" if len(wrong.faults) > 1 else ""
            self._not_opened(dialogue, f"{path.name}: {wrong.faults[0]}{more}")
        except ValueError as wrong:
            self._not_opened(dialogue, f"{path.name}: {wrong}")
        else:
            self._below = None

    def _open_listed(self, path: Path) -> None:
        """Open a file from a list; one of those opened lately that is gone can be taken off it."""
        if isinstance(self.screen, JobsScreen) and not is_there(path):
            words = f"It is no longer in {verbatim(shown(str(path.parent)))}."
            answers = (Answer("Leave it on the list"), Answer("Take it off", f"unlist {path}"))
            self.question = Question(verbatim(shown(path.name)), words, answers)
        else:
            self._open(path)

    def _not_opened(self, dialogue: FilesScreen | None, words: str) -> None:
        """Say why a file was not opened: where it was chosen, else on the list of jobs."""
        if dialogue is not None:
            dialogue.fault = words
        else:
            self.screen, self._below = self._jobs(words), None

    def _jobs(self, note: str = "") -> JobsScreen:
        """The list of jobs; `note`: what to say at its foot."""
        best, recent = self.shelf.best(), self.shelf.recent()
        return JobsScreen(best, note or self.shelf.take_note(), recent, self.shelf.left())

    def tick(self, seconds: float) -> None:
        """Let time pass."""
        if isinstance(self.screen, BenchScreen | JobsScreen):
            self.screen.calm = self.settings.calm
        if isinstance(self.screen, BenchScreen):
            self.screen.take_aids(lids_off=self.settings.lids_off, bare=self.settings.bare)
        self.screen.tick(seconds, self.rooms, self.theme)
        if isinstance(self.screen, BenchScreen) and (file := self.shelf.own_file(self.screen)) is not None:
            self.screen.call(file.name)
        if self._told is not None:
            words, fault, left = self._told
            self._told = (words, fault, left - seconds) if left > seconds else None
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
        return self.screen.lively or self._told is not None

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
        if self._told is not None:
            words, fault, _ = self._told
            out = [*out, told_label(self.rooms.size, self.rooms.unit, self.theme, words, fault)]
        return out

"""The window: the only place with a display and a clock. It hands events and time to the page that is open."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import pygame
from platformdirs import user_pictures_path

from sim.bench.faults import BenchFaults
from sim.bench.reading import load
from sim.game import NoDisplay
from sim.game.cautioning import Cautioning, names_of
from sim.game.compositor import Compositor, paint
from sim.game.draw.emblem import emblem
from sim.game.draw.ink import Sprite
from sim.game.draw.notice import too_small
from sim.game.draw.question_sheet import told_label
from sim.game.incoming import Incoming
from sim.game.marksbook import Forgetful, MarksBook
from sim.game.photo import keep_photo
from sim.game.question import Answer, Question
from sim.game.screens.bench import BenchScreen
from sim.game.screens.cautions import CautionsScreen
from sim.game.screens.jobs import JobsScreen, jobs_on_file
from sim.game.screens.keys import KeysScreen
from sim.game.screens.screen import Screen
from sim.game.screens.settings import SettingsScreen
from sim.game.settings import Settings, read_settings, within
from sim.game.sound import Heard, Loudspeaker, Silence, Speaker, heard
from sim.game.theme import Theme
from sim.game.view import LEAST_SIZE, Rooms, rooms
from sim.resources import level_names, level_path, test_track_path
from sim.session.memory import Memory
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS

__all__ = ["Window", "open_window"]

_TITLE = "frogbench"
_FRAMES = 60
_NAP_MS = 16
_NAPS = 25  # in a row until what rests is written down
_SCALE_STEP = 0.1
_TOLD_S = 6.0
_ICON = 64  # px; the desktop takes its smaller ones from it
_LEAVING = "Esc again leaves, Enter stays. Every bench is kept as it stands."
_CAUTIONS = "cautions"  # the setting that lists those seen
_KINDS_KEPT = (
    pygame.QUIT, pygame.KEYDOWN, pygame.KEYUP, pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP,
    pygame.MOUSEWHEEL, pygame.VIDEORESIZE, pygame.VIDEOEXPOSE, pygame.DROPFILE, pygame.WINDOWLEAVE,
)  # fmt: skip


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
    ) -> None:
        """`book`: where marks and settings are kept; `speaker`: what lets the bench be heard, nothing without one.

        pictures: the folder for pictures of the window; without one none are kept.

        Raises BenchFaults for a file that cannot be read; a bench that cannot be set up is told on the list of jobs.
        """
        self.size = size
        self.book: MarksBook = book if book is not None else Forgetful()
        self.speaker: Speaker = speaker if speaker is not None else Silence()
        self.pictures = pictures
        self.question: Question | None = None
        self._told: tuple[str, bool, float] | None = None
        self._heard: tuple[BenchScreen, Snapshot] | None = None
        self._fault = ""
        self.settings = self._kept_settings()
        self._full = False
        self.speaker.muted = not self.settings.sound
        self._note = ""
        self.cautioning = Cautioning(names_of(self._kept_line(_CAUTIONS)))
        self._cautions_kept = self.cautioning.kept
        self.running = True
        self.compositor = Compositor()
        self._below: Screen | None = None
        self._left: dict[Path, BenchScreen] = {}
        self.screen: Screen = self._first(target)

    @property
    def rooms(self) -> Rooms:
        """The rooms of the window as it is."""
        return rooms(self.size, round(self.scale, 2), self.theme.widths)

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
        """Of the interface, by what is set up."""
        return self.settings.scale

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
            return self._opened(target)
        except BenchFaults:
            raise
        except ValueError as wrong:  # a sound file whose bench cannot be set up, a train too long for its track
            return self._jobs(f"{target.name}: {wrong}")

    def _opened(self, path: Path, *, afresh: bool = False) -> BenchScreen:
        """The bench of a file: as it was left, or as it is filed."""
        path = path.resolve()
        if afresh or path not in self._left:
            if afresh:
                self._book(lambda: self.book.clear(_key(path)))
            self._left[path] = self._set_up(path)
            self._left[path].cautioning = self.cautioning
        if not _key(path).startswith("level ") and path != test_track_path().resolve():
            self._book(lambda: self.book.opened(str(path)))
        return self._left[path]

    def _book(self, write: Callable[[], None]) -> None:
        """Write something down; why it cannot be is said once on the list of jobs."""
        try:
            write()
        except ValueError as wrong:
            self._note = str(wrong)

    def _set_up(self, path: Path) -> BenchScreen:
        bench = load(path, KINDS)
        jobs = jobs_on_file()
        number = next((k for k, job in enumerate(jobs) if level_path(job.name).resolve() == path), None)
        if number is None:
            own = "Test track" if path == test_track_path().resolve() else "Own bench"
            named = "" if own == "Test track" else path.name
            return BenchScreen(bench, own if bench.level is None else "", named, memory=self._memory(path))
        job = jobs[number]
        count = sum(other.chapter == job.chapter for other in jobs)
        following = jobs[number + 1].name if number + 1 < len(jobs) else None
        return BenchScreen(bench, job.chapter, f"job {job.number} of {count}", following, job.name, self._memory(path))

    def _memory(self, path: Path) -> Memory | None:
        """How the bench of a file was left."""
        try:
            left = self.book.left(_key(path))
        except ValueError as wrong:
            self._note = str(wrong)
            return None
        return None if left is None else Memory(left.bench, left.facts)

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
        elif event.type == pygame.KEYDOWN and self._own_key(event):
            pass
        else:
            if not self.small:
                self._command(self.screen.handle(event, self.rooms, self.theme))

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
        return "" if self._told is None else self._told[0]

    def tell(self, words: str, *, fault: bool = False) -> None:
        """Say something in a label at the window's foot, for a while; `fault`: in red."""
        self._told = (words, fault, _TOLD_S)

    def _photo(self) -> None:
        """Keep a picture of the window, and say where it is, or why there is none."""
        if self.pictures is None:
            self.tell("There is no folder for pictures.", fault=True)
            return
        self._told = None
        picture = pygame.Surface(self.rooms.size)
        paint(picture, self._sprites())
        title = self.screen.snapshot.bench.title if isinstance(self.screen, BenchScreen) else "jobs"
        try:
            self.tell(f"Picture kept: {keep_photo(picture, self.pictures, title)}")
        except OSError as wrong:
            self.tell(f"The picture cannot be kept in {self.pictures}: {wrong.strerror or wrong}.", fault=True)

    @property
    def small(self) -> bool:
        """Whether the window is too small to show anything but that."""
        return self.size[0] < LEAST_SIZE[0] or self.size[1] < LEAST_SIZE[1]

    def _own_key(self, event: pygame.event.Event) -> bool:
        """Keys that mean the same on every page."""
        if event.key == pygame.K_F1:
            self._command("close" if isinstance(self.screen, KeysScreen) else "keys")
            return True
        if event.key == pygame.K_F2:
            self._command("close" if isinstance(self.screen, SettingsScreen) else "settings")
            return True
        if event.key == pygame.K_F11:
            self._set("screen", "window" if self.settings.full else "full")
            return True
        if event.key == pygame.K_F12:
            self._photo()
            return True
        if event.key == pygame.K_s and not getattr(event, "mod", 0) & (pygame.KMOD_CTRL | pygame.KMOD_META):
            self._set("sound", "off" if self.settings.sound else "on")
            return True
        if getattr(event, "mod", 0) & (pygame.KMOD_CTRL | pygame.KMOD_META):
            by = {
                pygame.K_PLUS: 1,
                pygame.K_EQUALS: 1,
                pygame.K_KP_PLUS: 1,
                pygame.K_MINUS: -1,
                pygame.K_KP_MINUS: -1,
            }.get(event.key)
            if event.key == pygame.K_r:
                self._command("again?")
                return True
            if event.key == pygame.K_q:
                self._command("quit")
                return True
            if by is not None:
                self._set("scale", f"{within(self.scale + by * _SCALE_STEP):g}")
                return True
        return False

    def _again(self) -> None:
        """Begin the open job again, as it is filed."""
        path = next((path for path, bench in self._left.items() if bench is self.screen), None)
        if path is not None:
            self.screen = self._opened(path, afresh=True)

    def fill_screen(self) -> None:
        """Full screen, or a window again, as it is set up."""
        if pygame.display.get_surface() is not None and self._full != self.settings.full:
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
        if command in ("keys", "settings", "cautions"):
            self._below = self._below or self.screen
            self.screen = self._page(command)
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
            self._open(Path(command[5:]))
        elif command.startswith("unlist "):
            self._book(lambda: self.book.unlist(command[7:]))
            self.screen = self._jobs()

    def _page(self, name: str) -> Screen:
        if name == "keys":
            return KeysScreen()
        return CautionsScreen() if name == "cautions" else SettingsScreen(self.settings, self._fault)

    def _open(self, path: Path) -> None:
        try:
            self.screen = self._opened(path)
        except BenchFaults as wrong:
            more = f" (and {len(wrong.faults) - 1} more)" if len(wrong.faults) > 1 else ""
            self.screen = self._jobs(f"{path.name}: {wrong.faults[0]}{more}")
        except ValueError as wrong:
            self.screen = self._jobs(f"{path.name}: {wrong}")
        self._below = None

    def _jobs(self, note: str = "") -> JobsScreen:
        """The list of jobs; `note`: what to say at its foot."""
        note, self._note = note or self._note, ""
        try:
            return JobsScreen(self.book.best(), note, self.book.recent())
        except ValueError as wrong:
            return JobsScreen(None, note or str(wrong))

    def tick(self, seconds: float) -> None:
        """Let time pass."""
        if isinstance(self.screen, BenchScreen):
            self.screen.calm = self.settings.calm
            self.screen.take_lids_off(self.settings.lids_off)
        self.screen.tick(seconds, self.rooms, self.theme)
        if self._told is not None:
            words, fault, left = self._told
            self._told = (words, fault, left - seconds) if left > seconds else None
        if isinstance(self.screen, BenchScreen):
            self._keep(self.screen)
            self._keep_cautions()
        self._sound()

    @property
    def lively(self) -> bool:
        """Whether something moves, or will go away by itself."""
        return self.screen.lively or self._told is not None

    def _sound(self) -> None:
        """Let what has happened on the open bench be heard; all else is silent."""
        if not isinstance(self.screen, BenchScreen) or self.screen.result is not None:
            self._heard = None
            self.speaker.play(Heard())
            return
        now = self.screen.snapshot
        before = self._heard[1] if self._heard is not None and self._heard[0] is self.screen else None
        self._heard = (self.screen, now)
        moment = heard(before, now)
        slow = self.screen.view.pace < 1
        self.speaker.play(moment._replace(note=None) if slow else moment)  # no engine hums a hundred times lower

    def _keep(self, bench: BenchScreen) -> None:
        """Write down what a test of a level has just come to, and how the bench stands."""
        finished = bench.take_finished()
        if finished is not None and bench.name:
            name, marks = bench.name, finished
            self._book(lambda: self.book.keep(name, *marks))
        left = bench.take_left()
        if left is not None:
            path = next((path for path, screen in self._left.items() if screen is bench), None)
            if path is not None:
                where, how = _key(path), left
                self._book(lambda: self.book.leave(where, how.bench, how.facts))

    def _keep_cautions(self) -> None:
        """Write down which cautions have been seen, when there is a new one."""
        if self.cautioning.kept == self._cautions_kept:
            return
        self._cautions_kept = self.cautioning.kept
        try:
            self.book.set(_CAUTIONS, self._cautions_kept)
        except ValueError as wrong:
            self._note = str(wrong)

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


def _key(path: Path) -> str:
    """The name under which a bench left standing is kept: that of its level, or its file."""
    name = next((name for name in level_names() if level_path(name).resolve() == path), None)
    return str(path) if name is None else f"level {name}"


_ASKED = ("SDL_VIDEODRIVER", "SDL_VIDEO_DRIVER")
_SCREENS = ("DISPLAY", "WAYLAND_DISPLAY", *_ASKED)
_UNSEEN = frozenset({"dummy", "offscreen"})


def _desktop() -> tuple[int, int]:
    """Size of the desktop. Raises NoDisplay where there is none, also where the library would draw unseen unasked."""
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in _SCREENS):
        raise NoDisplay("no screen to open a window on: neither DISPLAY nor WAYLAND_DISPLAY is set")
    try:
        pygame.display.init()
        if pygame.display.get_driver() in _UNSEEN and not any(os.environ.get(name) for name in _ASKED):
            pygame.display.quit()
            raise NoDisplay("no screen to open a window on: none was found")
        return pygame.display.get_desktop_sizes()[0]
    except pygame.error as fault:
        raise NoDisplay(f"no screen to open a window on: {fault}") from None


def open_window(target: Path | None, book: MarksBook | None = None) -> int:
    """Open the window and run it until it is closed. Raises NoDisplay, BenchFaults."""
    desktop = _desktop()
    window = Window(Settings().window, target, book, Loudspeaker(), user_pictures_path())
    wanted = window.settings.window
    size = (
        min(wanted[0], max(LEAST_SIZE[0], desktop[0])),
        min(wanted[1], max(LEAST_SIZE[1], desktop[1] - 60)),
    )
    window.resize(size)
    try:
        pygame.display.set_caption(_TITLE)
        pygame.display.set_icon(emblem(_ICON))
        pygame.display.set_mode(size, pygame.RESIZABLE)
        window.fill_screen()
    except pygame.error as fault:
        raise NoDisplay(f"no screen to open a window on: {fault}") from None
    pygame.key.set_repeat(350, 60)
    try:
        _run(window)
    finally:
        window.rest()
        window.speaker.close()
        pygame.display.quit()
    return 0


def _run(window: Window) -> None:
    """The loop: events, time, picture; it sleeps while nothing moves."""
    clock = pygame.time.Clock()
    incoming = Incoming()
    pygame.event.set_allowed(_KINDS_KEPT)
    shown = False
    naps = 0
    while window.running:
        events = pygame.event.get()
        if shown and not events and not window.lively:
            pygame.time.wait(_NAP_MS)  # the library's own waiting looks a thousand times a second
            clock.tick()  # the time asleep is not the bench's time
            naps += 1
            if naps == _NAPS:
                window.rest()
            continue  # nothing moved and nothing was done: the picture stands
        naps = 0
        for event in incoming.sift(events):
            if event.type == pygame.VIDEOEXPOSE:
                window.compositor.forget()
            window.handle(event)
        window.tick(min(0.1, clock.tick(_FRAMES) / 1000))
        display = pygame.display.get_surface()
        if display.get_size() != window.size:
            window.resize(display.get_size())
        boxes = window.frame(display)
        if boxes:
            pygame.display.update(boxes)
        shown = True

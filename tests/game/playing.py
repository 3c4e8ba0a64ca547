"""A hand on the window without a screen: events posted to pygame's queue and taken from it as the window takes them."""

from __future__ import annotations

import os

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["SDL_VIDEO_DRIVER"] = "dummy"

from pathlib import Path

import pygame

import sim.game  # noqa: F401 - before pygame, whose greeting it hides
from sim.game.app.window import Window
from sim.game.desk.hit import areas
from sim.game.paper.view import Point
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.marksbook import Forgetful
from sim.game.screens.paging import result_areas
from sim.game.screens.screen import Screen
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target
from sim.resources import level_path
from sim.session.acts import Direction, Drive, Plug, Power, Predict

LEVEL = level_path("right-hand")
FRAME = 1 / 60
_DRAWN = 5
"""Of so many turns one is drawn; what has not been drawn is drawn when somebody asks for the surface."""


class Player:
    """Someone at the window: points, clicks, drags, presses keys, waits, looks."""

    def __init__(
        self,
        target: Path | None = LEVEL,
        size: tuple[int, int] = (1280, 800),
        theme: str = "night",
        *,
        scale: float | None = None,
        watching: bool = True,
    ) -> None:
        """`scale`: of the interface, as the window has it if none.

        `watching`: whether a frame is drawn at one turn in a few; if not, only `picture` draws.
        """
        pygame.display.init()
        pygame.event.clear()
        book = Forgetful()
        book.set("theme", theme)
        if scale is not None:
            book.set("scale", f"{scale:g}")
        self.watching = watching
        self.window = Window(size, target, book)
        self._surface = pygame.Surface(self.window.rooms.size)
        self._turns = 0
        self._behind = False
        self.look()

    @property
    def surface(self) -> pygame.Surface:
        """What is seen after the last turn, if someone is watching."""
        if self._behind:
            self.look()
        return self._surface

    @surface.setter
    def surface(self, surface: pygame.Surface) -> None:
        self._surface = surface

    @property
    def bench(self) -> BenchScreen:
        """The bench that is open."""
        assert isinstance(self.window.screen, BenchScreen)
        return self.window.screen

    def on(self, page: type[Screen]) -> bool:
        """Whether a page of that kind is seen."""
        return isinstance(self.window.screen, page)

    @property
    def stage(self) -> Stage:
        """How it is laid out."""
        return self.bench.stage(self.window.rooms, self.window.theme)

    def holds(self) -> bool:
        """Whether something is in hand."""
        return self.bench.view.hand is not None

    def switched_on(self) -> bool:
        """Whether the supply is on."""
        return self.bench.snapshot.supplies[0].on

    def look(self) -> list[pygame.Rect]:
        """Draw a frame if someone is watching; the boxes that changed."""
        self._behind = False
        return self.window.frame(self._surface) if self.watching else []

    def picture(self) -> pygame.Surface:
        """The frame of this moment, as the window would show it."""
        if self._surface.get_size() != self.window.size:
            self._surface = pygame.Surface(self.window.size)
            self.window.compositor.forget()
        self._behind = False
        self.window.frame(self._surface)
        return self._surface

    def _post(self, kind: int, **table: object) -> None:
        assert pygame.event.post(pygame.event.Event(kind, table))
        for event in pygame.event.get():
            self.window.handle(event)
        self._turn()

    def _turn(self) -> None:
        """Let a frame's time pass."""
        self.window.tick(FRAME)
        self._turns += 1
        self._behind = True
        if self._turns % _DRAWN == 0:
            self.look()

    def area(self, kind: str, name: str, number: int = 0) -> Area:
        """Something on the screen, by what it is."""
        bench = self.bench
        found = [a for a in areas(self.stage, bench.snapshot, bench.view) if a.target == Target(kind, name)]
        assert found, f"no {kind} {name} on the screen"
        return found[number]

    def place(self, kind: str, name: str, number: int = 0) -> Point:
        """A point on it."""
        return middle_of(self.area(kind, name, number))

    def result_place(self, name: str) -> Point:
        """A point on a button of the result sheet."""
        every = result_areas(self.bench, self.stage)
        return next(middle_of(area) for area in every if area.target == Target("button", name))

    def point(self, at: Point) -> None:
        """Move the pointer."""
        self._post(pygame.MOUSEMOTION, pos=(round(at[0]), round(at[1])), rel=(0, 0), buttons=(0, 0, 0))

    def press(self, at: Point) -> None:
        """Move there and press the button."""
        self.point(at)
        self._post(pygame.MOUSEBUTTONDOWN, pos=(round(at[0]), round(at[1])), button=1)

    def let_go(self, at: Point) -> None:
        """Let the button go."""
        self._post(pygame.MOUSEBUTTONUP, pos=(round(at[0]), round(at[1])), button=1)

    def click(self, at: Point) -> None:
        """Press and let go."""
        self.press(at)
        self.let_go(at)

    def drag(self, start: Point, end: Point) -> None:
        """Press at one place, let go at another."""
        self.press(start)
        for k in range(1, 5):
            self.point((start[0] + (end[0] - start[0]) * k / 4, start[1] + (end[1] - start[1]) * k / 4))
        self.let_go(end)

    def key(self, key: int, mod: int = 0) -> None:
        """Press a key."""
        self._post(pygame.KEYDOWN, key=key, mod=mod, unicode="")

    def wait(self, seconds: float) -> None:
        """Let the bench run."""
        for _ in range(round(seconds / FRAME)):
            self._turn()

    def wait_for_result(self) -> None:
        """Until the test of every route has ended."""
        for _ in range(400):
            if self.bench.result is not None:
                return
            self._turn()
        raise AssertionError("the test of every route did not end")

    def focus(self, kind: str, name: str) -> None:
        """Tab until the focus is on something."""
        for _ in range(200):
            if self.bench.view.focus == Target(kind, name):
                return
            self.key(pygame.K_TAB)
        raise AssertionError(f"Tab never comes to {kind} {name}")

    def wire_by_drag(self, a: str, b: str) -> None:
        """Take a wire from one terminal to another, button held."""
        self.drag(self.place("terminal", a), self.place("terminal", b))

    def wire_by_clicks(self, a: str, b: str) -> None:
        """Take a wire from one terminal to another by two clicks."""
        self.click(self.place("terminal", a))
        self.click(self.place("terminal", b))

    def probe(self, tip: str, terminal: str) -> None:
        """Drag a probe by its handle so that its tip comes to a terminal."""
        self.drag(self.place("probe", tip), self.place("terminal", terminal))

    def drive_into_a_short(self, rest_on: tuple[str, str] | None = None) -> None:
        """On right-hand: the outers exchanged, both sides said first, power on, and the shunter onto the frog.

        `rest_on`: what the pointer rests on meanwhile. Nobody watches on the way.
        """
        watching, self.watching = self.watching, False
        self._into_a_short(rest_on)
        self.watching, self._behind = watching, True

    def _into_a_short(self, rest_on: tuple[str, str] | None) -> None:
        for wire in EXCHANGED_WIRES:
            self.wire_by_drag(*wire)
        self.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
        if rest_on is not None:
            self.point(self.place(*rest_on))
        train = self.bench.snapshot.trains[0].id
        self.bench.act(Direction(train, 1), Drive(train, 0.4))
        for _ in range(600):
            self.wait(FRAME)
            if self.bench.snapshot.fault is not None:
                return
        raise AssertionError("no short came about")


# What makes the bench of the level right-hand good: two feeders, the frog, the two outers (levels/right-hand.toml).
GOOD_WIRES = (
    ("bus.A", "T1.stock.left"),
    ("bus.B", "T1.stock.right"),
    ("M1.p", "T1.frog"),
    ("bus.B", "M1.m"),
    ("bus.A", "M1.k"),
)
EXCHANGED_WIRES = (*GOOD_WIRES[:3], ("bus.A", "M1.m"), ("bus.B", "M1.k"))

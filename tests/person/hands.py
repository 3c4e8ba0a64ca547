"""From the steps of a level's worked solution to movements of the hand: with the mouse alone, or with keys alone.

Everything is done twice: at the real window, and at one without a screen that tells where things are next.
"""

from __future__ import annotations

import time
from abc import ABC, abstractmethod

import pygame

from sim.bench.level import PlaceStep, PlugStep, PowerStep, ProbeStep, Step, ThrowStep, TurnStep, UnwireStep, WireStep
from sim.game.desk.hit import areas, focus_order, under
from sim.game.whereabouts.area import middle_of
from sim.game.whereabouts.metal import nearest_metal
from sim.game.whereabouts.viewstate import Target
from tests.game.playing import Player
from tests.person.desk import Desk, Point

__all__ = ["ByKeys", "ByMouse", "Hands"]

THROW_SECONDS = 2.0
DRIVE_SECONDS = 1.0
_CLEAR_PX = 60.0
_NAMES = {
    pygame.K_TAB: "Tab", pygame.K_RETURN: "Return", pygame.K_ESCAPE: "Escape", pygame.K_BACKSPACE: "BackSpace",
    pygame.K_DELETE: "Delete", pygame.K_PAGEUP: "Prior",
}  # fmt: skip
"""The X names of keys; every other is named by its character."""


class Hands(ABC):
    """Two hands, at the real window and at the other."""

    def __init__(self, desk: Desk, eyes: Player) -> None:
        """`eyes`: the window that is asked where things are."""
        self.desk = desk
        self.eyes = eyes

    def wait(self, seconds: float) -> None:
        """Let time pass at both."""
        until = time.monotonic() + seconds
        self.eyes.wait(seconds)
        time.sleep(max(0.0, until - time.monotonic()))

    def settle(self) -> None:
        """Wait until nothing moves."""
        while self.eyes.bench.lively:
            self.wait(0.2)

    def press(self, *codes: int, shift: bool = False) -> None:
        """Press keys, by the library's codes."""
        mod = pygame.KMOD_SHIFT if shift else 0
        names = [_NAMES.get(code) or chr(code) for code in codes]
        self.desk.keys([f"shift+{name}" if shift else name for name in names])
        for code in codes:
            self.eyes.key(code, mod)

    def throw(self, piece: str) -> None:
        """Throw points and wait until they lie."""
        self._throw(piece)
        self.wait(THROW_SECONDS)

    def probe(self, red: str, black: str) -> None:
        """Bring both tips to terminals; one that is there already stays."""
        meter = self.eyes.bench.snapshot.meter
        for tip, now, wanted in (("red", meter.red, red), ("black", meter.black, black)):
            if now != wanted:
                self._probe(tip, wanted)
        self.wait(0.1)

    def switch(self, on: bool) -> None:
        """The supply on or off."""
        if self.eyes.switched_on() != on:
            self._rocker()

    def plug(self, plugged: bool) -> None:
        """The supply's plug in or out."""
        if self.eyes.bench.snapshot.supplies[0].plugged != plugged:
            self._plug()

    def take(self, step: Step) -> str:
        """Take a step; what it was, in words."""
        match step:
            case WireStep((a, b)):
                self.wire(a, b)
                return f"wire {a} {b}"
            case UnwireStep(ends):
                wires = self.eyes.bench.snapshot.bench.wires
                self.unwire(next(k for k, wire in enumerate(wires) if set(wire.ends) == set(ends)))
                return f"unwire {ends[0]} {ends[1]}"
            case ProbeStep((red, black)):
                self.probe(red, black)
                return f"probe {red} {black}"
            case ThrowStep(piece, _):
                self.throw(piece)
                return f"throw {piece}"
            case TurnStep(motor):
                self.act("motor", motor)
                return f"turn {motor}"
            case PlaceStep(place, to):
                while self.eyes.stage.bench.tracks[0].place(place).state != to:
                    self.act("place", place)
                return f"place {place} {to}"
            case PowerStep(on):
                self.switch(on)
                return f"power {'on' if on else 'off'}"
            case PlugStep(plugged):
                self.plug(plugged)
                return f"plug {'in' if plugged else 'out'}"

    @abstractmethod
    def act(self, kind: str, name: str) -> None:
        """Do what a click on something does."""

    @abstractmethod
    def wire(self, a: str, b: str) -> None:
        """Take a wire from end to end."""

    @abstractmethod
    def unwire(self, number: int) -> None:
        """Take a wire off."""

    @abstractmethod
    def lift(self) -> None:
        """Both tips off the metal."""

    @abstractmethod
    def drive(self) -> None:
        """Off, for a moment, and stop."""

    @abstractmethod
    def test(self) -> None:
        """Begin the test of every route."""

    @abstractmethod
    def onward(self) -> None:
        """From a clean result to the next job."""

    @abstractmethod
    def _throw(self, piece: str) -> None: ...

    @abstractmethod
    def _probe(self, tip: str, terminal: str) -> None: ...

    @abstractmethod
    def _rocker(self) -> None: ...

    @abstractmethod
    def _plug(self) -> None: ...


class ByMouse(Hands):
    """With the mouse alone."""

    def _click(self, at: Point) -> None:
        self.desk.click(at)
        self.eyes.click(at)

    def _drag(self, start: Point, end: Point) -> None:
        self.desk.drag(start, end)
        self.eyes.drag(start, end)

    def act(self, kind: str, name: str) -> None:
        self._click(self.eyes.place(kind, name))

    def wire(self, a: str, b: str) -> None:
        if not self._free(a) and not self._free(b):
            self.lift()
        if not self._free(a):
            a, b = b, a
        self._drag(self._free(a)[0], self.eyes.place("terminal", b))

    def _free(self, terminal: str) -> list[Point]:
        """Places of a terminal on which nothing lies, such as a tip or an engine that would be taken instead."""
        bench, stage = self.eyes.bench, self.eyes.stage
        target = Target("terminal", terminal)
        every = [middle_of(area) for area in areas(stage, bench.snapshot, bench.view) if area.target == target]
        return [point for point in every if under(stage, bench.snapshot, bench.view, point) == target]

    def unwire(self, number: int) -> None:
        self.act("wire", str(number))
        self.act("menu", "remove")

    def lift(self) -> None:
        for tip in ("red", "black"):
            self._drag(self.eyes.place("probe", tip), self._bare())

    def _bare(self) -> Point:
        """A place on the mat far from all metal."""
        stage = self.eyes.stage
        mat = stage.rooms.mat
        spots = (
            (float(x), float(y))
            for y in range(mat.bottom - 120, mat.top + 60, -20)
            for x in range(mat.centerx, mat.right - 60, 20)
        )
        return next(spot for spot in spots if nearest_metal(stage, spot, _CLEAR_PX) is None)

    def drive(self) -> None:
        train = self.eyes.bench.snapshot.trains[0].id
        knob = self.eyes.place("slider", train)
        self._drag(knob, (knob[0] + 60, knob[1]))
        self.wait(DRIVE_SECONDS)
        knob = self.eyes.place("slider", train)
        self._drag(knob, (knob[0] - 90, knob[1]))

    def test(self) -> None:
        self.act("button", "test")

    def onward(self) -> None:
        self._click(self.eyes.result_place("next"))

    def _throw(self, piece: str) -> None:
        self.act("lever", piece)

    def _probe(self, tip: str, terminal: str) -> None:
        self._drag(self.eyes.place("probe", tip), self.eyes.place("terminal", terminal))

    def _rocker(self) -> None:
        self.act("rocker", "supply")

    def _plug(self) -> None:
        self.act("plug", "supply")


class ByKeys(Hands):
    """With keys alone."""

    def _focus(self, kind: str, name: str) -> None:
        """Tab, or Shift and Tab if that is shorter, to something."""
        bench = self.eyes.bench
        order = [area.target for area in focus_order(self.eyes.stage, bench.snapshot, bench.view)]
        here = order.index(bench.view.focus) if bench.view.focus in order else -1
        onward = (order.index(Target(kind, name)) - here) % len(order)
        back = len(order) - onward if here >= 0 else len(order)
        if onward <= back:
            if onward:
                self.press(*[pygame.K_TAB] * onward)
        else:
            self.press(*[pygame.K_TAB] * back, shift=True)
        if self.eyes.bench.view.focus != Target(kind, name):
            raise SystemExit(f"the focus is on {self.eyes.bench.view.focus}, not on {kind} {name}")

    def act(self, kind: str, name: str) -> None:
        self._focus(kind, name)
        self.press(pygame.K_RETURN)

    def wire(self, a: str, b: str) -> None:
        self.act("terminal", a)
        self.act("terminal", b)

    def unwire(self, number: int) -> None:
        self._focus("wire", str(number))
        self.press(pygame.K_DELETE)

    def lift(self) -> None:
        self.press(pygame.K_BACKSPACE)

    def drive(self) -> None:
        self.press(*[pygame.K_PAGEUP] * 6)
        self.wait(DRIVE_SECONDS)
        self.press(pygame.K_0)

    def test(self) -> None:
        self.press(pygame.K_t)

    def onward(self) -> None:
        self.press(pygame.K_RETURN)

    def _throw(self, piece: str) -> None:
        del piece
        self.press(pygame.K_1)

    def _probe(self, tip: str, terminal: str) -> None:
        self._focus("terminal", terminal)
        self.press(pygame.K_r if tip == "red" else pygame.K_b)

    def _rocker(self) -> None:
        self.press(pygame.K_p)

    def _plug(self) -> None:
        self.press(pygame.K_u)

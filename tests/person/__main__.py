"""``python -m tests.person FOLDER``: play right-hand through the real window, and save a picture of every step.

The person knows where things are by asking the program's own layout: a second window without a screen is given the
same clicks, and tells where each thing is next. What is asserted is what the real window did: its pictures, the marks
that it kept, and how it ended. Needs Xvfb, xdotool and ImageMagick's import.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pygame

from sim.bench.level import ProbeStep, Step, ThrowStep, WireStep
from sim.progress import Best, Progress
from tests.game.playing import Player
from tests.levels.playing import level_of, predictions
from tests.person.desk import Desk, Point, open_desk

__all__ = ["main"]

LEVEL = "right-hand"
PATIENCE_SECONDS = 60.0
THROW_SECONDS = 2.0
ALIKE_LEVELS = 24
"""Two pixels are alike when no colour differs by more of 255 levels."""
MOST_UNLIKE = 0.01
"""Part of the picture that may differ from what the layout draws: what blinks, and what lies under the pointer."""


class Person:
    """Does everything twice: at the real window, and at the one without a screen that tells where things are."""

    def __init__(self, desk: Desk, folder: Path) -> None:
        self.desk = desk
        self.eyes = Player()
        self._folder = folder
        self._count = 0

    def see(self, what: str) -> None:
        """Save a picture of the real window."""
        self._count += 1
        file = self._folder / f"{self._count:02}-{what.replace(' ', '-')}.png"
        self.desk.picture(file)
        print(f"{file.name}: {self._unlike(file):.2%} unlike the layout's own picture")

    def _unlike(self, file: Path) -> float:
        """The part of a picture that differs from what the layout draws."""
        real, drawn = (
            pygame.surfarray.array3d(each).astype(int) for each in (pygame.image.load(file), self.eyes.surface)
        )
        if real.shape != drawn.shape:
            raise SystemExit(f"the window is {real.shape[:2]}, not {drawn.shape[:2]}")
        return float(np.mean(np.max(np.abs(real - drawn), axis=2) > ALIKE_LEVELS))

    def sees_the_same(self) -> None:
        """The real window shows what the layout draws."""
        file = self._folder / "now.png"
        self.desk.picture(file)
        unlike = self._unlike(file)
        file.unlink()
        if unlike > MOST_UNLIKE:
            raise SystemExit(f"{unlike:.1%} of the window differs from what it should show")

    def click(self, kind: str, name: str) -> None:
        """Click on something."""
        at = self.eyes.place(kind, name)
        self.desk.click(at)
        self.eyes.click(at)

    def drag(self, start: Point, end: Point) -> None:
        """Drag from one place to another."""
        self.desk.drag(start, end)
        self.eyes.drag(start, end)

    def key(self, name: str, code: int) -> None:
        """Press a key, by its X name and by the library's."""
        self.desk.key(name)
        self.eyes.key(code)

    def wait(self, seconds: float) -> None:
        """Let time pass at both."""
        time.sleep(seconds)
        self.eyes.wait(seconds)

    def probe(self, tip: str, terminal: str) -> None:
        """Bring a probe to a terminal, unless it is there."""
        meter = self.eyes.bench.snapshot.meter
        if (meter.red if tip == "red" else meter.black) != terminal:
            self.drag(self.eyes.place("probe", tip), self.eyes.place("terminal", terminal))

    def take(self, step: Step) -> str:
        """Take a step of the worked solution; what it was, in words."""
        match step:
            case WireStep((a, b)):
                self.drag(self.eyes.place("terminal", a), self.eyes.place("terminal", b))
                return f"wire {a} {b}"
            case ProbeStep((red, black)):
                self.probe("red", red)
                self.probe("black", black)
                return f"probe {red} {black}"
            case ThrowStep(piece, setting):
                self.click("lever", piece)
                self.wait(THROW_SECONDS)
                return f"throw {piece} {setting}"
        raise SystemExit(f"the person does not know how to take {step}")


def _wait_for(true: Callable[[], bool], what: str) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while not true():
        if time.monotonic() > until:
            raise SystemExit(f"{what} does not come")
        time.sleep(0.1)


def _play(desk: Desk, folder: Path, marks: Progress) -> None:
    person = Person(desk, folder)
    bench = person.eyes.bench.snapshot.bench
    person.wait(0.5)
    person.see("start")
    person.sees_the_same()
    for said in predictions(bench):
        person.click("predict", f"{said.setting}/{said.side}")
    person.see("said first")
    for step in level_of(bench).solution:
        person.see(person.take(step))
    person.sees_the_same()
    person.key("BackSpace", pygame.K_BACKSPACE)  # lifts the probes before power
    person.click("plug", "supply")
    person.click("rocker", "supply")
    person.wait(0.5)
    person.see("power")
    knob = person.eyes.place("slider", "shunter")
    person.drag(knob, (knob[0] + 90, knob[1]))
    person.click("direction", "-1")
    for _ in range(3):
        person.wait(1.0)
        person.see("driving")
    person.key("0", pygame.K_0)
    person.click("button", "test")
    _wait_for(lambda: LEVEL in marks.best(), "the result of the test")
    person.eyes.wait_for_result()
    person.wait(0.5)
    person.see("every route tested")
    person.key("Escape", pygame.K_ESCAPE)
    person.see("back at the bench")
    person.key("Escape", pygame.K_ESCAPE)
    person.see("list of jobs")
    desk.key("Escape")


def main() -> int:
    """Play the level; 0 if it was passed with all marks and the window closed as it should."""
    parser = argparse.ArgumentParser(prog="python -m tests.person", description=__doc__)
    parser.add_argument("folder", type=Path, help="where the pictures go")
    folder: Path = parser.parse_args().folder
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        marks = Progress(Path(home) / "frogbench" / "frogbench.sqlite")
        with open_desk(LEVEL, Path(home)) as desk:
            _play(desk, folder, marks)
            status = desk.closed()
        best = marks.best().get(LEVEL)
    print(f"{LEVEL}: {best}, the window ended with {status}")
    return 0 if best == Best(100, True) and status == 0 else 1


if __name__ == "__main__":
    sys.exit(main())

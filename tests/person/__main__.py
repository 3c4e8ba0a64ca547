"""``python -m tests.person FOLDER``: play all levels through the real window, and save a picture of every step.

The first five are played with the mouse alone, the others with keys alone, each by its worked solution, in two windows
that go on from job to job. The person knows where things are by asking the program's own layout: a second window
without a screen is given the same clicks and keys. What is asserted is what the real window did: its pictures, the
marks that it kept, what ``frogbench levels`` tells of them, and how it ended. Needs Xvfb, xdotool and ImageMagick.

With ``--some SEED`` one level is played by mouse and one by keys, which ones the seed says.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pygame

from sim.game.screens.listing import jobs_on_file
from sim.progress import Best, Progress
from sim.resources import level_path
from tests.cli.running import frogbench
from tests.game.playing import Player
from tests.levels.playing import level_of, predictions
from tests.person.desk import Desk, open_desk
from tests.person.hands import ByKeys, ByMouse, Hands

__all__ = ["main"]

BY_MOUSE = 5
"""So many of the first levels."""
FROM_BELOW = frozenset({"from-below"})
"""Played with the board turned over."""
PATIENCE_SECONDS = 30.0
ALIKE_LEVELS = 24
"""Two pixels are alike when no colour differs by more of 255 levels."""
MOST_UNLIKE = 0.01
"""Part of the picture that may differ from what the layout draws: what blinks, and what lies under the pointer."""


class Album:
    """The pictures of the real window."""

    def __init__(self, desk: Desk, folder: Path) -> None:
        self.desk = desk
        self._folder = folder
        self._count = 0

    def see(self, what: str) -> Path:
        """Save a picture."""
        self._count += 1
        file = self._folder / f"{self._count:02}-{what.replace(' ', '-')}.png"
        self.desk.picture(file)
        return file

    def see_the_same(self, what: str, eyes: Player) -> None:
        """Save a picture, which must come to show what the layout draws."""
        drawn = pygame.surfarray.array3d(eyes.picture()).astype(int)
        until = time.monotonic() + PATIENCE_SECONDS
        file = self.see(what)
        while (unlike := _unlike(file, drawn)) > MOST_UNLIKE:
            if time.monotonic() > until:
                raise SystemExit(f"{file}: {unlike:.1%} of the window differs from what it should show")
            time.sleep(0.3)
            self.desk.picture(file)


def _unlike(file: Path, drawn: np.ndarray[Any, np.dtype[np.int_]]) -> float:
    """The part of a picture that differs from what is drawn."""
    real = pygame.surfarray.array3d(pygame.image.load(file)).astype(int)
    if real.shape != drawn.shape:
        raise SystemExit(f"{file}: the window is {real.shape[:2]}, not {drawn.shape[:2]}")
    return float(np.mean(np.max(np.abs(real - drawn), axis=2) > ALIKE_LEVELS))


def _wait_for(true: Callable[[], bool], what: str) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while not true():
        if time.monotonic() > until:
            raise SystemExit(f"{what} does not come")
        time.sleep(0.1)


def _play(level: str, hands: Hands, album: Album, marks: Progress) -> None:
    """The open level, from its beginning to its result."""
    eyes = hands.eyes
    bench = eyes.bench.snapshot.bench
    hands.settle()  # an engine may be on its way
    album.see_the_same("start", eyes)
    if level in FROM_BELOW:
        hands.act("top", "turn")
        album.see("from below")
    for said in predictions(bench):
        hands.act("predict", f"{said.setting}/{said.side}")
    for step in level_of(bench).solution:
        album.see(hands.take(step))
    hands.lift()
    hands.settle()
    album.see_the_same("measured", eyes)
    hands.plug(True)
    hands.switch(True)
    hands.drive()
    album.see("driven")
    hands.test()
    _wait_for(lambda: level in marks.best(), "the result of the test")
    eyes.wait_for_result()
    hands.wait(0.2)
    album.see("every route tested")


def _sitting(names: Sequence[str], make: type[Hands], folder: Path, home: Path) -> int:
    """Levels one after the other in one window; how the window ended."""
    marks = Progress(home / "frogbench" / "frogbench.sqlite")
    with open_desk(names[0], home) as desk:
        hands = make(desk, Player(level_path(names[0]), watching=False))
        for k, level in enumerate(names):
            start = time.monotonic()
            own = folder / f"{level}-{make.__name__.lower()}"
            own.mkdir(parents=True, exist_ok=True)
            _play(level, hands, Album(desk, own), marks)
            print(f"{level}, {make.__doc__}: {marks.best().get(level)}, {time.monotonic() - start:.0f} s", flush=True)
            if k + 1 < len(names):
                hands.onward()
        for _ in range(3):  # from wherever it is open
            desk.keys(["ctrl+q"])
            time.sleep(0.3)
        return desk.closed()


def main() -> int:
    """Play; 0 if all was passed with all marks and the windows closed as they should."""
    parser = argparse.ArgumentParser(prog="python -m tests.person", description=__doc__)
    parser.add_argument("folder", type=Path, help="where the pictures go")
    parser.add_argument("--some", metavar="SEED", type=int, help="only one level by mouse and one by keys")
    call = parser.parse_args()
    names = [job.name for job in jobs_on_file()]
    by_mouse, by_keys = names[:BY_MOUSE], names[BY_MOUSE:]
    if call.some is not None:
        dice = random.Random(call.some)
        by_mouse, by_keys = [dice.choice(by_mouse)], [dice.choice(by_keys)]
    with tempfile.TemporaryDirectory() as home:
        ended = [
            _sitting(by_mouse, ByMouse, call.folder, Path(home)),
            _sitting(by_keys, ByKeys, call.folder, Path(home)),
        ]
        best = Progress(Path(home) / "frogbench" / "frogbench.sqlite").best()
        listed = frogbench("levels", env={"XDG_DATA_HOME": home}).out.decode()
    print(listed)
    played = [*by_mouse, *by_keys]
    good = best == {name: Best(100, True) for name in played}
    told = listed.count("best marks 100, passed") == len(played)
    return 0 if good and told and ended == [0, 0] else 1


if __name__ == "__main__":
    sys.exit(main())

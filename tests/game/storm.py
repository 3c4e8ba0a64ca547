"""Events at random, seeded, through the window's own path; and what must hold whatever was done.

The window gets them as from the library: posted, sifted, handled, with time passing between. A frame is drawn now and
then. ``python -m tests.game.storm SEED`` plays a storm again, up to the event that breaks something.
"""

from __future__ import annotations

import argparse
import dataclasses
import errno
import math
import os
import random
import sys
import tempfile
import traceback
from collections import deque
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pygame

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.game.app import filing
from sim.game.app.disk import write_file
from sim.game.app.incoming import Incoming
from sim.game.desk.hit import areas
from sim.game.picture.compositor import Compositor
from sim.game.screens import paging
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.whereabouts.area import Area, middle_of
from sim.resources import level_names, level_path, test_track_path
from sim.track.formations import KINDS
from tests.game.playing import Player

__all__ = ["Storm", "StormFault", "faults_of"]

Spelled = tuple[str, dict[str, Any]]
"""An event as it is written down: its name in pygame, and what it says."""


def _names(words: str) -> list[str]:
    return words.split()


SIZES = ((1024, 720), (1280, 800), (1920, 1080), (800, 600), (1600, 1125))
_OFTEN = _names(
    "TAB TAB TAB RETURN RETURN SPACE LEFT RIGHT UP DOWN p u m t r b v j f d 0 1 1 2 COMMA PERIOD PAGEUP PAGEUP "
    "PAGEDOWN BACKSPACE DELETE"
)
_ANY = _names(
    "a b c d e f g h i j k l m n o p q r s t u v w x y z 0 1 2 3 4 5 6 7 8 9 F1 F2 F3 F4 F5 F6 F7 F8 F9 F10 F11 F12 "
    "HOME END INSERT PLUS MINUS EQUALS LEFTBRACKET RIGHTBRACKET SLASH KP_PLUS KP_MINUS KP_ENTER LSHIFT LCTRL"
)
_MODS = (0, 0, 0, 0, 0, pygame.KMOD_SHIFT, pygame.KMOD_CTRL, pygame.KMOD_CTRL | pygame.KMOD_SHIFT, pygame.KMOD_ALT)
_LAST = 20
_BATCH = 6
_DRAW_EVERY = 300  # batches
_ALIVE = 5000  # events at one window


class StormFault(AssertionError):
    """Something broke; says how to play it again, and what came last."""


def _bad_files(folder: Path) -> tuple[Path, ...]:
    """Files that somebody may drop on the window by mistake, and a good one."""
    good = level_path("right-hand").read_text(encoding="utf-8")
    contents: Mapping[str, bytes] = {
        "empty.toml": b"",
        "half.toml": good[: len(good) // 2].encode(),
        "picture.png": bytes(range(256)) * 8,
        "words.txt": "wörds, not a bench".encode("utf-16"),
        "wrong.toml": b'bench = 1\n[[track]]\nid = "T1"\nkind = "monorail"\n',
        "train.toml": good.partition("[level]")[0].replace("mm = 45", "mm = 90000").encode(),
        "own.toml": good.partition("[level]")[0].encode(),
    }
    for name, content in contents.items():
        (folder / name).write_bytes(content)
    return (*(folder / name for name in contents), folder / "nowhere.toml", folder)


def _key(name: str) -> int:
    return int(getattr(pygame, f"K_{name}"))


class Storm:
    """A window in a storm of events. The same seed gives the same storm."""

    def __init__(self, seed: int, folder: Path) -> None:
        """`folder`: where the files lie that are dropped; nothing else is written."""
        self.seed = seed
        self._folder = folder.resolve()
        self.count = 0
        self.looked = 0
        self._filed: dict[BenchScreen, Bench] = {}
        self._seen: set[BenchScreen] = set()
        self._dice = random.Random(seed)
        self._files = _bad_files(folder)
        self._contents = {file: file.read_bytes() for file in self._files if file.is_file()}
        self._last: deque[Spelled] = deque(maxlen=_LAST)
        self._begin()

    def _begin(self) -> None:
        dice = self._dice
        name = dice.choice((*level_names(), "", "own", "test track", "test track"))
        others = {"": None, "own": self._files[6], "test track": test_track_path()}
        target = others[name] if name in others else level_path(name)
        self.player = Player(target, dice.choice(SIZES), dice.choice(("night", "hall")), watching=False)
        self._incoming = Incoming()
        self._until = self.count + _ALIVE
        self._last.append(("a new window", {"level": name, "size": self.player.window.size}))

    # What comes

    def _areas(self) -> list[Area]:
        """What can be pointed at; nothing where the page has no such list."""
        screen = self.player.window.screen
        if not isinstance(screen, BenchScreen):
            return []
        stage = self.player.stage
        return paging.result_areas(screen, stage) or areas(stage, screen.snapshot, screen.view)

    def _somewhere(self, kind: str = "") -> tuple[int, int]:
        """A place on the screen: mostly on something of any kind, or of one; sometimes anywhere, or outside."""
        dice = self._dice
        width, height = self.player.window.rooms.size
        every = self._areas()
        if not every or dice.random() < 0.15:
            return dice.randint(-5, width + 5), dice.randint(-5, height + 5)
        kinds = sorted({area.target.kind for area in every})
        if dice.random() < 0.9 and "top" in kinds and len(kinds) > 1:
            kinds.remove("top")  # it leads away from the bench
        if kind not in kinds:
            kind = dice.choice(kinds)
        area = dice.choice([area for area in every if area.target.kind == kind])
        x, y = middle_of(area)
        if dice.random() < 0.2:
            x, y = dice.uniform(area.rect.left, area.rect.right), dice.uniform(area.rect.top, area.rect.bottom)
        return round(x), round(y)

    def _way_back(self) -> Iterator[Spelled]:
        """From another page to a bench: a key that opens what is chosen, or closes."""
        names = ("DOWN", "RETURN") if isinstance(self.player.window.screen, JobsScreen) else ("ESCAPE",)
        for name in names:
            yield "KEYDOWN", {"key": _key(name), "mod": 0, "unicode": ""}
            yield "KEYUP", {"key": _key(name), "mod": 0}

    def _batch(self) -> Iterator[Spelled]:
        """What happens within one frame."""
        dice = self._dice
        screen = self.player.window.screen
        if (not isinstance(screen, BenchScreen) or screen.result is not None) and dice.random() < 0.4:
            yield from self._way_back()
            return
        what = dice.random()
        if what < 0.16:  # from one thing to another of its kind, or to any
            kind = dice.choice(("terminal", "terminal", "terminal", "vehicle", "probe", "slider"))
            start, end = self._somewhere(kind), self._somewhere("terminal" if kind == "probe" else kind)
            yield "MOUSEMOTION", {"pos": start, "rel": (0, 0), "buttons": (0, 0, 0)}
            yield "MOUSEBUTTONDOWN", {"pos": start, "button": 1}
            yield "MOUSEMOTION", {"pos": end, "rel": (9, 9), "buttons": (1, 0, 0)}
            yield "MOUSEBUTTONUP", {"pos": end, "button": 1}
        elif what < 0.42:  # clicks and drags, some unfinished
            button = dice.choice((1, 1, 1, 1, 1, 1, 1, 2, 3))
            at = self._somewhere()
            yield "MOUSEMOTION", {"pos": at, "rel": (0, 0), "buttons": (0, 0, 0)}
            yield "MOUSEBUTTONDOWN", {"pos": at, "button": button}
            if dice.random() < 0.5:
                at = self._somewhere()
                yield "MOUSEMOTION", {"pos": at, "rel": (1, 1), "buttons": (1, 0, 0)}
            if dice.random() < 0.9:
                yield "MOUSEBUTTONUP", {"pos": at, "button": button}
        elif what < 0.55:
            for _ in range(dice.randint(1, _BATCH)):
                yield "MOUSEMOTION", {"pos": self._somewhere(), "rel": (1, 0), "buttons": (0, 0, 0)}
        elif what < 0.60:
            yield "MOUSEBUTTONUP", {"pos": self._somewhere(), "button": 1}
        elif what < 0.93:  # keys, some in storms, some held
            names = _OFTEN if dice.random() < 0.8 else _ANY
            for _ in range(dice.choice((1, 1, 2, _BATCH))):
                key, mod = _key(dice.choice(names)), dice.choice(_MODS)
                if dice.random() < 0.03:
                    key, mod = pygame.K_z, dice.choice((pygame.KMOD_CTRL, pygame.KMOD_CTRL | pygame.KMOD_SHIFT))
                yield "KEYDOWN", {"key": key, "mod": mod, "unicode": ""}
                if dice.random() < 0.9:
                    yield "KEYUP", {"key": key, "mod": mod}
        elif what < 0.96:
            yield "MOUSEWHEEL", {"x": 0, "y": dice.choice((-3, -1, 1, 2)), "flipped": False}
        elif what < 0.97:
            yield "TEXTINPUT", {"text": dice.choice(("a", "Ω", "/", "é\u0301", "\u202e"))}
        elif what < 0.973:
            width, height = (
                dice.choice(SIZES) if dice.random() < 0.8 else (dice.randint(1, 2600), dice.randint(1, 1500))
            )
            yield "VIDEORESIZE", {"w": width, "h": height, "size": (width, height)}
        elif what < 0.985:
            yield "VIDEOEXPOSE", {}
            yield "WINDOWLEAVE", {}
        else:
            yield "DROPFILE", {"file": str(dice.choice(self._files))}

    # What it does

    def blow(self, events: int) -> None:
        """Let as many events come. Raises StormFault."""
        with patch.object(filing, "write_file", self._write):
            self._blow(events)

    def _write(self, path: Path, text: str) -> None:
        """A save, wherever the storm has come to: outside its folder it is refused as by a disk that is locked."""
        if self._folder not in path.resolve().parents:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        write_file(path, text)

    def _blow(self, events: int) -> None:
        batches = 0
        end = self.count + events
        try:
            while self.count < end:
                if self.count >= self._until:
                    self.look()
                    self._begin()
                self._frame(list(self._batch()))
                batches += 1
                if batches % _DRAW_EVERY == 0:
                    self._last.append(("a frame is drawn", {}))
                    self.player.picture()
            self.look()
        except Exception as wrong:
            raise StormFault(self._told(wrong)) from wrong

    def _frame(self, batch: list[Spelled]) -> None:
        window = self.player.window
        for name, says in batch:
            self._last.append((name, says))
            pygame.event.post(pygame.event.Event(getattr(pygame, name), says))
        self.count += len(batch)
        for event in self._incoming.sift(pygame.event.get()):
            window.handle(event)
        seconds = self._dice.choice((0.0, 1 / 60, 1 / 60, 1 / 60, 0.1))
        self._last.append(("time passes", {"seconds": round(seconds, 3)}))
        window.tick(seconds)
        if isinstance(window.screen, BenchScreen) and self._dice.random() < 0.02:  # a test runs on to its result
            for _ in range(400):
                if window.screen.view.testing is None:
                    break
                window.tick(1 / 60)
        window.running = True  # whoever closes it opens it again

    # What must hold

    def look(self) -> None:
        """Look whether all is sound. Raises AssertionError."""
        self.looked += 1
        player = self.player
        drawn = player.picture()
        whole, kept = pygame.Surface(drawn.get_size()), player.window.compositor
        player.window.compositor = Compositor()
        player.window.frame(whole)
        player.window.compositor = kept
        assert pygame.image.tobytes(whole, "RGB") == pygame.image.tobytes(drawn, "RGB"), "stale pixels"
        for path, screen in player.window.shelf.benches.items():
            # as filed when it was first looked at: a bench that is saved, or was left, goes on from there
            filed = self._filed.setdefault(screen, _undone(screen))
            if path.read_bytes() == self._contents.get(path) and screen not in self._seen:
                filed = load(path, KINDS)
            self._seen.add(screen)
            wrong = faults_of(screen, filed)
            assert not wrong, f"{path.name}: {wrong}"

    def _told(self, wrong: Exception) -> str:
        lines = [
            f"{type(wrong).__name__}: {wrong}",
            f"after {self.count} events of seed {self.seed}; again by: python -m tests.game.storm {self.seed}",
            f"the last {_LAST}:",
        ]
        lines += [f"  {name} {says}" for name, says in self._last]
        return "\n".join(lines)


def faults_of(screen: BenchScreen, filed: Bench) -> list[str]:
    """What is not sound on a bench: numbers that are none, or a way back that does not end at the bench as filed."""
    wrong = [
        f"{where} is {value}" for where, value in _numbers(screen.snapshot, "snapshot") if not math.isfinite(value)
    ]
    wrong += [f"{where} is {value}" for where, value in _numbers(screen.view, "view") if not math.isfinite(value)]
    if _undone(screen) != filed:
        wrong.append("with everything undone it is not the bench as filed")
    return wrong


def _undone(screen: BenchScreen) -> Bench:
    """The bench with everything undone."""
    history = screen.session._running.history
    while history.can_undo:
        history = history.undo()
    return history.bench


def _numbers(value: object, where: str) -> Iterator[tuple[str, float]]:
    """Every number in a value, with the way to it."""
    if isinstance(value, float):
        yield where, value
    elif isinstance(value, Bench):
        return
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from _numbers(getattr(value, field.name), f"{where}.{field.name}")
    elif isinstance(value, Mapping):
        for key in value:
            yield from _numbers(value[key], f"{where}[{key}]")
    elif isinstance(value, tuple):
        for k, each in enumerate(value):
            yield from _numbers(each, f"{where}[{k}]")


def main(arguments: list[str] | None = None) -> int:
    """Play a storm; 1, and what broke, if something did."""
    parser = argparse.ArgumentParser(prog="python -m tests.game.storm", description=__doc__)
    parser.add_argument("seed", type=int)
    parser.add_argument("--events", type=int, default=10_000)
    call = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        try:
            Storm(call.seed, Path(folder)).blow(call.events)
        except StormFault:
            traceback.print_exc()
            return 1
    print(f"{call.events} events of seed {call.seed}: nothing broke")
    return 0


if __name__ == "__main__":
    sys.exit(main())

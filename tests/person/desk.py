"""A screen of its own with the program's window on it, and the hand that points, clicks, drags and presses there."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tests.cli.running import ROOT

__all__ = ["Desk", "Point", "open_desk"]

Point = tuple[float, float]

_SCREEN = "1280x900x24"
_PATIENCE_SECONDS = 60.0
"""Longer than anything here takes on a busy machine: only something that hangs meets it."""
_SETTLE = "0.05"
"""Seconds between two movements of the hand, as a quick person makes them."""
_KEY_MS = "12"


class Desk:
    """The window on its screen. Places are pixels of the window."""

    def __init__(self, env: dict[str, str], program: subprocess.Popen[bytes]) -> None:
        self.program = program
        self._env = env
        found = self._xdotool("search", "--sync", "--onlyvisible", "--pid", str(program.pid)).split()
        self._window = found[-1]
        self._xdotool("windowfocus", "--sync", self._window)

    def _xdotool(self, *words: str) -> str:
        done = subprocess.run(
            ["xdotool", *words], env=self._env, check=True, capture_output=True, text=True, timeout=_PATIENCE_SECONDS
        )
        return done.stdout

    def _to(self, at: Point) -> tuple[str, ...]:
        return "mousemove", "--window", self._window, str(round(at[0])), str(round(at[1])), "sleep", _SETTLE

    def point(self, at: Point) -> None:
        """Move there."""
        self._xdotool(*self._to(at))

    def click(self, at: Point) -> None:
        """Press and let go."""
        self._xdotool(*self._to(at), "click", "1", "sleep", _SETTLE)

    def drag(self, start: Point, end: Point) -> None:
        """Press at one place, let go at another."""
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self._xdotool(
            *self._to(start), "mousedown", "1", *self._to(middle), *self._to(end), "mouseup", "1", "sleep", _SETTLE
        )

    def keys(self, names: Sequence[str]) -> None:
        """Press keys one after the other, by their X names."""
        self._xdotool("key", "--delay", _KEY_MS, *names, "sleep", _SETTLE)

    def picture(self, file: Path) -> None:
        """Save what the window shows."""
        subprocess.run(
            ["import", "-window", self._window, "-quality", "15", str(file)],
            env=self._env,
            check=True,
            timeout=_PATIENCE_SECONDS,
        )

    def closed(self) -> int:
        """Wait for the program to end; its exit status."""
        return self.program.wait(_PATIENCE_SECONDS)


@contextmanager
def _screen() -> Iterator[str]:
    """A screen of its own, as long as it is needed; its name."""
    reading, writing = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", _SCREEN, "-nolisten", "tcp"],
        pass_fds=[writing],
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    try:
        with os.fdopen(reading) as told:
            number = told.readline().strip()
        if not number:
            raise OSError("Xvfb did not start")
        yield f":{number}"
    finally:
        server.terminate()
        server.wait()


@contextmanager
def open_desk(level: str, home: Path) -> Iterator[Desk]:
    """The program opened on a level, on a screen of its own; what it keeps is under ``home``."""
    with _screen() as display:
        kept = {key: value for key, value in os.environ.items() if not key.startswith("SDL_")}
        env = kept | {"DISPLAY": display, "XDG_DATA_HOME": str(home), "SDL_AUDIODRIVER": "dummy"}
        program = subprocess.Popen([sys.executable, "-m", "sim", "play", level], cwd=ROOT, env=env)
        try:
            yield Desk(env, program)
        finally:
            program.kill()
            program.wait()

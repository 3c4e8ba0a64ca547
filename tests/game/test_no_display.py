"""Without a screen the door says so in one line; with one, the window opens and closes."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def run(code: str, **env: str) -> subprocess.CompletedProcess[str]:
    inherited = {
        k: v for k, v in os.environ.items() if not k.startswith("SDL_") and k not in ("DISPLAY", "WAYLAND_DISPLAY")
    }
    return subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code)],
        cwd=ROOT,
        env={**inherited, **env},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_no_screen_is_one_plain_line() -> None:
    done = run(
        """
        from sim.game import NoDisplay, run
        try:
            run(None)
        except NoDisplay as told:
            print(told)
        """
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("no screen to open a window on")
    assert done.stdout.count("\n") == 1
    assert done.stderr == ""


def test_the_window_opens_takes_events_and_closes() -> None:
    done = run(
        """
        import threading, time
        import sim.game, pygame
        def close():
            while not pygame.display.get_init() or pygame.display.get_surface() is None:
                time.sleep(0.02)
            for size in ((1100, 760), (900, 640)):
                pygame.event.post(pygame.event.Event(pygame.VIDEORESIZE, w=size[0], h=size[1], size=size))
                time.sleep(0.2)
            pygame.event.post(pygame.event.Event(pygame.QUIT))
        threading.Thread(target=close).start()
        from sim.resources import level_path
        print(sim.game.run(level_path("right-hand")))
        """,
        SDL_VIDEODRIVER="dummy",
        SDL_VIDEO_DRIVER="dummy",
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout == "0\n"
    assert done.stderr == ""


def test_a_wrong_file_is_refused_before_a_window_opens(tmp_path: Path) -> None:
    (tmp_path / "wrong.toml").write_text("bench = 2\n")
    done = run(
        f"""
        from sim.bench.faults import BenchFaults
        from sim.game import run
        try:
            run({str(tmp_path / "wrong.toml")!r})
        except BenchFaults as told:
            print(len(told.faults) > 0)
        """,
        SDL_VIDEODRIVER="dummy",
        SDL_VIDEO_DRIVER="dummy",
    )
    assert done.stdout == "True\n", done.stderr

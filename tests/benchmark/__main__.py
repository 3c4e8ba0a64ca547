"""``python -m tests.benchmark``: how long the program takes and how much it uses, beside the aims.

Each run is a process of its own, so that what is cold is cold. The table has for each aim what is reached, the least
and the most that was measured, the aim, and their ratio; and for what is set beside something else the
ratio of the two. The hour of play, breaking each thing and the idle window are run once, the rest several
times.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program has it; before numpy is first imported

from tests.benchmark.aims import AIMS, BREAKING, GROWTH, Taken, head, row

__all__ = ["main"]

ROOT = Path(__file__).resolve().parents[2]

_ONE_FRAME = """
import pathlib, sys
import sim.cli.play
import pygame
from sim.game.app.window import Window
pygame.display.init()
window = Window((1280, 800), pathlib.Path(sys.argv[1]))
surface = pygame.display.set_mode(window.size)
window.tick(0.0)
window.frame(surface)
pygame.display.flip()
"""
"""What the window does until its first frame is shown, on a display that nobody sees."""


def _first() -> Taken:
    """From starting the program to the first frame of its window; the window is drawn without a screen."""
    environment = os.environ | {"SDL_VIDEODRIVER": "dummy", "SDL_VIDEO_DRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
    level = ROOT / "levels" / "right-hand.toml"
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", _ONE_FRAME, str(level)], cwd=ROOT, env=environment, check=True, stdout=subprocess.DEVNULL
    )
    return {"first": [time.perf_counter() - start]}


def _part(name: str, count: int) -> Taken:
    """`count`: of turnouts, for the parts that have sizes."""
    if name == "solving":
        from tests.benchmark.states import solving

        return solving()
    if name in ("proving", "stepping"):
        from tests.benchmark import middle

        return {"proving": middle.proving, "stepping": middle.stepping}[name]()
    if name in ("growth", "breaking"):
        from tests.benchmark import middle

        return {"growth": middle.grown, "breaking": middle.breaking}[name](count)
    if name == "frames":
        from tests.benchmark.frames import frames

        return frames()
    from tests.benchmark.hour import hour

    return hour()


def _alone(part: str, count: int = 0) -> Taken:
    """A part in a process of its own."""
    call = [sys.executable, "-m", "tests.benchmark", "--part", part, "--count", str(count)]
    ended = subprocess.run(call, cwd=ROOT, check=True, stdout=subprocess.PIPE)
    taken: Taken = json.loads(ended.stdout.splitlines()[-1])
    return taken


def _growth() -> Taken:
    """Each size in a process of its own, and how the time grows."""
    from tests.benchmark.middle import growth_exponent

    taken = {aim: values for count in GROWTH for aim, values in _alone("growth", count).items()}
    return taken | growth_exponent(taken)


def _breaking() -> Taken:
    from tests.benchmark.middle import breaking_exponent

    taken = {aim: values for count in BREAKING for aim, values in _alone("breaking", count).items()}
    return taken | breaking_exponent(taken)


def _idle() -> Taken:
    from tests.benchmark.idle import idle

    return idle()


PARTS: dict[str, Callable[[], Taken]] = {
    "solving": lambda: _alone("solving"),
    "proving": lambda: _alone("proving"),
    "stepping": lambda: _alone("stepping"),
    "growth": _growth,
    "breaking": _breaking,
    "first": _first,
    "frames": lambda: _alone("frames"),
    "idle": _idle,
    "hour": lambda: _alone("hour"),
}
_ONCE = ("breaking", "idle", "hour")


def main() -> int:
    """Print the table; status 1 if an aim is missed."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark", description=__doc__)
    parser.add_argument("parts", metavar="PART", nargs="*", help=f"only these of {', '.join(PARTS)}")
    parser.add_argument("--runs", type=int, default=3, help="processes of each sort (3)")
    parser.add_argument("--part", choices=list(PARTS), help=argparse.SUPPRESS)
    parser.add_argument("--count", type=int, default=0, help=argparse.SUPPRESS)
    call = parser.parse_args()
    if call.part:
        print(json.dumps(_part(call.part, call.count)))
        return 0
    if unknown := set(call.parts) - set(PARTS):
        parser.error(f"no such part: {', '.join(sorted(unknown))}")
    taken: Taken = {}
    for name, work in PARTS.items():
        if not call.parts or name in call.parts:
            for _ in range(1 if name in _ONCE else call.runs):
                for aim, values in work().items():
                    taken.setdefault(aim, []).extend(values)
    rows = [row(name, taken) for name in AIMS if name in taken]
    print(head())
    print("\n".join(line for line, _ in rows))
    return int(not all(met for _, met in rows))


if __name__ == "__main__":
    sys.exit(main())

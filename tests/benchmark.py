"""``python -m tests.benchmark``: how long the program takes, beside the aims.

Each run is a process of its own, so that what is cold is cold. Times are wall-clock, in a table of medians with the
least and the most beside, and the ratio of the median to the aim.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

__all__ = ["AIMS", "main"]

ROOT = Path(__file__).resolve().parents[1]
BENCH = ROOT / "tests" / "benches" / "clean.toml"
LEVEL = ROOT / "levels" / "right-hand.toml"

AIMS = {
    "test of every route, one turnout, cold": 0.100,
    "the same after a change of wiring": 0.010,
    "one step of the running bench": 0.0005,
    "start to first frame": 1.5,
}
"""Seconds at most, for the median."""

_ONE_FRAME = """
import pathlib, sys
import sim.cli.play
import pygame
from sim.game.window import Window
pygame.display.init()
window = Window((1280, 800), pathlib.Path(sys.argv[1]))
surface = pygame.display.set_mode(window.size)
window.tick(0.0)
window.frame(surface)
pygame.display.flip()
"""
"""What the window does until its first frame is shown, on a display that nobody sees."""

WARM_TESTS = 20
STEPS = 2000


def _open(path: Path) -> Any:
    from sim.bench.reading import load
    from sim.track.formations import KINDS

    return load(path, KINDS)


def _timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _proving() -> dict[str, list[float]]:
    """One cold test, then warm ones of wirings not tested before: a feeder a little longer each time."""
    import dataclasses

    from sim.proof import prove

    bench = _open(BENCH)
    cold = _timed(partial(prove, bench))
    warm = []
    for k in range(WARM_TESTS):
        first = dataclasses.replace(bench.wires[0], metres=1.0 + k)
        changed = dataclasses.replace(bench, wires=(first, *bench.wires[1:]))
        warm.append(_timed(partial(prove, changed)))
    names = list(AIMS)
    return {names[0]: [cold], names[1]: warm}


def _stepping() -> dict[str, list[float]]:
    """A shunter driven to and fro over a wired turnout; building the session is not counted."""
    import dataclasses

    from sim.session.acts import Direction, Drive, Put
    from sim.session.session import Session

    wired = _open(BENCH)
    bench = dataclasses.replace(wired, trains=_open(LEVEL).trains)
    session = Session(bench)
    (train,) = [train.id for train in bench.trains]
    session.step(Session.DT, (Put(train, "T1.toe", 45.0), Drive(train, 0.6), Direction(train, -1)))
    taken = []
    for k in range(STEPS):
        acts = (Direction(train, 1 if k // 400 % 2 == 0 else -1),) if k % 400 == 399 else ()
        taken.append(_timed(partial(session.step, Session.DT, acts)))
    return {list(AIMS)[2]: taken}


PARTS: dict[str, Callable[[], dict[str, list[float]]]] = {"proving": _proving, "stepping": _stepping}


def _first_frame() -> list[float]:
    """From starting the program to the first frame of its window, in seconds; the window is drawn without a screen."""
    environment = os.environ | {"SDL_VIDEODRIVER": "dummy", "SDL_VIDEO_DRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", _ONE_FRAME, str(LEVEL)], cwd=ROOT, env=environment, check=True, stdout=subprocess.DEVNULL
    )
    return [time.perf_counter() - start]


def _gather(runs: int) -> dict[str, list[float]]:
    taken: dict[str, list[float]] = {name: [] for name in AIMS}
    for _ in range(runs):
        for part in PARTS:
            ended = subprocess.run(
                [sys.executable, "-m", "tests.benchmark", "--part", part], cwd=ROOT, check=True, stdout=subprocess.PIPE
            )
            for name, times in json.loads(ended.stdout).items():
                taken[name] += times
        taken[list(AIMS)[3]] += _first_frame()
    return taken


def _table(taken: dict[str, list[float]]) -> list[str]:
    rows = [f"{'':40} {'median':>10} {'least':>10} {'most':>10} {'aim':>10} {'of aim':>8}"]
    for name, aim in AIMS.items():
        median = statistics.median(taken[name])
        cells = " ".join(f"{1000 * value:>7.2f} ms" for value in (median, min(taken[name]), max(taken[name]), aim))
        rows.append(f"{name:40} {cells} {median / aim:>7.2f}x")
    return rows


def main() -> int:
    """Print the table; status 1 if a median misses its aim."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark", description=__doc__)
    parser.add_argument("--runs", type=int, default=5, help="processes of each sort (5)")
    parser.add_argument("--part", choices=list(PARTS), help=argparse.SUPPRESS)
    call = parser.parse_args()
    if call.part:
        print(json.dumps(PARTS[call.part]()))
        return 0
    taken = _gather(call.runs)
    print("\n".join(_table(taken)))
    return int(any(statistics.median(taken[name]) > aim for name, aim in AIMS.items()))


if __name__ == "__main__":
    sys.exit(main())

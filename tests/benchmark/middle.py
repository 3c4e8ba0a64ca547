"""The middle, without a window: the test of every route, and a step of the running bench, for benches of any size.

The time of the processor is measured, so that other programs on the machine do not count.
"""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.proof import prove
from sim.resources import level_path
from sim.session.acts import Direction, Drive, Put
from sim.session.session import Session
from sim.track.formations import KINDS
from tests.benchmark.aims import GROWTH, Taken
from tests.benchmark.memory import peak_bytes
from tests.game.large import station

__all__ = ["growth", "proving", "stepping"]

BENCH = Path(__file__).resolve().parents[1] / "benches" / "clean.toml"
WARM_TESTS = 20
STEPS = 2000
GROWN_WARM_TESTS = 3
GROWN_STEPS = 400


def _open(path: Path) -> Bench:
    return load(path, KINDS)


def _timed(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def _tests(bench: Bench, warm_tests: int) -> tuple[float, list[float]]:
    """One cold test, then warm ones of wirings not tested before: a feeder a little longer each time."""
    cold = _timed(partial(prove, bench))
    warm = []
    for k in range(warm_tests):
        first = dataclasses.replace(bench.wires[0], metres=1.0 + k)
        changed = dataclasses.replace(bench, wires=(first, *bench.wires[1:]))
        warm.append(_timed(partial(prove, changed)))
    return cold, warm


def _steps(bench: Bench, steps: int) -> list[float]:
    """The first train driven to and fro from the toe of T1; building the session is not counted."""
    session = Session(bench)
    train = bench.trains[0].id
    session.step(Session.DT, (Put(train, "T1.toe", 45.0), Drive(train, 0.6), Direction(train, -1)))
    taken = []
    for k in range(steps):
        acts = (Direction(train, 1 if k // 400 % 2 == 0 else -1),) if k % 400 == 399 else ()
        taken.append(_timed(partial(session.step, Session.DT, acts)))
    return taken


def proving() -> Taken:
    """The test of one turnout, wired right, with its scale's standard vehicles."""
    cold, warm = _tests(_open(BENCH), WARM_TESTS)
    return {"cold": [cold], "warm": warm, "peak proving": [peak_bytes()]}


def stepping() -> Taken:
    """A shunter driven to and fro over a wired turnout."""
    bench = dataclasses.replace(_open(BENCH), trains=_open(level_path("right-hand")).trains)
    return {"step": _steps(bench, STEPS)}


def growth() -> Taken:
    """The same for some turnouts in a row, each with its motor, its wires and a road off its other leg."""
    taken: Taken = {}
    for count in GROWTH:
        bench = station(count, straight=count)
        bench = dataclasses.replace(bench, supplies=tuple(dataclasses.replace(s, on=True) for s in bench.supplies))
        cold, warm = _tests(bench, GROWN_WARM_TESTS)
        taken |= {f"cold {count}": [cold], f"warm {count}": warm, f"step {count}": _steps(bench, GROWN_STEPS)}
    return taken | {"peak growth": [peak_bytes()]}

"""The middle, without a window: the test of every route, and a step of the running bench."""

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
from tests.benchmark.aims import AIMS, Taken

__all__ = ["proving", "stepping"]

BENCH = Path(__file__).resolve().parents[1] / "benches" / "clean.toml"
WARM_TESTS = 20
STEPS = 2000


def _open(path: Path) -> Bench:
    return load(path, KINDS)


def _timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def proving() -> Taken:
    """One cold test, then warm ones of wirings not tested before: a feeder a little longer each time."""
    bench = _open(BENCH)
    cold = _timed(partial(prove, bench))
    warm = []
    for k in range(WARM_TESTS):
        first = dataclasses.replace(bench.wires[0], metres=1.0 + k)
        changed = dataclasses.replace(bench, wires=(first, *bench.wires[1:]))
        warm.append(_timed(partial(prove, changed)))
    names = list(AIMS)
    return {names[0]: [cold], names[1]: warm}


def stepping() -> Taken:
    """A shunter driven to and fro over a wired turnout; building the session is not counted."""
    bench = dataclasses.replace(_open(BENCH), trains=_open(level_path("right-hand")).trains)
    session = Session(bench)
    (train,) = [train.id for train in bench.trains]
    session.step(Session.DT, (Put(train, "T1.toe", 45.0), Drive(train, 0.6), Direction(train, -1)))
    taken = []
    for k in range(STEPS):
        acts = (Direction(train, 1 if k // 400 % 2 == 0 else -1),) if k % 400 == 399 else ()
        taken.append(_timed(partial(session.step, Session.DT, acts)))
    return {list(AIMS)[2]: taken}

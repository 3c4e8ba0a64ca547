"""The middle, without a window: the test of every route, and a step of the running bench, for benches of any size.

The time of the processor is measured, so that other programs on the machine do not count.
"""

from __future__ import annotations

import dataclasses
import math
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from sim.bench.model import Bench, Train, Wire
from sim.bench.reading import load
from sim.cli.output import json_document
from sim.proof import prove, to_json
from sim.proof.breaking import break_each, breakable
from sim.proof.prove import OfPiece
from sim.proof.remembered import Remembered
from sim.resources import level_path
from sim.session.acts import Act, Direction, Drive, Put, Throw
from sim.session.session import Session
from sim.track.formations import KINDS
from tests.benchmark.aims import BREAKING, GROWTH, GROWTH_FROM, Taken
from tests.benchmark.memory import peak_bytes
from tests.practice.documents import bench_of
from tests.practice.planks import ladder

__all__ = ["breaking", "breaking_exponent", "grown", "growth_exponent", "proving", "stepping"]

BENCH = Path(__file__).resolve().parents[1] / "benches" / "clean.toml"
WARM_TESTS = 20
STEPS = 2000
GROWN_WARM_TESTS = 5
GROWN_STEPS = 400
TURN_EVERY = 400  # steps
THROW_EVERY = 40  # steps: less than a throw takes, so that some points are always on their way


def _open(path: Path) -> Bench:
    return load(path, KINDS)


def _grown(count: int) -> Bench:
    """A ladder of so many turnouts, fed, each frog on the contact of its own motor, with a train; all of it right."""
    bench = bench_of(ladder(count).wired())
    supplies = tuple(dataclasses.replace(supply, on=True) for supply in bench.supplies)
    return dataclasses.replace(bench, supplies=supplies, trains=(Train("one", ("bogie diesel",), "T1.toe", 45.0),))


def _timed(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def _with_wire(bench: Bench, number: int, wire: Wire) -> Bench:
    return dataclasses.replace(bench, wires=(*bench.wires[:number], wire, *bench.wires[number + 1 :]))


def _longer(bench: Bench, times: int) -> Iterator[Bench]:
    """So many wirings, none tested before: each time another wire is longer."""
    for k in range(times):
        number = k * len(bench.wires) // times
        yield _with_wire(bench, number, dataclasses.replace(bench.wires[number], metres=1.5 + k))


def _elsewhere(bench: Bench, times: int) -> Iterator[Bench]:
    """So many wirings, each wrong: another contact's wire to a stock rail goes to the other one."""
    other = {"left": "right", "right": "left"}
    contacts = [k for k, wire in enumerate(bench.wires) if ".stock." in wire.ends[1] and wire.ends[0][:1] == "M"]
    for k in range(times):
        number = contacts[k * len(contacts) // times]
        wire = bench.wires[number]
        stem, _, side = wire.ends[1].rpartition(".")
        yield _with_wire(bench, number, dataclasses.replace(wire, ends=(wire.ends[0], f"{stem}.{other[side]}")))


def _again(bench: Bench, changed: Iterator[Bench]) -> Iterator[float]:
    """How long the test of each takes, by one that remembers the bench as it was; as the window does it."""
    memory: Remembered[OfPiece] = Remembered()
    for one in changed:
        prove(bench, remembered=memory)
        yield _timed(partial(prove, one, remembered=memory))


def _steps(bench: Bench, steps: int, throws: tuple[str, ...] = ()) -> list[float]:
    """The first train driven to and fro from the toe of T1; building the session is not counted.

    throws: points of which one or another is on its way all the time
    """
    session = Session(bench)
    train = bench.trains[0].id
    session.step(Session.DT, (Put(train, "T1.toe", 45.0), Drive(train, 0.6), Direction(train, -1)))
    taken = []
    for k in range(steps):
        acts: list[Act] = []
        if k % TURN_EVERY == TURN_EVERY - 1:
            acts.append(Direction(train, 1 if k // TURN_EVERY % 2 == 0 else -1))
        if throws and k % THROW_EVERY == 0:
            acts.append(Throw(throws[k // THROW_EVERY % len(throws)]))
        taken.append(_timed(partial(session.step, Session.DT, tuple(acts))))
    return taken


def proving() -> Taken:
    """The test of one turnout, wired right, with its scale's standard vehicles: cold, then after changes of wiring."""
    bench = _open(BENCH)
    cold = _timed(partial(prove, bench))
    changed = [
        _with_wire(bench, 0, dataclasses.replace(bench.wires[0], metres=1.5 + k)) for k in range(WARM_TESTS)
    ]
    warm = [_timed(partial(prove, one)) for one in changed]
    return {"cold": [cold], "warm": warm, "peak proving": [peak_bytes()]}


def stepping() -> Taken:
    """A shunter driven to and fro over a wired turnout."""
    bench = dataclasses.replace(_open(BENCH), trains=_open(level_path("right-hand")).trains)
    return {"step": _steps(bench, STEPS)}


def grown(count: int) -> Taken:
    """All of one ladder: the test cold, its JSON and the most memory; then one wire changed, and steps of the bench."""
    bench = _grown(count)
    start = time.process_time()
    verdict = prove(bench)
    cold = time.process_time() - start
    if not verdict.passed:
        raise RuntimeError("the ladder is not wired right")
    document = json_document(to_json(verdict))
    taken = {f"cold {count}": [cold], f"json {count}": [float(len(document))], f"peak {count}": [peak_bytes()]}
    taken[f"warm {count}"] = list(_again(bench, _longer(bench, GROWN_WARM_TESTS)))
    taken[f"wrong {count}"] = list(_again(bench, _elsewhere(bench, GROWN_WARM_TESTS)))
    taken[f"step {count}"] = _steps(bench, GROWN_STEPS)
    points = tuple(piece.id for piece in bench.tracks if piece.id[:1] == "T")
    taken[f"throw {count}"] = _steps(bench, GROWN_STEPS, points[:: max(1, len(points) // 5)])
    return taken


def growth_exponent(taken: Taken) -> Taken:
    """With which power of the number of turnouts the cold test's time grows, from `GROWTH_FROM` on to the largest."""
    least, most = (taken[f"cold {count}"][0] for count in (GROWTH_FROM, GROWTH[-1]))
    return {"growth": [math.log(most / least) / math.log(GROWTH[-1] / GROWTH_FROM)]}


def breaking(count: int) -> Taken:
    """Everything on a ladder that can break, broken each once."""
    bench = _grown(count)
    things = len(breakable(bench))
    start = time.process_time()
    for _ in break_each(bench):
        pass
    seconds = time.process_time() - start
    return {f"break {count}": [seconds / things], f"things {count}": [float(things)]}


def breaking_exponent(taken: Taken) -> Taken:
    """With which power of the number of things the whole time grows, from the smallest ladder to the largest."""
    few, many = (taken[f"things {count}"][0] for count in (BREAKING[0], BREAKING[-1]))
    least, most = (taken[f"break {count}"][0] for count in (BREAKING[0], BREAKING[-1]))
    return {"breaking": [math.log(most * many / (least * few)) / math.log(many / few)]}

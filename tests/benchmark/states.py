"""The contact states of one turnout's test, solved by the program in batches and by ngspice one by one.

Both are taken from circuits that stand ready: the program from the bench's own, factored anew each time, to what the
supply gives, what is across the pick-ups and what comes from every rail; ngspice to the volts of every node. Equal
answers come first.
"""

from __future__ import annotations

import gc
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.electric.circuit import Circuit
from sim.proof.meeting import Meeting
from sim.proof.subject import Subject
from sim.track.formations import KINDS
from sim.wiring.wheels import pickup_nodes
from tests.benchmark.aims import Taken
from tests.proof.runs import Met, Piece
from tests.reference.spice import Answer, timed

__all__ = ["solving"]

BENCH = Path(__file__).resolve().parents[1] / "benches" / "clean.toml"
REPEATS = 50  # of an operating point in ngspice
PASSES = 200  # of all states in the program
EQUAL = 1e-6  # of a volt, and of the volts or amperes
FLOATS = 2e-5  # V left on what floats: every node of ours leads to the zero by a gigaohm


def _states(piece: Piece) -> Iterator[Met]:
    """Every situation with its points set, once."""
    seen: set[tuple[int, int]] = set()
    for met in piece.every():
        key = (id(met.outcome), met.row)
        if key not in seen:
            seen.add(key)
            yield met


def _whole(states: Sequence[Met]) -> list[Circuit]:
    """Each as a whole circuit, with the load lifted out and with the vehicle running."""
    return [met.circuit(running=running) for met in states for running in (False, True)]


def _fresh(bench: Bench, piece: Piece) -> Meeting:
    """The same with its circuit ready, of which nothing is worked out yet."""
    subject = Subject(bench, piece.layout)
    subject.stand(piece.subject.base)
    return Meeting(subject, piece.meeting.piece, replace(piece.sweep), piece.meeting.slots)


def solving() -> Taken:
    """States solved in a second by both, and how many times as many the program solves. Raises if they differ."""
    bench = load(BENCH, KINDS)
    pieces = [Piece(bench, piece.id) for piece in bench.tracks]
    states = [met for piece in pieces for met in _states(piece)]
    spice, spice_seconds = timed(_whole(states), REPEATS)
    _compare(bench, states, spice)
    gc.collect()
    gc.freeze()  # what the comparison left behind is no work of the solving
    taken = []
    for _ in range(PASSES):
        fresh = [_fresh(bench, piece) for piece in pieces]
        start = time.process_time()
        for meeting in fresh:
            assert meeting.cases
        taken.append((time.process_time() - start) / len(spice))
    return {
        "states": [1 / seconds for seconds in taken],
        "spice states": [1 / spice_seconds],
        "states ratio": [spice_seconds / seconds for seconds in taken],
    }


def _compare(bench: Bench, states: Sequence[Met], spice: Sequence[Answer]) -> None:
    (supply,) = bench.supplies
    left, right = pickup_nodes("test:0")
    for met, lifted, running in zip(states, spice[0::2], spice[1::2], strict=True):
        lost = supply.volts - (lifted.volts[supply.a] - lifted.volts[supply.b])  # in the supply
        amps = min(abs(lost) / supply.source_ohms, supply.most_amps)
        pairs = [("amps", float(met.outcome.amps[met.row]), amps, EQUAL * supply.volts / supply.source_ohms)]
        if met.item.vehicles[0].draws_amps:
            across = abs(running.volts[left] - running.volts[right])
            pairs.append(("volts", float(met.outcome.volts[met.row, 0]), across, FLOATS))
        for what, ours, theirs, least in pairs:
            if not math.isclose(ours, theirs, rel_tol=EQUAL, abs_tol=least):
                raise RuntimeError(f"{met.item.name}: {ours} {what}, but ngspice finds {theirs}")

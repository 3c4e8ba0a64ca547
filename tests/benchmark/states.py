"""The contact states of one turnout's test, solved by the program in batches and by ngspice one by one.

Both are taken from circuits that stand ready, to the volts of every node, and the program to the current in every part
too. Equal answers come first.
"""

from __future__ import annotations

import gc
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.electric.circuit import Circuit
from sim.electric.fold import fold, solve_states
from sim.proof.judge import Judge
from sim.proof.settings import filed
from sim.proof.states import Batch, Direction, contact_states
from sim.proof.subject import PICKUPS, Subject
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.train.fleet import tested
from sim.wiring.wheels import load_ohms
from tests.benchmark.aims import Taken
from tests.reference.spice import Answer, timed

__all__ = ["solving"]

BENCH = Path(__file__).resolve().parents[1] / "benches" / "clean.toml"
DIRECTIONS: tuple[Direction, ...] = ("forward", "backward")
REPEATS = 50  # of an operating point in ngspice
PASSES = 200  # of all states in the program
EQUAL = 1e-6  # of a volt, and of the volts


@dataclass(frozen=True, eq=False)
class _Path:
    """All states on one path, each with the load lifted out and with the vehicle running.

    extra: (2 x states, ports, ports) siemens that each adds to the circuit with nothing on the track
    """

    judge: Judge
    batch: Batch
    extra: NDArray[np.float64]

    def fresh(self) -> Circuit:
        """The circuit with nothing on the track, of which nothing is worked out yet."""
        bare = self.judge.circuit()
        return Circuit(bare.nodes, bare.parts)

    def solved(self, circuit: Circuit) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Volts of every node and amperes in every part: (states, nodes), (states, parts)."""
        folded = fold(circuit, (*self.batch.nodes, *PICKUPS))
        volts = folded.everywhere(solve_states(folded, self.extra))
        return volts, circuit.branches.flow(volts)

    def whole(self) -> Iterator[Circuit]:
        """Every state as a whole circuit with the vehicle in it, in the order of `extra`."""
        for running in (False, True):
            for vehicle, _, states in self.batch.runs:
                for k in range(states.count):
                    yield self.judge.circuit(0, [self.judge.standing(states, k, vehicle, running=running)])


def _paths(bench: Bench) -> Iterator[_Path]:
    layout = Layout(bench)
    volts = max(supply.volts for supply in bench.supplies)
    for piece in bench.tracks:
        for index in range(len(layout.geometry(piece.id).tracks)):
            travel = {**filed(bench), **layout.set_for(piece.id, index)}
            vehicles = tested(bench, layout.scale(piece.id).name)
            batch = contact_states(layout, travel, piece.id, index, vehicles, DIRECTIONS)
            if batch is None:
                continue
            loads = np.concatenate([np.full(s.count, 1 / load_ohms(v, volts)) for v, _, s in batch.runs])
            lifted = np.concatenate([states.stamp for _, _, states in batch.runs])
            loaded = lifted.copy()
            loaded[:, -2, -1] -= loads
            loaded[:, -1, -2] -= loads
            yield _Path(Judge(Subject(bench, layout), travel), batch, np.concatenate([lifted, loaded]))


def solving() -> Taken:
    """States solved in a second by both, and how many times as many the program solves. Raises if they differ."""
    paths = list(_paths(load(BENCH, KINDS)))
    spice, spice_seconds = timed([circuit for path in paths for circuit in path.whole()], REPEATS)
    _compare(paths, spice)
    gc.collect()
    gc.freeze()  # what the comparison left behind is no work of the solving
    taken = []
    for _ in range(PASSES):
        fresh = [path.fresh() for path in paths]
        start = time.process_time()
        for path, circuit in zip(paths, fresh, strict=True):
            path.solved(circuit)
        taken.append((time.process_time() - start) / len(spice))
    return {
        "states": [1 / seconds for seconds in taken],
        "spice states": [1 / spice_seconds],
        "states ratio": [spice_seconds / seconds for seconds in taken],
    }


def _compare(paths: Sequence[_Path], spice: Sequence[Answer]) -> None:
    theirs = iter(answer.volts for answer in spice)
    for path in paths:
        names = path.fresh().nodes
        ours, _ = path.solved(path.fresh())
        for row in ours:
            told = next(theirs)
            for name, volts in zip(names, row.tolist(), strict=True):
                # rails of the vehicle that nothing touches are no part of the whole circuit
                if not math.isclose(volts, told.get(name, volts), rel_tol=EQUAL, abs_tol=EQUAL):
                    raise RuntimeError(f"{name}: {volts} V, but ngspice finds {told[name]} V")

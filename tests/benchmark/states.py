"""The contact states of one turnout's test, solved by the program in batches and by ngspice one by one.

Both are taken from circuits that stand ready, to the volts of every node, and the program to the current in every part
too, as the test does: a factor of the bench, the bench as seen from the rails under the wheels, every state in that.
Equal answers come first.
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
from sim.electric.factor import Factor, solve_reduced
from sim.proof.meeting import Case, Meeting
from sim.proof.subject import Subject
from sim.proof.sweep import Item, Run
from sim.proof.sweeping import swept
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.train.fleet import tested
from sim.wiring.switched import with_standing
from sim.wiring.wheels import Standing, load_ohms, pickup_nodes
from tests.benchmark.aims import Taken
from tests.reference.spice import Answer, grounds, timed

__all__ = ["solving"]

BENCH = Path(__file__).resolve().parents[1] / "benches" / "clean.toml"
REPEATS = 50  # of an operating point in ngspice
PASSES = 200  # of all states in the program
EQUAL = 1e-6  # of a volt, and of the volts

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class _Path:
    """All states with the levers in one way, each with the load lifted out and with the vehicle running.

    nodes: (ports,) the rails that are touched, by their sorted numbers
    extra: (states, ports + 2, ..) S that each vehicle, its load lifted out, adds; its pick-up rails come last
    draws: (states,) S of each one's load
    standing: (states,) the same vehicles, loads lifted out
    """

    subject: Subject
    made: frozenset[int]
    nodes: Ints
    extra: Floats
    draws: Floats
    standing: tuple[Standing, ...]

    def fresh(self) -> Circuit:
        """The circuit with nothing on the track, its switches just made: of those nothing is worked out yet."""
        switched = self.subject.switched
        return switched.bare.closed({place: switched.switches[place].part for place in sorted(self.made)})

    def solved(self, circuit: Circuit) -> tuple[Floats, Floats, Floats]:
        """Volts of every node and of the pick-up rails, amperes in every part.

        (2 x states, nodes), (.., 2) and (.., parts): first all with the loads lifted out, then all running.
        """
        factor = Factor(circuit)
        reduced = factor.reduced(self.nodes)
        pushed = np.zeros(len(self.nodes) + 2)
        pushed[-2:] = 1.0, -1.0
        found = solve_reduced(reduced, self.extra, 0, pushed)
        lifted, answer = found[:, :, 0], found[:, :, 1]
        open_volts, ohms = lifted[:, -2] - lifted[:, -1], answer[:, -2] - answer[:, -1]
        amps = self.draws * open_volts / (1.0 + self.draws * ohms)
        both = np.concatenate((lifted, lifted - amps[:, None] * answer))
        volts = self._everywhere(circuit, factor, both)
        return volts, both[:, -2:], circuit.branches.flow(volts)

    def _everywhere(self, circuit: Circuit, factor: Factor, volts: Floats) -> Floats:
        """(.., nodes) volts of every node from those of the ports: what the wheels put in does the rest."""
        two = volts.reshape(2, *self.extra.shape[:2]).transpose(1, 2, 0)  # (states, ports + 2, lifted and running)
        put = (self.extra[:, : len(self.nodes)] @ two).transpose(2, 0, 1).reshape(len(volts), -1)
        every = factor.own[:, 0] - put @ factor.columns(self.nodes).T
        islands = circuit.branches.group
        offset = np.zeros((len(every), len(islands)))
        _, first = np.unique(islands[self.nodes], return_index=True)
        for port in first.tolist():  # an island's zero is where a state has it
            node = self.nodes[port]
            offset[:, islands[node]] = volts[:, port] - every[:, node]
        return np.asarray(every + offset[:, islands])

    def whole(self) -> Iterator[Circuit]:
        """Every state as a whole circuit with the vehicle in it, in the order of the answers."""
        bare = self.subject.switched.circuit(self.made)
        for running in (False, True):
            for one in self.standing:
                ohms = load_ohms(one.vehicle, self.subject.volts) if running else math.inf
                yield with_standing(bare, [Standing(one.name, one.vehicle, one.axles, ohms)])


def _paths(bench: Bench) -> Iterator[_Path]:
    layout = Layout(bench)
    subject = Subject(bench, layout)
    for piece in bench.tracks:
        items = tuple(Item(v.name, (v,), (v.axles_mm,)) for v in tested(bench, layout.scale(piece.id).name))
        sweep, slots, _ = swept(layout, piece.id, items)
        if sweep is not None:
            meeting = Meeting(subject, piece.id, sweep, slots)
            for case in meeting.cases:
                yield _path(subject, meeting, case)


def _path(subject: Subject, meeting: Meeting, case: Case) -> _Path:
    sweep = meeting.sweep
    columns = np.array(sweep.touched[case.need], dtype=np.intp)
    columns = columns[np.argsort(meeting.nodes[columns])]
    nodes = meeting.nodes[columns]
    if len(np.unique(nodes)) < len(nodes):
        raise RuntimeError("two of the rails that are touched are one")
    circuits = sweep.situations[case.rows, 0]
    mine = np.concatenate((columns, len(sweep.columns) + np.arange(2)))
    extra = sweep.stamp[circuits[:, None, None], mine[:, None], mine]
    standing = tuple(_standing(meeting, int(q)) for q in case.rows)
    draws = np.array([1.0 / load_ohms(one.vehicle, subject.volts) for one in standing])
    made = subject.switched.made(subject.travel(case.under))
    return _Path(subject, made, nodes, extra, draws, standing)


def _standing(meeting: Meeting, situation: int) -> Standing:
    """The vehicle in a situation, at the first place where it stands so, its sides as in the situation's circuit."""
    for run in meeting.sweep.runs:
        cells = np.flatnonzero(run.situation == situation)
        if len(cells):
            return _at(meeting, run, int(cells[0]))
    raise RuntimeError("a situation that is nowhere on the runs")


def _at(meeting: Meeting, run: Run, cell: int) -> Standing:
    vehicle = meeting.sweep.items[run.item].vehicles[0]
    axles = []
    for row in run.touches[run.state[cell]]:
        left, right = (frozenset(meeting.names[k] for k in np.flatnonzero(side).tolist()) for side in row)
        axles.append((left, right))
    return Standing("turned:0" if run.turned[cell] else "test:0", vehicle, tuple(axles))


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
    theirs = iter(spice)
    for path in paths:
        every, pickups, _ = path.solved(path.fresh())
        names = path.fresh().nodes
        for number, (whole, row, ends) in enumerate(zip(path.whole(), every.tolist(), pickups.tolist(), strict=True)):
            standing = path.standing[number % len(path.standing)]
            ours = dict(zip(names, row, strict=True))
            left, right = pickup_nodes(standing.name)
            ours[left], ours[right] = ends[::-1] if standing.name.startswith("turned") else ends
            _compare_state(whole, ours, next(theirs))


def _compare_state(whole: Circuit, ours: dict[str, float], answer: Answer) -> None:
    """Every node beside the one of its island that is at 0 V in ngspice."""
    group = whole.branches.group
    zero = {int(group[whole.index[node]]): ours[node] for node in grounds(whole) if node in ours}
    for name, volts in ours.items():
        island = int(group[whole.index[name]])
        if island not in zero:
            raise RuntimeError(f"{name}: no zero")
        told = answer.volts[name]
        if not math.isclose(volts - zero[island], told, rel_tol=EQUAL, abs_tol=EQUAL):
            raise RuntimeError(f"{name}: {volts - zero[island]} V, but ngspice finds {told} V")

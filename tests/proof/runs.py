"""The runs of a test laid open for the tests: every situation of a piece's sweep, with what the test makes of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from sim.bench.model import Bench
from sim.electric.circuit import Circuit
from sim.proof.against import trailing
from sim.proof.meeting import Case, Meeting, Outcome
from sim.proof.quiet import clean_base, with_nothing
from sim.proof.subject import Subject
from sim.proof.sweep import Item, Run, Sweep
from sim.proof.sweeping import swept
from sim.proof.verdict import Finding
from sim.track.layout import Layout
from sim.train import fleet
from sim.wiring.switched import with_standing
from sim.wiring.wheels import Standing, load_ohms

__all__ = ["Met", "Piece", "lone", "trailing_on"]


def lone(bench: Bench, scale: str) -> tuple[Item, ...]:
    """Every vehicle of a test, each alone."""
    return tuple(Item(v.name, (v,), (v.axles_mm,)) for v in fleet.tested(bench, scale))


@dataclass(frozen=True, eq=False)
class Met:
    """One situation that a run meets, with the levers in one way: the test's answer and the whole circuit.

    row: its place in the outcome's arrays; touches: (axles, 2, columns) bool, the sides the vehicle's own
    """

    piece: Piece
    run: Run
    settings: Mapping[str, str]
    outcome: Outcome
    row: int
    state: int

    @property
    def item(self) -> Item:
        """What is run."""
        return self.piece.sweep.items[self.run.item]

    def standing(self, *, running: bool) -> Standing:
        """The vehicle as it stands, one that is run alone."""
        (vehicle,) = self.item.vehicles
        axles = tuple(self.piece.rails(self.run, self.state))
        ohms = load_ohms(vehicle, self.piece.subject.volts) if running else math.inf
        return Standing("test:0", vehicle, axles, ohms)

    def circuit(self, *, running: bool) -> Circuit:
        """The whole circuit with the vehicle in it."""
        return with_standing(self.piece.subject.circuit(self.settings), [self.standing(running=running)])


class Piece:
    """A piece of a bench with its sweep and what comes of it."""

    def __init__(self, bench: Bench, piece: str, items: tuple[Item, ...] | None = None) -> None:
        self.layout = Layout(bench)
        self.subject = Subject(bench, self.layout)
        base, self.clean = clean_base(with_nothing(self.subject))
        self.subject.stand(base)
        sweep, slots, self.more = swept(self.layout, piece, items or lone(bench, self.layout.scale(piece).name))
        if sweep is None:
            raise ValueError(f"no run finds room on {piece}")
        self.sweep: Sweep = sweep
        self.meeting = Meeting(self.subject, piece, sweep, slots)
        self.cases: dict[int, list[Case]] = {}
        for case in self.meeting.cases:
            self.cases.setdefault(case.need, []).append(case)

    def rails(self, run: Run, state: int) -> Iterator[tuple[frozenset[str], frozenset[str]]]:
        """Of each axle the nodes under its left and its right wheel, as the vehicle has them."""
        for row in run.touches[state]:
            left, right = (frozenset(self.meeting.names[k] for k in np.flatnonzero(side).tolist()) for side in row)
            yield left, right

    def met(self, run: Run, cell: int) -> Iterator[Met]:
        """What is met in a cell of a run, with the levers off the run in every combination."""
        situation = int(run.situation[cell])
        for case in self.cases.get(int(self.sweep.situations[situation, 1]), ()):
            (row,) = np.flatnonzero(case.rows == situation).tolist()
            for combination, outcome in zip(case.combinations, case.outcomes, strict=True):
                settings = {**case.under, **combination}
                yield Met(self, run, settings, outcome, int(row), int(run.state[cell]))

    def every(self) -> Iterator[Met]:
        """Each state of each run in each situation once, points set for the run or against it."""
        for run in self.sweep.runs:
            pairs = np.stack([run.state, run.situation], axis=1)
            _, cells = np.unique(pairs, axis=0, return_index=True)
            for cell in cells.tolist():
                yield from self.met(run, cell)


def trailing_on(bench: Bench, piece: str) -> dict[tuple[str, str], list[Finding]]:
    """What is told of points set against a train on each track of a piece by itself; a verdict tells it once."""
    one = Piece(bench, piece)
    found = {}
    for track, path in enumerate(one.layout.geometry(piece).tracks):
        mine = replace(one.sweep, runs=tuple(run for run in one.sweep.runs if run.track == track))
        ends = f"{piece}.{path.ends[0]}", f"{piece}.{path.ends[1]}"
        found[ends] = trailing(Meeting(one.subject, piece, mine, one.meeting.slots))
    return found

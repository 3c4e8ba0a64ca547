"""Fault currents and pick-up volts of one setting of a bench: with nothing on the track, and for a vehicle.

A bench with automatic polarity relays is solved in each of their throws: a fault stands only where no throw that the
relays really make clears it (model.md section 4).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Vehicle
from sim.electric.circuit import Circuit
from sim.electric.fold import Folded, fold, fold_each, solve_states
from sim.electric.parts import PartRef
from sim.proof.around import Around
from sim.proof.faults import HOT_AMPS, Quiet
from sim.proof.states import Batch, States
from sim.proof.subject import GHOST, PICKUPS, Subject
from sim.wiring.build import with_standing
from sim.wiring.wheels import Standing, load_ohms

__all__ = ["Judge", "Outcome"]

_ALIKE = 1e-6  # currents that differ by less, in amperes or parts, are alike: the first rail by name is told
_BETTER = 1e-6  # V: so much more under turned relays is no rounding


@dataclass(frozen=True, eq=False)
class Outcome:
    """What each state of a vehicle does, arrays over the states.

    fault: 0 nothing, 1 hot, 2 short; amps: fault current; supply: which supply it is of (index)
    volts: across the pick-ups with the vehicle running (NaN for one that draws nothing); open_volts: with its load
        lifted out, so those of the supply that it runs from
    rated: (states, rated parts) amps that the breaker lets stand, fault or load
    lifted, running: (states, nodes + 2) volts of the rails and the pick-ups, the load lifted out and with it
    branch: (states, axles, 2, nodes + 2) siemens of each wheel's branches
    """

    fault: NDArray[np.int8]
    amps: NDArray[np.float64]
    supply: NDArray[np.intp]
    volts: NDArray[np.float64]
    open_volts: NDArray[np.float64]
    rated: NDArray[np.float64]
    lifted: NDArray[np.float64]
    running: NDArray[np.float64]
    branch: NDArray[np.float64]

    @cached_property
    def crossed(self) -> NDArray[np.intp]:
        """(states, 2) the rails, as places in the states' nodes, by which most of a fault's current enters and leaves
        the vehicle's metal."""
        return _crossed(self.branch, self.lifted)

    @cached_property
    def load_crossed(self) -> NDArray[np.intp]:
        """The same for the running current."""
        return _crossed(self.branch, self.running)


def _crossed(branch: NDArray[np.float64], volts: NDArray[np.float64]) -> NDArray[np.intp]:
    """The rail by which most current enters the vehicle's metal, and that by which most leaves it; (states, 2)."""
    total = branch.sum(axis=3)
    sums = np.einsum("sawp,sp->saw", branch, volts)
    wheel = np.divide(sums, total, out=np.zeros_like(sums), where=total > 0)
    net = np.einsum("sawp,sp->sp", branch, volts) - np.einsum("sawp,saw->sp", branch, wheel)
    most = np.stack([net[:, :-2], -net[:, :-2]], axis=1)
    alike = most >= most.max(axis=2, keepdims=True) * (1 - _ALIKE) - _ALIKE
    return np.asarray(alike.argmax(axis=2), dtype=np.intp)


@dataclass(frozen=True, eq=False)
class _Solved:
    """The states of a batch solved; `distinct`: (distinct, nodes + 2) volts."""

    folded: Folded
    batch: Batch
    distinct: NDArray[np.float64]

    @cached_property
    def volts(self) -> NDArray[np.float64]:
        """Volts of the rails and the pick-ups, (states, nodes + 2)."""
        return self.batch.port_volts(self.distinct)

    def amps(self, places: NDArray[np.intp]) -> NDArray[np.float64]:
        """The size of the current in the parts at these places, (states, parts)."""
        return np.abs(self.folded.flow(self.distinct, places))[self.batch.distinct]


class Judge:
    """One setting of a bench, ready to be solved for whatever stands on it."""

    def __init__(self, subject: Subject, travel: Mapping[str, float], around: Around | None = None) -> None:
        """`around`: the bench with this setting among others, where it is folded already."""
        self.subject = subject
        self.bench = subject.bench
        self.travel = travel
        self._around = around
        self._made = tuple(subject.harness.made(travel, throw) for throw in subject.throws)
        self._folds: dict[tuple[int, tuple[str, ...]], Folded] = {}

    def made(self, throw: int = 0) -> frozenset[int]:
        """The switches that are made in one throw of the relays; see `Harness`."""
        return self._made[throw]

    def circuit(self, throw: int = 0, standing: Sequence[Standing] = ()) -> Circuit:
        """The circuit in one throw of the relays, with what stands on the track."""
        bare = self.subject.harness.circuit(self._made[throw])
        return with_standing(bare, standing) if standing else bare

    def _turns(self, throw: int, relay_amps: Mapping[str, float], supply: str) -> bool:
        """Whether every relay that this throw turns would turn at these currents, before the breaker opens."""
        trip = next(s.trip_seconds for s in self.bench.supplies if s.id == supply)
        return all(
            relay_amps[relay.id] >= relay.turns_at_amps and relay.turn_seconds < trip
            for relay in self.bench.polarities
            if self.subject.throws[throw][relay.id] == "b"
        )

    def quiet(self, standing: Sequence[Standing] = ()) -> Quiet:
        """Solved with nothing on the track, or with just these vehicles on it."""
        calm = self._around is not None and not standing and self.made() in self._around.calm
        first = Quiet(self.bench, self.circuit(0, standing), self.subject.throws[0], calm)
        if first.fault is None:
            return first
        amps = first.solution.amps
        relay_amps = {unit.id: abs(amps.get(PartRef("unit", unit.id, ("a",)), 0.0)) for unit in self.bench.polarities}
        for throw in range(1, len(self.subject.throws)):
            turned = Quiet(self.bench, self.circuit(throw, standing), self.subject.throws[throw])
            if turned.fault is None and self._turns(throw, relay_amps, first.fault[1]):
                return turned
        return first

    def _fold(self, throw: int, nodes: tuple[str, ...]) -> Folded:
        key = (throw, nodes)
        if key not in self._folds:
            ports = (*nodes, *PICKUPS)
            if self._around is not None:
                self._folds[key] = self._around.fold(self.made(throw), ports)
            else:
                self._folds[key] = fold(self.circuit(throw), ports)
        return self._folds[key]

    def prepare(self, node_sets: Sequence[tuple[str, ...]]) -> None:
        """Fold the circuit at once for several paths, each with the rails that are touched on it; forget the others."""
        new = list(dict.fromkeys(node_sets))
        ports = [(*nodes, *PICKUPS) for nodes in new]
        self._folds.clear()
        for nodes, folded in zip(new, fold_each(self.circuit(), ports), strict=True):
            self._folds[0, nodes] = folded

    def _solve(self, throw: int, batch: Batch, loads: NDArray[np.float64] | None = None) -> _Solved:
        """Every state solved.

        Args:
            loads: siemens between the pick-up rails of each run's vehicle; left out, every load is lifted out.
        """
        extra = batch.stamp
        if loads is not None:
            extra = extra.copy()
            extra[:, -2, -1] -= loads[batch.vehicle]
            extra[:, -1, -2] -= loads[batch.vehicle]
        folded = self._fold(throw, batch.nodes)
        return _Solved(folded, batch, solve_states(folded, extra))

    def _faults(self, amps: NDArray[np.float64]) -> tuple[NDArray[np.int8], NDArray[np.float64], NDArray[np.intp]]:
        """From the supplies' amps: 0, 1 hot or 2 short; the worst supply's amps; which supply."""
        level = np.where(amps >= self.subject.trips, 2, np.where(amps > HOT_AMPS, 1, 0)).astype(np.int8)
        which = np.argmax(level * 1e9 + amps, axis=1)
        rows = np.arange(len(level))
        return level[rows, which], amps[rows, which], which.astype(np.intp)

    def outcomes(self, batch: Batch, *, running: bool = True) -> list[Outcome]:
        """Every state of every run solved: loads lifted out for the faults, then with the vehicles running.

        Args:
            running: False for the faults alone, with no volts told.
        """
        subject = self.subject
        draws = np.array([1 / load_ohms(vehicle, subject.volts) for vehicle, _, _ in batch.runs])
        lifted = self._solve(0, batch)
        fault, amps, which = self._faults(lifted.amps(subject.supplies))
        throw = np.zeros(len(fault), dtype=np.intp)
        rated = np.zeros((len(fault), len(subject.rated)))
        if (fault == 1).any():
            rated = np.where((fault == 1)[:, None], lifted.amps(subject.rated), rated)
        held = self._relays(batch, lifted, fault, which, throw) if len(subject.throws) > 1 and fault.any() else {}
        shown, idle = np.full(len(fault), np.nan), np.zeros(len(fault))
        loaded = lifted.volts.copy()
        for k in np.unique(throw) if running else ():
            rows = throw == k
            run = self._solve(int(k), batch, draws)
            across = np.abs(run.volts[:, -2] - run.volts[:, -1])
            if k:  # at rest is solved first
                rows |= held[int(k)] & (across > shown + _BETTER)
            shown[rows] = across[rows]
            open_volts = (self._solve(int(k), batch) if k else lifted).volts
            idle[rows] = np.abs(open_volts[rows, -2] - open_volts[rows, -1])
            loaded[rows] = run.volts[rows]
            calm = rows & (fault < 2)
            rated[calm] = np.maximum(rated[calm], run.amps(subject.rated)[calm])
        volts = lifted.volts
        loads = np.repeat(draws, [states.count for _, _, states in batch.runs])
        shown[loads == 0.0] = np.nan
        return [
            Outcome(fault[r], amps[r], which[r], shown[r], idle[r], rated[r], volts[r], loaded[r], states.branch)
            for r, (_, _, states) in zip(batch.rows, batch.runs, strict=True)
        ]

    def _relays(
        self, batch: Batch, lifted: _Solved, fault: NDArray[np.int8], which: NDArray[np.intp],
        throw: NDArray[np.intp],
    ) -> dict[int, NDArray[np.bool_]]:  # fmt: skip
        """Clears, in place, the faults that a throw of the relays clears, and notes the throw.

        Returns for each throw the states, (states,) bool, into which a vehicle can bring it: those without a fault
        at rest or in the throw, of runs on which the relays turn so. Turned over, they stay so until a fault turns
        them back.
        """
        ids = [relay.id for relay in self.bench.polarities]
        at_rest = lifted.amps(self.subject.coils)
        standing = fault > 0
        held: dict[int, NDArray[np.bool_]] = {}
        for k in range(1, len(self.subject.throws)):
            clean = self._faults(self._solve(k, batch).amps(self.subject.supplies))[0] == 0
            for row in np.flatnonzero(standing & clean):
                amps = dict(zip(ids, at_rest[row].tolist(), strict=True))
                if self._turns(k, amps, self.bench.supplies[which[row]].id):
                    fault[row], throw[row], standing[row] = 0, k, False
            held[k] = clean & (fault == 0) & (throw == 0)
            for rows in batch.rows:
                held[k][rows] &= bool((throw[rows] == k).any())
        return held

    def standing(self, states: States, state: int, vehicle: Vehicle, *, running: bool) -> Standing:
        """One state as a vehicle on the track, to be solved whole and explained."""
        axles = tuple(
            (
                frozenset(node for node, on in zip(states.nodes, touched[0], strict=True) if on),
                frozenset(node for node, on in zip(states.nodes, touched[1], strict=True) if on),
            )
            for touched in states.touches[state]
        )
        return Standing(GHOST, vehicle, axles, load_ohms(vehicle, self.subject.volts) if running else math.inf)

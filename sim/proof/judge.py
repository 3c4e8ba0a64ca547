"""Fault currents and pick-up volts of one setting of a bench: with nothing on the track, and for a vehicle.

A bench with automatic polarity relays is solved in each of their throws: a fault stands only where no throw that the
relays really make clears it (model.md section 4).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Bench, Vehicle
from sim.electric.circuit import Circuit
from sim.electric.fold import Folded, fold, fold_each, solve_states
from sim.electric.solve import Solution, solve
from sim.proof.states import Batch, States
from sim.track.layout import Layout
from sim.wiring.build import circuit, ratings
from sim.wiring.wheels import Standing, load_ohms, pickup_nodes

__all__ = ["HOT_AMPS", "Judge", "Outcome", "Quiet", "worst"]

HOT_AMPS = 0.1  # a fault current above this that opens no breaker burns something (model.md section 5)
_MOST_RELAYS = 4  # every throw of so many relays together; of more, one at a time
_GHOST = "test:0"  # the vehicle under test, by the name that its pick-up rails get
_ALIKE = 1e-6  # currents that differ by less, in amperes or parts, are alike: the first rail by name is told
_BETTER = 1e-6  # V: so much more under turned relays is no rounding

Relays = Mapping[str, str]


def worst(bench: Bench, amps: Mapping[str, float]) -> tuple[str, str, float] | None:
    """The fault that these supply currents are: ("short" or "hot", supply id, amps), or None."""
    found: tuple[str, str, float] | None = None
    for supply in bench.supplies:
        current = abs(amps[supply.id])
        if current >= supply.trip_amps:
            if found is None or found[0] == "hot" or current > found[2]:
                found = ("short", supply.id, current)
        elif current > HOT_AMPS and (found is None or (found[0] == "hot" and current > found[2])):
            found = ("hot", supply.id, current)
    return found


@dataclass(frozen=True)
class Quiet:
    """A circuit with nothing on the track: its solution and its fault, if any; `relays` is the throw that stands."""

    circuit: Circuit
    solution: Solution
    fault: tuple[str, str, float] | None
    relays: Relays


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


class Judge:
    """One setting of a bench, ready to be solved for whatever stands on it."""

    def __init__(
        self, bench: Bench, layout: Layout, travel: Mapping[str, float], opened: frozenset[str] = frozenset()
    ) -> None:
        """`opened`: names of parts that are taken to be broken."""
        self.bench = bench
        self.layout = layout
        self.travel = travel
        self.opened = opened
        self.throws = self._throws()
        self.ratings = ratings(bench)
        self._folds: dict[tuple[int, tuple[str, ...]], Folded] = {}
        self._circuits: dict[int, Circuit] = {}
        self._ghosted: dict[int, Circuit] = {}
        self._watched: dict[int, NDArray[np.intp]] = {}
        supplies, rated = len(bench.supplies), len(self.ratings)
        self._watch = (
            *(f"supply:{supply.id}" for supply in bench.supplies),
            *(rating.ref for rating in self.ratings),
            *(f"relay:{relay.id}:a" for relay in bench.polarities),
        )
        self._supplies, self._rated = slice(0, supplies), slice(supplies, supplies + rated)
        self._relay_coils = slice(supplies + rated, None)

    def _throws(self) -> tuple[Relays, ...]:
        ids = [relay.id for relay in self.bench.polarities]
        if len(ids) <= _MOST_RELAYS:
            every = itertools.product("ab", repeat=len(ids))
            return tuple(dict(zip(ids, throw, strict=True)) for throw in sorted(every, key=lambda t: t.count("b")))
        rest = dict.fromkeys(ids, "a")
        return (rest, *({**rest, one: "b"} for one in ids))

    def circuit(self, throw: int = 0, standing: Sequence[Standing] = ()) -> Circuit:
        """The circuit in one throw of the relays, with what stands on the track."""
        if standing or throw not in self._circuits:
            net = circuit(
                self.bench,
                self.layout,
                self.travel,
                relays=self.throws[throw],
                standing=standing,
                opened=self.opened,
            )
            if standing:
                return net
            self._circuits[throw] = net
        return self._circuits[throw]

    def _turns(self, throw: int, relay_amps: Mapping[str, float], supply: str) -> bool:
        """Whether every relay that this throw turns would turn at these currents, before the breaker opens."""
        trip = next(s.trip_seconds for s in self.bench.supplies if s.id == supply)
        return all(
            relay_amps[relay.id] >= relay.turns_at_amps and relay.turn_seconds < trip
            for relay in self.bench.polarities
            if self.throws[throw][relay.id] == "b"
        )

    def quiet(self, standing: Sequence[Standing] = ()) -> Quiet:
        """Solved with nothing on the track, or with just these vehicles on it."""
        first: Quiet | None = None
        for throw in range(len(self.throws)):
            net = self.circuit(throw, standing)
            solution = solve(net)
            amps = {supply.id: solution.amps[f"supply:{supply.id}"] for supply in self.bench.supplies}
            answer = Quiet(net, solution, worst(self.bench, amps), self.throws[throw])
            if first is None:
                first = answer
                if first.fault is None:
                    return first
                relay_amps = {r.id: abs(solution.amps.get(f"relay:{r.id}:a", 0.0)) for r in self.bench.polarities}
                supply = first.fault[1]
            elif answer.fault is None and self._turns(throw, relay_amps, supply):
                return answer
        if first is None:  # there is always the throw at rest
            raise RuntimeError("a bench without a throw of its relays")
        return first

    def _fold(self, throw: int, nodes: tuple[str, ...]) -> Folded:
        key = (throw, nodes)
        if key not in self._folds:
            self._folds[key] = fold(self._with_pickups(throw), (*nodes, *pickup_nodes(_GHOST)))
        return self._folds[key]

    def _with_pickups(self, throw: int) -> Circuit:
        """The circuit with the two pick-up rails of the vehicle under test, which nothing touches yet."""
        if throw not in self._ghosted:
            base = self.circuit(throw)
            self._ghosted[throw] = Circuit((*base.nodes, *pickup_nodes(_GHOST)), base.parts)
        return self._ghosted[throw]

    def prepare(self, node_sets: Sequence[tuple[str, ...]]) -> None:
        """Fold the circuit at once for several paths, each with the rails that are touched on it; forget the others."""
        new = list(dict.fromkeys(node_sets))
        rails = pickup_nodes(_GHOST)
        self._folds.clear()
        for nodes, folded in zip(
            new, fold_each(self._with_pickups(0), [(*nodes, *rails) for nodes in new]), strict=True
        ):
            self._folds[0, nodes] = folded

    def _solve(
        self, throw: int, batch: Batch, loads: NDArray[np.float64] | None = None
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Port volts (states, nodes + 2), and the size of the current in every watched part (states, parts).

        Args:
            loads: (states,) siemens between the pick-up rails; left out, every load is lifted out.
        """
        folded = self._fold(throw, batch.nodes)
        extra = batch.stamp
        if loads is not None:
            extra = extra.copy()
            extra[:, -2, -1] -= loads
            extra[:, -1, -2] -= loads
        volts = solve_states(folded, extra)
        branches = folded.circuit.branches
        if throw not in self._watched:
            at = {ref: k for k, ref in enumerate(branches.refs)}
            self._watched[throw] = np.array([at[ref] for ref in self._watch], dtype=np.intp)
        return volts, np.abs(branches.flow(folded.everywhere(volts), only=self._watched[throw]))

    def _faults(self, amps: NDArray[np.float64]) -> tuple[NDArray[np.int8], NDArray[np.float64], NDArray[np.intp]]:
        """From the currents of the watched parts: 0, 1 hot or 2 short; the supply's amps; which supply."""
        size = amps[:, self._supplies]
        trips = np.array([supply.trip_amps for supply in self.bench.supplies])
        level = np.where(size >= trips, 2, np.where(size > HOT_AMPS, 1, 0)).astype(np.int8)
        which = np.argmax(level * 1e9 + size, axis=1)
        rows = np.arange(len(level))
        return level[rows, which], size[rows, which], which.astype(np.intp)

    def outcomes(self, batch: Batch, *, running: bool = True) -> list[Outcome]:
        """Every state of every run solved: loads lifted out for the faults, then with the vehicles running.

        Args:
            running: False for the faults alone, with no volts told.
        """
        volts_open = max(supply.volts for supply in self.bench.supplies)
        loads = np.concatenate(
            [np.full(states.count, 1 / load_ohms(vehicle, volts_open)) for vehicle, _, states in batch.runs]
        )
        volts, through = self._solve(0, batch)
        fault, amps, which = self._faults(through)
        throw = np.zeros(len(fault), dtype=np.intp)
        held = self._relays(batch, through, fault, which, throw) if len(self.throws) > 1 and fault.any() else {}
        shown, idle = np.full(len(fault), np.nan), np.zeros(len(fault))
        loaded = volts.copy()
        rated = np.where((fault == 1)[:, None], through[:, self._rated], 0.0)
        for k in np.unique(throw) if running else ():
            rows = throw == k
            run, drawn = self._solve(int(k), batch, loads)
            across = np.abs(run[:, -2] - run[:, -1])
            if k:  # at rest is solved first
                rows |= held[int(k)] & (across > shown + _BETTER)
            shown[rows] = across[rows]
            lifted = self._solve(int(k), batch)[0] if k else volts
            idle[rows] = np.abs(lifted[rows, -2] - lifted[rows, -1])
            loaded[rows] = run[rows]
            calm = rows & (fault < 2)
            rated[calm] = np.maximum(rated[calm], drawn[calm][:, self._rated])
        shown[loads == 0.0] = np.nan
        return [
            Outcome(fault[r], amps[r], which[r], shown[r], idle[r], rated[r], volts[r], loaded[r], states.branch)
            for r, (_, _, states) in zip(batch.rows, batch.runs, strict=True)
        ]

    def _relays(
        self, batch: Batch, through: NDArray[np.float64], fault: NDArray[np.int8], which: NDArray[np.intp],
        throw: NDArray[np.intp],
    ) -> dict[int, NDArray[np.bool_]]:  # fmt: skip
        """Clears, in place, the faults that a throw of the relays clears, and notes the throw.

        Returns for each throw the states, (states,) bool, into which a vehicle can bring it: those without a fault
        at rest or in the throw, of runs on which the relays turn so. Turned over, they stay so until a fault turns
        them back.
        """
        ids = [relay.id for relay in self.bench.polarities]
        at_rest = through[:, self._relay_coils]
        standing = fault > 0
        held: dict[int, NDArray[np.bool_]] = {}
        for k in range(1, len(self.throws)):
            clean = self._faults(self._solve(k, batch)[1])[0] == 0
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
        volts = max(supply.volts for supply in self.bench.supplies)
        return Standing(_GHOST, vehicle, axles, load_ohms(vehicle, volts) if running else math.inf)

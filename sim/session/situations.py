"""A bench's switched circuit while it runs: the switches that are made, and a large circuit that stays factored.

A few switches go over and trains run on: neither needs the whole circuit solved again.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.electric.circuit import Circuit
from sim.electric.factor import Factor
from sim.electric.feeds import labels
from sim.electric.parts import PartRef
from sim.electric.patch import Link, Patched, joined_groups
from sim.electric.solve import Solution
from sim.session.figures import Figures
from sim.wiring.build import Position
from sim.wiring.switched import SwitchedCircuit
from sim.wiring.wheels import Standing, standing_parts

__all__ = ["LargeCircuit", "MadeSwitches"]

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_APART = 24  # switches in which a situation may differ from the one that was factored, before it is factored itself
_FACTORS = 4  # factored situations that are kept
_AT_REST: Mapping[str, str] = MappingProxyType({})
_WAYS = 32  # ways in which switches stand that are kept


class MadeSwitches:
    """The switches that are made as movers move: only those of a mover that has moved are looked at."""

    def __init__(self, switched: SwitchedCircuit) -> None:
        """Nothing is looked at yet."""
        self._switched = switched
        self._turning = {switch.mover for switch in switched.switches.values() if switch.part.ref.kind == "unit"}
        self._sets: dict[str, frozenset[int]] = {}
        self._made: frozenset[int] = frozenset()
        self._last: Mapping[str, float] = {}
        self._units: dict[str, str] = {}

    def at(self, travel: Mapping[str, float], units: Mapping[str, str] = _AT_REST) -> frozenset[int]:
        """See `SwitchedCircuit.made`; `travel` must not be changed afterwards."""
        if travel is self._last and units == self._units:
            return self._made
        moved: set[tuple[str, Position]] = set(travel.items() - self._last.items())
        self._last, self._units = travel, dict(units)
        moved.update((unit, self._units.get(unit, "a")) for unit in self._turning)
        switches = self._switched.switches
        for mover, position in moved:
            before = self._sets.get(mover, frozenset())
            made = frozenset(k for k in self._switched.moved_by(mover) if switches[k].makes(position))
            if made != before:
                self._sets[mover] = made
                self._made = (self._made - before) | made
        return self._made


class _Way(NamedTuple):
    """A way in which the switches stand: conductances (M,) S of all parts, and the island (N,) of every node."""

    siemens: Array
    group: Ints


class LargeCircuit:
    """A circuit of many nodes without lamps, whose supplies are built with 1 V each."""

    def __init__(self, switched: SwitchedCircuit) -> None:
        """Nothing is factored until it is asked for."""
        self._switched = switched
        bare = switched.bare
        branches = bare.branches
        self._siemens = {k: switch.part.stamp().siemens for k, switch in switched.switches.items()}
        self._a, self._b = branches.a.tolist(), branches.b.tolist()
        # the islands with all switches open, each by its first node, and which of them every node lies in
        self._islands, self._island = np.unique(branches.group, return_inverse=True)
        self._ends = {k: (int(self._island[self._a[k]]), int(self._island[self._b[k]])) for k in switched.switches}
        self._joined_supplies = [k for k in branches.sources if branches.siemens[k]]
        self._factors: OrderedDict[frozenset[int], Patched] = OrderedDict()
        self._ways: OrderedDict[frozenset[int], _Way] = OrderedDict()

    def _way(self, made: frozenset[int]) -> _Way:
        found = self._ways.get(made)
        if found is None:
            closed = [k for k in made if self._siemens[k]]
            siemens = self._switched.bare.branches.siemens.copy()
            siemens[closed] = [self._siemens[k] for k in closed]
            pairs = [self._ends[k] for k in closed]
            roots = labels(len(self._islands), [one for one, _ in pairs], [other for _, other in pairs])
            found = self._ways[made] = _Way(siemens, self._islands[roots][self._island])
            if len(self._ways) > _WAYS:
                self._ways.popitem(last=False)
        return found

    def _near(self, made: frozenset[int]) -> tuple[Patched, list[Link]]:
        """A factored situation that is hardly another, and what has to be joined and taken away in it."""
        for base in reversed(self._factors):
            apart = base ^ made
            if len(apart) <= _APART:
                self._factors.move_to_end(base)
                signed = ((k, self._siemens[k] if k in made else -self._siemens[k]) for k in sorted(apart))
                return self._factors[base], [Link(self._a[k], self._b[k], siemens) for k, siemens in signed if siemens]
        circuit = self._switched.circuit(made)
        factor = Factor(circuit, np.eye(len(circuit.branches.sources)))
        found = self._factors[made] = Patched(factor)
        if len(self._factors) > _FACTORS:
            self._factors.popitem(last=False)
        return found, []

    def solve(self, made: frozenset[int], volts: Mapping[str, float | None], standing: Sequence[Standing]) -> Solution:
        """What flows; the same as `sim.electric.solve.solve` tells, to some millionths."""
        bare: Circuit = self._switched.bare
        branches, count = bare.branches, len(bare.nodes)
        patched, links = self._near(made)
        way = self._way(made)
        nodes: dict[str, int] = {}
        parts: list[tuple[PartRef, Link]] = []
        for one in standing:
            more, extra = standing_parts(one)
            for node in more:
                nodes[node] = count + len(nodes)
            for part in extra:
                a, b, siemens = part.stamp()[:3]
                one_end, other_end = (bare.index[end] if end in bare.index else nodes[end] for end in (a, b))
                parts.append((part.ref, Link(one_end, other_end, siemens)))
        added = [link for _, link in parts]
        group = joined_groups(way.group, [link for link in added if link.siemens], len(nodes))

        emf = np.zeros(len(bare.parts))
        for k in branches.sources:
            emf[k] = volts[bare.parts[k].ref.owner] or 0.0
        own = patched.factor.own @ emf[list(branches.sources)]
        at = patched.volts(own, [*links, *added], group)
        zero = np.arange(len(group))  # a label is the island's first node
        for k in reversed(self._joined_supplies):
            zero[group[self._b[k]]] = self._b[k]
        at -= at[zero[group]]

        ends = np.array([link[:2] for link in added], dtype=np.intp).reshape(-1, 2)
        across = at[np.concatenate((branches.a, ends[:, 0]))] - at[np.concatenate((branches.b, ends[:, 1]))]
        across[: len(emf)] -= emf
        flow = np.concatenate((way.siemens, [link.siemens for link in added])) * across
        refs = {ref: len(emf) + k for k, (ref, _) in enumerate(parts)}
        amps = flow.copy()
        amps[: len(emf)] *= branches.sign
        return Solution(
            volts=Figures(bare.index, nodes, at),
            amps=Figures(self._switched.place, refs, amps),
            watts=Figures(self._switched.place, refs, flow * across),
            supplied_watts=float(-flow[: len(emf)] @ emf),
        )

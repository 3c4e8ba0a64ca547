"""Where it can be felt that a part of a bench is opened: the nodes whose feed can change by it, and how far it lasts.

What hangs on it by parts that never change over, and what switches join to that without a feed of its own, can lose its
feed. All the rest has the feed it had, by a way that may have more ohms; how many more at most, is told too.
"""

from __future__ import annotations

import heapq
import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from sim.bench.model import Bench
from sim.electric.bridges import Forest
from sim.wiring.conductors import LEAST_SIEMENS
from sim.wiring.switched import SwitchedCircuit

__all__ = ["Felt", "Reach"]


@dataclass(frozen=True, slots=True)
class Felt:
    """What can come of one part opened.

    nodes: those whose feed can change, by number; None: any
    ohms: so much more, at most, has any way to the others
    """

    nodes: frozenset[int] | None
    ohms: float


class Reach:
    """The net of a bench: `steady` parts, which never change over, and switches between what they join."""

    def __init__(self, bench: Bench, switched: SwitchedCircuit) -> None:
        bare = switched.bare
        branches = bare.branches
        self._a, self._b = branches.a.tolist(), branches.b.tolist()
        self._ohms: dict[int, float] = {}
        steady: dict[int, tuple[int, int]] = {}
        for place, (part, siemens) in enumerate(zip(bare.parts, branches.siemens.tolist(), strict=True)):
            if part.ref.kind != "supply" and siemens >= LEAST_SIEMENS:
                steady[place] = (self._a[place], self._b[place])
                if part.ref.kind != "lamp":
                    self._ohms[place] = 1.0 / siemens
        self._near: dict[int, list[tuple[int, int, float]]] = defaultdict(list)
        for place, ohms in self._ohms.items():
            a, b = steady[place]
            self._near[a].append((b, place, ohms))
            self._near[b].append((a, place, ohms))
        self._steady = steady
        self._ends = {bare.index[end] for supply in bench.supplies for end in (supply.a, supply.b)}
        self._net = Forest(len(bare.nodes), steady, [*sorted(self._ends), *range(len(bare.nodes))])
        self._fed = {self._net.root[end] for end in self._ends}
        self._ties: dict[int, list[int]] = defaultdict(list)
        self._of_root: dict[int, list[int]] = defaultdict(list)
        for place, switch in switched.switches.items():
            if switch.part.stamp().siemens:
                for end, other in ((self._a[place], self._b[place]), (self._b[place], self._a[place])):
                    self._ties[end].append(other)
                    self._of_root[self._net.root[end]].append(end)

    def felt(self, place: int) -> Felt:
        """See `Felt`; `place`: of the part in the circuit."""
        a, b = self._a[place], self._b[place]
        root = self._net.root
        if place in self._steady and place in self._net.bridges:
            beyond = frozenset(self._net.beyond(place))
            if root[a] in self._fed:
                if beyond & self._ends:
                    return Felt(None, math.inf)
                above = a if b in beyond else b
                return self._spread(beyond, [above], place)
            return self._spread(frozenset(self._net.part(root[a])), [], place)
        if root[a] == root[b]:
            return Felt(frozenset(), self._between(a, [b], place))
        start: set[int] = set()
        for end in (a, b):
            if root[end] not in self._fed:
                start.update(self._net.part(root[end]))
        if not start:
            return Felt(frozenset(), 0.0)
        return self._spread(frozenset(start), [end for end in (a, b) if root[end] in self._fed], place)

    def _spread(self, start: frozenset[int], held: list[int], place: int) -> Felt:
        """From what has no feed of its own on through switches; `held`: where it hangs on what has one."""
        root = self._net.root
        found = set(start)
        ends = [node for node in start if node in self._ties]
        edge = dict.fromkeys(held)
        while ends:
            for other in self._ties[ends.pop()]:
                if other in found:
                    continue
                if root[other] in self._fed:
                    edge[other] = None
                    continue
                found.update(self._net.part(root[other]))
                ends += dict.fromkeys(self._of_root[root[other]])
        by_root: dict[int, list[int]] = defaultdict(list)
        for node in edge:
            by_root[root[node]].append(node)
        ohms = max((self._between(some[0], some[1:], place) for some in by_root.values() if len(some) > 1), default=0.0)
        return Felt(frozenset(found), ohms)

    def _between(self, start: int, goals: Iterable[int], without: int) -> float:
        """Ohms of the best steady way between two nodes, of several goals the worst; infinite where there is none."""
        left = {goal for goal in goals if goal != start}
        best = {start: 0.0}
        queue = [(0.0, start)]
        done: set[int] = set()
        while queue and left:
            ohms, node = heapq.heappop(queue)
            if node in done:
                continue
            done.add(node)
            left.discard(node)
            if not left:
                return ohms
            for other, place, more in self._near.get(node, ()):
                if place != without and ohms + more < best.get(other, math.inf):
                    best[other] = ohms + more
                    heapq.heappush(queue, (ohms + more, other))
        return math.inf if left else 0.0

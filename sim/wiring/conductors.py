"""What of a bench is joined whatever its levers do, and what levers and automatic polarity units join on top of that.

A **conductor** here is everything that parts which never change over join: rails, wires, bonds, joiners, screws. It is
**fed** if a supply is among it. Levers' contacts, unbonded blades and the contacts of units lie between conductors.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bench.levers import levers
from sim.bench.model import Bench
from sim.electric.feeds import labels
from sim.wiring.switched import SwitchedCircuit

__all__ = ["LEAST_SIEMENS", "Conductors", "Near", "Tie"]

Ints = NDArray[np.intp]

LEAST_SIEMENS = 0.01
"""Of a part that feeds: a gap that leaks feeds nothing."""


@dataclass(frozen=True, slots=True)
class Tie:
    """A switch between two conductors: the one beyond, the part's place, and the lever or the unit that moves it."""

    beyond: int
    place: int
    lever: str | None
    unit: str | None


@dataclass(frozen=True, slots=True)
class Near:
    """What decides the feed of some rails: levers, the nearest first (contacts passed, then file order), and units."""

    levers: tuple[str, ...]
    units: tuple[str, ...]


class Conductors:
    """The conductors of a bench, numbered by their first node.

    of_node: (nodes,) the conductor of each node of the circuit
    fed: conductors that have a supply, with the ids of those supplies; sides: with their numbers and sides, 0 A, 1 B
    ties: what each conductor is tied to by switches
    loose_units: units with a contact between two fed conductors, which matter everywhere
    """

    def __init__(self, bench: Bench, switched: SwitchedCircuit) -> None:
        bare = switched.bare
        branches = bare.branches
        joining = [
            k
            for k, (part, siemens) in enumerate(zip(bare.parts, branches.siemens.tolist(), strict=True))
            if part.ref.kind != "supply" and siemens >= LEAST_SIEMENS
        ]
        a, b = branches.a, branches.b
        root = labels(len(bare.nodes), a[joining].tolist(), b[joining].tolist())
        self.of_node: Ints = np.array(root, dtype=np.intp)
        self.fed: dict[int, set[str]] = defaultdict(set)
        self.sides: dict[int, set[tuple[int, int]]] = defaultdict(set)
        for k, supply in enumerate(bench.supplies):
            for side, end in enumerate((supply.a, supply.b)):
                self.fed[root[bare.index[end]]].add(supply.id)
                self.sides[root[bare.index[end]]].add((k, side))
        self._levers = levers(bench)
        lever_of = {mover: lever.id for lever in self._levers for mover in lever.movers}
        self.order = {lever.id: k for k, lever in enumerate(self._levers)}
        self.ties: dict[int, list[Tie]] = defaultdict(list)
        self._loose: list[tuple[int, int, str]] = []  # levers' contacts between two fed conductors
        loose_units: dict[str, None] = {}
        for place, switch in switched.switches.items():
            one, other = root[int(a[place])], root[int(b[place])]
            if one == other or not switch.part.stamp().siemens:
                continue
            lever = lever_of.get(switch.mover)
            unit = None if lever is not None else switch.mover
            self.ties[one].append(Tie(other, place, lever, unit))
            self.ties[other].append(Tie(one, place, lever, unit))
            if lever is not None and one in self.fed and other in self.fed:
                self._loose.append((one, other, lever))
            if unit is not None and one in self.fed and other in self.fed:
                loose_units[unit] = None
        self.loose_units = tuple(loose_units)

    def near(self, nodes: Iterable[int]) -> Near:
        """The levers and units on the ways from these nodes to supplies; what is fed is neither counted nor crossed."""
        start = dict.fromkeys(int(self.of_node[node]) for node in nodes)
        seen = {one for one in start if one not in self.fed}
        frontier = list(seen)
        found: dict[str, None] = {}
        units: dict[str, None] = {}
        while frontier:
            onward: list[int] = []
            here: set[str] = set()
            for one in frontier:
                for tie in self.ties.get(one, ()):
                    if tie.lever is not None:
                        here.add(tie.lever)
                    elif tie.unit is not None:
                        units[tie.unit] = None
                    if tie.beyond not in self.fed and tie.beyond not in seen:
                        seen.add(tie.beyond)
                        onward.append(tie.beyond)
            found.update(dict.fromkeys(sorted(here - found.keys(), key=self.order.__getitem__)))
            frontier = onward
        return Near(tuple(found), tuple(units))

    def together(self, nodes: Iterable[int]) -> tuple[Ints, ...]:
        """These nodes, those of one conductor together; of which one is alone, it is left out."""
        found: dict[int, list[int]] = defaultdict(list)
        for node in nodes:
            found[int(self.of_node[node])].append(node)
        return tuple(np.array(some, dtype=np.intp) for some in found.values() if len(some) > 1)

    def sides_near(self, node: int) -> frozenset[tuple[int, int]]:
        """The supplies, by number, and sides (0 A, 1 B) that a node is joined to, or can be by one switch."""
        one = int(self.of_node[node])
        reached = {one, *(tie.beyond for tie in self.ties.get(one, ()))}
        return frozenset(side for other in reached for side in self.sides.get(other, ()))

    def clusters(self) -> list[tuple[frozenset[int], frozenset[int]]]:
        """Conductors without a supply that switches can join, and the fed ones that they can be joined to."""
        unfed = [one for one in self.ties if one not in self.fed]
        seen: set[int] = set()
        found = []
        for first in unfed:
            if first in seen:
                continue
            group, edge, queue = {first}, set(), deque([first])
            while queue:
                for tie in self.ties[queue.popleft()]:
                    if tie.beyond in self.fed:
                        edge.add(tie.beyond)
                    elif tie.beyond not in group:
                        group.add(tie.beyond)
                        queue.append(tie.beyond)
            seen |= group
            found.append((frozenset(group), frozenset(edge)))
        return found

    def groups(self) -> tuple[tuple[str, ...], ...]:
        """Levers that belong together: a rail or a screw can be reached through both. Each group in the file's order.

        Levers that can join what different supplies feed belong together too.
        """
        sets: list[set[str]] = []
        linking: set[str] = set()
        district = self._districts()
        for group, edge in self.clusters():
            mine = {tie.lever for one in group for tie in self.ties[one] if tie.lever is not None}
            sets.append(mine)
            if len({district[one] for one in edge}) > 1:
                linking |= mine
        for one, other, lever in self._loose:
            sets.append({lever})
            if district[one] != district[other]:
                linking.add(lever)
        if len(linking) > 1:
            sets.append(linking)
        kept: list[set[str]] = []
        for mine in sorted(sets, key=len, reverse=True):
            if mine and not any(mine <= other for other in kept):
                kept.append(mine)
        ordered = [tuple(sorted(mine, key=self.order.__getitem__)) for mine in kept]
        return tuple(sorted(ordered, key=lambda group: [self.order[lever] for lever in group]))

    def _districts(self) -> dict[int, int]:
        """Fed conductors by number: those that one supply feeds, and those it shares with another, have the same."""
        numbers = {one: k for k, one in enumerate(self.fed)}
        whose: dict[str, list[int]] = defaultdict(list)
        for one, supplies in self.fed.items():
            for supply in supplies:
                whose[supply].append(numbers[one])
        pairs = [(ends[0], end) for ends in whose.values() for end in ends[1:]]
        root = labels(len(numbers), [one for one, _ in pairs], [other for _, other in pairs])
        return {one: root[k] for one, k in numbers.items()}

    def nearest(self, lever: str, group: Sequence[str], most: int) -> tuple[str, ...]:
        """The lever with those of its group that are nearest to it, `most` in all."""
        nodes = [one for one, ties in self.ties.items() if any(tie.lever == lever for tie in ties)]
        reached = self.near(nodes).levers  # a conductor's number is one of its nodes
        mine = [one for one in reached if one != lever and one in group]
        return (lever, *mine[: most - 1])

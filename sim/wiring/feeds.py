"""Which side of a supply each rail is joined to, whatever the resistance on the way."""

from __future__ import annotations

from collections import OrderedDict, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Bench
from sim.electric.feeds import labels
from sim.track.layout import Layout
from sim.wiring.names import section_of, tabs
from sim.wiring.switched import SwitchedCircuit

__all__ = ["Feeds", "Side", "feeds"]

Side = Literal["A", "B", "none", "both"]

_KEPT = 256  # situations of which it is remembered what joins what

_SIDES: tuple[Side, ...] = ("none", "A", "B", "both")


class Feeds:
    """What feeds the rails and wires of a bench, in any situation: what no switch makes is joined up once.

    Wires, made contacts, touching blades, bonds, jumpers, gaps closed or leaking, joiners, lamps and automatic polarity
    units count; supplies, vehicles and the meter are left out. A situation is told by the switches that are made in it;
    see `SwitchedCircuit`.

    sections: every section's name, sorted
    """

    def __init__(self, bench: Bench, switched: SwitchedCircuit, without: Collection[str] = ()) -> None:
        """`without`: kinds of part ("blade", "joint") that are taken to join nothing."""
        bare = switched.bare
        branches = bare.branches
        joining = [
            k
            for k, (part, siemens) in enumerate(zip(bare.parts, branches.siemens.tolist(), strict=True))
            if siemens and part.ref.kind != "supply" and part.ref.kind not in without
        ]
        root = labels(len(bare.nodes), branches.a[joining].tolist(), branches.b[joining].tolist())
        self._roots: OrderedDict[frozenset[int], Sequence[int]] = OrderedDict()
        number: dict[int, int] = {}
        self._group = [number.setdefault(one, len(number)) for one in root]
        self._count = len(number)
        a, b = branches.a.tolist(), branches.b.tolist()
        self._links = {
            place: (self._group[a[place]], self._group[b[place]])
            for place, switch in switched.switches.items()
            if switch.part.stamp().siemens and switch.part.ref.kind not in without
        }
        self._ends = [
            (self._group[bare.index[supply.a]], self._group[bare.index[supply.b]]) for supply in bench.supplies
        ]
        first = {section_of(node): bare.index[node] for piece in bench.tracks for node in reversed(piece.nodes())}
        self.sections = tuple(sorted(first))
        self._of_section = [self._group[first[section]] for section in self.sections]
        self._in_group: dict[int, list[str]] = defaultdict(list)
        for section, group in zip(self.sections, self._of_section, strict=True):
            self._in_group[group].append(section)
        tab = tabs(bench)
        self._wires = [self._group[bare.index[tab.get(wire.ends[0], wire.ends[0])]] for wire in bench.wires]

    def roots(self, made: Iterable[int]) -> Sequence[int]:
        """For each thing that is one whatever switches do, the number of what it is part of."""
        some = frozenset(made)
        found = self._roots.get(some)
        if found is None:
            pairs = [self._links[place] for place in some if place in self._links]
            found = labels(self._count, [one for one, _ in pairs], [other for _, other in pairs])
            self._roots[some] = found
            if len(self._roots) > _KEPT:
                self._roots.popitem(last=False)
        return found

    def codes(self, made: Iterable[int]) -> NDArray[np.int8]:
        """For each of those things 0 none, 1 side A, 2 side B, 3 both."""
        root = self.roots(made)
        reached = np.zeros(self._count, dtype=np.int8)
        for ends in self._ends:
            for bit, end in enumerate(ends):
                reached[root[end]] |= 1 << bit
        return np.asarray(reached[root], dtype=np.int8)

    def group_of(self, node: int) -> int:
        """The place of a node among `codes`."""
        return self._group[node]

    def told(self, codes: NDArray[np.int8]) -> dict[str, Side]:
        """The side of every section."""
        sides = codes[self._of_section].tolist()
        return {section: _SIDES[code] for section, code in zip(self.sections, sides, strict=True)}

    def differences(self, codes: NDArray[np.int8], before: NDArray[np.int8]) -> dict[str, Side]:
        """Sections, sorted, whose side is not what it was."""
        changed = np.flatnonzero(codes != before).tolist()
        found = {section: _SIDES[codes[group]] for group in changed for section in self._in_group.get(group, ())}
        return dict(sorted(found.items()))

    def rails(self, made: Iterable[int]) -> dict[str, Side]:
        """The side of every section: "A", "B", "none", or "both" where the two sides are joined."""
        return self.told(self.codes(made))

    def wires(self, made: Iterable[int]) -> tuple[Side, ...]:
        """The side that each wire carries, in the bench's order."""
        return tuple(_SIDES[code] for code in self.codes(made)[self._wires].tolist())

    def supplies_at(self, made: Iterable[int], nodes: Sequence[int]) -> list[frozenset[tuple[int, int]]]:
        """For each node the supplies, by number, and sides (0 A, 1 B) that it is joined to."""
        root = self.roots(made)
        reached: dict[int, set[tuple[int, int]]] = defaultdict(set)
        for k, ends in enumerate(self._ends):
            for side, end in enumerate(ends):
                reached[root[end]].add((k, side))
        return [frozenset(reached.get(root[self._group[node]], ())) for node in nodes]


def feeds(bench: Bench, layout: Layout, travel: Mapping[str, float]) -> dict[str, Side]:
    """The side of every section in one setting, its automatic polarity units at rest; see `Feeds`."""
    switched = SwitchedCircuit(bench, layout)
    return Feeds(bench, switched).rails(switched.made(travel))

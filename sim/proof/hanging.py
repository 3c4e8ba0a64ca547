"""What hangs on each part of a bench: the rails that lose their feed if it comes off, by how the levers stand.

A part that is opened only takes ways away, so that nothing need be joined up anew for it: what hangs on a link of the
net of all that conducts, all ends of supplies taken as one, is what it feeds alone. A lever changes only the parts of
the net that its contacts and blades lie in.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from sim.bench.model import Bench
from sim.electric.bridges import Forest
from sim.electric.feeds import labels
from sim.wiring.names import section_of
from sim.wiring.positions import filed_travel
from sim.wiring.switched import SwitchedCircuit

__all__ = ["Hanging"]

Link = tuple[int, int]


class Hanging:
    """The parts of a bench by their places in its circuit, and the positions of `sim.wiring.positions.positions`.

    A position is told by its number: 0 the bench as filed, 1 .. the other setting of each lever, in order.
    """

    def __init__(self, bench: Bench, switched: SwitchedCircuit, movers: Sequence[tuple[str, ...]]) -> None:
        """`movers`: of each lever, in order."""
        bare = switched.bare
        branches = bare.branches
        self._count = len(bare.nodes)
        a, b = branches.a.tolist(), branches.b.tolist()
        start = filed_travel(bench)
        filed = switched.made(start)
        self._steady: dict[int, Link] = {
            place: (a[place], b[place])
            for place, (part, siemens) in enumerate(zip(bare.parts, branches.siemens.tolist(), strict=True))
            if siemens and part.ref.kind != "supply"
        }
        able = {place: (a[place], b[place]) for place, one in switched.switches.items() if one.part.stamp().siemens}
        self._lever: dict[int, int] = {}
        self._now = {place for place in filed if place in able}
        self._other: list[set[int]] = []
        for number, some in enumerate(movers):
            mine = {place for mover in some for place in switched.moved_by(mover) if place in able}
            self._lever.update(dict.fromkeys(mine, number))
            made = frozenset().union(*(switched.made_by(mover, 1.0 - start[mover]) for mover in some))
            self._other.append(set(made & mine))
        for place in able.keys() - self._lever.keys():  # units stay at rest
            if place in self._now:
                self._steady[place] = able[place]
        self._moved = {place: able[place] for place in sorted(self._lever)}
        self._root = self._count
        self._ends = {bare.index[end] for supply in bench.supplies for end in (supply.a, supply.b)}
        first = {section_of(node): bare.index[node] for piece in bench.tracks for node in reversed(piece.nodes())}
        self._sections: dict[int, list[str]] = defaultdict(list)
        for section, node in first.items():
            self._sections[node].append(section)
        self._alone: dict[int, Forest] = {}
        self._losses: dict[int, dict[int, tuple[str, ...]]] = defaultdict(dict)
        self._touching: dict[int, frozenset[int]] = {}
        self._find()

    def conducting(self) -> list[int]:
        """Places of what conducts in one position or another, as it is first found to."""
        found = dict.fromkeys(sorted([*self._steady, *(place for place in self._now if place in self._moved)]))
        for made in self._other:
            found.update(dict.fromkeys(sorted(made)))
        return list(found)

    def lost(self, place: int) -> dict[int, tuple[str, ...]]:
        """The rails, sorted, that a part feeds alone, by position, in those in which there are any."""
        mine = self._losses.get(place, {})
        filed = mine.get(0, ())
        found = {}
        touching = self._touching.get(place, frozenset())
        if not mine:
            return {}
        for position in range(len(self._other) + 1):
            rails = mine.get(position, ()) if position - 1 in touching else filed
            if rails:
                found[position] = rails
        return found

    def _made(self, places: Iterable[int], position: int) -> list[int]:
        """Those of these levers' switches that are made in a position."""
        lever = position - 1
        other = self._other[lever] if position else set()
        return [place for place in places if place in (other if self._lever[place] == lever else self._now)]

    def _find(self) -> None:
        root, size = self._root, self._count + 1

        def at(node: int) -> int:
            return root if node in self._ends else node

        steady = {place: (at(a), at(b)) for place, (a, b) in self._steady.items()}
        safe = Forest(size, steady, [root]).classes()
        sure = {node for node in range(self._count) if safe[at(node)] == root}

        def beyond(node: int) -> int:
            return root if node in sure else node

        links = {place: (beyond(a), beyond(b)) for place, (a, b) in {**self._steady, **self._moved}.items()}
        inner = [link for link in links.values() if root not in link]
        group = labels(size, [a for a, _ in inner], [b for _, b in inner])
        places: dict[int, list[int]] = defaultdict(list)
        for place, (a, b) in links.items():
            if a != b:
                places[group[b if a == root else a]].append(place)
        for some in places.values():
            self._group(some, links)

    def _group(self, places: Sequence[int], links: Mapping[int, Link]) -> None:
        """One stretch of the net that hangs on what is fed in any case."""
        number: dict[int, int] = {self._root: 0}
        for place in places:
            for node in links[place]:
                number.setdefault(node, len(number))
        nodes = list(number)
        local = {place: (number[links[place][0]], number[links[place][1]]) for place in places}
        moved = [place for place in places if place in self._lever]
        steady = {place: local[place] for place in places if place not in self._lever}
        touching = frozenset(self._lever[place] for place in moved)
        for position in (0, *(lever + 1 for lever in sorted(touching))):
            forest = Forest(len(nodes), {**steady, **{p: local[p] for p in self._made(moved, position)}}, [0])
            for bridge in forest.bridges:
                rails = [rail for node in forest.beyond(bridge) for rail in self._sections.get(nodes[node], ())]
                if rails:
                    self._losses[bridge][position] = tuple(sorted(rails))
                    self._touching[bridge] = touching

    def second_way(self, place: int) -> bool:
        """Whether wherever a part conducts its ends are joined without it too, and not through a supply."""
        lever = self._lever.get(place)
        if self._joined_anyway(place):
            return True
        for position in range(len(self._other) + 1):
            if lever is not None and not self._made((place,), position):
                continue
            if position not in self._alone:
                links = {**self._steady, **{one: self._moved[one] for one in self._made(self._moved, position)}}
                self._alone[position] = Forest(self._count, links)
            if place in self._alone[position].bridges:
                return False
        return True

    def _joined_anyway(self, place: int) -> bool:
        """Whether its ends are joined whatever the levers do, without it."""
        if -1 not in self._alone:
            self._alone[-1] = Forest(self._count, self._steady)
        forest = self._alone[-1]
        if place in self._steady:
            return place not in forest.bridges
        a, b = self._moved[place]
        joined: bool = forest.root[a] == forest.root[b]
        return joined

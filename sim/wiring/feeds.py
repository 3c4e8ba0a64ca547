"""Which side of a supply each rail is joined to, whatever the resistance on the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from sim.bench.model import Bench
from sim.electric.feeds import labels
from sim.track.layout import Layout
from sim.wiring.build import Harness
from sim.wiring.names import section_of, tabs

__all__ = ["Feeds", "Side", "feeds"]

Side = Literal["A", "B", "none", "both"]

_TOUCHES = frozenset({"blade", "joint"})
_WORD: Mapping[frozenset[str], Side] = {
    frozenset(): "none", frozenset("A"): "A", frozenset("B"): "B", frozenset("AB"): "both"
}  # fmt: skip


class Feeds:
    """What feeds the rails and wires of a bench, in any of its settings: what no switch makes is joined up once.

    Wires, made contacts, touching blades, bonds, jumpers, gaps closed or leaking, joiners, lamps and automatic polarity
    units count; supplies, vehicles and the meter are left out. A setting is told by the switches that are made in it;
    see `Harness`.
    """

    def __init__(self, bench: Bench, harness: Harness) -> None:
        """`harness`: of the bench."""
        bare = harness.circuit(frozenset())
        self._kinds = [part.ref.kind for part in bare.parts]
        self._a, self._b = bare.branches.a.tolist(), bare.branches.b.tolist()
        self._broken = {place for place, part in harness.switches().items() if not part.stamp().siemens}
        joining = [k for k, siemens in enumerate(bare.branches.siemens) if siemens and self._kinds[k] != "supply"]
        alone = list(range(len(bare.nodes)))
        self._joined = self._with(alone, joining)
        self._firm = self._with(alone, [k for k in joining if self._kinds[k] not in _TOUCHES])
        self._supplies = [(bare.index[supply.a], bare.index[supply.b]) for supply in bench.supplies]
        rails: dict[str, list[int]] = {section: [] for piece in bench.tracks for section in piece.sections()}
        for piece in bench.tracks:
            for node in piece.nodes():
                rails[section_of(node)].append(bare.index[node])
        self._rails = dict(sorted(rails.items()))
        tab = tabs(bench)
        self._wires = [[bare.index[tab.get(wire.ends[0], wire.ends[0])]] for wire in bench.wires]

    def rails(self, made: frozenset[int]) -> dict[str, Side]:
        """The side of every section: "A", "B", "none", or "both" where the two sides are joined."""
        return dict(zip(self._rails, self._sides(self._with(self._joined, made), self._rails.values()), strict=True))

    def wires(self, made: frozenset[int]) -> tuple[Side, ...]:
        """The side that each wire carries, in the bench's order."""
        return tuple(self._sides(self._with(self._joined, made), self._wires))

    def touch_fed(self, made: frozenset[int], rails: Mapping[str, Side]) -> list[str]:
        """Sections that have a feed, and would have none without touching blades and rail joiners, sorted.

        `rails`: the side of every section in this setting.
        """
        firm = self._with(self._firm, [place for place in made if self._kinds[place] not in _TOUCHES])
        without = self._sides(firm, self._rails.values())
        return [rail for rail, side in zip(self._rails, without, strict=True) if side == "none" != rails[rail]]

    def _with(self, group: Sequence[int], places: Iterable[int]) -> list[int]:
        """The group of each node when the parts at these places join some of the groups."""
        pairs = [(group[self._a[k]], group[self._b[k]]) for k in places if k not in self._broken]
        root = labels(len(group), [one for one, _ in pairs], [other for _, other in pairs])
        return [root[one] for one in group]

    def _sides(self, group: Sequence[int], things: Iterable[Sequence[int]]) -> list[Side]:
        """The sides that any of the nodes of each thing is joined to."""
        reached: dict[int, str] = {}
        for ends in self._supplies:
            for side, end in zip("AB", ends, strict=True):
                reached[group[end]] = reached.get(group[end], "") + side
        return [_WORD[frozenset().union(*(reached.get(group[node], "") for node in nodes))] for nodes in things]


def feeds(bench: Bench, layout: Layout, travel: Mapping[str, float]) -> dict[str, Side]:
    """The side of every section in one setting, its units at rest; see `Feeds`."""
    harness = Harness(bench, layout)
    return Feeds(bench, harness).rails(harness.made(travel))

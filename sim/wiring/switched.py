"""The circuit of a bench, made once, and the switches in it: a situation only makes and breaks these.

The running bench and the test of every route ask the same one.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Collection, Mapping, Sequence

from sim.bench.model import Bench
from sim.electric.circuit import Circuit
from sim.electric.parts import Part, PartRef, Resistor
from sim.track.layout import Layout
from sim.wiring.build import Position, Switch, elements
from sim.wiring.wheels import Standing, standing_parts

__all__ = ["SwitchedCircuit", "circuit", "with_standing"]

_KEPT = 64  # settings whose circuits are remembered


class SwitchedCircuit:
    """The circuit of a bench with all its switches open, and what makes each of them.

    A situation is told by the places, among the parts, of the switches that are made in it.

    bare: the circuit with every switch open
    switches: by their places
    """

    def __init__(
        self,
        bench: Bench,
        layout: Layout,
        *,
        volts: Mapping[str, float | None] | None = None,
        opened: Collection[PartRef] = (),
    ) -> None:
        """See `circuit`."""
        self.switches: dict[int, Switch] = {}
        self._moved: dict[str, list[int]] = {}
        self._made: dict[tuple[str, Position], frozenset[int]] = {}
        self._circuits: OrderedDict[frozenset[int], Circuit] = OrderedDict()
        parts: list[Part] = []
        for item in elements(bench, layout, volts):
            part = item.part if isinstance(item, Switch) else item
            if part.ref in opened:
                part = _broken(part)
            elif isinstance(item, Switch):
                self.switches[len(parts)] = item
                self._moved.setdefault(item.mover, []).append(len(parts))
                part = _broken(part)
            parts.append(part)
        nodes = {node for piece in bench.tracks for node in piece.nodes()}
        nodes |= {end for supply in bench.supplies for end in (supply.a, supply.b)}
        nodes |= {end for part in parts for end in part.stamp()[:2]}
        self.bare = Circuit(tuple(sorted(nodes)), tuple(parts))
        self.place = {part.ref: k for k, part in enumerate(parts)}
        self._at_rest = {unit.id: "a" for unit in bench.polarities}

    def moved_by(self, mover: str) -> Sequence[int]:
        """Places of the switches that a set of points, a switch on the panel or a unit moves."""
        return self._moved.get(mover, ())

    def made_by(self, mover: str, position: Position) -> frozenset[int]:
        """Those of them that are made at that travel, or with the unit in that throw."""
        key = (mover, position)
        if key not in self._made:
            self._made[key] = frozenset(k for k in self.moved_by(mover) if self.switches[k].makes(position))
        return self._made[key]

    def made(self, travel: Mapping[str, float], units: Mapping[str, str] | None = None) -> frozenset[int]:
        """The switches that are made with every mover at this travel and the units so; see `circuit`."""
        positions: dict[str, Position] = {**travel, **self._at_rest, **(units or {})}
        return frozenset().union(*(self.made_by(mover, positions[mover]) for mover in self._moved))

    def circuit(self, made: frozenset[int]) -> Circuit:
        """The circuit with these switches made, and no others."""
        found = self._circuits.get(made)
        if found is None:
            found = self._circuits[made] = self.bare.closed({k: self.switches[k].part for k in sorted(made)})
            if len(self._circuits) > _KEPT:
                self._circuits.popitem(last=False)
        return found


def with_standing(bare: Circuit, standing: Sequence[Standing]) -> Circuit:
    """The circuit with vehicles on the track."""
    nodes, parts = set(bare.nodes), list(bare.parts)
    for one in standing:
        more, extra = standing_parts(one)
        nodes.update(more)
        parts += extra
    return Circuit(tuple(sorted(nodes)), tuple(parts))


def circuit(
    bench: Bench,
    layout: Layout,
    travel: Mapping[str, float],
    *,
    volts: Mapping[str, float | None] | None = None,
    units: Mapping[str, str] | None = None,
    standing: Sequence[Standing] = (),
    opened: Collection[PartRef] = (),
) -> Circuit:
    """The circuit of a bench with its blades and switches at these places.

    Args:
        travel: of every set of points and every switch on the panel, 0.0 normal to 1.0 diverging.
        volts: volts of each supply; 0.0 is off but plugged in, None joins nothing (unplugged, or its breaker open);
            left out: as if every supply were on, its breaker held closed.
        units: "a" (rest) or "b" for each automatic polarity unit.
        standing: vehicles on the track.
        opened: names of parts that are taken to be broken: they join nothing, whatever the bench says.
    """
    switched = SwitchedCircuit(bench, layout, volts=volts, opened=opened)
    bare = switched.circuit(switched.made(travel, units))
    return with_standing(bare, standing) if standing else bare


def _broken(part: Part) -> Part:
    branch = part.stamp()
    return Resistor(part.ref, branch.a, branch.b, math.inf)

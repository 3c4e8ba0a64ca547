"""The circuit of a running bench, solved once for every way in which it stands and kept.

Volts and amps change only when something electrical does: a contact or blade changes over, a wheel comes on or off a
rail, a supply or a load is switched, an edit is made. Everything else asks for what is already known.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sim.bench.levers import mover
from sim.bench.model import Bench
from sim.bench.table import Table
from sim.electric.circuit import Circuit
from sim.electric.parts import Part, PartRef, Source
from sim.electric.solve import Solution, solve
from sim.track.layout import Layout
from sim.wiring.build import made_outers
from sim.wiring.feeds import feeds
from sim.wiring.switched import circuit
from sim.wiring.wheels import Standing, pickup_nodes, standing_parts

__all__ = ["Electrics", "Solved", "contact_signature"]

_KEPT = 128  # ways of standing that are remembered, the latest used; as many of blades and contacts

Signature = tuple[object, ...]


@dataclass(frozen=True, eq=False)
class Solved:
    """One way in which the bench stands: its circuit and what flows in it."""

    circuit: Circuit
    solution: Solution

    @cached_property
    def amps(self) -> Table[PartRef, float]:
        """Current through every part, from its first end to its second."""
        return Table(self.solution.amps)

    def pickup_volts(self, standing: Standing) -> float:
        """Volts of a vehicle's left pick-up rail over its right."""
        left, right = pickup_nodes(standing.name)
        return self.solution.volts[left] - self.solution.volts[right]


def contact_signature(bench: Bench, layout: Layout, travel: Mapping[str, float]) -> Signature:
    """What the blades' places come to electrically: contacts made and blades touching. Equal ones are one circuit."""
    contacts = tuple(
        made_outers(motor, contact, travel[mover(motor)]) for motor in bench.motors for contact in motor.changeovers
    )
    blades = tuple(
        abs(at - blade.closed_at) <= blade.touch
        for mover, at in travel.items()
        for blade in layout.blades(mover)
    )
    return contacts, blades


class Electrics:
    """Circuits and solutions of one bench; a changed bench has another."""

    def __init__(self, bench: Bench, layout: Layout) -> None:
        """Nothing is worked out until it is asked for."""
        self.bench = bench
        self.layout = layout
        self._last: tuple[Mapping[str, float], Signature] | None = None
        self._bare: OrderedDict[Signature, Circuit] = OrderedDict()
        self._feeds: OrderedDict[Signature, Table[str, str]] = OrderedDict()
        self._solved: OrderedDict[Signature, Solved] = OrderedDict()

    def signature(self, travel: Mapping[str, float]) -> Signature:
        """See `contact_signature`; `travel` must not be changed afterwards."""
        if self._last is None or self._last[0] is not travel:
            self._last = (travel, contact_signature(self.bench, self.layout, travel))
        return self._last[1]

    def feeds(self, travel: Mapping[str, float]) -> Table[str, str]:
        """Side of the supply of every rail."""
        key = self.signature(travel)
        if key not in self._feeds:
            self._feeds[key] = Table(feeds(self.bench, self.layout, travel))
            _trim(self._feeds)
        return self._feeds[key]

    def circuit(
        self, travel: Mapping[str, float], volts: Mapping[str, float | None], units: Mapping[str, str],
        standing: tuple[Standing, ...],
    ) -> Circuit:  # fmt: skip
        """The bench's circuit as it stands, vehicles included."""
        joined = tuple(name for name, level in volts.items() if level is not None)
        key = (self.signature(travel), joined, tuple(sorted(units.items())))
        if key not in self._bare:
            self._bare[key] = circuit(self.bench, self.layout, travel, volts=volts, units=units)
            _trim(self._bare)
        bare = self._bare[key]
        nodes, parts = list(bare.nodes), [_set(part, volts) for part in bare.parts]
        for one in standing:
            more, extra = standing_parts(one)
            nodes += more
            parts += extra
        return Circuit(tuple(nodes), tuple(parts))

    def solved(
        self, travel: Mapping[str, float], volts: Mapping[str, float | None], units: Mapping[str, str],
        standing: tuple[Standing, ...],
    ) -> Solved:  # fmt: skip
        """What flows as the bench stands.

        Args:
            volts: of each supply; None joins nothing, 0.0 is off but joined.
            units: "a" or "b" for each automatic polarity unit.
            standing: vehicles on the track with their loads.
        """
        key = (
            self.signature(travel), tuple(volts.items()), tuple(sorted(units.items())),
            tuple((one.name, one.axles, one.load_ohms) for one in standing),
        )  # fmt: skip
        found = self._solved.get(key)
        if found is None:
            net = self.circuit(travel, volts, units, standing)
            found = self._solved[key] = Solved(net, solve(net))
            _trim(self._solved)
        else:
            self._solved.move_to_end(key)
        return found


def _trim(kept: OrderedDict[Signature, Any]) -> None:
    if len(kept) > _KEPT:
        kept.popitem(last=False)


def _set(part: Part, volts: Mapping[str, float | None]) -> Part:
    """The part, a supply turned up to its present volts."""
    if not isinstance(part, Source):
        return part
    level = volts.get(part.ref.owner)
    return part if level is None or level == part.volts else Source(part.ref, part.plus, part.minus, level, part.ohms)

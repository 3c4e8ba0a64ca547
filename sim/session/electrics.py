"""The circuit of a running bench, solved once for every way in which it stands and kept.

Volts and amps change only when something electrical does: a contact or blade changes over, a wheel comes on or off a
rail, a supply or a load is switched, an edit is made. Everything else asks for what is already known.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Bench
from sim.bench.table import Table
from sim.electric.circuit import Circuit
from sim.electric.parts import PartRef, Source
from sim.electric.solve import Solution, solve
from sim.session.figures import Figures
from sim.session.situations import LargeCircuit, MadeSwitches
from sim.track.layout import Layout
from sim.wiring.feeds import Feeds
from sim.wiring.switched import SwitchedCircuit
from sim.wiring.wheels import Standing, pickup_nodes, standing_parts

__all__ = ["Electrics", "Solved"]

_KEPT = 128  # ways of standing that are remembered, the latest used; as many of the switches alone
_LARGE = 300  # nodes; above, a circuit without lamps is kept factored and not solved whole each time

Signature = tuple[object, ...]


class Solved:
    """One way in which the bench stands: its circuit and what flows in it."""

    def __init__(self, solution: Solution, circuit: Callable[[], Circuit]) -> None:
        """`circuit`: makes the circuit, should it be asked for."""
        self.solution = solution
        self._make = circuit

    @cached_property
    def circuit(self) -> Circuit:
        """The bench's circuit, vehicles included."""
        return self._make()

    @cached_property
    def amps(self) -> Mapping[PartRef, float]:
        """Current through every part, from its first end to its second."""
        amps = self.solution.amps
        return amps if isinstance(amps, Figures) else Table(amps)

    def pickup_volts(self, standing: Standing) -> float:
        """Volts of a vehicle's left pick-up rail over its right."""
        left, right = pickup_nodes(standing.name)
        return self.solution.volts[left] - self.solution.volts[right]


class _Wired:
    """The switched circuit with these supplies joined, each built with 1 V, and what is known of it."""

    # A supply that no plug joins is no part of the circuit, so other supplies joined make another circuit.
    def __init__(self, bench: Bench, layout: Layout, joined: frozenset[str], large: int) -> None:
        volts = {supply.id: 1.0 if supply.id in joined else None for supply in bench.supplies}
        self.switched = SwitchedCircuit(bench, layout, volts=volts)
        self.made = MadeSwitches(self.switched)
        is_large = len(self.switched.bare.nodes) > large and not bench.lamps
        self.large = LargeCircuit(self.switched) if is_large else None

    def circuit(
        self, made: frozenset[int], volts: Mapping[str, float | None], standing: tuple[Standing, ...]
    ) -> Circuit:
        """The circuit with these switches made, the supplies turned up and vehicles on the track."""
        bare = self.switched.circuit(made)
        nodes, parts = list(bare.nodes), list(bare.parts)
        for k, part in enumerate(parts):
            if not isinstance(part, Source):
                break  # the supplies stand first
            parts[k] = Source(part.ref, part.plus, part.minus, volts[part.ref.owner] or 0.0, part.ohms)
        for one in standing:
            more, extra = standing_parts(one)
            nodes += more
            parts += extra
        return Circuit(tuple(nodes), tuple(parts))


class Electrics:
    """Circuits and solutions of one bench; a changed bench has another."""

    def __init__(self, bench: Bench, layout: Layout, *, large: int = _LARGE) -> None:
        """Nothing is worked out until it is asked for.

        Args:
            large: a circuit of more nodes, without lamps, is kept factored.
        """
        self.bench = bench
        self.layout = layout
        self._large = large
        self._wired: dict[frozenset[str], _Wired] = {}
        self._side_feeds: tuple[MadeSwitches, Feeds] | None = None
        self._last_fed: tuple[NDArray[np.int8], Table[str, str]] | None = None
        self._feeds: OrderedDict[frozenset[int], Table[str, str]] = OrderedDict()
        self._solved: OrderedDict[Signature, Solved] = OrderedDict()

    def _with(self, volts: Mapping[str, float | None]) -> _Wired:
        joined = frozenset(name for name, level in volts.items() if level is not None)
        if joined not in self._wired:
            self._wired[joined] = _Wired(self.bench, self.layout, joined, self._large)
        return self._wired[joined]

    def feeds(self, travel: Mapping[str, float]) -> Table[str, str]:
        """Side of the supply of every rail, the polarity units at rest; `travel` must not be changed afterwards."""
        if self._side_feeds is None:  # which supplies are joined makes no difference here
            wired = next(iter(self._wired.values()), None)
            switched = SwitchedCircuit(self.bench, self.layout) if wired is None else wired.switched
            looked_at = None if wired is None or self.bench.polarities else wired.made
            self._side_feeds = looked_at or MadeSwitches(switched), Feeds(self.bench, switched)
        switches, feeds = self._side_feeds
        made = switches.at(travel)
        if made not in self._feeds:
            self._feeds[made] = self._fed(feeds, feeds.codes(made))
            _trim(self._feeds)
        return self._feeds[made]

    def _fed(self, feeds: Feeds, codes: NDArray[np.int8]) -> Table[str, str]:
        """The side of every rail, from that of the last way in which the switches stood and what is otherwise."""
        if self._last_fed is None:
            table: Table[str, str] = Table(feeds.told(codes))
        else:
            table = self._last_fed[1].updated(feeds.differences(codes, self._last_fed[0]))
        self._last_fed = codes, table
        return table

    def circuit(
        self, travel: Mapping[str, float], volts: Mapping[str, float | None], units: Mapping[str, str],
        standing: tuple[Standing, ...],
    ) -> Circuit:  # fmt: skip
        """The bench's circuit as it stands, vehicles included."""
        wired = self._with(volts)
        return wired.circuit(wired.made.at(travel, units), volts, standing)

    def solved(
        self, travel: Mapping[str, float], volts: Mapping[str, float | None], units: Mapping[str, str],
        standing: tuple[Standing, ...],
    ) -> Solved:  # fmt: skip
        """What flows as the bench stands.

        Args:
            travel: of all points and switches; must not be changed afterwards.
            volts: of each supply; None joins nothing, 0.0 is off but joined.
            units: "a" or "b" for each automatic polarity unit.
            standing: vehicles on the track with their loads.
        """
        wired = self._with(volts)
        made = wired.made.at(travel, units)
        levels = tuple(volts.items())
        key = (made, levels, tuple((one.name, one.axles, one.load_ohms) for one in standing))
        found = self._solved.get(key)
        if found is None:
            found = self._solved[key] = self._solve(wired, made, dict(levels), standing)
            _trim(self._solved)
        else:
            self._solved.move_to_end(key)
        return found

    @staticmethod
    def _solve(
        wired: _Wired, made: frozenset[int], volts: Mapping[str, float | None], standing: tuple[Standing, ...]
    ) -> Solved:
        if wired.large is not None:
            solution = wired.large.solve(made, volts, standing)
            return Solved(solution, lambda: wired.circuit(made, volts, standing))
        net = wired.circuit(made, volts, standing)
        return Solved(solve(net), lambda: net)


def _trim(kept: OrderedDict[Any, Any]) -> None:
    if len(kept) > _KEPT:
        kept.popitem(last=False)

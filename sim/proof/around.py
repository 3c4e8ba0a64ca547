"""A bench seen from one piece of track: whatever its points and the relays do, the rest of the bench is folded once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Bench
from sim.electric.fold import Folded, Switched, solve_states
from sim.proof.faults import HOT_AMPS, relay_throws
from sim.wiring.build import Harness

__all__ = ["Around"]


_CALM = HOT_AMPS * (1 - 1e-6)  # so near to a fault or above, a setting is solved by itself


class Around:
    """All settings of a few switches of a bench, its other switches left as they are.

    harness: the whole of the bench
    calm: the settings, each as the switches that are made in it, that are no fault with nothing on the track
    """

    def __init__(
        self, bench: Bench, harness: Harness, travels: Sequence[Mapping[str, float]], rails: Sequence[str]
    ) -> None:
        """
        Args:
            travels: blade travel in each setting; every throw of the relays is looked at in each.
            rails: nodes that something will stand on.
        """
        throws = relay_throws(bench)
        every = {harness.made(travel, throw) for travel in travels for throw in throws}
        self.harness = harness
        self._always = frozenset.intersection(*every)
        moved = harness.switches(frozenset.union(*every) - self._always)
        self._switched = Switched(harness.circuit(self._always), moved, rails)
        at_rest = list(dict.fromkeys(harness.made(travel, throws[0]) for travel in travels))
        amps = self._amps(at_rest, [f"supply:{supply.id}" for supply in bench.supplies])
        self.calm = frozenset(made for made, most in zip(at_rest, amps.max(axis=1), strict=True) if most < _CALM)

    def fold(self, made: frozenset[int], nodes: Sequence[str]) -> Folded:
        """One of the settings folded onto some of the rails."""
        return self._switched.fold(sorted(made - self._always), nodes)

    def _amps(self, settings: Sequence[frozenset[int]], refs: Sequence[str]) -> NDArray[np.float64]:
        """The size of the current in each of these parts with nothing on the track, (settings, parts)."""
        folded = self._switched.whole()
        extra = np.array([self._switched.added(made - self._always) for made in settings])
        branches = folded.circuit.branches
        places = np.array([branches.refs.index(ref) for ref in refs], dtype=np.intp)
        volts = folded.everywhere(solve_states(folded, extra))
        return np.abs(branches.flow(volts, only=places))

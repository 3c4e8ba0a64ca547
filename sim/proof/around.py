"""A bench seen from one piece of track: whatever its points and the relays do, the rest of the bench is folded once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from sim.electric.fold import Folded, Switched, solve_states
from sim.proof.faults import HOT_AMPS
from sim.proof.subject import Subject

__all__ = ["Around"]


_CALM = HOT_AMPS * (1 - 1e-6)  # so near to a fault or above, a setting is solved by itself


class Around:
    """All settings of a few switches of a bench, its other switches left as they are.

    calm: the settings, each as the switches that are made in it, that are no fault with nothing on the track
    """

    def __init__(self, subject: Subject, travels: Sequence[Mapping[str, float]], rails: Sequence[str]) -> None:
        """
        Args:
            travels: blade travel in each setting; every throw of the relays is looked at in each.
            rails: nodes that something will stand on.
        """
        harness = subject.harness
        every = {harness.made(travel, throw) for travel in travels for throw in subject.throws}
        self._always = frozenset.intersection(*every)
        moved = harness.switches(frozenset.union(*every) - self._always)
        self._switched = Switched(harness.circuit(self._always), moved, rails)
        at_rest = list(dict.fromkeys(harness.made(travel, subject.throws[0]) for travel in travels))
        folded = self._switched.whole()
        extra = np.array([self._switched.added(made - self._always) for made in at_rest])
        amps = np.abs(folded.flow(solve_states(folded, extra), subject.supplies))
        self.calm = frozenset(
            made for made, most in zip(at_rest, amps.max(axis=1, initial=0.0), strict=True) if most < _CALM
        )

    def fold(self, made: frozenset[int], nodes: Sequence[str]) -> Folded:
        """One of the settings folded onto some of the rails."""
        return self._switched.fold(sorted(made - self._always), nodes)

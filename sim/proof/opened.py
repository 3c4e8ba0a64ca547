"""The bench under test with one of its parts opened: not made and factored anew, the part taken out in every situation.

Only for what runs over a piece with no automatic polarity unit in reach; overloads are not looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from copy import copy

import numpy as np

from sim.electric.parts import PartRef, Resistor
from sim.proof.subject import Subject
from sim.wiring.build import Position, Switch
from sim.wiring.conductors import Conductors
from sim.wiring.feeds import Feeds

__all__ = ["Opened"]


class Opened(Subject):
    """A subject like another, which it shares all with that the part does not change.

    Its circuits are those of the whole bench; every situation breaks the part beside what else it makes and breaks.
    """

    def __init__(self, whole: Subject, ref: PartRef) -> None:
        """`ref`: the part that is opened."""
        self.__dict__.update(whole.__dict__)
        base = whole.base_made
        self._place = place = whole.switched.place[ref]
        self._steady = place not in whole.switched.switches
        self.ratings = ()
        self.rated, self.rated_amps = np.zeros(0, dtype=np.intp), np.zeros(0)
        part = whole.switched.bare.parts[place]
        switched = copy(whole.switched)
        if self._steady:
            branch = part.stamp()
            broken = Resistor(ref, branch.a, branch.b, math.inf)
            switched.bare = whole.switched.bare.closed({place: broken})
        else:
            switched.switches = {k: one for k, one in whole.switched.switches.items() if k != place}
        self.conductors = Conductors(self.bench, switched)
        self.feeds = Feeds(self.bench, switched)
        self.switched = copy(whole.switched)
        if self._steady:
            self.switched.switches = {**whole.switched.switches, place: Switch(part, "", _never)}
        self.__dict__["base_made"] = base

    def changed(self, some: Mapping[str, str | float], base: frozenset[int]) -> dict[int, int]:
        """See `Subject.changed`; the part is broken whatever levers do."""
        found = super().changed(some, base)
        found.pop(self._place, None)
        if self._steady or self._place in base:
            found[self._place] = -1
        return found

    def places_of(self, names: Iterable[str]) -> list[int]:
        """Places of all switches that these levers and units move, and that of the part."""
        return [*super().places_of(names), self._place]


def _never(position: Position) -> bool:
    del position
    return False

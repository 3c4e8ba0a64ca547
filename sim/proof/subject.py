"""The bench under test: its circuit, made once, and what is looked at in it in every setting."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping

import numpy as np

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.track.layout import Layout
from sim.wiring.build import Harness, ratings
from sim.wiring.wheels import pickup_nodes

__all__ = ["GHOST", "PICKUPS", "Relays", "Subject"]

GHOST = "test:0"
"""The vehicle under test, by the name that its pick-up rails get."""

PICKUPS = pickup_nodes(GHOST)

_MOST_RELAYS = 4  # every throw of so many relays together; of more, one at a time

Relays = Mapping[str, str]


class Subject:
    """A bench with what a test needs of it in every setting.

    harness: its circuit, with the pick-up rails of the vehicle under test, which nothing touches yet
    throws: those of the polarity relays that are looked at, at rest first
    ratings, rated_amps: of the parts that have a rated current
    supplies, rated, coils: places in the circuit of the supplies, of the rated parts, and of the relays' contacts that
        are made at rest, each in the bench's order
    """

    def __init__(self, bench: Bench, layout: Layout, opened: Collection[PartRef] = ()) -> None:
        """`opened`: names of parts that are taken to be broken."""
        self.bench = bench
        self.layout = layout
        self.harness = Harness(bench, layout, opened=opened, more=PICKUPS)
        self.throws = _throws([relay.id for relay in bench.polarities])
        self.ratings = ratings(bench)
        self.rated_amps = np.array([rating.amps for rating in self.ratings])
        self.volts = max((supply.volts for supply in bench.supplies), default=0.0)
        self.trips = np.array([supply.trip_amps for supply in bench.supplies])
        place = {part.ref: k for k, part in enumerate(self.harness.circuit(frozenset()).parts)}
        self.supplies = np.array([place[PartRef("supply", supply.id)] for supply in bench.supplies], dtype=np.intp)
        self.rated = np.array([place[rating.ref] for rating in self.ratings], dtype=np.intp)
        self.coils = np.array([place[PartRef("unit", unit.id, ("a",))] for unit in bench.polarities], dtype=np.intp)


def _throws(ids: list[str]) -> tuple[Relays, ...]:
    if len(ids) <= _MOST_RELAYS:
        every = itertools.product("ab", repeat=len(ids))
        return tuple(dict(zip(ids, throw, strict=True)) for throw in sorted(every, key=lambda t: t.count("b")))
    rest = dict.fromkeys(ids, "a")
    return (rest, *({**rest, one: "b"} for one in ids))

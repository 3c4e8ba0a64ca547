"""Automatic polarity units while the bench runs: they turn over when too much current flows for long enough.

They work on digital supplies only: one that direct current feeds stays as it is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from sim.bench.model import SINGLE_SUPPLY, Bench, Polarity
from sim.electric.parts import PartRef

__all__ = ["Units"]

_LEAST_SECONDS = 0.001  # of a turn: no unit is quicker (unit types take 5-20 ms, trade.md F)
_NEAR = 1e-9


class Units:
    """Which way each unit stands, "a" at rest or "b", and how long it has had too much current."""

    def __init__(self, bench: Bench) -> None:
        """All at rest."""
        self._models: dict[str, Polarity] = {}
        self._working: frozenset[str] = frozenset()
        self.throws: dict[str, str] = {}
        self._over: dict[str, float] = {}
        self.fit(bench)

    def fit(self, bench: Bench) -> None:
        """Follow an edit; a unit that remains stays as it stands."""
        self._models = {unit.id: unit for unit in bench.polarities}
        self._working = frozenset(unit.id for unit in bench.polarities if _has_digital(bench, unit))
        self.throws = {name: self.throws.get(name, "a") for name in self._models}
        self._over = {name: self._over.get(name, 0.0) for name in self._models}

    def _turning(self, amps: Mapping[PartRef, float]) -> list[str]:
        """Units through one of whose poles too much current flows."""
        return [
            name
            for name, model in self._models.items()
            if name in self._working
            and any(
                abs(amps.get(PartRef("unit", name, (end,)), 0.0)) >= model.turns_at_amps
                for end, _, throw in model.contacts
                if throw == self.throws[name]
            )
        ]

    def due(self, amps: Mapping[PartRef, float]) -> float:
        """Seconds until one turns over with the amps as they are; infinite if none does."""
        return min((self._wait(name) for name in self._turning(amps)), default=math.inf)

    def _wait(self, name: str) -> float:
        return max(max(self._models[name].turn_seconds, _LEAST_SECONDS) - self._over[name], 0.0)

    def advance(self, seconds: float, amps: Mapping[PartRef, float]) -> tuple[str, ...]:
        """Let time pass, at most until `due`; returns the units that turned over."""
        turning = self._turning(amps)
        turned = []
        for name in self._models:
            if name not in turning:
                self._over[name] = 0.0
            elif seconds >= self._wait(name) - _NEAR:
                self.throws[name] = "b" if self.throws[name] == "a" else "a"
                self._over[name] = 0.0
                turned.append(name)
            else:
                self._over[name] += seconds
        return tuple(turned)


def _has_digital(bench: Bench, unit: Polarity) -> bool:
    """Whether a digital supply is on a unit's supply ends, over wires and the bus; if none is, on the bench at all."""
    joined: dict[str, set[str]] = {}
    pairs = [wire.ends for wire in bench.wires]
    if bench.bus is not None:
        pairs += [(f"{SINGLE_SUPPLY}.{side}", f"{tap}.{side}") for tap in bench.bus.taps for side in "AB"]
    for one, other in pairs:
        joined.setdefault(one, set()).add(other)
        joined.setdefault(other, set()).add(one)
    reached = [f"{unit.id}.{end}" for end, _, _ in unit.contacts]
    seen = set(reached)
    for end in reached:
        fresh = joined.get(end, set()) - seen
        seen |= fresh
        reached += sorted(fresh)
    kinds = {supply.kind for supply in bench.supplies if not seen.isdisjoint((supply.a, supply.b))}
    return "dcc" in (kinds or {supply.kind for supply in bench.supplies})

"""The supplies while the bench runs: switch, plug, breaker and what they give."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from sim.bench.model import Bench, Supply
from sim.electric.breaker import Breaker

__all__ = ["Supplies", "SupplyState"]

_LEAST_RETRY = 0.02  # seconds; a breaker that tried again at once would not be a breaker


@dataclass(slots=True)
class SupplyState:
    """One supply: how it stands, and amps and volts as they were last worked out.

    amps: what would flow if it gave as much as asked; see `given`.
    """

    model: Supply
    on: bool
    plugged: bool
    breaker: Breaker
    amps: float = 0.0
    volts: float = 0.0

    @property
    def given(self) -> float:
        """The amps that it gives: those that would flow, at most what it can give."""
        return math.copysign(min(abs(self.amps), self.model.most_amps), self.amps)

    @property
    def overloaded(self) -> bool:
        """Whether it gives so much that its breaker, still closed, will open."""
        return self.live and abs(self.given) >= self.model.trip_amps

    @property
    def live(self) -> bool:
        """Switched on, plugged in, breaker closed."""
        return self.on and self.plugged and not self.breaker.open


def _breaker(supply: Supply) -> Breaker:
    retry = max(supply.retry_seconds, _LEAST_RETRY) if supply.retry_seconds > 0 else 0.0
    return Breaker(supply.trip_amps, supply.trip_seconds, retry)


class Supplies:
    """All supplies of a bench, and the regulator that a DC supply's throttle is.

    throttle, direction: what DC supplies are turned up to; digital ones give their full volts always.
    """

    def __init__(self, bench: Bench) -> None:
        """As filed, every breaker closed."""
        self.states: dict[str, SupplyState] = {}
        self.throttle = 0.0
        self.direction = 1
        self.fit(bench)

    def fit(self, bench: Bench) -> None:
        """Follow an edit: a supply that stays as it was keeps how it stands."""
        kept: dict[str, SupplyState] = {}
        for supply in bench.supplies:
            old = self.states.get(supply.id)
            if old is None:
                kept[supply.id] = SupplyState(supply, supply.on, supply.plugged, _breaker(supply))
            else:
                breaker = old.breaker if old.model == supply else _breaker(supply)
                kept[supply.id] = SupplyState(supply, old.on, old.plugged, breaker, old.amps, old.volts)
        self.states = kept

    def switch_off(self) -> None:
        """Switch every supply off."""
        for state in self.states.values():
            state.on = False

    def chosen(self, supply: str | None) -> tuple[SupplyState, ...]:
        """The supply of that id, or all of them for None."""
        return tuple(self.states.values()) if supply is None else (self.states[supply],)

    @property
    def volts(self) -> Mapping[str, float | None]:
        """What each puts into the wiring: None joins nothing, 0.0 is off but joined through its output."""
        return {name: self._volts(state) for name, state in self.states.items()}

    def _volts(self, state: SupplyState) -> float | None:
        if not state.plugged or state.breaker.open:
            return None
        if not state.on:
            return 0.0
        if state.model.kind == "dc":
            return state.model.volts * self.throttle * self.direction
        return state.model.volts

    @property
    def any_live(self) -> bool:
        """True while any supply gives its volts."""
        return any(state.live for state in self.states.values())

    @property
    def any_joined(self) -> bool:
        """True while any supply is plugged in, on or off: ohms must not be measured then.

        With its plug pulled out a supply is joined to nothing, wherever its rocker stands.
        """
        return any(state.plugged for state in self.states.values())

    def due(self) -> float:
        """Seconds until a breaker next opens or closes with the amps as they are; infinite if none does."""
        waits = [state.breaker.due(state.given) for state in self.states.values()]
        return min((wait for wait in waits if wait is not None), default=math.inf)

    def advance(self, seconds: float) -> tuple[tuple[str, str], ...]:
        """Let time pass, at most until `due`; returns (supply, "opened" or "closed") for every breaker that changed."""
        events = []
        for name, state in self.states.items():
            before = state.breaker
            state.breaker = before.after(seconds, state.given)
            if state.breaker.open != before.open:
                events.append((name, "opened" if state.breaker.open else "closed"))
        return tuple(events)

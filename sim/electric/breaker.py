"""A supply's breaker: opens when its current stays too high for too long."""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["Breaker"]

_TICK = 1e-9  # s; times nearer than this are the same: steps of 0.01 s add up with rounding


@dataclass(frozen=True)
class Breaker:
    """A breaker, and how far it has got. It never changes; `after` gives the next.

    It opens once the current has been `trip_amps` or more for `trip_seconds` without a break. It closes again after
    `retry_seconds`, or only by hand (`reset`) when that is 0. `open`: it has opened. `seconds`: how long the current
    has been too high, or, open, for how long.
    """

    trip_amps: float
    trip_seconds: float
    retry_seconds: float = 0.0
    open: bool = False
    seconds: float = 0.0

    def after(self, dt: float, amps: float) -> Breaker:
        """The breaker after `dt` seconds in which the supply gave `amps` (either sign) while the breaker let it.

        Opening and the wait that follows are exact within the step. Having closed again, it starts afresh at the step's
        end, because nobody has yet said what current then flows.
        """
        breaker = self
        if not breaker.open:
            if abs(amps) < breaker.trip_amps:
                return replace(breaker, seconds=0.0) if breaker.seconds else breaker
            over = breaker.seconds + dt - breaker.trip_seconds
            if over < -_TICK:
                return replace(breaker, seconds=breaker.seconds + dt)
            breaker = replace(breaker, open=True, seconds=0.0)
            dt = max(0.0, over)
        waited = breaker.seconds + dt
        if breaker.retry_seconds > 0.0 and waited >= breaker.retry_seconds - _TICK:
            return breaker.reset()
        return replace(breaker, seconds=waited)

    def due(self, amps: float) -> float | None:
        """Seconds until it next opens or closes if the supply keeps giving `amps`; None if it stays as it is."""
        if self.open:
            return max(0.0, self.retry_seconds - self.seconds) if self.retry_seconds > 0.0 else None
        return max(0.0, self.trip_seconds - self.seconds) if abs(amps) >= self.trip_amps else None

    def reset(self) -> Breaker:
        """The breaker closed by hand: if the fault is still there, it opens again in its time."""
        return replace(self, open=False, seconds=0.0)

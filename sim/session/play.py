"""How the player went about it, as far as it is recorded: what was said, and how power came."""

from __future__ import annotations

from collections.abc import Iterable

from sim.bench.model import Bench
from sim.session.acts import Predict, Side
from sim.session.frogs import frog_wired
from sim.session.snapshot import FirstPower, PlayView, ReadingView, Taken

__all__ = ["Play"]


class Play:
    """What was said, the first power that counts, and how often power met a short or ended in one."""

    def __init__(self) -> None:
        """Nothing done yet."""
        self.said: dict[tuple[str, str], Side] = {}
        self.first: FirstPower | None = None
        self.into_short = 0
        self.trips = 0

    @property
    def powered(self) -> bool:
        """Whether there has been power since something was wired to a frog."""
        return self.first is not None

    @property
    def predictions(self) -> tuple[Predict, ...]:
        """What was said."""
        return tuple(Predict(piece, setting, side) for (piece, setting), side in self.said.items())

    def say(self, prediction: Predict) -> None:
        """Keep a prediction; the last one said counts."""
        self.said[prediction.piece, prediction.setting] = prediction.side

    def power(
        self, bench: Bench, readings: Iterable[ReadingView], taken: frozenset[Taken], *, into_short: bool
    ) -> bool:
        """A supply has begun to give its volts, with that read so far; True if it is the first power that counts."""
        self.into_short += into_short
        if self.powered or not frog_wired(bench):
            return False
        self.first = FirstPower(tuple(readings), taken, into_short)
        return True

    def view(self, cautions: int) -> PlayView:
        """The record so far."""
        return PlayView(self.into_short, self.trips, cautions, self.first)

"""What of a bench has changed since it was filed, and what has been done to it since it was last written down."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.model import Bench
from sim.session.snapshot import Snapshot

__all__ = ["Unsaved"]


class Unsaved:
    """Compares a bench with how it was; an edited bench is another object, so each is compared once."""

    def __init__(self, filed: Bench, now: Snapshot) -> None:
        self._filed = _without_trains(filed)
        self._compared: tuple[Bench, bool] | None = None
        self._written = _what_was_done(now)

    def differs(self, bench: Bench) -> bool:
        """Whether a bench is not as it is filed; a train that was driven elsewhere is no difference."""
        if self._compared is None or self._compared[0] is not bench:
            self._compared = bench, _without_trains(bench) != self._filed
        return self._compared[1]

    def filed(self, bench: Bench) -> None:
        """A bench is filed as it is now."""
        self._filed, self._compared = _without_trains(bench), None

    def take_done(self, now: Snapshot) -> bool:
        """Whether something has been done since this was last asked."""
        done = _what_was_done(now)
        before, self._written = self._written, done
        return done != before


def _without_trains(bench: Bench) -> Bench:
    """A bench, wherever its trains stand."""
    return replace(bench, trains=tuple(replace(one, end="", mm=0.0) for one in bench.trains))


def _what_was_done(now: Snapshot) -> tuple[object, ...]:
    """What a player would not want to do again."""
    return now.bench, now.predictions, now.readings, now.meter.taken, now.evidence, now.play

"""What of an open bench is heard, from one moment to the next."""

from __future__ import annotations

from sim.game.look.sound import Heard, Speaker, heard
from sim.game.screens.bench_page import BenchScreen
from sim.session.snapshot import Snapshot

__all__ = ["Hearing"]


class Hearing:
    """Lets what happens on the bench be heard; all else is silent."""

    def __init__(self) -> None:
        self._last: tuple[BenchScreen, Snapshot] | None = None

    def hear(self, bench: BenchScreen | None, speaker: Speaker) -> None:
        """A moment later. `bench`: the bench that is being played, None while another page is open."""
        if bench is None or bench.result is not None:
            self._last = None
            speaker.play(Heard())
            return
        now = bench.snapshot
        before = self._last[1] if self._last is not None and self._last[0] is bench else None
        self._last = (bench, now)
        moment = heard(before, now)
        slow = bench.view.pace < 1
        speaker.play(moment._replace(note=None) if slow else moment)  # no engine hums a hundred times lower

"""Cautions, and what the meter shows: each is told once beside what it is about, and goes with the next thing done."""

from __future__ import annotations

from collections.abc import Iterable

from sim.coach.cautions import CAUTIONS, cautions_due, new_end
from sim.coach.meanings import MEANINGS, meanings_due
from sim.game.whereabouts.viewstate import CautionView, Target
from sim.session.snapshot import Snapshot

__all__ = ["Cautioning", "names_of"]

_BESIDE = {"mains": Target("plug", "supply"), "ohms": Target("knob", "meter"), "short": Target("rocker", "supply")}


_EVERY = (*CAUTIONS, *MEANINGS)


def names_of(kept: str) -> tuple[str, ...]:
    """The cautions and meanings that a kept line names, such as "mains,solder"; what is none is left out."""
    return tuple(name for name in _EVERY if name in kept.split(","))


class Cautioning:
    """Which cautions, and meanings of what the meter shows, a player has seen; one for all benches of a window."""

    def __init__(self, seen: Iterable[str] = ()) -> None:
        self._seen = set(seen)

    @property
    def kept(self) -> str:
        """Those seen so far, as one line."""
        return ",".join(name for name in _EVERY if name in self._seen)

    def meaning(self, before: Snapshot, now: Snapshot) -> str:
        """The name of what the meter has just begun to show, if it was never explained; it is with this."""
        for name in meanings_due(before, now):
            if name not in self._seen:
                self._seen.add(name)
                return name
        return ""

    def due(self, before: Snapshot, now: Snapshot) -> CautionView | None:
        """The caution that belongs to what has just happened, if it was never seen; it is seen with this."""
        for name in cautions_due(before, now):
            if name not in self._seen:
                self._seen.add(name)
                return CautionView(name, _BESIDE.get(name) or _soldered(before, now))
        return None


def _soldered(before: Snapshot, now: Snapshot) -> Target:
    end = new_end(before.bench, now.bench)
    terminal = any(end in wire.ends for wire in now.bench.wires)
    return Target("terminal" if terminal else "place", end)

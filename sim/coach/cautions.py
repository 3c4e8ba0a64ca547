"""Cautions for real benches, in plain words, and the moment at which each of them belongs to what is being done.

trade.md I and the README's cautions; where a caution is spoken of here, the player has just come to what it is about.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import NamedTuple

from sim.bench.model import Bench
from sim.session.snapshot import Snapshot

__all__ = ["CAUTIONS", "PASSED", "Caution", "cautions_due", "new_end"]

_BRIDGED = frozenset({"closed", "made"})


class Caution(NamedTuple):
    """What it is about, and what to mind."""

    heading: str
    text: str


CAUTIONS: Mapping[str, Caution] = {
    "mains": Caution(
        "The mains side",
        "A supply's mains side is for those licensed to work on it, and for your local codes. "
        "Everything here is done on its low side.",
    ),
    "ohms": Caution(
        "Ohms",
        "Measure ohms only with the supply unplugged. "
        "Switched off is not enough: its output still joins the two sides.",
    ),
    "short": Caution(
        "A short",
        "A short can heat wire until it melts plastic, also one that does not open the breaker. "
        "Never leave a powered bench alone.",
    ),
    "solder": Caution("Soldering", "Solder where the air moves, and keep your head out of the fumes."),
    "passed": Caution(
        "The real board",
        "The program teaches. A pass in it never replaces the meter test on the real board.",
    ),
}
"""By name, in the order in which they are read on one page."""

PASSED = "passed"
"""The one that stands beside every pass."""


def cautions_due(before: Snapshot, now: Snapshot) -> tuple[str, ...]:
    """The cautions that what happened between two moments calls for."""
    due = []
    supplies = zip(before.supplies, now.supplies, strict=False)
    if any(new.plugged > old.plugged or new.on > old.on for old, new in supplies):
        due.append("mains")
    if now.meter.caution and not before.meter.caution:
        due.append("ohms")
    if now.fault is not None and before.fault is None:
        due.append("short")
    if new_end(before.bench, now.bench):
        due.append("solder")
    return tuple(due)


def new_end(before: Bench, now: Bench) -> str:
    """Where something was soldered between two moments: a rail's tab, or the full name of a place; "" for nowhere.

    A screw is only turned.
    """
    if len(now.wires) > len(before.wires):
        rails = {section for piece in now.tracks for section in piece.sections()}
        return next((end for end in reversed(now.wires[-1].ends) if end in rails), "")
    was: Collection[tuple[str, str]] = {(place.name, place.state) for p in before.tracks for place in p.places()}
    fresh = (place for p in now.tracks for place in p.places() if (place.name, place.state) not in was)
    return next((place.name for place in fresh if place.state in _BRIDGED), "")

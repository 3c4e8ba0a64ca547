"""The list of all things, from the ground up."""

from __future__ import annotations

from sim.game.things.ammeter import Ammeter
from sim.game.things.thing import Thing
from sim.game.things.timedial import TimeDial

__all__ = ["THINGS", "owner"]

THINGS: tuple[Thing, ...] = (Ammeter(), TimeDial())


def owner(kind: str) -> Thing | None:
    """The thing that a kind of target, or of what is in hand, belongs to."""
    return next((thing for thing in THINGS if kind in thing.kinds), None)

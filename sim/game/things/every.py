"""The list of all things, from the ground up."""

from __future__ import annotations

from sim.game.things.again import Again
from sim.game.things.ammeter import Ammeter
from sim.game.things.broken import BrokenList
from sim.game.things.comparing import CompareSheet
from sim.game.things.drawer import Drawer
from sim.game.things.gap import GapCard
from sim.game.things.magnifier import Magnifier
from sim.game.things.mat import Mat
from sim.game.things.pieces import Ends, Fittings, Joints, Pieces, PieceSlip
from sim.game.things.sleeves import Sleeves
from sim.game.things.thing import Thing
from sim.game.things.timedial import TimeDial
from sim.game.things.wire_slip import Wires, WireSlip

__all__ = ["THINGS", "owner"]

THINGS: tuple[Thing, ...] = (
    Mat(),
    CompareSheet(),
    Pieces(),
    Ends(),
    Fittings(),
    Wires(),
    Sleeves(),
    Joints(),
    Ammeter(),
    Magnifier(),
    GapCard(),
    TimeDial(),
    Drawer(),
    BrokenList(),
    PieceSlip(),
    WireSlip(),
    Again(),
)


def owner(kind: str) -> Thing | None:
    """The thing that a kind of target, or of what is in hand, belongs to."""
    return next((thing for thing in THINGS if kind in thing.kinds), None)

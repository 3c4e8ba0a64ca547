"""The list of all things, from the ground up."""

from __future__ import annotations

from sim.game.items.again import Again
from sim.game.items.ammeter import Ammeter
from sim.game.items.broken import BrokenList
from sim.game.items.comparing import CompareSheet
from sim.game.items.drawer import Drawer
from sim.game.items.gap import GapCard
from sim.game.items.magnifier import Magnifier
from sim.game.items.mat import Mat
from sim.game.items.pieces import Ends, Fittings, Joints, Pieces, PieceSlip
from sim.game.items.sleeves import Sleeves
from sim.game.items.thing import Thing
from sim.game.items.timedial import TimeDial
from sim.game.items.wire_slip import Wires, WireSlip

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

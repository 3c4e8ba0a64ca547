"""The list of all things, from the ground up."""

from __future__ import annotations

from sim.game.items.cards.again import Again
from sim.game.items.cards.broken import BrokenList
from sim.game.items.cards.comparing import CompareSheet
from sim.game.items.cards.drawer import Drawer
from sim.game.items.cards.gap import GapCard
from sim.game.items.cards.piece_slip import PieceSlip
from sim.game.items.cards.wire_slip import WireSlip
from sim.game.items.common.thing import Thing
from sim.game.items.tools.ammeter import Ammeter
from sim.game.items.tools.magnifier import Magnifier
from sim.game.items.tools.timedial import TimeDial
from sim.game.items.trackside.mat import Mat
from sim.game.items.trackside.pieces import Ends, Fittings, Joints, Pieces
from sim.game.items.trackside.sleeves import Sleeves
from sim.game.items.trackside.strung_wires import Wires

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

"""The list of all things, from the ground up."""

from __future__ import annotations

from collections.abc import Mapping

from sim.game.items.cards.again import Again
from sim.game.items.cards.broken import BrokenList
from sim.game.items.cards.comparing import CompareSheet
from sim.game.items.cards.drawer import Drawer
from sim.game.items.cards.gap import GapCard
from sim.game.items.cards.piece_slip import PieceSlip
from sim.game.items.cards.prompt_cross import PromptCross
from sim.game.items.cards.wire_slip import WireSlip
from sim.game.items.common.thing import Thing
from sim.game.items.panels.frog_slip import FrogSlip, ShortWords
from sim.game.items.panels.job_sheet import JobSheet
from sim.game.items.panels.meter_panel import Meter
from sim.game.items.panels.supply_panel import Supply
from sim.game.items.panels.throttle_panel import Levers, Throttle
from sim.game.items.panels.top_buttons import TopButtons
from sim.game.items.tools.ammeter import Ammeter
from sim.game.items.tools.magnifier import Magnifier
from sim.game.items.tools.probes import Probes
from sim.game.items.tools.timedial import TimeDial
from sim.game.items.trackside.blades import Blades
from sim.game.items.trackside.gaps import Gaps
from sim.game.items.trackside.mat import Mat
from sim.game.items.trackside.pieces import Ends, Fittings, Joints, Pieces
from sim.game.items.trackside.screws import Terminals
from sim.game.items.trackside.sleeves import Sleeves
from sim.game.items.trackside.strung_wires import Wires
from sim.game.items.trackside.vehicles import Vehicles

__all__ = ["INSTRUMENTS", "THINGS", "on_board", "owner"]

INSTRUMENTS: tuple[Thing, ...] = (Meter(), Supply(), Throttle(), Levers())

THINGS: tuple[Thing, ...] = (
    Mat(),
    Pieces(),
    Ends(),
    Fittings(),
    Terminals(),
    Gaps(),
    Blades(),
    Wires(),
    Vehicles(),
    Probes(),
    Sleeves(),
    Joints(),
    Ammeter(),
    Magnifier(),
    GapCard(),
    TimeDial(),
    TopButtons(),
    *INSTRUMENTS,
    JobSheet(),
    FrogSlip(),
    ShortWords(),
    Drawer(),
    BrokenList(),
    PieceSlip(),
    WireSlip(),
    CompareSheet(),
    Again(),
    PromptCross(),
)


_OWNERS: Mapping[str, Thing] = {kind: thing for thing in THINGS for kind in thing.kinds}


def owner(kind: str) -> Thing | None:
    """The thing that a kind of target, or of what is in hand, belongs to."""
    return _OWNERS.get(kind)


def on_board(kind: str) -> bool:
    """Whether a kind of thing lies on the mat, where a camera may not show it."""
    thing = owner(kind)
    return thing is not None and thing.layer in {"board", "bed"}

"""What a control on the bench does, as acts: rocker, plug, knob, throttle, a place on the track."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.edits import ChangeWire, MakeWire, SetPlace
from sim.bench.levers import lever_named
from sim.game.items.common.thing import Outcome, Sight
from sim.game.look.new_wire import new_cloth
from sim.game.picture.side import driven, levers, supply_now
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, ViewState
from sim.session.acts import Act, Dial, DialName, Do, Drive, Nudge, Plug, Power, Predict, Reset, Side, Throw
from sim.session.frogs import frog_pieces
from sim.session.snapshot import Snapshot

__all__ = [
    "DIALS",
    "NUDGE_MM",
    "THROTTLE_STEP",
    "change_place",
    "drive_by",
    "lever_number",
    "make_wire",
    "nudge_on",
    "plug",
    "predict",
    "rocker",
    "thrown",
    "turn_dial",
    "wire_to",
]

DIALS: tuple[DialName, ...] = ("off", "volts", "ohms", "buzzer")
THROTTLE_STEP = 0.05  # of its way, for a key or a notch of the wheel
NUDGE_MM = 5.0  # a finger's push; our choice
_STILL = 1e-3  # mm/s
_OTHER_STATE = {"cut": "closed", "closed": "cut", "leaking": "cut", "made": "open", "open": "made"}

Acts = tuple[Act, ...]


def make_wire(snapshot: Snapshot, a: str, b: str, *, bare: bool = False) -> Acts:
    """A wire from one terminal to another, in the colour of its side; `bare`: sides are seen once they are proved."""
    return (Do(MakeWire(a, b, colour=new_cloth(snapshot, a, b, bare=bare))),)


def wire_to(snapshot: Snapshot, view: ViewState, hand: Hand, terminal: str) -> Acts:
    """The wire in hand onto a terminal: a new one, or an end of one that is there already."""
    if hand.moves is None:
        return make_wire(snapshot, hand.name, terminal, bare=view.bare)
    index, end = hand.moves
    if index >= len(snapshot.bench.wires):
        return ()
    wire = snapshot.bench.wires[index]
    ends = (terminal, wire.ends[1]) if end == 0 else (wire.ends[0], terminal)
    return (Do(ChangeWire(index, replace(wire, ends=ends))),) if ends != wire.ends else ()


def change_place(stage: Stage, name: str) -> Acts:
    """Cut what is closed, bridge what is cut; make what is open, open what is made."""
    mark = next((mark for mark in stage.places if mark.place.name == name), None)
    return () if mark is None else (Do(SetPlace(name, _OTHER_STATE[mark.place.state])),)


def rocker(snapshot: Snapshot, view: ViewState) -> Acts:
    """The supply's rocker: on, off, or the breaker closed again."""
    supply = supply_now(snapshot, view)
    if supply is None:
        return ()
    if supply.tripped:
        return (Reset(supply.id),)
    return (Power(not supply.on, supply.id),)


def plug(snapshot: Snapshot) -> Acts:
    """Plug the supply in, or pull it out."""
    if not snapshot.supplies:
        return ()
    return (Plug(not all(supply.plugged for supply in snapshot.supplies)),)


def turn_dial(snapshot: Snapshot, by: int) -> Acts:
    """The meter's knob, so many places further."""
    now = DIALS.index(snapshot.meter.dial)
    return (Dial(DIALS[(now + by) % len(DIALS)]),)


def drive_by(snapshot: Snapshot, view: ViewState, by: float) -> Acts:
    """The throttle, moved by a share of its way."""
    train = driven(snapshot, view)
    return () if train is None else (Drive(train.id, round(min(1.0, max(0.0, train.throttle + by)), 2)),)


def nudge_on(snapshot: Snapshot, name: str) -> Acts:
    """A finger's push at an engine that has died on its way, the way that it was going; none for any other."""
    train = next((train for train in snapshot.trains if train.id == name), None)
    if train is None or train.throttle <= 0 or train.running or train.derailed or abs(train.speed_mm_s) > _STILL:
        return ()
    return (Nudge(name, NUDGE_MM * train.direction),)


def predict(snapshot: Snapshot, view: ViewState, name: str) -> Acts:
    """A button of the frog's slip: "normal/left" and so on."""
    setting, _, side = name.partition("/")
    pieces = frog_pieces(snapshot.bench)
    said: Side = "left" if side == "left" else "right"
    return (Predict(pieces[view.frog % len(pieces)], setting, said),) if pieces else ()


def lever_number(sight: Sight, name: str) -> int | None:
    """Which of the levers on the panel throws those points, or is that switch; None for none of them."""
    lever = lever_named(sight.stage.bench, name)
    moved = lever.movers if lever is not None else (name,)
    every = levers(sight.stage, sight.snapshot)
    return next((k for k, each in enumerate(every) if each.piece in moved), None)


def thrown(sight: Sight, name: str, to: str | None) -> Outcome:
    """Points thrown, or a lever of the panel, which then is the one that is shown; `to`: a setting, None: the other."""
    return Outcome((Throw(name, to),), view=replace(sight.view, lever=lever_number(sight, name) or 0))

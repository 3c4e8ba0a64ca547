"""What a hand does on the bench, as acts: a wire onto a terminal, a place on the track changed, a push."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.edits import ChangeWire, MakeWire, SetPlace
from sim.game.look.new_wire import new_cloth
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, ViewState
from sim.session.acts import Act, Do, Nudge
from sim.session.snapshot import Snapshot

__all__ = ["NUDGE_MM", "change_place", "make_wire", "nudge_on", "wire_to"]

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


def nudge_on(snapshot: Snapshot, name: str) -> Acts:
    """A finger's push at an engine that has died on its way, the way that it was going; none for any other."""
    train = next((train for train in snapshot.trains if train.id == name), None)
    if train is None or train.throttle <= 0 or train.running or train.derailed or abs(train.speed_mm_s) > _STILL:
        return ()
    return (Nudge(name, NUDGE_MM * train.direction),)

"""Does what a hint says, from its words alone."""

from __future__ import annotations

import re

from sim.bench.edits import MakeWire, RemoveWire, SetPlace, TurnMotor
from sim.bench.model import Bench
from sim.bench.terminals import terminals
from sim.session.acts import Act, Dial, Do, Plug, Predict, Probe, Side, Throw
from sim.session.session import Session
from sim.wiring.names import part_words, place_ref
from sim.wiring.telling import wire_end_words

__all__ = ["act_told"]

_STATES = {"cut": "cut", "bridged": "closed", "made": "made", "open": "open"}


def _terminal(bench: Bench, said: str) -> str:
    return {wire_end_words(bench, name): name for name in terminals(bench)}[said]


def _piece(bench: Bench, points: str) -> str:
    return points.split(" of ")[1] if " of " in points else bench.point_sets[0].id


def act_told(session: Session, change: str) -> Act:
    """The act that the words of a change tell. Raises ValueError for words that tell none."""
    bench = session.bench
    if found := re.fullmatch(r"Say: (left|right), with (the points.*) (normal|diverging)\.", change):
        side: Side = "left" if found[1] == "left" else "right"
        return Predict(_piece(bench, found[2]), found[3], side)
    if change.startswith("Pull the plug out"):
        return Plug(False)
    if found := re.fullmatch(r"Throw (the points.*): (normal|diverging)\.", change):
        return Throw(_piece(bench, found[1]), found[2])
    if change.startswith("Turn the knob to ohms"):
        return Dial("ohms")
    if found := re.fullmatch(r"Measure from (.+) to (.+)\.", change):
        return Probe(_terminal(bench, found[1]), _terminal(bench, found[2]))
    if found := re.fullmatch(r"Take off the wire from (.+) to (.+)\.", change):
        ends = {_terminal(bench, found[1]), _terminal(bench, found[2])}
        return Do(RemoveWire(next(k for k, wire in enumerate(bench.wires) if set(wire.ends) == ends)))
    if found := re.fullmatch(r"Take a wire from (.+) to (.+)\.", change):
        return Do(MakeWire(_terminal(bench, found[1]), _terminal(bench, found[2])))
    if found := re.fullmatch(r"Turn the motor (\w+) round\.", change):
        return Do(TurnMotor(found[1]))
    if found := re.fullmatch(r"The (.+) should be (\w+)\.", change):
        places = [place for piece in bench.tracks for place in piece.places()]
        name = next(p.name for p in places if part_words(bench, place_ref(p.name)) == found[1])
        return Do(SetPlace(name, _STATES[found[2]]))
    raise ValueError(f"no change is told by {change!r}")

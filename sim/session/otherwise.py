"""The same moment with one thing changed: what would flow if a gap were closed, or cut.

Same points, trains at the same places and driven alike, same supplies; only the edit differs. The running bench is read
and never touched. Breakers count as closed, also one that has opened: what it would have to carry is the question.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from sim.bench.edits import Edit, SetPlace
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.session.electrics import Electrics
from sim.session.faults import fault_of
from sim.session.running import Running
from sim.session.snapshot import FaultView
from sim.track.layout import Layout
from sim.wiring.names import section_of, section_words
from sim.wiring.telling import amps_words, flow_words, listed, volts_words, whose_breaker

__all__ = ["Drawn", "GapMoment", "Moment", "gap_moments", "otherwise"]

_STATES = {"cut": "Cut", "closed": "Closed"}


class Drawn(NamedTuple):
    """What an engine draws: its name, amps, volts at its pick-ups, and whether those are enough for it."""

    name: str
    amps: float
    volts: float
    enough: bool


@dataclass(frozen=True)
class Moment:
    """A bench as it would be at this moment.

    powered: as the supplies stand; False: nothing is on, so told as if everything were on and plugged in
    feeds: side of every rail, as in a snapshot; amps: through every part, its breakers closed
    engines: what each draws; fault: the short that would open a breaker, None without one
    """

    bench: Bench
    powered: bool
    feeds: Mapping[str, str]
    amps: Mapping[PartRef, float]
    engines: tuple[Drawn, ...]
    fault: FaultView | None


class GapMoment(NamedTuple):
    """A gap's place, how it is in this moment ("cut", "closed", "leaking"), the moment, and that in one sentence."""

    place: str
    state: str
    moment: Moment
    text: str


def otherwise(now: Running, edit: Edit | None = None) -> Moment:
    """The moment with an edit made; without one: the moment as it is.

    Raises EditRefused for an edit that cannot be made, KeyError for one that takes away track under a train.
    """
    bench = now.bench if edit is None else edit.apply(now.bench)
    layout = Layout(bench)
    electrics = Electrics(bench, layout)
    powered = any(state.on and state.plugged for state in now.supplies.states.values())
    volts: dict[str, float | None] = {}
    for name, state in now.supplies.states.items():
        turned = now.supplies.throttle * now.supplies.direction if state.model.kind == "dc" else 1.0
        if powered and not state.plugged:
            volts[name] = None
        else:
            volts[name] = state.model.volts * turned if state.on or not powered else 0.0
    standing = {train: train.standing() for train in now.trains.values()}
    everyone = tuple(one for group in standing.values() for one in group)
    travel = now.points.travel
    solved = electrics.solved(travel, volts, now.units.throws, everyone)
    feeds = electrics.feeds(travel)
    engines = []
    for group in standing.values():
        for one in group:
            if math.isfinite(one.load_ohms):
                at = abs(solved.pickup_volts(one))
                drawn = abs(solved.amps.get(PartRef("load", one.name), 0.0))
                engines.append(Drawn(one.vehicle.name, drawn, at, at >= one.vehicle.works_from_volts))
    fault = None
    share = 1.0
    for supply in bench.supplies:
        would = abs(solved.amps.get(PartRef("supply", supply.id), 0.0))
        share = min(share, supply.most_amps / would) if would else share
    for supply in bench.supplies:
        given = min(abs(solved.amps.get(PartRef("supply", supply.id), 0.0)), supply.most_amps)
        if given >= supply.trip_amps:
            names = {one.name: one.vehicle.name for one in everyone}
            fault = fault_of(bench, supply.id, solved, travel, feeds, names)
            break
    amps = solved.amps if share >= 1.0 else {ref: share * amp for ref, amp in solved.amps.items()}
    return Moment(bench, powered, feeds, amps, tuple(engines), fault)


def gap_moments(now: Running, place: str) -> tuple[GapMoment, GapMoment]:
    """The moment with a gap cut, and the same with it closed; one of the two is as it is, unless the gap is leaking.

    Raises KeyError for what is no gap on this bench.
    """
    found = {each.name: each for piece in now.bench.tracks for each in piece.places() if each.kind == "gap"}
    gap = found[place]
    out = []
    for state in ("cut", "closed"):
        moment = otherwise(now, None if gap.state == state else SetPlace(place, state))
        tripped = gap.state == state and any(each.breaker.open for each in now.supplies.states.values())
        out.append(GapMoment(place, state, moment, _text(moment, state, (gap.a, gap.b), tripped)))
    return out[0], out[1]


def _text(moment: Moment, state: str, ends: tuple[str, str], tripped: bool) -> str:
    """One sentence: "Closed: 4.0 A would flow; the 3 A breaker opens."."""
    begin = f"{_STATES[state]}: " if moment.powered else f"{_STATES[state]}, were the supply on: "
    if moment.fault is not None:
        breaker = whose_breaker(moment.bench, moment.fault.supply)
        asked = moment.amps[PartRef("supply", moment.fault.supply)]
        flows, opens = ("flowed", "opened") if tripped else ("would flow", "opens")
        much = f"{begin}{flow_words(moment.bench, moment.fault.supply, asked, flows)}"
        return f"{much}: it {opens}." if abs(asked) > moment.fault.amps else f"{much}; {breaker} {opens}."
    if moment.engines:
        rows = [
            f"the {one.name} draws {amps_words(one.amps)}"
            if one.enough
            else f"the {one.name} gets {volts_words(one.volts)} and stops"
            for one in moment.engines
        ]
        return f"{begin}{listed(rows)}."
    one, other = (moment.feeds.get(section_of(end), "none") for end in ends)
    names = [f"the {section_words(moment.bench, end)}" for end in ends]
    if one == other:
        return f"{begin}{listed(names)} are both {_side(one)}."
    return f"{begin}{names[0]} is {_side(one)}, {names[1]} {_side(other)}."


def _side(side: str) -> str:
    return {"A": "on side A", "B": "on side B", "both": "on both sides"}.get(side, "without a feed")

"""The next hint: what a level's worked solution would do next, from wherever the player stands.

A wiring that gives every rail the same feed in every position of the points as the worked solution does is as good as
it, however it is made. Until then a hint names one change that leads nearer to the worked solution: what is in the way
first, then what is missing. So whoever follows the hints comes to a bench that tests clean.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product
from typing import Literal

from sim.bench.edits import MakeWire, RemoveWire, SetPlace, TurnMotor
from sim.bench.level import SETTINGS, Level, PlaceStep, ProbeStep, ThrowStep, TurnStep, UnwireStep, WireStep
from sim.bench.levers import filed_settings, levers
from sim.bench.model import Bench, Wire
from sim.bench.point_set import setting_near
from sim.coach.assessment import assess
from sim.coach.readings import must_match
from sim.session.frogs import SIDES, frog_pieces, pair_at, pair_of
from sim.session.sentences import lever_name, points_name, points_words
from sim.session.snapshot import Snapshot, Taken
from sim.track.layout import Layout
from sim.wiring.feeds import feeds
from sim.wiring.names import part_words, place_ref
from sim.wiring.telling import wire_end_words

__all__ = ["Hint", "Spot", "fed_as", "next_hint", "solved"]

Spot = tuple[Literal["terminal", "wire", "place", "motor", "points", "rocker", "plug", "say", "meter"], str]
"""Where to look on the bench: what it is and its name; of "say" piece, setting and side: "T1/normal/left"."""


@dataclass(frozen=True, slots=True)
class Hint:
    """One change, told three times: as a question, as a place to look at (`at`), as the change itself."""

    question: str
    place: str
    change: str
    at: tuple[Spot, ...]


def _pair(wire: Wire) -> frozenset[str]:
    return frozenset(wire.ends)


def solved(bench: Bench) -> Bench:
    """The bench as the edits of its level's worked solution leave it; as it is when it has no level.

    Raises EditRefused for a solution that cannot be done on it.
    """
    steps = bench.level.solution if bench.level is not None else ()
    for step in steps:
        match step:
            case WireStep((a, b)):
                bench = MakeWire(a, b).apply(bench)
            case UnwireStep(ends):
                gone = [k for k, wire in enumerate(bench.wires) if _pair(wire) == set(ends)][:1]
                bench = RemoveWire(gone[0]).apply(bench) if gone else bench
            case PlaceStep(place, to):
                bench = SetPlace(place, to).apply(bench)
            case TurnStep(motor):
                bench = TurnMotor(motor).apply(bench)
            case _:
                pass
    return bench


def next_hint(filed: Bench, now: Snapshot) -> Hint | None:
    """The next hint for a level that was filed as `filed`; None when nothing is left to do but the test of every route.

    Raises ValueError for a bench that is no level.
    """
    level = filed.level
    if level is None:
        raise ValueError("a hint needs a job")
    target = solved(filed)
    fed = fed_as(now.bench, target)
    hints: Iterator[Hint] = _hints(level, filed, target, now, fed)
    hint = next(hints, None)
    if hint is not None and level.hints and _untouched(filed, now):
        return replace(hint, question=level.hints[0])
    return hint


def _untouched(filed: Bench, now: Snapshot) -> bool:
    """Whether nothing has been done yet that a level's own first hint would come too late for."""
    if now.bench.wires != filed.wires or now.readings or now.predictions or now.meter.taken or now.play.trips:
        return False
    plugged = {supply.id: supply.plugged for supply in filed.supplies}
    return all(supply.plugged == plugged.get(supply.id) for supply in now.supplies)


def _hints(level: Level, filed: Bench, target: Bench, now: Snapshot, fed: bool) -> Iterator[Hint]:
    if not now.play.powered and not any(supply.on and supply.plugged for supply in now.supplies):
        yield from _unsaid(now)
    checks = "checked" in level.goals and not now.play.powered
    if not fed or (checks and not assess(now).checked):
        yield from _dead_first(now)
    if not fed:
        yield from _in_the_way(filed, target, now.bench, own=True)
        if checks:
            yield from _unprobed(level, filed, now)
        yield from _in_the_way(filed, target, now.bench, own=False)
        yield from _missing(target, now.bench)
    if checks and not assess(now).checked:
        yield from _unread(now)
        yield from _unprobed(level, filed, now)


def fed_as(bench: Bench, target: Bench) -> bool:
    """Whether every rail has the same feed in every position of the points on both benches."""
    return _feeds(bench) == _feeds(target)


def _feeds(bench: Bench) -> tuple[Mapping[str, str], ...]:
    """Every rail's feed in every combination of positions; of many points, in both positions of all together."""
    layout = Layout(bench)
    thrown = [lever.movers for lever in levers(bench)]
    every = product((0.0, 1.0), repeat=len(thrown)) if len(thrown) < 5 else [(at,) * len(thrown) for at in (0.0, 1.0)]
    return tuple(
        feeds(bench, layout, {name: at for movers, at in zip(thrown, places, strict=True) for name in movers})
        for places in every
    )


# What is said and measured


def _unsaid(now: Snapshot) -> Iterator[Hint]:
    """What the level wants said before power, and has not been said, or not rightly."""
    level = now.bench.level
    right = {(said.piece, said.setting) for said in assess(now).predictions if said.right}
    layout = Layout(now.bench)
    for piece, setting in product(level.predict if level is not None else (), SETTINGS):
        side = must_match(layout, piece, setting)
        if (piece, setting) in right or side is None:
            continue
        points = points_words(now.bench, piece, setting)
        yield Hint(
            f"{points}: on which stock rail does the closed blade lean?",
            "Say it on the frog's slip, before there is power.",
            f"Say: {side}, with {points_name(now.bench, piece)} {setting}.",
            (("say", f"{piece}/{setting}/{side}"),),
        )


def _dead_first(now: Snapshot) -> Iterator[Hint]:
    """A supply that is on or plugged in while there is something to wire or to measure."""
    if any(supply.plugged for supply in now.supplies):
        yield Hint(
            "Is the bench safe to touch, and will the meter read true?",
            "Look at the supply's plug.",
            "Pull the plug out: then nothing that you join can burn, and ohms read true.",
            (("plug", "supply"),),
        )


def _unprobed(level: Level, filed: Bench, now: Snapshot) -> Iterator[Hint]:
    """Readings that find the screws, as the worked solution takes them, until enough are taken."""
    if assess(now).readings_taken >= level.readings:
        return
    at = filed_settings(filed)
    movers = {name: lever.movers for lever in levers(filed) for name in (lever.id, *lever.movers)}
    red = black = ""
    for step in level.solution:
        if isinstance(step, ThrowStep):
            moved = movers[step.piece]
            setting = step.setting or ("normal" if at[moved[0]] == "diverging" else "diverging")
            at |= dict.fromkeys(moved, setting)
        elif isinstance(step, ProbeStep):
            red, black = step.ends
        else:
            continue
        if red and pair_of(now.bench, red, black) is None and not _measured(now, red, black, at):
            yield _reading(now, red, black, at)


def _measured(now: Snapshot, red: str, black: str, at: Mapping[str, str]) -> bool:
    first, second = sorted((red, black))
    return Taken(True, (first, second), tuple(sorted(at.items()))) in now.meter.taken


def _reading(now: Snapshot, red: str, black: str, at: Mapping[str, str]) -> Hint:
    """Measure between two terminals in a position of the points."""
    a, b = (wire_end_words(now.bench, end) for end in (red, black))
    thrown = [(piece, to) for piece, to in at.items() if setting_near(now.travel.get(piece, 0.0)) != to]
    if thrown:
        name, to = thrown[0]
        points = lever_name(now.bench, name)
        switch = points.startswith("switch ")
        return Hint(
            f"What would the meter say with {points if switch else 'the points'} the other way?",
            f"Look at {points}." if switch else f"Look at the lever of {points}.",
            f"Throw {points}: {to}.",
            (("points", name),),
        )
    if now.meter.dial not in ("ohms", "buzzer"):
        return Hint(
            "Which place of the knob tells what is joined?",
            "Look at the meter's knob.",
            "Turn the knob to ohms, or to the buzzer.",
            (("meter", "buzzer"),),
        )
    return Hint(
        "What is joined to what, in this position of the points?" if pair_of(now.bench, red, black) is None
        else "To which stock rail is the frog joined now, and to which not?",
        f"Touch {a} and {b} with the two tips.",
        f"Measure from {a} to {b}.",
        (("terminal", red), ("terminal", black)),
    )  # fmt: skip


def _unread(now: Snapshot) -> Iterator[Hint]:
    """The readings of every frog that are still to be taken, those of the position the points stand in first."""
    good = {(r.piece, r.setting, r.side) for r in now.readings if r.unplugged and r.before_power}
    for piece in frog_pieces(now.bench):
        stands = setting_near(now.travel.get(piece, 0.0))
        for setting in sorted(SETTINGS, key=lambda each: each != stands):
            for side in SIDES:
                pair = pair_at(now.bench, piece, side)
                if pair is not None and (piece, setting, side) not in good:
                    yield _reading(now, *pair, {piece: setting})


# What is done to the bench


def _in_the_way(filed: Bench, target: Bench, bench: Bench, *, own: bool) -> Iterator[Hint]:
    """Wires that the worked solution does not have: the player's `own`, or those that were there before."""
    wanted = [_pair(wire) for wire in target.wires]
    before = [_pair(wire) for wire in filed.wires]
    spare = []
    for index, wire in enumerate(bench.wires):
        if _pair(wire) in wanted:
            wanted.remove(_pair(wire))
        else:
            spare.append((index, wire))
    exchanged = _exchanged([wire for _, wire in spare], wanted)
    for index, wire in spare:
        if (_pair(wire) not in before) != own:
            continue
        a, b = (wire_end_words(bench, end) for end in wire.ends)
        yield Hint(
            "Two wires have changed places: each is on the screw of the other. Which two?" if wire in exchanged
            else "One wire joins what should stay apart, or leads nowhere useful. Which?",
            f"Look at the wire from {a} to {b}{', and at its neighbour' if wire in exchanged else ''}.",
            f"Take off the wire from {a} to {b}.",
            (("wire", str(index)),),
        )  # fmt: skip


def _exchanged(spare: Sequence[Wire], wanted: Sequence[frozenset[str]]) -> tuple[Wire, ...]:
    """Two wires that would both be as wanted with an end of each exchanged; empty where no two would."""
    for one, other in combinations(spare, 2):
        for (a, b), (c, d) in product((one.ends, one.ends[::-1]), (other.ends, other.ends[::-1])):
            if frozenset((a, d)) in wanted and frozenset((c, b)) in wanted:
                return one, other
    return ()


def _missing(target: Bench, bench: Bench) -> Iterator[Hint]:
    """Places, motors and wires that are not yet as the worked solution has them."""
    wanted = {place.name: place for piece in target.tracks for place in piece.places()}
    for piece in bench.tracks:
        for place in piece.places():
            to = wanted[place.name].state
            if place.state != to:
                named = part_words(bench, place_ref(place.name))
                yield Hint(
                    "Where do two rails meet that should be apart, or lie apart that should be joined?",
                    f"Look at the {named}.",
                    f"The {named} should be {_PLACE[to]}.",
                    (("place", place.name),),
                )
    turned = {motor.id: motor.turned for motor in target.motors}
    for motor in bench.motors:
        if motor.turned != turned[motor.id]:
            yield Hint(
                "Is the contact made in the position that its wires are for?",
                f"Look at the motor {motor.id}.",
                f"Turn the motor {motor.id} round.",
                (("motor", motor.id),),
            )
    there = [_pair(wire) for wire in bench.wires]
    for wire in target.wires:
        if _pair(wire) in there:
            there.remove(_pair(wire))
            continue
        a, b = (wire_end_words(bench, end) for end in wire.ends)
        yield Hint(
            _question(bench, wire),
            f"A wire is missing that begins at {a}.",
            f"Take a wire from {a} to {b}.",
            (("terminal", wire.ends[0]), ("terminal", wire.ends[1])),
        )


_PLACE = {"cut": "cut", "closed": "bridged", "leaking": "leaking", "made": "made", "open": "open"}


def _question(bench: Bench, wire: Wire) -> str:
    """What to ask oneself where a wire is missing."""
    frogs = {frog for piece in bench.tracks for frog in piece.frogs}
    if frogs.intersection(wire.ends):
        return "Which screw is joined to an outer whichever way the points lie? The frog belongs on it."
    screws = {motor.id for motor in bench.motors}
    if any(end.split(".")[0] in screws for end in wire.ends):
        return "Which rail must the frog match in each position, and which outer is made then?"
    return "Which rail has no feed of its own?"

"""What happened on the bench, told in plain sentences for the log on the job sheet."""

from __future__ import annotations

from collections.abc import Sequence

from sim.bench.edits import (
    AddLamp,
    AddMotor,
    AddPiece,
    AddPolarity,
    AddTrain,
    ChangeWire,
    Edit,
    MakeWire,
    PlaceTrain,
    Remove,
    RemoveWire,
    SetPlace,
    TurnMotor,
)
from sim.bench.laying import AddTap, JoinEnds, PartEnds, Refit, SetJoint, TakeUp
from sim.bench.levers import levers
from sim.bench.model import Bench, Motor
from sim.bench.piece import Piece
from sim.session.metering import Noted
from sim.session.snapshot import ReadingView
from sim.wiring.names import part_words, place_ref, section_of, section_words, terminal_words
from sim.wiring.telling import end_words, listed, wire_end_words

__all__ = [
    "edit_words",
    "found_words",
    "lever_name",
    "lever_words",
    "mid_sentence",
    "noted_words",
    "ohms_words",
    "points_name",
    "points_words",
    "reading_words",
    "supply_words",
    "touched_words",
]


_MOST_POINTS = 3


def ohms_words(ohms: float | None) -> str:
    """ "0.31 ohm", "47 ohm", "1.5 kilohm", "open"."""
    if ohms is None:
        return "open"
    if ohms >= 1000:
        return f"{ohms / 1000:.3g} kilohm"
    return f"{ohms:.2f} ohm" if ohms < 10 else f"{ohms:.0f} ohm"


def points_name(bench: Bench, piece: str) -> str:
    """ "the points", or "the points of T1" where there are several."""
    several = len(bench.point_sets) > 1
    return f"the points of {piece}" if several else "the points"


def points_words(bench: Bench, piece: str, setting: str) -> str:
    """ "Points normal" or "Points of T1 normal"."""
    return f"P{points_name(bench, piece)[5:]} {setting}"


def lever_name(bench: Bench, name: str) -> str:
    """What is thrown: "the points", "the points of T1 and T2" where that is not all of them, "switch S1".

    `name`: of a lever, or of anything that it moves.
    """
    every = levers(bench)
    lever = next(each for each in every if name in (each.id, *each.movers))
    if lever.is_switch:
        return f"switch {lever.id}"
    several = sum(not each.is_switch for each in every) > 1
    return f"the points of {listed(lever.points)}" if several else "the points"


def lever_words(bench: Bench, name: str, setting: str) -> str:
    """ "Points normal", "Points of T1 and T2 normal", "Switch S1 to normal"."""
    named = lever_name(bench, name)
    return f"S{named[1:]} to {setting}" if named.startswith("switch ") else f"P{named[5:]} {setting}"


def supply_words(bench: Bench, supply: str) -> str:
    """ "Supply", or "Supply S2" where there are several."""
    return f"Supply {supply}" if len(bench.supplies) > 1 else "Supply"


def reading_words(bench: Bench, reading: ReadingView) -> str:
    """ "Frog to the left stock rail: open, points normal.", and why it does not count."""
    of = f" of {reading.piece}" if sum(1 for each in bench.tracks if each.sections()) > 1 else ""
    value = ohms_words(reading.ohms)
    if reading.open and reading.ohms is not None:
        value += ", as good as open"
    spoilt = "" if reading.unplugged else " The supply is plugged in: it does not count."
    return f"Frog{of} to the {reading.side} stock rail: {value}, points {reading.setting}.{spoilt}"


def noted_words(bench: Bench, noted: Noted) -> str:
    """ "M1.p to M1.m: 0.23 ohm, joined, points normal."; of many points, nothing of how they stand."""
    value = ohms_words(noted.ohms)
    if noted.closed:
        value += ", joined"
    elif noted.open and noted.ohms is not None:
        value += ", as good as open"
    points = noted.points
    if len(points) == 1:
        value += f", {mid_sentence(lever_words(bench, *next(iter(points.items()))))}"
    elif 1 < len(points) <= _MOST_POINTS:
        value += ", " + ", ".join(f"{piece} {setting}" for piece, setting in points.items())
    a, b = (wire_end_words(bench, end) for end in (noted.red, noted.black))
    return f"{a[:1].upper()}{a[1:]} to {b}: {value}."


def found_words(bench: Bench, motor: str, number: int) -> str:
    """ "The meter has proved a contact of M1: p is its common. Its lid is off."""
    contact = next(each for each in bench.motors if each.id == motor).changeovers[number]
    return f"The meter has proved a contact of {motor}: {contact.common} is its common. Its lid is off."


_PLACE_DONE = {"cut": "cut", "closed": "bridged", "leaking": "left leaking", "made": "made", "open": "opened"}


def edit_words(bench: Bench, edit: Edit) -> str:
    """An edit, told after it was made; `bench` is the bench before it."""
    match edit:
        case MakeWire():
            return f"Wire made from {_wire_end(bench, edit.a)} to {_wire_end(bench, edit.b)}."
        case RemoveWire():
            a, b = bench.wires[edit.index].ends
            return f"Wire off: {_wire_end(bench, a)} to {_wire_end(bench, b)}."
        case SetPlace():
            named = part_words(bench, place_ref(edit.place))
            return f"{named[:1].upper()}{named[1:]} {_PLACE_DONE.get(edit.to, edit.to)}."
        case TurnMotor():
            motor = next(each for each in bench.motors if each.id == edit.motor)
            return f"{_drive_words(motor)} {edit.motor} turned round: its outers change places."
        case PlaceTrain():
            return f"Train {edit.train} set down {edit.mm:.0f} mm from {end_words(bench, edit.end)}."
        case ChangeWire():
            a, b = edit.wire.ends
            was = bench.wires[edit.index].ends
            if was != edit.wire.ends:
                left, come = (was[0], a) if was[1] == b else (was[1], b)
                stays = b if was[1] == b else a
                words = [_wire_end(bench, end) for end in (stays, left, come)]
                return "Wire from {} moved from {} to {}.".format(*words)
            return f"Wire from {_wire_end(bench, a)} to {_wire_end(bench, b)} changed."
    return _laying_words(bench, edit)


def _wire_end(bench: Bench, terminal: str) -> str:
    """What a wire ends on: "screw p of M1", "bus A", "the frog"."""
    named = terminal_words(bench, terminal)
    return named if named.startswith("screw ") else wire_end_words(bench, terminal)


def _track_end(bench: Bench, end: str) -> str:
    """An end of a piece, "the diverging end of T1"; by its name alone where there is no such piece."""
    piece, _, local = end.partition(".")
    laid = next((each for each in bench.tracks if each.id == piece), None)
    return end if laid is None else f"{laid.end_words(local)} of {piece}"


def _laying_words(bench: Bench, edit: Edit) -> str:
    """An edit of a bench that is being laid, told after it was made."""
    match edit:
        case AddPiece():
            return _laid_words(bench, edit.piece)
        case AddMotor():
            where = f"put to {listed(edit.motor.drives)}" if edit.motor.drives else "put on the panel"
            return f"{_drive_words(edit.motor)} {edit.motor.id} {where}."
        case AddTrain():
            return f"The {edit.train.vehicles[0]} is put on the track."
        case AddLamp():
            return f"Lamp {edit.lamp.id} put on the board."
        case AddPolarity():
            return f"Automatic polarity unit {edit.polarity.id} put on the board."
        case AddTap():
            return f"The bus tapped at {edit.name}, {edit.metres:g} m from the supply."
        case Remove():
            return f"{edit.id} taken away, with what hung on it."
        case Refit():
            return f"{edit.thing.id} changed."
        case JoinEnds():
            words = _track_end(bench, edit.end)
            return f"{words[:1].upper()}{words[1:]} joined to {_track_end(bench, edit.other)}."
        case PartEnds():
            return f"The joint at {_track_end(bench, edit.end)} parted."
        case SetJoint():
            return f"The {edit.side} joiner at {_track_end(bench, edit.end)}: {_JOINERS.get(edit.to, edit.to)}."
        case TakeUp():
            return "Gone over to the other wiring."
    return ""


def mid_sentence(sentence: str) -> str:
    """A sentence to stand after a colon: without its capital, unless that belongs to a name such as T2."""
    return sentence[:1].lower() + sentence[1:] if sentence[1:2].islower() or sentence[1:2] == " " else sentence


_JOINERS = {"metal": "metal", "insulated": "insulated", "bad": "metal, but loose"}


def _drive_words(motor: Motor) -> str:
    return "Switch" if motor.is_switch else "Hand lever" if motor.by_hand else "Motor"


def _laid_words(bench: Bench, piece: Piece) -> str:
    met = next(iter(piece.joins.values()), None)
    return f"{piece.id} laid by itself." if met is None else f"{piece.id} laid at {_track_end(bench, met)}."


def touched_words(bench: Bench, touches: Sequence[tuple[frozenset[str], frozenset[str]]]) -> str:
    """The rails that wheels stand on, in words: "the frog and the right stock rail"."""
    rails = sorted({section_of(node) for axle in touches for side in axle for node in side})
    return listed([f"the {section_words(bench, rail)}" for rail in rails])

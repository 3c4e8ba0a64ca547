"""Changes to a bench as values: applied, undone, done again, recorded and replayed.

An edit is checked when it is applied, as a file is when it is read; a bench that an edit gives is as sound as the one
it was given. Wires are counted from 0, in the order of ``Bench.wires``.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Any, Protocol

from sim.bench.checking import THROWN, Checker, check
from sim.bench.faults import Fault, Faults
from sim.bench.fields import value_faults
from sim.bench.levers import lever_named, set_alike, with_settings
from sim.bench.model import Bench, Lamp, Motor, Polarity, Train, Vehicle, Wire
from sim.bench.piece import Piece
from sim.bench.reading import MOST

__all__ = [
    "AddLamp",
    "AddMotor",
    "AddPiece",
    "AddPolarity",
    "AddTrain",
    "AddVehicle",
    "ChangeWire",
    "Edit",
    "EditRefused",
    "History",
    "MakeWire",
    "PlaceTrain",
    "Remove",
    "RemoveWire",
    "ReplacePiece",
    "SetPlace",
    "SetPoints",
    "TurnMotor",
]


class EditRefused(ValueError):
    """An edit that cannot be made. The bench is as it was. ``faults`` says why, as of a file."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("; ".join(str(fault) for fault in faults))

    @property
    def words(self) -> str:
        """Why, as one speaks at the bench: without the places in a file that ``str`` names."""
        told = ((fault.found.partition(", which is ")[0], fault.expected) for fault in self.faults)
        return "; ".join(f"{found}, where it takes {expected}" for found, expected in told)

    def __reduce__(self) -> tuple[type[EditRefused], tuple[tuple[Fault, ...]]]:
        return (type(self), (self.faults,))


class Edit(Protocol):
    """A change to a bench: a frozen value."""

    def apply(self, bench: Bench) -> Bench:
        """The bench after the change. Raises EditRefused."""


def _refuse_any(faults: Faults | tuple[Fault, ...]) -> None:
    found = faults.all() if isinstance(faults, Faults) else faults
    if found:
        raise EditRefused(found)


def _checked(bench: Bench) -> Bench:
    faults = Faults()
    check(bench, faults)
    _refuse_any(faults)
    return bench


# Wires


@dataclass(frozen=True)
class MakeWire:
    """Join two terminals with a new wire, the last of the bench's wires."""

    a: str
    b: str
    mm2: float = 0.5
    metres: float = 0.3
    colour: str | None = None
    number: str | None = None

    def apply(self, bench: Bench) -> Bench:
        if len(bench.wires) >= MOST["wire"]:
            raise EditRefused((Fault("wire", f"{MOST['wire']:,} wires already", f"at most {MOST['wire']:,}"),))
        wire = Wire((self.a, self.b), self.mm2, None, self.metres, self.colour, self.number)
        _check_wire(bench, wire)
        return replace(bench, wires=(*bench.wires, wire))


@dataclass(frozen=True)
class RemoveWire:
    """Take a wire away; those after it move up by one."""

    index: int

    def apply(self, bench: Bench) -> Bench:
        _check_index(bench, self.index)
        return replace(bench, wires=bench.wires[: self.index] + bench.wires[self.index + 1 :])


@dataclass(frozen=True)
class ChangeWire:
    """Put another wire in the place of one: other ends, another size, another colour."""

    index: int
    wire: Wire

    def apply(self, bench: Bench) -> Bench:
        _check_index(bench, self.index)
        _check_wire(bench, self.wire)
        return replace(bench, wires=(*bench.wires[: self.index], self.wire, *bench.wires[self.index + 1 :]))


def _check_index(bench: Bench, index: int) -> None:
    if not 0 <= index < len(bench.wires):
        raise EditRefused((Fault("wire", f"wire {index}", f"one of {len(bench.wires)} wires, counted from 0"),))


def _check_wire(bench: Bench, wire: Wire) -> None:
    _refuse_any(value_faults(wire))
    faults = Faults()
    Checker(bench, faults).two_terminals("ends", wire.ends)
    _refuse_any(faults)


# What stands on the bench already


@dataclass(frozen=True)
class SetPlace:
    """Cut, bridge, make or open a place, by its full name ("T1.gap.closure.left")."""

    place: str
    to: str

    def apply(self, bench: Bench) -> Bench:
        faults = Faults()
        piece = Checker(bench, faults).place_to("", self.place, self.to)
        _refuse_any(faults)
        if piece is None:
            raise EditRefused((Fault("place", "nothing", "the full name of a place"),))
        return _with_piece(bench, piece.with_place(self.place, self.to))


@dataclass(frozen=True)
class SetPoints:
    """Set points, or a switch, to "normal" or "diverging": all that is thrown by the same lever.

    ``piece``: the id of points, of the motor that moves them, or of a switch.
    """

    piece: str
    setting: str

    def apply(self, bench: Bench) -> Bench:
        faults = Faults()
        found = Checker(bench, faults).lever("piece", self.piece)
        _refuse_any(faults)
        lever = None if found is None else lever_named(bench, self.piece)
        if lever is None:
            raise EditRefused((Fault("piece", "nothing", THROWN),))
        try:
            return with_settings(bench, dict.fromkeys(lever.movers, self.setting))
        except ValueError as error:
            raise EditRefused((Fault("setting", str(error), "normal or diverging"),)) from None


@dataclass(frozen=True)
class TurnMotor:
    """Turn a motor round where it is mounted."""

    motor: str

    def apply(self, bench: Bench) -> Bench:
        faults = Faults()
        ids = [motor.id for motor in bench.motors]
        if not Checker(bench, faults).known("motor", self.motor, ids, "the id of a motor"):
            raise EditRefused(faults.all() or (Fault("motor", "nothing", "the id of a motor"),))
        turned = (replace(m, turned=not m.turned) if m.id == self.motor else m for m in bench.motors)
        return replace(bench, motors=tuple(turned))


@dataclass(frozen=True)
class PlaceTrain:
    """Put a train elsewhere: its leading axle ``mm`` inwards from ``end``, facing it."""

    train: str
    end: str
    mm: float

    def apply(self, bench: Bench) -> Bench:
        faults = Faults()
        checker = Checker(bench, faults)
        ids = [train.id for train in bench.trains]
        if not checker.known("train", self.train, ids, "the id of a train"):
            raise EditRefused(faults.all() or (Fault("train", "nothing", "the id of a train"),))
        if checker.end("end", self.end) is None:
            raise EditRefused(faults.all() or (Fault("end", "nothing", "an end of a piece, like T1.toe"),))
        trains = []
        for train in bench.trains:
            if train.id == self.train:
                train = replace(train, end=self.end, mm=self.mm)
                _refuse_any(value_faults(train))
            trains.append(train)
        return _checked(replace(bench, trains=tuple(trains)))


@dataclass(frozen=True)
class ReplacePiece:
    """Put another piece in the place of the one that has its id."""

    piece: Piece

    def apply(self, bench: Bench) -> Bench:
        _refuse_any(value_faults(self.piece))
        faults = Faults()
        if Checker(bench, faults).piece("piece", self.piece.id) is None:
            raise EditRefused(faults.all())
        return _checked(_with_piece(bench, self.piece))


def _with_piece(bench: Bench, piece: Piece) -> Bench:
    return replace(bench, tracks=tuple(piece if old.id == piece.id else old for old in bench.tracks))


# Things that come and go

_ROWS: dict[type[Any], tuple[str, str]] = {
    Piece: ("tracks", "track"),
    Motor: ("motors", "motor"),
    Polarity: ("polarities", "polarity"),
    Lamp: ("lamps", "lamp"),
    Vehicle: ("vehicles", "vehicle"),
    Train: ("trains", "train"),
}
"""For each class of thing, the field of Bench that holds it, and its word in a file."""


def _added(bench: Bench, cls: type[Any], thing: Any) -> Bench:
    field, word = _ROWS[cls]
    _refuse_any(value_faults(thing))
    changed: dict[str, Any] = {field: (*getattr(bench, field), thing)}
    if len(changed[field]) > MOST[word]:
        raise EditRefused((Fault(word, f"{MOST[word]:,} of them already", f"at most {MOST[word]:,}"),))
    return _checked(replace(bench, **changed))


@dataclass(frozen=True)
class AddPiece:
    """Lay another piece of track."""

    piece: Piece

    def apply(self, bench: Bench) -> Bench:
        return _added(bench, Piece, self.piece)


@dataclass(frozen=True)
class AddMotor:
    """Mount another motor or lever; the points that it moves are set as the first of them is."""

    motor: Motor

    def apply(self, bench: Bench) -> Bench:
        return _added(set_alike(bench, self.motor), Motor, self.motor)


@dataclass(frozen=True)
class AddPolarity:
    """Put another automatic polarity unit on the board."""

    polarity: Polarity

    def apply(self, bench: Bench) -> Bench:
        return _added(bench, Polarity, self.polarity)


@dataclass(frozen=True)
class AddLamp:
    """Put another lamp on the board."""

    lamp: Lamp

    def apply(self, bench: Bench) -> Bench:
        return _added(bench, Lamp, self.lamp)


@dataclass(frozen=True)
class AddVehicle:
    """Bring another vehicle of one's own."""

    vehicle: Vehicle

    def apply(self, bench: Bench) -> Bench:
        return _added(bench, Vehicle, self.vehicle)


@dataclass(frozen=True)
class AddTrain:
    """Put another train on the track."""

    train: Train

    def apply(self, bench: Bench) -> Bench:
        return _added(bench, Train, self.train)


@dataclass(frozen=True)
class Remove:
    """Take away the piece, motor, polarity unit, lamp, train or tap of that name, with all that hangs on it.

    That is wires to it, joints with it, the motor that drives it and nothing else, trains that stand on it.
    """

    id: str

    def apply(self, bench: Bench) -> Bench:
        fields = ("tracks", "motors", "polarities", "lamps", "trains")
        names = {thing.id for field in fields for thing in getattr(bench, field)}
        names |= set(bench.bus.taps) if bench.bus is not None else set()
        if self.id not in names:
            near = Faults().nearest(self.id, names)
            raise EditRefused((Fault("id", f'"{self.id}"', "the id of something that can be taken away", near),))
        moved = {motor.id: _left_to_drive(motor, self.id) for motor in bench.motors}
        gone = {self.id, *(motor.id for motor in bench.motors if motor.drives and not moved[motor.id])}

        def stays(name: str) -> bool:
            return name.partition(".")[0] not in gone

        tracks = tuple(_freed(piece, gone) for piece in bench.tracks if stays(piece.id))
        return _checked(
            replace(
                bench,
                bus=None if bench.bus is None else replace(bench.bus, taps=bench.bus.taps.without(self.id)),
                tracks=tracks,
                motors=tuple(
                    motor if moved[motor.id] == motor.drives else replace(motor, drives=moved[motor.id])
                    for motor in bench.motors
                    if stays(motor.id)
                ),
                polarities=tuple(polarity for polarity in bench.polarities if stays(polarity.id)),
                lamps=tuple(lamp for lamp in bench.lamps if stays(lamp.id)),
                trains=tuple(train for train in bench.trains if stays(train.id) and stays(train.end)),
                wires=tuple(wire for wire in bench.wires if all(stays(end) for end in wire.ends)),
            )
        )


def _left_to_drive(motor: Motor, gone: str) -> tuple[str, ...]:
    """The points that a motor moves when a piece is gone."""
    return tuple(points for points in motor.drives if points.partition(".")[0] != gone)


def _freed(piece: Piece, gone: Collection[str]) -> Piece:
    """The piece without its joints to what is gone; what is said of a joint goes with it."""
    met = {own: other for own, other in piece.joins.items() if other.partition(".")[0] not in gone}
    if len(met) == len(piece.joins):
        return piece
    return piece.with_joins(met, {end: piece.joint_states(end) for end in met})


# Undo


@dataclass(frozen=True)
class History:
    """A bench with the way it came to be so. Each step gives a new history; the old one stays as it was."""

    bench: Bench
    past: tuple[tuple[Edit, Bench], ...] = ()
    future: tuple[tuple[Edit, Bench], ...] = ()

    @property
    def can_undo(self) -> bool:
        """Whether anything was done."""
        return bool(self.past)

    @property
    def can_redo(self) -> bool:
        """Whether anything was undone since the last edit."""
        return bool(self.future)

    @property
    def edits(self) -> tuple[Edit, ...]:
        """The edits done and not undone, in order."""
        return tuple(edit for edit, _ in self.past)

    def do(self, edit: Edit) -> History:
        """After an edit; what was undone before is forgotten. Raises EditRefused."""
        return History(edit.apply(self.bench), (*self.past, (edit, self.bench)))

    def undo(self) -> History:
        """Before the last edit. Raises EditRefused if there is none."""
        if not self.past:
            raise EditRefused((Fault("", "nothing to undo", "an edit before"),))
        edit, before = self.past[-1]
        return History(before, self.past[:-1], (*self.future, (edit, self.bench)))

    def redo(self) -> History:
        """After the edit that was undone last. Raises EditRefused if there is none."""
        if not self.future:
            raise EditRefused((Fault("", "nothing to do again", "an edit undone before"),))
        edit, after = self.future[-1]
        return History(after, (*self.past, (edit, self.bench)), self.future[:-1])

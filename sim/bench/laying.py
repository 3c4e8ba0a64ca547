"""Edits of a bench that is being laid: joints made, parted and changed, things refitted, taps, a bench taken up again.

They are checked as those in ``edits`` are: a bench that one of them gives is as sound as the one it was given. Ends are
written "T1.toe".
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from sim.bench.checking import check
from sim.bench.edits import EditRefused
from sim.bench.faults import Fault, Faults
from sim.bench.fields import value_faults
from sim.bench.levers import set_alike
from sim.bench.model import Bench, Bus, Motor
from sim.bench.piece import JOINTS, Piece
from sim.bench.table import Table
from sim.bench.terminals import terminals

__all__ = ["AddTap", "JoinEnds", "PartEnds", "Refit", "SetJoint", "TakeUp", "free_name", "joint_of", "names_of"]

_SIDES = ("left", "right")


def names_of(bench: Bench) -> frozenset[str]:
    """Every id and tap of a bench."""
    named = [supply.id for supply in bench.supplies] + [piece.id for piece in bench.tracks]
    named += [motor.id for motor in bench.motors] + [polarity.id for polarity in bench.polarities]
    named += [lamp.id for lamp in bench.lamps] + [train.id for train in bench.trains]
    return frozenset(named) | frozenset(bench.bus.taps if bench.bus is not None else ())


def free_name(bench: Bench, letter: str) -> str:
    """The first of T1, T2, ... (with that letter) that nothing on the bench is called."""
    taken = names_of(bench)
    return next(name for k in range(1, len(taken) + 2) if (name := f"{letter}{k}") not in taken)


def joint_of(bench: Bench, end: str) -> tuple[str, str, tuple[str, str]] | None:
    """What meets an end: (the end that writes the joint, the other, its left and right joiner as the writer sees them).

    None where it is open, or where there is no such end.
    """
    for piece in bench.tracks:
        for own, other in piece.joins.items():
            if end in (f"{piece.id}.{own}", other):
                return f"{piece.id}.{own}", other, piece.joint_states(own)
    return None


def _sound(bench: Bench) -> Bench:
    faults = Faults()
    check(bench, faults)
    if faults:
        raise EditRefused(faults.all())
    return bench


def _refused(path: str, found: str, expected: str) -> EditRefused:
    return EditRefused((Fault(path, found, expected),))


def _with_joints(bench: Bench, piece_id: str, met: dict[str, str], states: dict[str, tuple[str, str]]) -> Bench:
    tracks = (piece.with_joins(met, states) if piece.id == piece_id else piece for piece in bench.tracks)
    return _sound(replace(bench, tracks=tuple(tracks)))


def _piece(bench: Bench, end: str) -> Piece:
    """The piece that an end is of. Raises EditRefused if there is no such end."""
    owner, _, own = end.partition(".")
    for piece in bench.tracks:
        if piece.id == owner and own in piece.ENDS:
            return piece
    raise _refused("end", f'"{end}"', "an end of a piece of track, like T1.toe")


@dataclass(frozen=True)
class JoinEnds:
    """Join two open ends; the piece of ``end`` writes the joint.

    ``left``, ``right``: its joiners, as seen from there.
    """

    end: str
    other: str
    left: str = "metal"
    right: str = "metal"

    def apply(self, bench: Bench) -> Bench:
        piece, _ = _piece(bench, self.end), _piece(bench, self.other)
        own = self.end.partition(".")[2]
        for end in (self.end, self.other):
            if joint_of(bench, end) is not None:
                raise _refused("end", f"a joint at {end} already", "an end that is still open")
        for state in (self.left, self.right):
            _check_state(state)
        states = {each: piece.joint_states(each) for each in piece.joins}
        return _with_joints(bench, piece.id, {**piece.joins, own: self.other}, {**states, own: (self.left, self.right)})


@dataclass(frozen=True)
class PartEnds:
    """Part the joint at an end, whichever of its two pieces writes it."""

    end: str

    def apply(self, bench: Bench) -> Bench:
        writer, _, _ = _joint(bench, self.end)
        piece, own = _piece(bench, writer), writer.partition(".")[2]
        met = {end: other for end, other in piece.joins.items() if end != own}
        return _with_joints(bench, piece.id, met, {end: piece.joint_states(end) for end in met})


@dataclass(frozen=True)
class SetJoint:
    """Change one joiner of the joint at an end: "left" or "right" as seen from there into its piece."""

    end: str
    side: str
    to: str

    def apply(self, bench: Bench) -> Bench:
        if self.side not in _SIDES:
            raise _refused("side", f'"{self.side}"', "left or right")
        _check_state(self.to)
        writer, _, _ = _joint(bench, self.end)
        piece, own = _piece(bench, writer), writer.partition(".")[2]
        states = {end: piece.joint_states(end) for end in piece.joins}
        # Looking in from the other side of a joint, left and right change places.
        changed = (self.side == "left") == (writer == self.end)
        left, right = states[own]
        states[own] = (self.to, right) if changed else (left, self.to)
        return _with_joints(bench, piece.id, dict(piece.joins), states)


def _check_state(state: str) -> None:
    if state not in JOINTS:
        raise _refused("joint", f'"{state}"', " or ".join(JOINTS))


def _joint(bench: Bench, end: str) -> tuple[str, str, tuple[str, str]]:
    _piece(bench, end)
    joint = joint_of(bench, end)
    if joint is None:
        raise _refused("end", f"{end}, which is open", "an end that is joined to another")
    return joint


@dataclass(frozen=True)
class Refit:
    """Put another piece or motor in the place of the one of its id; wires to what it no longer has go with the old one.

    ``thing``: a piece keeps the joints that it says it has; points that a motor moves are set as the first of them is.
    """

    thing: Piece | Motor

    def apply(self, bench: Bench) -> Bench:
        wrong = value_faults(self.thing)
        if wrong:
            raise EditRefused(wrong)
        if self.thing.id not in {piece.id for piece in bench.tracks} | {motor.id for motor in bench.motors}:
            raise _refused("id", f'"{self.thing.id}"', "the id of a piece of track or a motor")
        if isinstance(self.thing, Motor):
            motors = tuple(self.thing if old.id == self.thing.id else old for old in bench.motors)
            changed = replace(set_alike(bench, self.thing), motors=motors)
        else:
            tracks = tuple(self.thing if old.id == self.thing.id else old for old in bench.tracks)
            changed = replace(bench, tracks=tracks)
        left = _without_lost_wires(changed, terminals(changed))
        return _sound(left)


def _without_lost_wires(bench: Bench, known: Collection[str]) -> Bench:
    there = frozenset(known)
    return replace(bench, wires=tuple(wire for wire in bench.wires if there.issuperset(wire.ends)))


@dataclass(frozen=True)
class AddTap:
    """Tap the bus, so many metres from the supply."""

    name: str
    metres: float = 6.0

    def apply(self, bench: Bench) -> Bench:
        bus = bench.bus if bench.bus is not None else Bus()
        bus = replace(bus, taps=Table({**bus.taps, self.name: self.metres}))
        wrong = value_faults(bus)
        if wrong:
            raise EditRefused(wrong)
        if self.name in names_of(bench):
            raise _refused("bus.taps", f'"{self.name}", which names something already', "a name used once")
        return _sound(replace(bench, bus=bus))


@dataclass(frozen=True)
class TakeUp:
    """Go over to another bench as a whole, one that was kept."""

    bench: Bench

    def apply(self, bench: Bench) -> Bench:
        del bench
        return _sound(self.bench)

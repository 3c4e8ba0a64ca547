"""What can be chosen for a piece of track, a motor or a fixture of the test track; each choice an edit of the bench."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.edits import Edit, Remove, TurnMotor
from sim.bench.laying import Refit, joint_of
from sim.bench.model import Bench, Changeover, Motor
from sim.bench.piece import JOINTS, Piece
from sim.game.draw.choices import Choice, Line, stepper
from sim.track.formations import Plain, Turnout
from sim.track.laying import reshaped
from sim.track.layout import Layout
from sim.track.standards import SCALES
from sim.wiring.telling import listed

__all__ = ["next_joint", "piece_edit", "piece_lines", "piece_title"]

NUMBERS = (4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0)
"""Frog numbers that turnouts are sold and built in (common practice, no source)."""

LENGTHS = (
    20.0, 40.0, 60.0, 80.0, 100.0, 120.0, 150.0, 200.0, 230.0, 260.0, 300.0, 350.0, 400.0, 500.0, 600.0, 800.0,
    1000.0, 1500.0, 2000.0, 3000.0,
)  # fmt: skip
"""Lengths of plain track, mm; our choice."""

RADII = (200.0, 250.0, 300.0, 360.0, 420.0, 500.0, 600.0, 750.0, 900.0, 1200.0, 1800.0)
"""Radii of curves, mm; our choice."""

_STRIP = "kmpstrabcdefghinoquvwxyz"
_MOST_CONTACTS = 4
_MOST_MOVED = 4
_REMOVE = Line("", (Choice("remove", "Take it away"), Choice("close", "Leave")))


def _piece(bench: Bench, name: str) -> Piece | None:
    return next((piece for piece in bench.tracks if piece.id == name), None)


def _motor(bench: Bench, name: str) -> Motor | None:
    return next((motor for motor in bench.motors if motor.id == name), None)


def piece_title(bench: Bench, name: str) -> str:
    """What the thing of that name is, in a few words; empty for one that is not there."""
    piece, motor = _piece(bench, name), _motor(bench, name)
    if motor is not None:
        if not motor.drives:
            return f"Switch {name}"
        return f"{'Hand lever' if motor.by_hand else 'Motor'} {name} of {listed(motor.drives)}"
    if isinstance(piece, Turnout):
        return f"{'Wye' if piece.kind == 'wye' else 'Turnout'} {name}"
    if piece is not None:
        what = "Curve" if isinstance(piece, Plain) and piece.radius_mm else "Plain track"
        return f"{what if isinstance(piece, Plain) else 'Buffer stop'} {name}"
    if any(lamp.id == name for lamp in bench.lamps):
        return f"Lamp {name}"
    if any(relay.id == name for relay in bench.polarities):
        return f"Polarity relay {name}"
    if bench.bus is not None and name in bench.bus.taps:
        return f"Tap {name}, {bench.bus.taps[name]:g} m along the bus"
    return ""


def piece_lines(bench: Bench, name: str) -> tuple[Line, ...]:
    """The lines of its slip."""
    piece, motor = _piece(bench, name), _motor(bench, name)
    if motor is not None:
        return (*_motor_lines(bench, motor), _REMOVE)
    if isinstance(piece, Turnout):
        return (*_turnout_lines(bench, piece), _REMOVE)
    if isinstance(piece, Plain):
        return (*_plain_lines(piece), _REMOVE)
    return (_REMOVE,)


def _step(steps: tuple[float, ...], now: float, by: int) -> float | None:
    further = [value for value in steps if (value > now + 1e-9 if by > 0 else value < now - 1e-9)]
    return (min(further) if by > 0 else max(further)) if further else None


def _stepped(label: str, name: str, words: str, steps: tuple[float, ...], now: float) -> Line:
    return stepper(label, name, words, _step(steps, now, -1) is not None, _step(steps, now, 1) is not None)


def _chosen(label: str, key: str, now: str, of: tuple[tuple[str, str], ...]) -> Line:
    return Line(label, tuple(Choice(f"{key}:{v}", words, "chosen" if v == now else "plain") for v, words in of))


_SIDES = (("left", "left"), ("right", "right"))
_FROGS = (("isolated", "isolated"), ("live", "live"), ("dead", "dead"))
_BRANCHES = (("arc", "one arc"), ("straight-points", "straight points"))


def _turnout_lines(bench: Bench, piece: Turnout) -> tuple[Line, ...]:
    lines = [_stepped("Frog", "number", f"No. {piece.number:g}", NUMBERS, piece.number)]
    if piece.kind == "turnout":
        lines.append(_chosen("Hand", "hand", piece.hand or "", _SIDES))
    lines.append(_chosen("It is", "frog", piece.frog, _FROGS))
    # Straight points are published for 9 mm gauge only (sim.track.formations.turnout_legs).
    if piece.branch != "arc" or (piece.kind == "turnout" and SCALES[piece.scale].gauge_mm == SCALES["N"].gauge_mm):
        lines.append(_chosen("Branch", "branch", piece.branch, _BRANCHES))
    return tuple(lines)


def _plain_lines(piece: Plain) -> tuple[Line, ...]:
    turns = piece.turns or "straight"
    lines = [
        _stepped("Length", "length_mm", f"{piece.length_mm:g} mm", LENGTHS, piece.length_mm),
        _chosen("It runs", "turns", turns, (("left", "left"), ("straight", "straight"), ("right", "right"))),
    ]
    if piece.radius_mm is not None:
        lines.append(_stepped("Radius", "radius_mm", f"{piece.radius_mm:g} mm", RADII, piece.radius_mm))
    return tuple(lines)


def _motor_lines(bench: Bench, motor: Motor) -> tuple[Line, ...]:
    count = len(motor.changeovers)
    last = None if motor.by_hand or len(motor.drives) != 1 else motor.drives[0]  # a motor has to move something
    moves = tuple(
        Choice(f"moves:{points}", points, "chosen" if points in motor.drives else "plain", able=points != last)
        for points in _to_drive(bench, motor)
    )
    by = (("motor", "motor"), ("hand", "hand")) if motor.drives else (("hand", "hand"),)
    return (
        stepper("Contacts", "contacts", f"{count}", count > 0, count < _MOST_CONTACTS),
        _chosen("Thrown by", "by", "hand" if motor.by_hand else "motor", by),
        *((Line("It moves", moves),) if moves else ()),
        _chosen("Its lid", "lid", _lid(motor), (("on", "on"), ("off", "off"))),
        Line("", (Choice("turn", "Turn it round", "chosen" if motor.turned else "plain"),)),
    )


def _to_drive(bench: Bench, motor: Motor) -> tuple[str, ...]:
    """Points that a motor moves, and such as no other does, as many as a line of its slip has room for."""
    taken = {points for other in bench.motors for points in other.drives} - set(motor.drives)
    free = (piece.id for piece in bench.tracks if piece.setting is not None and piece.id not in taken)
    return tuple(sorted(free, key=lambda points: points not in motor.drives))[:_MOST_MOVED]


def _moved(bench: Bench, motor: Motor, points: str) -> Edit | None:
    """One set of points given to a motor, or taken from it; with the last of them taken a lever is a switch."""
    if points not in _to_drive(bench, motor):
        return None
    if points not in motor.drives:
        return Refit(replace(motor, drives=(*motor.drives, points), set=None))
    drives = tuple(each for each in motor.drives if each != points)
    if drives:
        return Refit(replace(motor, drives=drives))
    return Refit(replace(motor, drives=(), set=bench.piece(points).setting)) if motor.by_hand else None


def _lid(motor: Motor) -> str:
    return "off" if motor.changeovers and all(contact.marked for contact in motor.changeovers) else "on"


def piece_edit(bench: Bench, name: str, choice: str) -> Edit | None:
    """What a choice on its slip comes to; None for one that changes nothing."""
    if choice == "remove":
        return Remove(name)
    piece, motor = _piece(bench, name), _motor(bench, name)
    if motor is not None:
        return _motor_edit(bench, motor, choice)
    if isinstance(piece, Turnout):
        return _turnout_edit(piece, choice)
    return _plain_edit(bench, piece, choice) if isinstance(piece, Plain) else None


def _turnout_edit(piece: Turnout, choice: str) -> Edit | None:
    key, _, value = choice.partition(":")
    if choice in {"number-", "number+"}:
        number = _step(NUMBERS, piece.number, 1 if choice == "number+" else -1)
        return None if number is None else Refit(reshaped(piece, number=number))
    if key in {"hand", "frog", "branch"} and getattr(piece, key) != value:
        return Refit(reshaped(piece, **{key: value}))
    return None


def _plain_edit(bench: Bench, piece: Plain, choice: str) -> Edit | None:
    key, _, value = choice.partition(":")
    for name, steps in (("length_mm", LENGTHS), ("radius_mm", RADII)):
        now = getattr(piece, name)
        if choice in {f"{name}-", f"{name}+"} and now is not None:
            new = _step(steps, now, 1 if choice.endswith("+") else -1)
            return None if new is None else Refit(reshaped(piece, **{name: new}))
    if key != "turns" or value == (piece.turns or "straight"):
        return None
    if value == "straight":
        return Refit(reshaped(piece, radius_mm=None, turns=None))
    share = Layout(bench).scale(piece.id).gauge_mm / SCALES["HO"].gauge_mm
    radius = piece.radius_mm or min(RADII, key=lambda r: abs(r - 600 * share))
    return Refit(reshaped(piece, radius_mm=radius, turns=value))


def _motor_edit(bench: Bench, motor: Motor, choice: str) -> Edit | None:
    if choice.startswith("moves:"):
        return _moved(bench, motor, choice.partition(":")[2])
    match choice:
        case "turn":
            return TurnMotor(motor.id)
        case "lid:on" | "lid:off" if choice != f"lid:{_lid(motor)}":
            marked = choice == "lid:off"
            return Refit(replace(motor, changeovers=tuple(replace(c, marked=marked) for c in motor.changeovers)))
        case "by:motor" if motor.by_hand and motor.drives:
            return Refit(replace(motor, by_hand=False, seconds=1.5))
        case "by:hand" if not motor.by_hand:
            return Refit(replace(motor, by_hand=True, seconds=0.3))
        case "contacts-" if motor.changeovers:
            return Refit(replace(motor, changeovers=motor.changeovers[:-1]))
        case "contacts+" if len(motor.changeovers) < _MOST_CONTACTS:
            taken = {letter for contact in motor.changeovers for letter in contact.letters}
            free = [letter for letter in _STRIP if letter not in taken]
            seen = all(contact.marked for contact in motor.changeovers) and bool(motor.changeovers)
            contact = Changeover(free[0], free[1], free[2], marked=seen)
            return Refit(replace(motor, changeovers=(*motor.changeovers, contact)))
    return None


def next_joint(bench: Bench, end: str, side: str) -> str:
    """What a joiner at an end, on a side as its writer sees it, is changed to next: metal, insulated, bad, metal."""
    joint = joint_of(bench, end)
    now = joint[2][0 if side == "left" else 1] if joint is not None else JOINTS[0]
    return JOINTS[(JOINTS.index(now) + 1) % len(JOINTS)]

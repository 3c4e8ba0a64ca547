"""What can be chosen for a piece of track, a motor or a fixture of the test track; each choice an edit of the bench."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.edits import Edit, Remove, TurnMotor
from sim.bench.laying import Refit, joint_of
from sim.bench.levers import filed_settings
from sim.bench.model import Bench, Changeover, Motor
from sim.bench.piece import JOINTS, Piece
from sim.game.draw.slips.choices import Choice, Line, stepper
from sim.track.formations import formation_of
from sim.track.formations.menu import MenuLine, Steps
from sim.track.layout import Layout
from sim.wiring.telling import listed

__all__ = ["next_joint", "piece_edit", "piece_lines", "piece_title"]

_STRIP = "kmpstrabcdefghinoquvwxyz"
_MOST_CONTACTS = 4
_MOST_MOVED = 4
_REMOVE = Line("", (Choice("remove", "Take it away"), Choice("close", "Close")))


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
    if piece is not None:
        return f"{formation_of(piece).title} {name}"
    if any(lamp.id == name for lamp in bench.lamps):
        return f"Lamp {name}"
    if any(polarity.id == name for polarity in bench.polarities):
        return f"Automatic polarity unit {name}"
    if bench.bus is not None and name in bench.bus.taps:
        return f"Tap {name}, {bench.bus.taps[name]:g} m along the bus"
    return ""


def piece_lines(bench: Bench, name: str) -> tuple[Line, ...]:
    """The lines of its slip."""
    piece, motor = _piece(bench, name), _motor(bench, name)
    if motor is not None:
        return (*_motor_lines(bench, motor), _REMOVE)
    if piece is not None:
        menu = formation_of(piece).menu(Layout(bench).scale(name))
        return (*(_menu_line(line) for line in menu), _REMOVE)
    return (_REMOVE,)


def _menu_line(line: MenuLine) -> Line:
    if isinstance(line, Steps):
        return stepper(line.label, line.key, line.words, line.less, line.more)
    return _chosen(line.label, line.key, line.now, line.of)


def _chosen(label: str, key: str, now: str, of: tuple[tuple[str, str], ...]) -> Line:
    return Line(label, tuple(Choice(f"{key}:{v}", words, "chosen" if v == now else "plain") for v, words in of))


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
    free = (points.id for points in bench.point_sets if points.id not in taken)
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
    return Refit(replace(motor, drives=(), set=filed_settings(bench)[points])) if motor.by_hand else None


def _lid(motor: Motor) -> str:
    return "off" if motor.changeovers and all(contact.marked for contact in motor.changeovers) else "on"


def piece_edit(bench: Bench, name: str, choice: str) -> Edit | None:
    """What a choice on its slip comes to; None for one that changes nothing."""
    if choice == "remove":
        return Remove(name)
    piece, motor = _piece(bench, name), _motor(bench, name)
    if motor is not None:
        return _motor_edit(bench, motor, choice)
    changed = None if piece is None else formation_of(piece).chosen(choice, Layout(bench).scale(name))
    return None if changed is None else Refit(changed)


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

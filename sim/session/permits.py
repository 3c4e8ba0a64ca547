"""What a level lets the player change."""

from __future__ import annotations

from sim.bench.edits import ChangeWire, Edit, MakeWire, PlaceTrain, RemoveWire, SetPlace, SetPoints, TurnMotor
from sim.bench.model import Bench

__all__ = ["refusal"]


def refusal(bench: Bench, edit: Edit) -> str:
    """Why an edit is not part of the job, as a sentence; empty where it is allowed, as on any bench without a level."""
    if bench.level is None:
        return ""
    allow = bench.level.allow
    match edit:
        case MakeWire():
            if not allow.wires:
                return "This job leaves the wires as they are."
            if allow.wire_limit is not None and len(bench.wires) >= allow.wire_limit:
                return f"This job is done with at most {allow.wire_limit} wires."
        case RemoveWire() | ChangeWire():
            return "" if allow.wires else "This job leaves the wires as they are."
        case SetPlace():
            return "" if allow.place(edit.place) else "This job leaves that place as it is."
        case TurnMotor():
            return "" if allow.motor else "This job leaves the motor as it is mounted."
        case PlaceTrain() | SetPoints():
            return ""
        case _:
            return "This job leaves the track and what stands beside it as they are."
    return ""

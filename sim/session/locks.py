"""Acts that are locked at a bench: told when it is set up, and kept to by what runs."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sim.bench.edits import ChangeWire, Edit, MakeWire, PlaceTrain, RemoveWire, SetPlace, SetPoints, TurnMotor
from sim.bench.level import Allow
from sim.bench.model import Bench

__all__ = ["UNLOCKED", "Locks"]


@dataclass(frozen=True, slots=True)
class Locks:
    """What cannot be done.

    edits: what alone may be changed on the bench; None where everything may
    said_first: what must be said before a supply can be switched on, as (piece, setting) of its frog
    """

    edits: Allow | None = None
    said_first: tuple[tuple[str, str], ...] = ()

    def power(self, said: Collection[tuple[str, str]]) -> bool:
        """Whether supplies are still locked, with what has been said."""
        return any(each not in said for each in self.said_first)

    def refusal(self, bench: Bench, edit: Edit) -> str:
        """Why an edit is locked, as a sentence; empty where it is not."""
        allow = self.edits
        if allow is None:
            return ""
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


UNLOCKED = Locks()
"""Nothing is locked, as on any bench without a job."""

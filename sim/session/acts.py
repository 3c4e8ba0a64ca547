"""What a player can do, each as a frozen value.

One act is the only way in which anything outside changes a running bench: the window, the tests and a replay
all hand the same values to `Session.step`, which applies them in order, records them and can play them again.
Terminal names, piece, motor, train and supply ids are those of the bench file; ends are written "T1.toe".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.bench.edits import Edit

__all__ = [
    "Act",
    "Dial",
    "DialName",
    "Direction",
    "Do",
    "Drive",
    "Nudge",
    "Pace",
    "Plug",
    "Power",
    "Predict",
    "Probe",
    "Put",
    "Redo",
    "Reset",
    "Side",
    "Test",
    "Throw",
    "Undo",
]

DialName = Literal["off", "volts", "ohms", "buzzer"]
Side = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Do:
    """Change what stands on the bench: wire, unwire, cut, bridge, turn a motor, place a train."""

    edit: Edit


@dataclass(frozen=True, slots=True)
class Undo:
    """Take back the last edit."""


@dataclass(frozen=True, slots=True)
class Redo:
    """Make the edit that was last taken back once more."""


@dataclass(frozen=True, slots=True)
class Throw:
    """Throw points or a switch to "normal" or "diverging", or to the other position when `setting` is None.

    `piece`: the id of points, which go over with all that their motor moves, of that motor, or of a switch.
    """

    piece: str
    setting: str | None = None


@dataclass(frozen=True, slots=True)
class Power:
    """Switch a supply on or off; every supply of the bench when `supply` is None."""

    on: bool
    supply: str | None = None


@dataclass(frozen=True, slots=True)
class Plug:
    """Plug a supply's two output wires in or pull them out; every supply when `supply` is None."""

    plugged: bool
    supply: str | None = None


@dataclass(frozen=True, slots=True)
class Reset:
    """Close a tripped breaker by hand; every tripped one when `supply` is None."""

    supply: str | None = None


@dataclass(frozen=True, slots=True)
class Drive:
    """Set a train's throttle, 0.0 (stop) to 1.0 (full)."""

    train: str
    throttle: float


@dataclass(frozen=True, slots=True)
class Direction:
    """Set which way a train drives: +1 towards its leading axle's end, -1 the other way."""

    train: str
    sign: int


@dataclass(frozen=True, slots=True)
class Nudge:
    """Push a train along by hand, in mm, positive towards its leading axle's end."""

    train: str
    mm: float


@dataclass(frozen=True, slots=True)
class Put:
    """Lift a train and set it down with its leading axle `mm` inwards from an end of a piece, facing that end."""

    train: str
    end: str
    mm: float


@dataclass(frozen=True, slots=True)
class Probe:
    """Put the meter's two tips on terminals; None holds a tip in the air."""

    red: str | None
    black: str | None


@dataclass(frozen=True, slots=True)
class Dial:
    """Turn the meter's knob."""

    to: DialName


@dataclass(frozen=True, slots=True)
class Predict:
    """Say, before power, which stock rail ("left" or "right") the frog of a piece must match in a position."""

    piece: str
    setting: str
    side: Side


@dataclass(frozen=True, slots=True)
class Pace:
    """Let time pass in finer steps, for slow motion: so many to a `Session.DT`: 1, 10 or 100."""

    parts: int


@dataclass(frozen=True, slots=True)
class Test:
    """Ask for the test of every route; the face that asked runs it and gives the verdict back."""

    __test__ = False  # a value, not a test case


Act = (
    Do | Undo | Redo | Throw | Power | Plug | Reset | Drive | Direction | Nudge | Put | Probe | Dial | Predict
    | Pace | Test
)  # fmt: skip

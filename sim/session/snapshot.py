"""What can be seen of a running bench at one moment, as frozen values.

Positions are millimetres in the bench's frame (first piece at the origin, y to the left of its heading), headings
radians; amps flow from an element's first end to its second; volts of a vehicle are those between its pick-up
rails, left less right on DC and their size on digital supplies. Names of rails and parts are those of the bench
file ("T1.frog", "wire:3"). A view draws a snapshot and needs nothing else of the session.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from sim.bench.model import Bench
    from sim.session.acts import DialName, Side
    from sim.wiring.loop import LoopStep

__all__ = [
    "FaultView",
    "GoalView",
    "Judged",
    "MeterView",
    "PlayView",
    "PredictionView",
    "ReadingView",
    "Snapshot",
    "SupplyView",
    "TrainView",
    "VehicleView",
]


class Judged(Protocol):
    """The verdict of the test of every route, as far as a session needs to know it."""

    @property
    def passed(self) -> bool:
        """True when nothing failed."""
        ...


@dataclass(frozen=True, slots=True)
class SupplyView:
    """A supply: its switch, plug and breaker, the amps it gives (at most what it can) and the volts across it.

    `over_seconds`: for how long its amps have been too many for its closed breaker, which waits before it opens.
    """

    id: str
    on: bool
    plugged: bool
    tripped: bool
    amps: float
    volts: float
    over_seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class VehicleView:
    """A vehicle: each axle's (x, y, heading), the rails under its left and right wheel, volts at its pick-ups.

    Left and right are those of someone on the vehicle looking towards its leading axle; `axles` and `touching`
    run from the leading axle back.
    """

    name: str
    axles: tuple[tuple[float, float, float], ...]
    touching: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]
    volts: float


@dataclass(frozen=True, slots=True)
class TrainView:
    """A train: throttle 0..1, direction +1 or -1, signed speed (positive towards the leading axle's end).

    `volts` is the largest over its engines; `running` says that an engine has the volts (or the stored energy)
    to drive it at the present throttle.
    """

    id: str
    throttle: float
    direction: int
    speed_mm_s: float
    volts: float
    running: bool
    derailed: bool
    vehicles: tuple[VehicleView, ...]


@dataclass(frozen=True, slots=True)
class MeterView:
    """The meter: knob, the tips' terminals, the value shown (None: over range or nothing joined), tone, caution.

    `value` is ohms or volts by the knob; `caution` is True while ohms are measured with a supply plugged in;
    `taken` are the ohms measured so far as they should be: two terminals in order, and how all points stood.
    """

    dial: DialName
    red: str | None
    black: str | None
    value: float | None
    beeps: bool
    caution: bool
    taken: frozenset[tuple[str, str, tuple[tuple[str, str], ...]]] = frozenset()


@dataclass(frozen=True, slots=True)
class FaultView:
    """What tripped a breaker: amps that its supply gave, a sentence, their loop, and the rails that wheels joined.

    The loop is empty once the bench, its points or its trains are no longer as they were then.
    flowed: amps through every part at that moment
    again: it opened once more for what had opened it before
    """

    supply: str
    amps: float
    text: str
    loop: tuple[LoopStep, ...]
    touching: tuple[str, ...]
    flowed: Mapping[str, float] = field(default_factory=dict, hash=False, repr=False)
    again: bool = False


@dataclass(frozen=True, slots=True)
class GoalView:
    """A goal of the level: its mark's name, its words on the job sheet, whether it is reached so far."""

    name: str
    words: str
    done: bool


@dataclass(frozen=True, slots=True)
class PredictionView:
    """What the player said of a frog, and whether it is right."""

    piece: str
    setting: str
    side: Side
    right: bool


@dataclass(frozen=True, slots=True)
class ReadingView:
    """A reading from a frog to one of its turnout's stock rails, in one position of the points.

    `ohms` is None beyond the meter's range; `closed` and `open` say how a builder reads it (a number in between is
    neither); `unplugged` and `before_power` say whether it counts as taken at the right time.
    """

    piece: str
    setting: str
    side: Side
    ohms: float | None
    closed: bool
    open: bool
    unplugged: bool
    before_power: bool


@dataclass(frozen=True, slots=True)
class PlayView:
    """The facts of the play that the marks need.

    powered: a supply has given its volts since something was wired to a frog
    into_short: how often a supply was switched or plugged into a short with nothing moving
    trips: how often a breaker has opened
    cautions: how often ohms were measured with a supply plugged in
    readings_taken: readings of ohms that count towards those that the level wants, a frog's while they stand
    foreseen: share (0 to 1) of the predictions asked for that were made before power, and right
    unchecked: why the last is not so, in a few words; empty while it is, or still can be
    checked: enough was measured, and the four readings of every frog were right, all unplugged before the first
        power; that met no short; and ohms were never measured with a supply plugged in
    """

    powered: bool
    into_short: int
    trips: int
    cautions: int
    readings_taken: int
    foreseen: float
    checked: bool
    unchecked: str = ""


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The whole bench at one moment.

    travel: of all points and switches, 0.0 normal to 1.0 diverging
    throwing: points and switches that are on their way
    feeds: side of the supply of every rail: "A", "B", "none" or "both"
    amps: current through every part of the wiring, by its name
    patterns: what the four readings of a frog mean so far, by piece, in words
    found: contacts of motors that the meter's readings have proved, as (motor, number from 0)
    power_ready: False while the level still asks what the frogs must match before power
    test_wanted: the test of every route has been asked for and its verdict not yet given back
    """

    time_s: float
    bench: Bench
    travel: Mapping[str, float]
    throwing: frozenset[str]
    supplies: tuple[SupplyView, ...]
    trains: tuple[TrainView, ...]
    meter: MeterView
    feeds: Mapping[str, str]
    amps: Mapping[str, float]
    fault: FaultView | None
    log: tuple[str, ...]
    can_undo: bool
    can_redo: bool
    goals: tuple[GoalView, ...]
    predictions: tuple[PredictionView, ...]
    readings: tuple[ReadingView, ...]
    patterns: Mapping[str, str]
    found: frozenset[tuple[str, int]]
    play: PlayView
    power_ready: bool
    test_wanted: bool
    verdict: Judged | None

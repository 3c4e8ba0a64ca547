"""What can be seen of a running bench at one moment, as frozen values.

Positions are millimetres in the bench's frame (first piece at the origin, y to the left of its heading), headings
radians; amps flow from an element's first end to its second; volts of a vehicle are those between its pick-up
rails, left less right on DC and their size on digital supplies. Names of rails are those of the bench
file ("T1.frog"), parts are named by their PartRef. A view draws a snapshot and needs nothing else of the session.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, NamedTuple, Protocol

if TYPE_CHECKING:
    from sim.bench.model import Bench
    from sim.electric.parts import PartRef
    from sim.session.acts import DialName, Predict, Side
    from sim.wiring.loop import LoopStep

__all__ = [
    "Evidence",
    "EvidenceKind",
    "FaultView",
    "FirstPower",
    "Judged",
    "LogEvent",
    "LogMark",
    "MeterView",
    "PlayView",
    "ReadingView",
    "Snapshot",
    "SupplyView",
    "Taken",
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


class Taken(NamedTuple):
    """A reading taken as it should be: of ohms or (False) of volts, two terminals in order, how all points stood."""

    ohms: bool
    ends: tuple[str, str]
    points: tuple[tuple[str, str], ...]


EvidenceKind = Literal["joined", "open", "apart", "ran"]


class Evidence(NamedTuple):
    """Something that tells of the side of rails, in one position of all points.

    what: the meter read its two ends as "joined" or as "open" (ohms, with the supply unplugged), or with the supply's
        volts between them ("apart"), or an engine "ran" with its wheels on the one rail on its left and on the other
        on its right
    """

    what: EvidenceKind
    ends: tuple[str, str]
    points: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class MeterView:
    """The meter: knob, the tips' terminals, the value shown (None: over range or nothing joined), tone, caution.

    `value` is ohms or volts by the knob; `caution` is True while ohms are measured with a supply plugged in;
    `taken` are the readings so far that were taken as they should be: ohms unplugged, volts under power.
    """

    dial: DialName
    red: str | None
    black: str | None
    value: float | None
    beeps: bool
    caution: bool
    taken: frozenset[Taken] = frozenset()


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
    flowed: Mapping[PartRef, float] = field(default_factory=dict, hash=False, repr=False)
    again: bool = False


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
class FirstPower:
    """The first time a supply gave its volts since something was wired to a frog, and what had been read by then.

    readings, taken: as a snapshot and its meter had them; into_short: it met a short
    """

    readings: tuple[ReadingView, ...]
    taken: frozenset[Taken]
    into_short: bool


@dataclass(frozen=True, slots=True)
class PlayView:
    """How the player went about it.

    into_short: how often a supply was switched or plugged into a short with nothing moving
    trips: how often a breaker has opened
    cautions: how often ohms were measured with a supply plugged in
    first: the first power that counts, None before it
    """

    into_short: int
    trips: int
    cautions: int
    first: FirstPower | None

    @property
    def powered(self) -> bool:
        """Whether there has been power since something was wired to a frog."""
        return self.first is not None


LogEvent = Literal["power", "caution"]


class LogMark(NamedTuple):
    """Where in the log the first power that counts came, or ohms were first measured with a supply plugged in.

    line: how many sentences had been told by then.
    """

    event: LogEvent
    line: int


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The whole bench at one moment.

    travel: of all points and switches, 0.0 normal to 1.0 diverging
    throwing: points and switches that are on their way
    overload: what flows through a breaker that has too much and has not opened yet, told as a fault would be
    feeds: side of the supply of every rail: "A", "B", "none" or "both"
    amps: current through every part of the wiring, by its name
    log: the latest sentences, oldest first, the first of them number log_first, counted from 0; log_marks: what
        happened between them
    reached: goals of the level that the last test of every route was told to have found reached
    predictions: what was said of the frogs, the last for each piece and setting
    readings: the latest of every frog against each stock rail in each position
    found: contacts of motors that the meter's readings have proved, as (motor, number from 0)
    evidence: what has told of the sides of rails so far, whatever has been wired since
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
    amps: Mapping[PartRef, float]
    fault: FaultView | None
    overload: FaultView | None
    log: tuple[str, ...]
    log_first: int
    log_marks: tuple[LogMark, ...]
    can_undo: bool
    can_redo: bool
    reached: frozenset[str]
    predictions: tuple[Predict, ...]
    readings: tuple[ReadingView, ...]
    found: frozenset[tuple[str, int]]
    evidence: frozenset[Evidence]
    play: PlayView
    test_wanted: bool
    verdict: Judged | None

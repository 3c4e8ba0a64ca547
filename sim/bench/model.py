"""A bench: everything that stands on the table, as frozen values.

Lengths are millimetres or, for wire, metres; what is electrical is in volts, amps, ohms, watts and joules. The names of
terminals made here ("bus.A", "M1.k", "Q1.out", "L1.1") are the names used everywhere.
"""

# ruff: noqa: RUF009 - declared() makes a dataclass field, as dataclasses.field() does
from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from sim.bench.fields import Nested, Problem, declarations, declared
from sim.bench.level import (
    GOALS,
    SETTINGS,
    Allow,
    Level,
    PlaceStep,
    PlugStep,
    PowerStep,
    ProbeStep,
    Step,
    ThrowStep,
    TurnStep,
    UnwireStep,
    WireStep,
)
from sim.bench.piece import Piece, Place
from sim.bench.point_set import PointSet
from sim.bench.shapes import Choice, Either, Entries, ListOf, Name, Number, OneOrMore, Pair, Text, Whole, YesNo
from sim.bench.table import Table
from sim.bench.vocabulary import SCALES, STANDARD_VEHICLES, WHEELS

__all__ = [
    "CONDITIONS",
    "GOALS",
    "SETTINGS",
    "SINGLE_SUPPLY",
    "Allow",
    "Bench",
    "Bus",
    "Changeover",
    "Lamp",
    "Level",
    "Motor",
    "Piece",
    "Place",
    "PlaceStep",
    "PlugStep",
    "Polarity",
    "PowerStep",
    "ProbeStep",
    "Step",
    "Supply",
    "ThrowStep",
    "Train",
    "TurnStep",
    "UnwireStep",
    "Vehicle",
    "WheelSize",
    "Wire",
    "WireStep",
    "awg_mm2",
]

SINGLE_SUPPLY = "bus"
"""The id of the supply that stands in a single [supply] table."""

CONDITIONS = ("good", "worn", "oxidised", "open")
"""How well a changeover contact, or a blade on its stock rail, conducts."""

_TERMINAL = Text(130, empty=False, what="a terminal", like="T1.frog")
_POINTS = Text(130, empty=False, what="a set of points", like="T1")
_MM2 = Number(0.01, 100, "mm2")
_METRES = Number(0, 1000, "m")


def awg_mm2(awg: int) -> float:
    """Cross-section, in square millimetres, of solid copper wire of an American wire gauge number from 0 to 40.

    The gauge is a geometric series of diameters, 0.46 in for 0000 and 0.005 in for 36 (ASTM B258).

    >>> round(awg_mm2(22), 4)
    0.3255
    """
    diameter_mm = 0.127 * 92 ** ((36 - awg) / 39)
    return float(math.pi / 4 * diameter_mm**2)


@dataclass(frozen=True)
class Supply:
    """A source of power with a breaker. Values left out go by the kind."""

    id: str = declared(Name(), "its name; only in [[supply]] tables, a single [supply] is named bus")
    kind: str = declared(Choice("dcc", "dc"), "digital (dcc) or direct current (dc)")
    # Defaults by kind: common practice, no source.
    volts: float = declared(
        Number(0, 60, "V", above=True), "open voltage", default=None, by_kind={"dcc": 15.0, "dc": 12.0}
    )
    source_ohms: float = declared(
        Number(0.001, 1000, "ohm"), "inner resistance", default=None, by_kind={"dcc": 0.1, "dc": 0.5}
    )
    trip_amps: float = declared(
        Number(0, 100, "A", above=True),
        "current at which the breaker opens",
        default=None,
        by_kind={"dcc": 3.0, "dc": 1.0},
    )
    trip_seconds: float = declared(
        Number(0, 60, "s"), "how long the breaker takes", default=None, by_kind={"dcc": 0.03, "dc": 2.0}
    )
    limit_amps: float | None = declared(
        Number(0, 1000, "A", above=True),
        "the most it can give; where that is less than `trip_amps`, a short never opens the breaker",
        default=None,
        shown="1.5 times `trip_amps`",
    )
    retry_seconds: float = declared(Number(0, 3600, "s"), "when the breaker tries again; 0: by hand", default=0.0)
    on: bool = declared(YesNo(), "it is switched on", default=False)
    plugged: bool = declared(YesNo(), "it is plugged in", default=True)

    def __post_init__(self) -> None:
        for name, values in _SUPPLY_DEFAULTS.items():
            if getattr(self, name) is None:
                object.__setattr__(self, name, values.get(self.kind, values["dcc"]))

    @property
    def most_amps(self) -> float:
        """The most that it can give, A: ``limit_amps``, or 1.5 times ``trip_amps`` where that is left out.

        Electronic supplies limit near their rating (from memory). One that cannot reach its own ``trip_amps`` never
        trips: legal, and as bad as it sounds.
        """
        return _LIMIT_OVER_TRIP * self.trip_amps if self.limit_amps is None else self.limit_amps

    @property
    def a(self) -> str:
        """Its terminal of side A."""
        return f"{self.id}.A"

    @property
    def b(self) -> str:
        """Its terminal of side B."""
        return f"{self.id}.B"


_LIMIT_OVER_TRIP = 1.5  # model.md section 4, from memory

_SUPPLY_DEFAULTS = {field.name: field.by_kind for field in declarations(Supply) if field.by_kind}


@dataclass(frozen=True)
class Bus:
    """The pair of bus wires of a single supply, and where they can be tapped."""

    mm2: float = declared(_MM2, "cross-section of each wire", default=2.5)
    taps: Table[str, float] = declared(
        Entries(_METRES),
        "name of each tap, and how far along the bus it is; tap near has terminals near.A and near.B",
        default=Table(),
        shown="none",
    )


@dataclass(frozen=True)
class Changeover:
    """One changeover contact of a motor. The letters are those on its terminal strip.

    ``travel``: the blade travel, 0 normal to 1 diverging, up to which the common is on its normal outer, and from which
    it is on its diverging outer.
    """

    common: str = declared(Name(), "letter of the common")
    normal: str = declared(Name(), "letter of the outer joined to it when the points are normal (if not turned)")
    diverging: str = declared(Name(), "letter of the outer joined to it when the points are diverging (if not turned)")
    travel: tuple[float, float] = declared(
        Pair(Number(0, 1)),
        "part of the throw up to which it is on the normal outer, and from which on the diverging one",
        default=(0.45, 0.55),
    )
    condition: str = declared(Choice(*CONDITIONS), "how well it conducts", default="good")
    rating_amps: float = declared(Number(0, 100, "A", above=True), "current it is made for", default=1.0)
    marked: bool = declared(
        YesNo(), "the player sees which letter is which; otherwise the letters alone", default=False
    )
    stuck: str | None = declared(
        Choice("normal", "diverging"),
        "it no longer changes over: its arm stays on that outer, however the points lie",
        default=None,
        shown="it changes over",
    )

    @property
    def letters(self) -> tuple[str, str, str]:
        """Common, normal outer, diverging outer."""
        return self.common, self.normal, self.diverging

    def problems(self) -> Iterable[Problem]:
        """A letter used twice."""
        if self.normal == self.common:
            yield Problem("normal", f'"{self.normal}" again', "a letter not yet on this contact")
        if self.diverging in (self.common, self.normal):
            yield Problem("diverging", f'"{self.diverging}" again', "a letter not yet on this contact")


@dataclass(frozen=True)
class Motor:
    """A turnout motor, or a hand lever, with its changeover contacts.

    ``drives``: the points that it moves, all of them together ("T1"). A hand lever that moves none is a **switch** on
    the panel, with a ``set`` of its own (None is normal). Which points a motor's contacts go by: sim.bench.levers.
    """

    id: str = declared(Name(), "its name on the bench")
    drives: tuple[str, ...] = declared(
        OneOrMore(_POINTS),
        "the points that it moves; several are thrown together and are set alike",
        default=(),
        shown="none, which makes a lever by hand a switch; **required** of a motor",
    )
    seconds: float = declared(Number(0, 600, "s", above=True), "time of a full throw", default=1.5)
    turned: bool = declared(
        YesNo(), "it is mounted the other way about: the outers of its contacts change places", default=False
    )
    changeovers: tuple[Changeover, ...] = declared(
        ListOf(Nested(Changeover, "a changeover contact"), 16), "its changeover contacts", default=(), key="changeover"
    )
    by_hand: bool = declared(
        YesNo(),
        "a lever thrown by hand, with its contacts on it, instead of a motor; it may move no points: a panel switch",
        default=False,
    )
    set: str | None = declared(
        Choice(*SETTINGS), "how a switch stands; only where `drives` is left out", default=None, shown="`\"normal\"`"
    )

    def __post_init__(self) -> None:
        if self.set == SETTINGS[0] and not self.drives:
            object.__setattr__(self, "set", None)  # said or left out, it is the same switch

    @property
    def is_switch(self) -> bool:
        """Whether it is a hand lever that moves no points."""
        return self.by_hand and not self.drives

    @property
    def terminals(self) -> tuple[str, ...]:
        """All its screws: "M1.k", ..."""
        return tuple(f"{self.id}.{letter}" for contact in self.changeovers for letter in contact.letters)

    def problems(self) -> Iterable[Problem]:
        """A motor that moves nothing, a setting that belongs to its points, a letter that stands on two contacts."""
        if not self.drives and not self.by_hand:
            yield Problem("drives", "nothing", f"{_POINTS.expected}; only with by_hand = true may it be left out")
        if self.set is not None and self.drives:
            moved = " and ".join(self.drives)
            expected = f"the set of {moved} alone: a switch has its own"
            yield Problem("set", f'"{self.set}" on what moves {moved}', expected)
        seen: set[str] = set()
        for i, contact in enumerate(self.changeovers, 1):
            for role, letter in zip(("common", "normal", "diverging"), contact.letters, strict=True):
                if letter in seen:
                    yield Problem(
                        f"changeover[{i}].{role}", f'"{letter}" again', "a letter that is not on another contact"
                    )
            seen.update(contact.letters)


@dataclass(frozen=True)
class Wire:
    """A wire between two terminals. Its cross-section is ``mm2``, whichever way it was given."""

    ends: tuple[str, str] = declared(Pair(_TERMINAL), "two different terminals")
    mm2: float = declared(_MM2, "cross-section of copper", default=0.5, without=("awg",))
    awg: int | None = declared(Whole(0, 40), "American wire gauge, instead of mm2", default=None, shown="none")
    metres: float = declared(_METRES, "length", default=0.3)
    colour: str | None = declared(Text(60, empty=False, what="a colour"), "its colour", default=None, shown="none")
    number: str | None = declared(Text(60, empty=False), "what is written on its sleeve", default=None, shown="none")
    note: str | None = declared(Text(1000), "a remark", default=None, shown="none")

    def __post_init__(self) -> None:
        if self.awg is not None and 0 <= self.awg <= 40:
            area = awg_mm2(self.awg)
            if self.mm2 not in (_PLAIN_MM2, area):
                raise ValueError(f"a wire is given by mm2 = {self.mm2} or by awg = {self.awg}, not by both")
            object.__setattr__(self, "mm2", area)

    @property
    def area_mm2(self) -> float:
        """Cross-section of copper in square millimetres."""
        return self.mm2


_PLAIN_MM2 = 0.5


_POLES = (("a", "b", "out"), ("c", "d", "out2"))
"""The ends of each pole of an automatic polarity unit: joined at rest, joined when turned over, and what to."""


@dataclass(frozen=True)
class Polarity:
    """An automatic polarity unit for a frog or a reversing section; at rest it joins a to out.

    With two poles it joins c to out2 too; both turn over together.
    """

    id: str = declared(Name(), "its name on the bench")
    turns_at_amps: float = declared(Number(0, 100, "A", above=True), "current at which it turns over", default=1.5)
    turn_seconds: float = declared(Number(0, 60, "s"), "time it takes to turn over", default=0.005)
    poles: int = declared(
        Whole(1, 2), "2: it has a second pole that turns with the first, with terminals c, d and out2", default=1
    )

    @property
    def terminals(self) -> tuple[str, ...]:
        """Of each pole the two supply sides, and what goes to the frog or rail."""
        return tuple(f"{self.id}.{end}" for pole in _POLES[: self.poles] for end in pole)

    @property
    def contacts(self) -> tuple[tuple[str, str, str], ...]:
        """Its contacts as (letter, the end that it joins it to, the throw in which it does): ("a", "out", "a").

        The throw is "a" at rest and "b" turned over.
        """
        return tuple((end, out, throw) for a, b, out in _POLES[: self.poles] for end, throw in ((a, "a"), (b, "b")))


@dataclass(frozen=True)
class Lamp:
    """A lamp in series with a feed."""

    id: str = declared(Name(), "its name on the bench")
    volts: float = declared(Number(0.1, 60, "V"), "voltage it is made for", default=12.0)
    watts: float = declared(Number(0.001, 500, "W"), "power it takes at that voltage", default=21.0)

    @property
    def terminals(self) -> tuple[str, str]:
        """Its two terminals."""
        return f"{self.id}.1", f"{self.id}.2"


@dataclass(frozen=True)
class WheelSize:
    """A wheelset by its measures, all in millimetres."""

    back_to_back_mm: float = declared(Number(1, 200, "mm"), "between the backs of the two wheels")
    flange_mm: float = declared(Number(0.05, 10, "mm"), "thickness of the flange")
    width_mm: float = declared(Number(0.1, 50, "mm"), "width of the wheel, flange included")
    radius_mm: float = declared(Number(0.5, 200, "mm"), "radius of the tread")

    def problems(self) -> Iterable[Problem]:
        """A wheel that is all flange."""
        if self.width_mm <= self.flange_mm:
            yield Problem("width_mm", f"{self.width_mm:g}, not more than the flange", "the width, flange included")


@dataclass(frozen=True, kw_only=True)
class Vehicle:
    """A vehicle of the user's own. Left and right are seen looking towards the end where its leading axle is."""

    name: str = declared(Name(), "its name, by which trains and the test call it")
    scale: str = declared(Choice(*SCALES), "a row of the track and wheel standards")
    axles_mm: tuple[float, ...] = declared(
        ListOf(Number(0, 2000, "mm"), 40, 1), "place of each axle, measured from the leading one, which is at 0"
    )
    wheel: str | WheelSize = declared(
        Either(Choice(*WHEELS), Nested(WheelSize, "a wheel")), "a row of the wheel standards, or its measures"
    )
    pickup_left: tuple[int, ...] = declared(
        ListOf(Whole(1, 40), 40, each_once=True),
        "axles, counted from 1, that collect on the left",
        default=(),
        required=True,
        key="pickup.left",
    )
    pickup_right: tuple[int, ...] = declared(
        ListOf(Whole(1, 40), 40, each_once=True),
        "axles, counted from 1, that collect on the right",
        default=(),
        required=True,
        key="pickup.right",
    )
    draws_amps: float = declared(Number(0, 20, "A"), "current it takes when running")
    works_from_volts: float = declared(Number(0, 60, "V"), "least voltage at which it runs")
    stored_joules: float = declared(Number(0, 1000, "J"), "energy that rides through a break", default=0.0)
    grams: float = declared(Number(0, 20_000, "g", above=True), "mass")

    def problems(self) -> Iterable[Problem]:
        """Axles out of order, and pick-ups on axles that it has not."""
        if self.axles_mm[0] != 0:
            yield Problem("axles_mm[1]", f"{self.axles_mm[0]:g}", "0, the leading axle's own place")
        for i, (ahead, behind) in enumerate(zip(self.axles_mm, self.axles_mm[1:], strict=False), 2):
            if behind <= ahead:
                yield Problem(f"axles_mm[{i}]", f"{behind:g} after {ahead:g}", "axles from the leading one backwards")
        for side, axles in (("left", self.pickup_left), ("right", self.pickup_right)):
            for i, axle in enumerate(axles, 1):
                if axle > len(self.axles_mm):
                    yield Problem(f"pickup.{side}[{i}]", f"axle {axle}", f"an axle from 1 to {len(self.axles_mm)}")


@dataclass(frozen=True)
class Train:
    """Vehicles coupled together, and where they stand.

    ``mm`` is measured inwards from the end of a piece to the first vehicle's leading axle, which faces that end.
    """

    id: str = declared(Name(), "its name on the bench")
    vehicles: tuple[str, ...] = declared(
        ListOf(Name(), 50, 1), "its vehicles by name, the leading one first", default=(STANDARD_VEHICLES[0],)
    )
    end: str = declared(
        Text(130, empty=False, what="an end of a piece", like="T1.toe"),
        "the end that its leading axle faces",
        default="",
        key="at.end",
        shown="the first end of the first piece",
    )
    mm: float = declared(
        Number(0, 100_000, "mm"), "how far in from that end that axle stands", default=0.0, key="at.mm"
    )
    throttle: float = declared(Number(0, 1), "its throttle when the bench is opened, 0 to 1", default=0.0)


@dataclass(frozen=True)
class Bench:
    """Everything that stands on the table. ``test`` holds the vehicles to test with, None for the usual ones."""

    title: str = declared(Text(200), "what is written over it", default="")
    supplies: tuple[Supply, ...] = ()
    bus: Bus | None = None
    tracks: tuple[Piece, ...] = ()
    motors: tuple[Motor, ...] = ()
    wires: tuple[Wire, ...] = ()
    polarities: tuple[Polarity, ...] = ()
    lamps: tuple[Lamp, ...] = ()
    vehicles: tuple[Vehicle, ...] = ()
    trains: tuple[Train, ...] = ()
    test: tuple[str, ...] | None = None
    level: Level | None = None

    def piece(self, piece_id: str) -> Piece:
        """The piece of track of that id. Raises KeyError."""
        for piece in self.tracks:
            if piece.id == piece_id:
                return piece
        raise KeyError(piece_id)

    @cached_property
    def point_sets(self) -> tuple[PointSet, ...]:
        """Every set of points, in the order of the pieces."""
        return tuple(points for piece in self.tracks for points in piece.point_sets)

    def motor_of(self, points: str) -> Motor | None:
        """The motor that drives those points, if one does."""
        return next((motor for motor in self.motors if points in motor.drives), None)

"""Benches for the tests of verdicts, written as bench files: one turnout on the table, wired right until told not to.

Bus A goes to the left stock rail and bus B to the right one, as seen from the toe. The motor's screws are k (common),
m (joined to k with the points normal) and p (diverging). Legs are called left and right, so that a sentence about a
right-hand turnout can be said of a left-hand one and of a wye too.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Self

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.proof import Verdict, prove
from sim.track.formations import KINDS
from tests.proof.met import met

__all__ = [
    "HANDS",
    "LEGS",
    "NUMBERS",
    "SCALES",
    "SHUNTER",
    "Desk",
    "failing",
    "four_wheeler",
    "leg_of",
    "legs_of",
    "setting_for",
]

HANDS = ("right", "left", "wye")
NUMBERS = (4, 6, 8, 12)
SCALES = ("HO", "S", "O", "N", "16.5")
LEGS = ("left", "right")
SHUNTER = "four-wheel shunter"

Toml = Mapping[str, Any]


def setting_for(leg: str, hand: str) -> str:
    """How the points are set for a leg: on a right-hand turnout and a wye the left leg is the main one."""
    return "normal" if (leg == "left") == (hand != "left") else "diverging"


def _value(value: object) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    return json.dumps(value)


def _table(head: str, body: Toml) -> str:
    return "\n".join([head, *(f"{json.dumps(key)} = {_value(item)}" for key, item in body.items()), ""])


def four_wheeler(wheelbase: float, *, scale: str = "HO", name: str = "trolley", **more: Any) -> dict[str, object]:
    """A vehicle of two axles that collects with all four wheels; `more` overrides its fields."""
    wheels = {"HO": "RP-25 code 110", "S": "RP-25 code 110", "O": "RP-25 code 175", "N": "RP-25 code 72"}
    size = {"back_to_back_mm": 14.4, "flange_mm": 0.7, "width_mm": 2.9, "radius_mm": 5.25}  # the 16.5 row
    return {
        "name": name, "scale": scale, "axles_mm": [0.0, wheelbase], "wheel": wheels.get(scale, size),
        "pickup": {"left": [1, 2], "right": [1, 2]}, "draws_amps": 0.2, "works_from_volts": 7.0, "grams": 150.0,
    } | more  # fmt: skip


@dataclass(frozen=True)
class Desk:
    """One turnout, its motor, its supply. Each method gives another desk with one thing changed."""

    hand: str = "right"
    number: float = 6
    scale: str = "HO"
    frog: str = "isolated"
    turnout: Toml = field(default_factory=dict)
    contact: Toml = field(default_factory=dict)
    motor: Toml = field(default_factory=dict)
    supply: Toml = field(default_factory=lambda: {"kind": "dcc"})
    changed: Mapping[str, tuple[str, str] | None] = field(default_factory=dict)
    sized: Mapping[str, Toml] = field(default_factory=dict)
    vehicles: tuple[Toml, ...] = ()
    test: tuple[str, ...] | None = None
    more: str = ""

    def outer(self, leg: str) -> str:
        """The screw that the common is joined to with the points set for a leg."""
        return "M1.m" if setting_for(leg, self.hand) == "normal" else "M1.p"

    @property
    def wires(self) -> dict[str, tuple[str, str]]:
        """Every wire by what a builder calls it; an outer is called for the rail that its wire comes from."""
        wires = {
            "left feeder": ("bus.A", "T1.stock.left"),
            "right feeder": ("bus.B", "T1.stock.right"),
            "left outer": (self.outer("right"), "bus.A"),  # set for the right leg the frog is the left rail's
            "right outer": (self.outer("left"), "bus.B"),
        }
        if self.frog != "dead":
            wires["frog wire"] = ("M1.k", "T1.frog")
        for name, ends in self.changed.items():
            if ends is None:
                wires.pop(name, None)
            else:
                wires[name] = ends
        return wires

    def wired(self, name: str, a: str, b: str, **more: object) -> Self:
        """A wire more, or one moved; `more` are further fields of it."""
        return replace(self, changed={**self.changed, name: (a, b)}, sized={**self.sized, name: more})

    def without(self, *names: str) -> Self:
        """These wires left off. Raises KeyError for one that was not there."""
        for name in names:
            self.wires[name]
        return replace(self, changed={**self.changed, **dict.fromkeys(names)})

    def exchanged(self) -> Self:
        """The two outers exchanged."""
        return self.wired("left outer", self.outer("left"), "bus.A").wired("right outer", self.outer("right"), "bus.B")

    def mistaken(self, first: str) -> Self:
        """The common taken for a throw: the frog's wire has changed places with the outer of a side, left or right."""
        screw, bus = self.wires[f"{first} outer"]
        return self.wired(f"{first} outer", "M1.k", bus).wired("frog wire", screw, "T1.frog")

    def built(self, **fields: object) -> Self:
        """Fields of the turnout itself."""
        return replace(self, turnout={**self.turnout, **fields})

    def with_place(self, kind: str, place: str, state: str) -> Self:
        """One gap, bond or jumper ("gaps", "bonds", "jumpers") in another state, the others kept."""
        return self.built(**{kind: {**self.turnout.get(kind, {}), place: state}})

    def with_contact(self, **fields: object) -> Self:
        """Fields of the changeover contact."""
        return replace(self, contact={**self.contact, **fields})

    def with_motor(self, **fields: object) -> Self:
        """Fields of the motor."""
        return replace(self, motor={**self.motor, **fields})

    def with_supply(self, **fields: object) -> Self:
        """Fields of the supply."""
        return replace(self, supply={**self.supply, **fields})

    def carrying(self, *vehicles: Toml) -> Self:
        """Tested with just these vehicles of our own."""
        return replace(self, vehicles=vehicles, test=tuple(str(vehicle["name"]) for vehicle in vehicles))

    def tested_with(self, *names: str) -> Self:
        """Tested with just these."""
        return replace(self, test=names)

    def beside(self, text: str) -> Self:
        """More tables, as they stand in a bench file."""
        return replace(self, more=self.more + text)

    def exits_cut(self) -> Self:
        """Both exit gaps cut, and the exit rails fed from the bus: the left leg's inner rail is a right rail."""
        return (
            self.built(gaps={"exit.left": "cut", "exit.right": "cut"})
            .wired("left exit feeder", "bus.B", "T1.exit.left")
            .wired("right exit feeder", "bus.A", "T1.exit.right")
        )

    def text(self) -> str:
        """The bench file."""
        hand = {} if self.hand == "wye" else {"hand": self.hand}
        kind = "wye" if self.hand == "wye" else "turnout"
        piece = {"id": "T1", "kind": kind, "scale": self.scale, **hand, "number": self.number, "frog": self.frog}
        tables = [
            "bench = 1\n",
            _table("[supply]", self.supply),
            _table("[[track]]", {**piece, **self.turnout}),
            _table("[[motor]]", {"id": "M1", "drives": "T1", **self.motor}),
            _table("[[motor.changeover]]", {"common": "k", "normal": "m", "diverging": "p", **self.contact}),
        ]
        for name, ends in self.wires.items():
            tables.append(_table("[[wire]]", {"ends": ends, "note": name, **self.sized.get(name, {})}))
        tables += [_table("[[vehicle]]", vehicle) for vehicle in self.vehicles]
        if self.test is not None:
            tables.append(_table("[test]", {"vehicles": self.test}))
        return "\n".join([*tables, self.more])

    def bench(self) -> Bench:
        """The bench, read from its file."""
        return parse(self.text(), KINDS, name="desk.toml")

    def verdict(self) -> Verdict:
        """The test of every route."""
        return prove(self.bench())


def leg_of(points: Mapping[str, str], hand: str) -> str:
    """The leg for which T1 is set, or "throwing"."""
    setting = points["T1"]
    return next((leg for leg in LEGS if setting_for(leg, hand) == setting), setting)


def legs_of(points: Mapping[str, str], hand: str) -> set[str]:
    """The legs for which T1 is set; both where it does not matter."""
    return {leg_of(points, hand)} if "T1" in points else set(LEGS)


def failing(verdict: Verdict, hand: str) -> set[tuple[str, str, str]]:
    """What fails, without the particulars: kind, when, and the leg for which the points are set.

    With wheels on the track the legs are those of the routes that meet it; runs over other track are left out.
    """
    found: set[tuple[str, str, str]] = set()
    for finding in verdict.findings:
        if finding.fails and finding.when != "wheel":
            found |= {(finding.kind, finding.when, leg) for leg in legs_of(finding.points, hand)}
    for kind in ("short", "hot", "dead"):
        found |= {(kind, "wheel", leg_of(route.points, hand)) for route in met(verdict, kind) if "T1" in route.points}
    others = {f.kind for f in verdict.findings if f.fails and f.when == "wheel"} - {"short", "hot", "dead"}
    assert not others, others
    return found

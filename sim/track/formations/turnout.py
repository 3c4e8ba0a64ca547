"""Turnouts and wyes, as they stand in a bench file."""

# ruff: noqa: RUF009 - declared() makes a dataclass field, as dataclasses.field() does

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any, ClassVar, Literal, Self, cast

from sim.bench.fields import Problem, declared
from sim.bench.model import CONDITIONS, SETTINGS
from sim.bench.piece import Place, PlaceKind, Role, Section, Side, told_once
from sim.bench.point_set import Blade, PointSet
from sim.bench.shapes import Choice, Entries, Number
from sim.bench.table import Table
from sim.bench.vocabulary import SCALES
from sim.track.formations.formation import Formation
from sim.track.formations.menu import Bend, BoxItem, MenuLine, Options, stepped, steps_choice
from sim.track.formations.turnout_legs import STRAIGHT_POINTS, TurnoutSizes, arc_lead_mm, lead_mm
from sim.track.formations.turnout_shape import opening_that_clears, turnout_geometry
from sim.track.geometry import Geometry
from sim.track.rails import INCH_MM, RailSection, rail_section
from sim.track.standards import Scale, scale_named

__all__ = ["GAP_STATES", "MADE_STATES", "Turnout"]

GAP_STATES = ("cut", "closed", "leaking")
MADE_STATES = ("made", "open")
_SIDES: tuple[Side, Side] = ("left", "right")
_RAILS: tuple[tuple[Role, str], ...] = (("stock", "stock rail"), ("blade", "closure rail"), ("exit", "exit rail"))
_GAPS = ("closure.left", "closure.right", "exit.left", "exit.right")

# model.md section 1: state of gaps, and of bonds and jumpers, by frog.
_GAP_DEFAULT = {"isolated": "cut", "live": "closed", "dead": "cut"}
_MADE_DEFAULT = {"isolated": "made", "live": "open", "dead": "made"}

_NUMBERS = (4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0)
"""Frog numbers that turnouts are sold and built in (common practice, no source)."""

_NEW_NUMBER = 6.0  # frog number of a turnout just out of the box; our choice
_HANDS = (("left", "left"), ("right", "right"))
_FROG = "frog"  # its name, and its word
_FROGS = (("isolated", "isolated"), ("live", "live"), ("dead", "dead"))
_BRANCHES = (("arc", "one arc"), ("straight-points", "straight points"))

_CLEAR_MM = 0.3  # more than the least distance of the two closure rails at the closure gap; model.md section 2
_BACK_CLEAR_MM = 0.15  # by how much an open blade clears a wheel's back; model.md section 2
_BLADE_SHARE = 0.6  # of the lead; model.md section 2


@dataclass(frozen=True, kw_only=True)
class Turnout(Formation):
    """A turnout or a wye, seen from its toe. On a wye the left leg is the main one.

    ``gaps``, ``bonds``, ``jumpers`` and ``gap_at_mm`` hold only what is written; ``places`` and ``sizes`` fill in the
    rest.
    """

    KINDS = ("turnout", "wye")
    ENDS = ("toe", "main", "diverging")
    END_WORDS = MappingProxyType({"toe": "the toe", "main": "the main end", "diverging": "the diverging end"})
    WYE_END_WORDS: ClassVar[Mapping[str, str]] = MappingProxyType(
        {"toe": "the toe", "main": "the left end", "diverging": "the right end"}
    )
    BOX = (
        BoxItem("turnout-right", "right", "Turnout, right-hand", "T", (Bend(-4, 12), Bend(-4))),
        BoxItem("turnout-left", "left", "Turnout, left-hand", "T", (Bend(4, -12), Bend(4))),
        BoxItem("wye", "wye", "Wye", "T", (Bend(0, 8), Bend(0, -8))),
    )

    scale: str = declared(Choice(*SCALES), "a row of the track and wheel standards")
    hand: str | None = declared(
        Choice("right", "left"),
        "to which side the diverging leg turns",
        default=None,
        required=True,
        kinds=("turnout",),
    )
    number: float = declared(Number(4, 12), "frog number")
    branch: str = declared(
        Choice("arc", "straight-points"),
        "one arc from the tips to the frog, or a published row of straight points",
        default="arc",
    )
    frog: str = declared(
        Choice("isolated", "live", "dead"),
        "a metal frog between four gaps, one that is one with its rails, or of plastic",
        default="isolated",
    )
    set: str = declared(Choice(*SETTINGS), "how its points stand", default="normal")
    gaps: Table[str, str] = declared(
        Entries(Choice(*GAP_STATES), keys=_GAPS),
        "gaps that are not as the frog has them",
        default=Table(),
        shown="by frog",
    )
    bonds: Table[str, str] = declared(
        Entries(Choice(*MADE_STATES), keys=_SIDES),
        "bonds from blade to its own stock rail that are not as the frog has them",
        default=Table(),
        shown="by frog",
    )
    jumpers: Table[str, str] = declared(
        Entries(Choice(*MADE_STATES), keys=_SIDES),
        "jumpers under the frog, named by their exit rail, that are not as the frog has them",
        default=Table(),
        shown="by frog",
    )
    gap_at_mm: Table[str, float] = declared(
        Entries(Number(1, 500, "mm"), keys=("closure", "exit")),
        "middle of the gaps: before the frog point, and beyond it",
        default=Table(),
        shown="by scale and number",
    )
    gap_mm: float = declared(Number(0.1, 5, "mm"), "width of its gaps", default=0.6)
    blade_mm: float | None = declared(
        Number(5, 1000, "mm"), "length of the blades, to their hinges", default=None, shown="0.6 of the lead"
    )
    blade_opening_mm: float | None = declared(
        Number(0.2, 20, "mm"),
        "how far an open blade stands from its stock rail at the tip",
        default=None,
        shown="by scale",
    )
    blade_touch: float = declared(
        Number(0, 0.5), "part of the throw, at its end, in which the blade touches its stock rail", default=0.1
    )
    blade_contact: str = declared(Choice(*CONDITIONS), "how well a closed blade conducts", default="good")
    toe_mm: float = declared(Number(5, 2000, "mm"), "rail before the tips of the blades", default=80.0)
    leg_mm: float = declared(Number(5, 2000, "mm"), "rail beyond the frog point, on both legs", default=90.0)

    @told_once
    def rails(self) -> tuple[Section, ...]:
        frog = () if self.frog == "dead" else (Section(f"{self.id}.{_FROG}", _FROG, "frog"),)
        stock, blade, way_out = (
            tuple(Section(f"{self.id}.{role}.{side}", f"{side} {words}", role, side) for side in _SIDES)
            for role, words in _RAILS
        )
        return (*stock, *blade, *frog, *way_out)

    def end_words(self, end: str) -> str:
        """An end in words; neither leg of a wye is called main."""
        return self.WYE_END_WORDS[end] if self.kind == "wye" else super().end_words(end)

    def rail_words(self, name: str) -> str:
        return _FROG if name == f"{self.id}.{_FROG}" else super().rail_words(name)

    @told_once
    def places(self) -> tuple[Place, ...]:
        gap, made = _GAP_DEFAULT[self.frog], _MADE_DEFAULT[self.frog]
        found = []

        def add(kind: PlaceKind, key: str, sort: str, sections: tuple[str, str], written: Table[str, str]) -> None:
            side: Side = "left" if key.endswith("left") else "right"
            states, usual = (GAP_STATES, gap) if kind == "gap" else (MADE_STATES, made)
            one, other = (f"{self.id}.{section}" for section in sections)
            state = written.get(key, usual)
            name, words = f"{self.id}.{kind}.{key}", f"{side} {sort}"
            found.append(Place(name, kind, one, other, state, states, usual, words, side))

        if self.frog != "dead":
            for key in _GAPS:
                which, side = key.split(".")
                rail = f"{'blade' if which == 'closure' else 'exit'}.{side}"
                ends = (rail, "frog") if which == "closure" else ("frog", rail)
                add("gap", key, f"{which} gap", ends, self.gaps)
        for side in _SIDES:
            add("bond", side, "bond", (f"blade.{side}", f"stock.{side}"), self.bonds)
        for side, other in (_SIDES, _SIDES[::-1]):
            add("jumper", side, "jumper", (f"exit.{side}", f"blade.{other}"), self.jumpers)
        return tuple(found)

    def with_place(self, name: str, to: str) -> Self:
        place = self.place(name)
        if to not in place.states:
            raise ValueError(f"{name} cannot be {to}; it can be {' or '.join(place.states)}")
        default = (_GAP_DEFAULT if place.kind == "gap" else _MADE_DEFAULT)[self.frog]

        def changed(table: Table[str, str]) -> Table[str, str]:
            return table.without(place.key) if to == default else table.replaced(place.key, to)

        match place.kind:
            case "gap":
                return dataclasses.replace(self, gaps=changed(self.gaps))
            case "bond":
                return dataclasses.replace(self, bonds=changed(self.bonds))
            case "jumper":
                return dataclasses.replace(self, jumpers=changed(self.jumpers))

    @cached_property
    def point_sets(self) -> tuple[PointSet, ...]:
        blades = tuple(
            Blade(f"{self.id}.{side}", f"{self.id}.blade.{side}", f"{self.id}.stock.{side}", f"{side} blade")
            for side in _SIDES
        )
        return (PointSet(self.id, self.set, blades),)

    def with_setting(self, setting: str, point_set: str | None = None) -> Self:
        if point_set not in (None, self.id):
            raise KeyError(point_set)
        if setting not in SETTINGS:
            raise ValueError(f"{self.id} cannot be set {setting}; it can be set {' or '.join(SETTINGS)}")
        return dataclasses.replace(self, set=setting)

    @property
    def blade_condition(self) -> str:
        return self.blade_contact

    @classmethod
    def fresh(cls, item: str, name: str, scale: str) -> Self:
        if item == "wye":
            return cls(id=name, kind="wye", scale=scale, number=_NEW_NUMBER)
        if item in {"turnout-right", "turnout-left"}:
            hand = item.rpartition("-")[2]
            return cls(id=name, kind="turnout", scale=scale, hand=hand, number=_NEW_NUMBER)
        raise ValueError(f"no {item!r} in the box")

    @property
    def title(self) -> str:
        return "Wye" if self.kind == "wye" else "Turnout"

    @property
    def size_words(self) -> str:
        return f"No. {self.number:g}, {'wye' if self.kind == 'wye' else f'{self.hand}-hand'}"

    @property
    def build_words(self) -> str:
        kind = f"{self.hand}-hand {self.kind}" if self.hand else self.kind
        return f"{kind} number {self.number:g}, frog {self.frog}"

    def menu(self, scale: Scale) -> tuple[MenuLine, ...]:
        lines: list[MenuLine] = [stepped("Frog", "number", f"No. {self.number:g}", _NUMBERS, self.number)]
        if self.kind == "turnout":
            lines.append(Options("Hand", "hand", self.hand or "", _HANDS))
        lines.append(Options("It is", "frog", self.frog, _FROGS))
        # Straight points are published for 9 mm gauge only (turnout_legs).
        if self.branch != "arc" or (self.kind == "turnout" and scale.gauge_mm == _STRAIGHT_POINTS_GAUGE_MM):
            lines.append(Options("Branch", "branch", self.branch, _BRANCHES))
        return tuple(lines)

    def chosen(self, choice: str, scale: Scale) -> Self | None:
        number = steps_choice(choice, "number", _NUMBERS, self.number)
        if number is not None:
            return self.reshaped(number=number)
        key, _, value = choice.partition(":")
        if key in {"hand", "frog", "branch"} and getattr(self, key) != value:
            return self.reshaped(**{key: value})
        return None

    def reshaped(self, **changes: Any) -> Self:
        if changes.get("frog", self.frog) != self.frog:
            changes = {**changes, "gaps": Table(), "bonds": Table(), "jumpers": Table()}
        if "number" in changes:
            changes = {**changes, "gap_at_mm": Table(), "blade_mm": None}
        return super().reshaped(**changes)

    def sizes(self, scale: Scale, rail: RailSection) -> TurnoutSizes:
        """Every length that decides its shape, those left out by the rules of model.md section 2."""
        gauge, head = scale.gauge_mm, rail.head_mm
        # With a wheelset pressed to one side, the other wheel's back is this far from its own rail's gauge line.
        least = gauge - scale.back_to_back_mm - scale.flange_mm
        reach = scale.wheel_width_mm - scale.flange_mm
        hand = cast(Literal["left", "right", "wye"], "wye" if self.kind == "wye" else self.hand)
        row = None
        if self.branch == "straight-points":
            if not self._has_straight_points(scale):
                raise ValueError(f"{self.id}: {_NO_STRAIGHT_POINTS}")
            row = STRAIGHT_POINTS[round(self.number)]
        if row is None:
            blade = self.blade_mm or _BLADE_SHARE * arc_lead_mm(hand, self.number, gauge)
            opening = (least + _BACK_CLEAR_MM) / (1 - math.sqrt(head / gauge) / _BLADE_SHARE)
        else:
            blade = self.blade_mm or row.point_rail_in * INCH_MM
            opening = gauge - scale.point_spread_mm if scale.point_spread_mm is not None else least
        sizes = TurnoutSizes(
            hand=hand,
            number=self.number,
            straight_points=row is not None,
            dead=self.frog == "dead",
            gauge_mm=gauge,
            head_mm=head,
            flangeway_mm=scale.flangeway_mm,
            check_gauge_mm=scale.check_gauge_mm,
            closure_mm=self.gap_at_mm.get("closure", self.number * (least + _CLEAR_MM)),
            exit_mm=self.gap_at_mm.get("exit", self.number * (reach + head) + 1.0),
            gap_mm=self.gap_mm,
            blade_mm=blade,
            blade_opening_mm=self.blade_opening_mm or opening,
            toe_mm=self.toe_mm,
            leg_mm=self.leg_mm,
            touch=self.blade_touch,
        )
        if row is not None and self.blade_opening_mm is None:
            clearing = opening_that_clears(sizes, least + _BACK_CLEAR_MM)
            if clearing is not None:
                sizes = dataclasses.replace(sizes, blade_opening_mm=clearing)
        return sizes

    def geometry(self, scale: Scale, rail: RailSection) -> Geometry:
        return turnout_geometry(self.sizes(scale, rail))

    def _has_straight_points(self, scale: Scale) -> bool:
        return self.kind == "turnout" and scale.gauge_mm == _STRAIGHT_POINTS_GAUGE_MM and self.number in STRAIGHT_POINTS

    def problems(self) -> Iterable[Problem]:
        yield from super().problems()
        scale = scale_named(self.scale)
        if self.branch == "straight-points" and not self._has_straight_points(scale):
            what = "a wye" if self.kind == "wye" else f"a No. {self.number:g} in {scale.name}"
            yield Problem("branch", f'"straight-points" on {what}', f'"arc"; {_NO_STRAIGHT_POINTS}')
            return
        yield from _misfits(self.sizes(scale, rail_section(self.rail or scale.rail)))
        if self.frog == "dead" and any(state != "cut" for state in self.gaps.values()):
            yield Problem("gaps", "a gap that conducts at a dead frog", '"cut": a dead frog is an insulator')


_STRAIGHT_POINTS_GAUGE_MM = 9.0
_NO_STRAIGHT_POINTS = "straight points are published for turnouts of 9 mm gauge (N), Nos. 4 to 7"


def _misfits(sizes: TurnoutSizes) -> Iterable[Problem]:
    """Lengths that leave no room for one another."""
    lead = lead_mm(sizes)
    half = sizes.gap_mm / 2
    if sizes.blade_mm >= lead - sizes.closure_mm - half:
        room = lead - sizes.closure_mm - half
        yield Problem(
            "blade_mm",
            f"{sizes.blade_mm:g} mm",
            f"less than {room:.1f} mm, where the closure gaps are ({lead:.1f} mm from the tips to the frog point)",
        )
    if sizes.blade_opening_mm >= sizes.gauge_mm / 2:
        yield Problem(
            "blade_opening_mm", f"{sizes.blade_opening_mm:g} mm", f"less than half the gauge of {sizes.gauge_mm:g} mm"
        )
    if sizes.closure_mm <= half:
        yield Problem(
            "gap_at_mm.closure", f"{sizes.closure_mm:g} mm", f"more than half the width of the gap, {half:g} mm"
        )
    if not half < sizes.exit_mm < sizes.leg_mm - half:
        yield Problem(
            "gap_at_mm.exit",
            f"{sizes.exit_mm:.1f} mm",
            f"more than half a gap, {half:g} mm, and less than {sizes.leg_mm - half:g} mm, a leg's end",
        )

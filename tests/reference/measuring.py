"""Measures what was generated: distances between rails as they lie, and wheels by where they begin to touch."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely
import shapely.ops

from sim.bench.table import Table
from sim.track.contact import GIVE_MM, ContactTable, contacts
from sim.track.formations import Plain, Turnout
from sim.track.geometry import Geometry, RailShape
from sim.track.lines import Floats
from sim.track.rails import rail_section
from sim.track.standards import SCALES
from sim.track.wheels import Wheel, play_mm, standard_wheel

__all__ = ["Frog", "Wheelset", "bisected", "frogs", "outline", "plain", "spread_at_touch", "tread_reach", "turnout"]

LENGTH = 100.0
GAP = 0.6


def outline(rail: RailShape) -> shapely.Geometry:
    """A rail as a polygon."""
    return shapely.make_valid(shapely.Polygon(np.concatenate([rail.left_edge, rail.right_edge[::-1]])))


@cache
def plain(scale: str, rail: str | None = None) -> Geometry:
    """Straight plain track of a scale, in its own rail or another."""
    row = SCALES[scale]
    return Plain(id="P1", kind="plain", length_mm=LENGTH).geometry(row, rail_section(rail or row.rail))


def turnout(
    scale: str,
    number: float,
    *,
    hand: str = "right",
    branch: str = "arc",
    exit_mm: float | None = None,
    closure_mm: float | None = None,
    opening_mm: float | None = None,
    gap_mm: float = GAP,
) -> Geometry:
    """A turnout of a scale; what is left out is as the program has it."""
    row = SCALES[scale]
    gaps = {"exit": exit_mm, "closure": closure_mm}
    piece = Turnout(
        id="T1",
        kind="turnout",
        scale=scale,
        hand=hand,
        number=number,
        branch=branch,
        gap_at_mm=Table({key: value for key, value in gaps.items() if value is not None}),
        gap_mm=gap_mm,
        blade_opening_mm=opening_mm,
    )
    return piece.geometry(row, rail_section(row.rail))


def bisected(is_on: Callable[[float], bool], off: float, on: float, within: float = 1e-7) -> float:
    """The value between ``off`` and ``on`` at which something begins. Raises ValueError if it does not."""
    if is_on(off) or not is_on(on):
        raise ValueError(f"nothing begins between {off} and {on}")
    while abs(on - off) > within:
        middle = (on + off) / 2
        on, off = (middle, off) if is_on(middle) else (on, middle)
    return (on + off) / 2


@dataclass(frozen=True)
class Frog:
    """Distances at a frog as it lies, in mm, for trains over one leg; letters as in the standards.

    ``gauge``: G, from the frog point to the leg's stock rail. ``check_gauge``: C, to the working face of the check
    rail. ``flangeway``: F, to the wing rail. ``span``: S, from the wing rail to the check rail. ``guard``: the
    flangeway between check rail and stock rail.
    """

    gauge: float
    check_gauge: float
    flangeway: float
    span: float
    guard: float


@cache
def frogs(scale: str, number: float = 6) -> tuple[Frog, Frog]:
    """Both legs of the frog of a right-hand turnout: left leg, right leg."""
    geometry = turnout(scale, number)
    rails = geometry.rails(0.0)
    (vee,) = [rail for rail in rails if rail.part == "vee" and math.dist(rail.left_edge[0], rail.right_edge[0]) < 0.01]
    tip = vee.left_edge[0]
    left, right = (_frog(geometry, rails, tip, side) for side in (1, -1))
    return left, right


def _frog(geometry: Geometry, rails: tuple[RailShape, ...], tip: Floats, side: int) -> Frog:
    """The leg of a side (+1 left): its wheels pass the frog on the other side of their axle."""

    def foot(edge: Floats) -> Floats:
        return np.asarray(shapely.ops.nearest_points(shapely.LineString(edge), shapely.Point(tip))[0].coords[0])

    def facing(rail: RailShape) -> Floats:
        return rail.right_edge if side > 0 else rail.left_edge

    (stock,) = [rail for rail in rails if rail.node == f"stock.{'left' if side > 0 else 'right'}"]
    check = max(geometry.check_rails, key=lambda rail: side * rail.left_edge[0, 1])
    guard = foot(check.left_edge if side > 0 else check.right_edge)
    wings = [foot(facing(rail)) for rail in rails if rail.part == "wing"]
    wing = min((point for point in wings if side * (point[1] - tip[1]) > 0), key=lambda point: math.dist(point, tip))
    at_stock = foot(facing(stock))
    return Frog(
        math.dist(tip, at_stock),
        math.dist(tip, guard),
        math.dist(tip, wing),
        math.dist(wing, guard),
        math.dist(guard, at_stock),
    )


@dataclass(frozen=True)
class Wheelset:
    """A wheelset measured by pushing it across plain track and watching the contact tables; mm.

    ``width``: of a wheel, N. ``flange``: T. ``back_to_back``: B. ``check_gauge``: K, from a flange that meets its
    rail to the back of the other wheel.
    """

    width: float
    flange: float
    back_to_back: float
    check_gauge: float

    @property
    def tread(self) -> float:
        return self.width - self.flange

    @classmethod
    @cache
    def measured(cls, scale: str, wheel: Wheel) -> Wheelset:
        geometry = plain(scale)
        left, right = (outline(rail) for rail in geometry.rails(0.0))
        gauge = left.distance(right)
        head, over = left.bounds[3] - left.bounds[1], left.bounds[3] - right.bounds[1]

        def table(shift: float) -> ContactTable:
            return contacts(geometry, 0, wheel, shift, 0.0)

        def touching(side: str, shift: float) -> bool:
            return any(touch.from_mm <= LENGTH / 2 <= touch.to_mm for touch in getattr(table(shift), side))

        def edges(side: str) -> tuple[float, float]:
            tries = np.arange(-2.5 * gauge / 5, 2.5 * gauge / 5, 0.25)
            on = next(float(shift) for shift in tries if touching(side, float(shift)))
            return (
                bisected(lambda shift: touching(side, shift), on - gauge / 2, on),
                bisected(lambda shift: touching(side, shift), on + gauge / 2, on),
            )

        first, last = edges("left")
        flange_first, flange_last = edges("flange_left")
        back_to_back = over - 2 * GIVE_MM - (last - edges("right")[0])
        return cls(
            last - first - head + 2 * GIVE_MM,
            flange_last - flange_first - head + 2 * GIVE_MM,
            back_to_back,
            gauge / 2 + GIVE_MM - flange_first + back_to_back / 2,
        )


@cache
def spread_at_touch(scale: str) -> float:
    """The greatest distance from the closed side's gauge line to an open blade's back that no wheel's back touches.

    Found by opening the blades of a No. 6 little by little, the wheelset pressed to the closed blade.
    """
    row = SCALES[scale]
    own = standard_wheel(row)

    def clear(opening: float) -> bool:
        table = contacts(turnout(scale, 6, opening_mm=opening), 0, own, -play_mm(row.gauge_mm, own), 0.0)
        return all(touch.node != "blade.left" for touch in table.left)

    rails = turnout(scale, 6, opening_mm=bisected(clear, 0.2, 0.4 * row.gauge_mm)).rails(0.0)
    (blade,) = [rail for rail in rails if rail.node == "blade.left" and rail.moves]
    (stock,) = [rail for rail in rails if rail.node == "stock.right"]
    thick = np.hypot(*(blade.left_edge - blade.right_edge).T) > GIVE_MM
    return float(np.max(blade.left_edge[thick, 1])) - float(stock.left_edge[0, 1])


@cache
def spread_as_delivered(scale: str) -> float:
    """From the gauge line of the closed side's stock rail to the back of the open blade's tip; the greater hand."""
    found = []
    for travel, side, other in ((0.0, "left", "right"), (1.0, "right", "left")):
        rails = turnout(scale, 6).rails(travel)
        (blade,) = [rail for rail in rails if rail.node == f"blade.{side}" and rail.moves]
        (stock,) = [rail for rail in rails if rail.node == f"stock.{other}"]
        tip = blade.left_edge[0] if side == "left" else blade.right_edge[0]
        found.append(float(outline(stock).distance(shapely.Point(tip))))
    return max(found)


@cache
def tread_reach(scale: str, number: float) -> float:
    """How far beyond the frog point the other exit rail may begin and still be reached by a tread, in mm.

    Found by moving the exit gaps away from the frog until no table of the straight path touches both exit rails.
    """
    row = SCALES[scale]
    own = standard_wheel(row)
    play = play_mm(row.gauge_mm, own)

    def both(exit_mm: float) -> bool:
        geometry = turnout(scale, number, exit_mm=exit_mm)
        return any(
            {"exit.left", "exit.right"} <= {touch.node for touch in contacts(geometry, 0, own, shift, 0.0).right}
            for shift in (-play, 0.0, play)
        )

    return bisected(both, 10.0 * number, 1.0, within=1e-4) + GAP / 2

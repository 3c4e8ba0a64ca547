"""The geometry of a turnout or wye: two legs, their rails, blades and frog.

Seen from the toe the two legs are a left and a right one, whatever the hand; all of it is made from the two legs'
centre lines, so that a left-hand turnout is the mirror of a right-hand one and a wye needs nothing of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from sim.bench.table import Table
from sim.track.formations.turnout_legs import TurnoutSizes, legs
from sim.track.geometry import BladeContact, EndPose, Geometry, Mark, Marks, Rail, RailShape, Topology, Track, moving
from sim.track.lines import Floats

__all__ = ["opening_that_clears", "turnout_geometry"]

_STEP = 1.5
"""Most mm between two vertices of a curved rail: on the sharpest curve, 288 mm, a chord lies 0.001 mm off."""

_WING_FLARE = 0.35
"""How far, in rail heads, the free end of a wing or check rail bends away; our choice, it touches nothing."""


class _Builder:
    """Makes the rails of one side after the other; side +1 is left, -1 right."""

    def __init__(self, sizes: TurnoutSizes) -> None:
        self.sizes = sizes
        left, right, self.lead = legs(sizes)
        self.legs = {1: left, -1: right}
        main = -1 if sizes.hand == "left" else 1
        self.sides = (main, -main)
        """The side of each track: main first."""
        self.half = sizes.gauge_mm / 2

    def track(self, side: int) -> int:
        """Index of the track over the leg of that side."""
        return self.sides.index(side)

    # A leg's inner rail is the one on the frog's side: the left leg's right rail. Its head lies beyond its gauge line,
    # away from the leg's middle.
    def rail(
        self,
        node: str,
        part: str,
        leg: int,
        stations: Floats,
        face: Floats | float,
        back: Floats | float,
        *,
        metal: bool = True,
    ) -> Rail:
        """A rail beside a leg between two offsets, in either order."""
        face, back = np.broadcast_to(face, stations.shape), np.broadcast_to(back, stations.shape)
        low, high = np.minimum(face, back), np.maximum(face, back)
        return Rail.beside(node, part, self.track(leg), self.legs[leg].line, stations, low, high, metal=metal)

    def inner(self, leg: int) -> float:
        """Offset of the gauge line of a leg's inner rail."""
        return -leg * self.half

    def inner_at(self, leg: int, beyond_frog: float) -> float:
        """Station at which a leg's inner rail is so far beyond the frog point (negative: before), along that rail."""
        return self.legs[leg].line.station_along(self.legs[leg].frog, beyond_frog, self.inner(leg))

    def room(self, leg: int, stations: Floats, other: int, gauge_line: float) -> Floats:
        """From the gauge line of ``leg``'s inner rail to the other leg's line at that offset; never negative."""
        points = self.legs[leg].line.beside(stations, self.inner(leg))
        _, seen = self.legs[other].line.seen(points)
        return np.maximum(0.0, np.abs(seen - gauge_line))

    def planed(self, leg: int, low: float, high: float, room: Callable[[Floats], Floats]) -> tuple[Floats, Floats]:
        """Stations from low to high and the head's width there: the room there is, at most a whole head.

        The place where the head is whole is one of the stations.
        """
        head = self.sizes.head_mm
        stations = self.legs[leg].line.stations(low, high, _STEP)
        space = room(stations)
        crossing = np.flatnonzero((space[:-1] < head) != (space[1:] < head))
        if len(crossing):
            k = crossing[0]
            extra = np.interp(head, np.sort(space[k : k + 2]), stations[k : k + 2][np.argsort(space[k : k + 2])])
            stations = np.unique(np.append(stations, extra))
            space = room(stations)
        return stations, np.minimum(head, space)

    def stock(self, side: int) -> Rail:
        """The outer rail of a side, unbroken."""
        line = self.legs[side].line
        stations = line.stations(0.0, line.length_mm, _STEP)
        return self.rail(
            f"stock.{_word(side)}", "stock", side, stations, side * self.half, side * (self.half + self.sizes.head_mm)
        )

    def blade(self, leg: int) -> list[Rail]:
        """The blade and closure rail that are the inner rail of a leg: planed against the other side's stock rail."""
        sizes, side = self.sizes, -leg
        node, face = f"blade.{_word(side)}", self.inner(leg)
        line, tip = self.legs[leg].line, self.legs[leg].tip
        hinge = line.station_along(tip, sizes.blade_mm, face)
        end = self.inner_at(leg, -sizes.closure_mm - sizes.gap_mm / 2)
        stations, width = self.planed(leg, tip, hinge, lambda s: self.room(leg, s, side, side * self.half))
        blade = self.rail(node, "blade", leg, stations, face, face + side * width)
        opening = -side * sizes.blade_opening_mm

        share = opening * (hinge - stations) / (hinge - tip)
        blade = moving(blade, share, share, self.closed_at(side))
        stations, width = self.planed(leg, hinge, end, lambda s: self.room(leg, s, side, side * self.half))
        closure = self.rail(node, "closure", leg, stations, face, face + side * width)
        return [blade, closure]

    def closed_at(self, side: int) -> float:
        """Blade travel at which the blade of a side is closed: it serves the other side's leg."""
        return 0.0 if self.track(-side) == 0 else 1.0

    @property
    def flangeway(self) -> float:
        """The standard's flangeway, less where the closure gaps are so near that the knuckles come after them."""
        sizes = self.sizes
        return min(sizes.flangeway_mm, 0.95 * (sizes.closure_mm - sizes.gap_mm / 2) / sizes.number)

    def frog(self, leg: int) -> list[Rail]:
        """One side of the frog: the end of a leg's inner closure rail, the wing rail after it, a side of the vee."""
        sizes, other = self.sizes, -leg
        face, head, metal = self.inner(leg), sizes.head_mm, not sizes.dead
        line = self.legs[leg].line
        start = self.inner_at(leg, -sizes.closure_mm + sizes.gap_mm / 2)
        knuckle = self.knuckle(leg)
        rails = [
            self.rail("frog", "wing", leg, line.stations(start, knuckle, _STEP), face, face - leg * head, metal=metal)
        ]
        # Beyond its knuckle it follows the other leg, a flangeway from that leg's inner gauge line.
        far = self.inner_at(other, min(2 * head * sizes.number, sizes.exit_mm - sizes.gap_mm / 2))
        near = self.legs[other].line.seen(line.beside(np.array([knuckle]), face))[0][0]
        wing_face = self.inner(other) - leg * self.flangeway
        stations = np.append(self.legs[other].line.stations(near, far, _STEP), far + 1.5 * head)
        flare = np.where(stations > far, _WING_FLARE * head, 0.0)
        rails.append(
            self.rail(
                "frog", "wing", other, stations, wing_face - leg * flare, wing_face - leg * (head + flare), metal=metal
            )
        )
        tail_from, tail_to = self.vee_mm - head, sizes.exit_mm - sizes.gap_mm / 2  # a little into the solid vee
        if tail_to > self.vee_mm:
            stations = line.stations(self.inner_at(leg, tail_from), self.inner_at(leg, tail_to), _STEP)
            rails.append(self.rail("frog", "vee", leg, stations, face, face - leg * head, metal=metal))
        return rails

    def knuckle(self, leg: int) -> float:
        """Station at which the gauge lines of the two inner rails are one flangeway apart, before the frog point."""
        start = self.inner_at(leg, -2 * self.sizes.number * self.flangeway)
        stations = np.linspace(start, self.legs[leg].frog, 200)
        room = self.room(leg, stations, -leg, self.inner(-leg))
        return float(np.interp(self.flangeway, room[::-1], stations[::-1]))

    @property
    def vee_mm(self) -> float:
        """How far beyond the frog point the vee is solid: until two heads fit side by side, or to the exit gaps."""
        sizes = self.sizes
        return min(2 * sizes.head_mm * sizes.number, sizes.exit_mm - sizes.gap_mm / 2)

    def vee(self) -> Rail:
        """The solid vee between the two gauge lines, from the frog point on."""
        edges = {}
        along = np.linspace(0.0, self.vee_mm, max(2, math.ceil(self.vee_mm / _STEP)))
        for leg in (1, -1):
            stations = np.array([self.inner_at(leg, d) for d in along])
            edges[leg] = self.legs[leg].line.beside(stations, self.inner(leg))
        return Rail("frog", "vee", edges[1], edges[-1], metal=not self.sizes.dead)

    def exit(self, leg: int) -> Rail:
        """The inner rail of a leg beyond the frog; where the two are near, its head ends at the other's gauge line."""
        start = self.inner_at(leg, self.sizes.exit_mm + self.sizes.gap_mm / 2)
        line = self.legs[leg].line
        stations, width = self.planed(leg, start, line.length_mm, lambda s: self.room(leg, s, -leg, self.inner(-leg)))
        face = self.inner(leg)
        return self.rail(f"exit.{_word(leg)}", "exit", leg, stations, face, face - leg * width)

    def check_rail(self, leg: int) -> RailShape:
        """The check rail beside a leg's stock rail at the frog; drawn, and no part of any section."""
        sizes, line = self.sizes, self.legs[leg].line
        # Its working face stands the check gauge from the gauge line of the leg's inner rail.
        face = self.inner(leg) + leg * sizes.check_gauge_mm
        frog, length = self.legs[leg].frog, 1.25 * sizes.gauge_mm  # common practice, no source
        ends = frog + length * np.array([-0.6, -0.5, 0.3, 0.4])
        stations = np.concatenate([ends[:1], line.stations(float(ends[1]), float(ends[2]), _STEP), ends[3:]])
        flare = leg * sizes.head_mm * np.interp(stations, ends, [1.0, 0.0, 0.0, 1.0])
        rail = self.rail("", "check", leg, stations, face - flare, face - flare - leg * sizes.head_mm)
        return RailShape("", rail.left, rail.right, False, "check", True)

    def mark(self, leg: int, station: float, offset: float) -> Mark:
        """A mark beside a leg, with its station on every track that it is within a gauge of."""
        line = self.legs[leg].line
        point = line.beside(np.array([station]), offset)
        heading = float(line.pose(np.array([station]))[2][0])
        stations: list[float | None] = []
        for side in self.sides:
            s, y = self.legs[side].line.seen(point)
            stations.append(float(s[0]) if abs(y[0]) <= self.sizes.gauge_mm else None)
        return Mark(float(point[0, 0]), float(point[0, 1]), heading, tuple(stations))

    def marks(self) -> Marks:
        """Tabs, places, tips, hinges and the frog point."""
        sizes, head = self.sizes, self.sizes.head_mm
        tabs, places, tips, hinges = {}, {}, {}, {}
        for leg in (1, -1):
            side, line, face = -leg, self.legs[leg].line, self.inner(leg)
            middle = face - leg * head / 2
            tip, frog, end = self.legs[leg].tip, self.legs[leg].frog, line.length_mm
            hinge = line.station_along(tip, sizes.blade_mm, face)
            closure = self.inner_at(leg, -sizes.closure_mm)
            way_out = self.inner_at(leg, sizes.exit_mm)
            blade_word, leg_word = _word(side), _word(leg)
            tips[blade_word] = self.mark(leg, tip, face)
            hinges[blade_word] = self.mark(leg, hinge, middle)
            tabs[f"blade.{blade_word}"] = self.mark(leg, hinge + 0.15 * (closure - hinge), middle)
            tabs[f"exit.{leg_word}"] = self.mark(leg, (way_out + end) / 2, middle)
            tabs[f"stock.{leg_word}"] = self.mark(leg, frog + 0.35 * (end - frog), leg * (self.half + head / 2))
            places[f"gap.closure.{blade_word}"] = self.mark(leg, closure, middle)
            places[f"gap.exit.{leg_word}"] = self.mark(leg, way_out, middle)
            room = float(self.room(leg, np.array([hinge]), side, side * self.half)[0])
            places[f"bond.{blade_word}"] = self.mark(
                leg, hinge + 0.05 * (closure - hinge), face - leg * (head + room) / 2
            )
            places[f"jumper.{leg_word}"] = self.mark(leg, (frog + way_out) / 2, face + leg * 2 * head)
        knuckle = self.knuckle(-1)
        start = self.inner_at(-1, -sizes.closure_mm + sizes.gap_mm / 2)
        frog_mark = self.mark(-1, (start + knuckle) / 2, self.inner(-1) + head / 2)
        if not sizes.dead:
            tabs["frog"] = frog_mark
        else:
            for name in [name for name in places if name.startswith("gap.")]:
                del places[name]
        return Marks(tabs, places, tips, hinges, (self.mark(1, self.legs[1].frog, self.inner(1)),))

    def topology(self) -> Topology:
        """Sections, blades, and the rails at each end."""
        frog = () if self.sizes.dead else ("frog",)
        sections = ("stock.left", "stock.right", "blade.left", "blade.right", *frog, "exit.left", "exit.right")
        blades = tuple(
            BladeContact(
                _word(side),
                "",
                f"blade.{_word(side)}",
                f"stock.{_word(side)}",
                self.closed_at(side),
                self.sizes.touch,
            )
            for side in (1, -1)
        )
        leg_ends = {1: ("exit.left", "stock.left"), -1: ("stock.right", "exit.right")}
        ends = {
            "toe": ("stock.left", "stock.right"),
            "main": leg_ends[self.sides[0]],
            "diverging": leg_ends[self.sides[1]],
        }
        return Topology(sections, sections, blades, ends, frog, ("",))

    def build(self) -> Geometry:
        """All of it."""
        tracks = tuple(
            Track(("toe", end), Table({"": setting}), self.legs[side].line)
            for side, end, setting in zip(self.sides, ("main", "diverging"), ("normal", "diverging"), strict=True)
        )
        parts: list[Rail] = [self.stock(1), self.stock(-1)]
        for leg in (1, -1):
            parts += [*self.blade(leg), *self.frog(leg), self.exit(leg)]
        parts.append(self.vee())
        poses = {"toe": EndPose(0.0, 0.0, math.pi)}
        for track in tracks:
            x, y, heading = (float(value[0]) for value in track.pose(np.array([track.length_mm])))
            poses[track.ends[1]] = EndPose(x, y, heading)
        sizes = self.sizes
        return Geometry(
            sizes.gauge_mm,
            sizes.head_mm,
            sizes.gap_mm,
            tracks,
            self.topology(),
            poses,
            self.marks,
            tuple(parts),
            (self.check_rail(1), self.check_rail(-1)),
        )


def _word(side: int) -> str:
    return "left" if side > 0 else "right"


@lru_cache(maxsize=256)
def turnout_geometry(sizes: TurnoutSizes) -> Geometry:
    """The geometry of a turnout of these sizes; the same object for the same sizes."""
    return _Builder(sizes).build()


def opening_that_clears(sizes: TurnoutSizes, clear_mm: float) -> float | None:
    """The least opening at the tip that leaves ``clear_mm`` behind the whole of an open blade.

    ``clear_mm`` is measured from the stock rail's gauge line to the blade's back. None where no opening does, because
    the blade is nearer than that at its hinge.
    """
    builder = _Builder(sizes)
    openings = []
    for side, leg in builder.legs.items():
        hinge = leg.line.station_along(leg.tip, sizes.blade_mm, builder.inner(side))
        stations = np.linspace(leg.tip, hinge, 2000)
        room = builder.room(side, stations, -side, -side * builder.half)
        missing = clear_mm - (room - np.minimum(room, sizes.head_mm))
        if missing[-1] > 0:
            return None
        share = (hinge - stations[:-1]) / (hinge - leg.tip)
        openings.append(float(np.max(missing[:-1] / share)))
    return max(openings)

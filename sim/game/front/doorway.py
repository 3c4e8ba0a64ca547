"""How a job's own turnout is laid out on the front door: large, running downhill off the window, its wires upwards.

It is the bench's own track, turned about its beginning; all that is drawn of it is drawn as on the bench.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
import pygame

from sim.bench.model import Bench
from sim.game.front.alive import Way
from sim.game.look.theme import Theme
from sim.game.paper.plan import Laid, Plan, plan_of
from sim.game.paper.railviews import FROG_PARTS
from sim.game.paper.view import Rooms, World
from sim.game.whereabouts.dressing import Run, Tie
from sim.game.whereabouts.fixtures import Fixtures, Spot, place_fixtures
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot, TrainView
from sim.track.geometry import Track
from sim.track.layout import Layout
from sim.train.standard import overhang_of

__all__ = ["DoorRooms", "DoorStage", "door_rooms", "door_stage", "turned_down", "ways_over"]

_DOWN = math.radians(-9.5)  # of the track: to the right it runs downhill
_ACROSS_GAUGES = 9.56  # of track in the free width: 158 mm of HO, 3.7 px a mm at 1280 px
_HIGH_GAUGES = 4.6  # of mat, above the words: the sleepers and their way downhill
_FROG_ACROSS = 0.65  # of the free width, from its left
_MIDDLE = 0.48  # of the height above the words: where the frog lies
_LEAST_HIGH, _MOST_HIGH = 150.0, 520.0  # of that height, layout px


@dataclass(frozen=True, eq=False)
class DoorRooms:
    """The parts of the front door, px.

    base: the window's own rooms; sheet: the list on its paper; free: what is left of the window beside it
    mat: the whole mat; words: where the job can be told, from its foot upwards; begin: the large button at its widest
    """

    base: Rooms
    mat: pygame.Rect
    sheet: pygame.Rect
    free: pygame.Rect
    words: pygame.Rect
    begin: pygame.Rect

    @property
    def unit(self) -> float:
        """Device pixels of a layout pixel."""
        return self.base.unit

    @cached_property
    def ground(self) -> Rooms:
        """Rooms whose mat is the whole of the front door's, for the ground."""
        return replace(self.base, mat=self.mat, sheet=self.sheet, folded=self.sheet)

    @cached_property
    def board(self) -> Rooms:
        """The same with a mat that reaches to the window's edges, for what runs off them."""
        whole = pygame.Rect(0, self.base.top.bottom, self.base.size[0], self.base.size[1] - self.base.top.bottom)
        return replace(self.ground, mat=whole)


_SHEET_SHARE = 0.519  # of the window's width
_WIDEST_SHEET = 820.0


@lru_cache(maxsize=8)
def door_rooms(base: Rooms) -> DoorRooms:
    """Divide a window for the front door."""
    unit = base.unit
    wide, high = base.size[0] / unit, base.size[1] / unit

    def box(x: float, y: float, w: float, h: float) -> pygame.Rect:
        left, top = round(x * unit), round(y * unit)
        return pygame.Rect(left, top, round((x + w) * unit) - left, round((y + h) * unit) - top)

    sheet_wide = min(_WIDEST_SHEET, _SHEET_SHARE * wide)
    sheet = box(32, 72, sheet_wide, high - 104)
    right = 32 + sheet_wide
    inset = 56 if wide >= 1200 else 36
    words_wide = min(620.0, wide - right - inset - 56)  # 24 px clear of the mat's frame
    begin_top = high - 128
    return DoorRooms(
        base=base,
        mat=box(16, 48, wide - 32, high - 64),
        sheet=sheet,
        free=box(right, 40, wide - right, high - 40),
        words=box(right + inset, 48, words_wide, begin_top - 72),
        begin=box(right + inset, begin_top, min(280.0, words_wide), 64),
    )


@dataclass(frozen=True, eq=False)
class DoorStage(Stage):
    """A bench of which its first turnout is seen on the front door."""

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """Every wire, straight up from its rail and out of sight."""
        out = []
        for index, wire in enumerate(self.bench.wires):
            spots = [self._end(terminal) for terminal in wire.ends]
            column = next((spot.x for spot in spots if spot.fixture == "tab"), 0.0)  # one without a rail is not seen
            a, b = (spot if spot.fixture == "tab" else replace(spot, x=column) for spot in spots)
            corners = ((a.x, a.y), (a.x, self._top), (b.x, self._top), (b.x, b.y))
            way = corners if a.x != b.x else (corners[0], (a.x, self._top + 10 if a.y == b.y else b.y))
            mounted = any(spot.fixture not in ("tab", spot.terminal) for spot in spots)
            out.append(Run(index, way, a, b, "motor" if mounted else "feeder"))
        return tuple(out)

    @property
    def _top(self) -> float:
        """A height above the window, where nothing is seen of what a wire does there."""
        return -40.0 * self.unit

    def _end(self, terminal: str) -> Spot:
        spots = self.fixtures.spots.get(terminal)
        if spots:
            return spots[0]
        owner = terminal.partition(".")[0]
        names = {motor.id for motor in self.bench.motors} | {lamp.id for lamp in self.bench.lamps}
        mounted = owner in names | {unit.id for unit in self.bench.polarities}
        return Spot(terminal, 0.0, self._top, "down", 0.0, self._top, 1.0, owner if mounted else terminal)

    @cached_property
    def ties(self) -> tuple[Tie, ...]:
        """None: each wire hangs by itself."""
        return ()

    @cached_property
    def tags(self) -> tuple[tuple[str, float, float], ...]:
        """Those tags that have room beside the sheet."""
        reach = self.theme.tag_px * self.unit * 0.7
        left, right = self.rooms.sheet.right + reach, self.rooms.size[0] - reach
        return tuple(tag for tag in super().tags if left < tag[1] < right)


def door_stage(bench: Bench, rooms: DoorRooms, theme: Theme, foot: int) -> DoorStage:
    """The stage of a bench on the front door: its first frog large beside the list, above the words at `foot`, px."""
    plan = _turned(plan_of(Layout(bench)))
    gauge = plan.laid[0].geometry.gauge_mm if plan.laid else 16.5
    high = max(_LEAST_HIGH * rooms.unit, float(foot - rooms.mat.y))
    scale = min(rooms.free.width / (_ACROSS_GAUGES * gauge), high / (_HIGH_GAUGES * gauge))
    x, y = _frog(plan)
    left = rooms.free.x + _FROG_ACROSS * rooms.free.width - x * scale
    middle = rooms.mat.y + min(high, _MOST_HIGH * rooms.unit) * _MIDDLE
    world = World(left, middle + y * scale, scale)
    bare = replace(bench, motors=(), lamps=(), polarities=())
    laid_out = place_fixtures(bare, rooms.board, world, plan)
    tabs = {name: spots for name, spots in laid_out.spots.items() if spots[0].fixture == "tab"}
    fixtures: Fixtures = replace(laid_out, bars=(), spots=tabs)
    return DoorStage(bench, rooms.board, theme, plan, world, fixtures)


def _shown(plan: Plan) -> Laid | None:
    """The piece that is shown: the first with a frog of metal, else the first of all."""
    return next((laid for laid in plan.laid if laid.geometry.topology.frogs), next(iter(plan.laid), None))


def _frog(plan: Plan) -> tuple[float, float]:
    """The middle of the first frog of metal, mm; of track without one the middle of it all."""
    laid = _shown(plan)
    for name in laid.geometry.topology.frogs if laid is not None else ():
        if laid is not None and name in laid.geometry.marks.tabs:
            mark = laid.mark(laid.geometry.marks.tabs[name])
            return mark.x, mark.y
    (left, foot), (right, top) = plan.box
    return (left + right) / 2, (foot + top) / 2


_STEP_MM = 1.0
_CLEAR_MM = 3.0  # before the frog, HO


def ways_over(stage: DoorStage) -> tuple[Way, ...]:
    """Every way over the piece that is shown: where an engine comes on, stands before the frog, and is gone."""
    laid = _shown(stage.plan)
    if laid is None or not stage.bench.trains:
        return ()
    return tuple(_way(stage, laid, track) for track in laid.geometry.tracks)


def _way(stage: DoorStage, laid: Laid, track: Track) -> Way:
    scale = stage.plan.layout.scale(laid.id)
    beyond = overhang_of(scale.name)
    stations = np.arange(0.0, 3 * track.length_mm, _STEP_MM)  # beyond its end the track is taken to run on
    x, y, _ = track.pose(stations)
    seen = stage.world.left + laid.out(np.stack([x, y], axis=1))[:, 0] * stage.world.across
    left, right = stage.rooms.sheet.right, stage.rooms.size[0]
    entry = float(np.interp(left, seen, stations)) - beyond
    gone = float(np.interp(right, seen, stations))
    frog = [view.middle for view in stage.views(laid.id) if view.part in FROG_PARTS and view.node]
    if frog:
        c, s = math.cos(laid.heading), math.sin(laid.heading)
        own = (np.concatenate(frog) - np.array([laid.x, laid.y])) @ np.array([[c, -s], [s, c]])
        stand = float(track.line.seen(own)[0].min()) - beyond - _CLEAR_MM * scale.gauge_mm / 16.5
    else:
        stand = (entry + gone) / 2
    place = f"{laid.id}.{track.ends[1]}"
    return Way(laid.id, track, place, max(beyond, stand), max(beyond, min(entry, stand)), gone + beyond)


def _turned(plan: Plan) -> Plan:
    """The plan turned about the beginning of the bench."""
    return Plan(tuple(_turned_piece(laid) for laid in plan.laid), plan.layout)


def _turned_piece(laid: Laid) -> Laid:
    x, y = _down(laid.x, laid.y)
    return replace(laid, x=x, y=y, heading=laid.heading + _DOWN)


def _down(x: float, y: float) -> tuple[float, float]:
    c, s = math.cos(_DOWN), math.sin(_DOWN)
    return x * c - y * s, x * s + y * c


def turned_down(snapshot: Snapshot) -> Snapshot:
    """A moment with its trains turned as the plan is."""
    return replace(snapshot, trains=tuple(_turned_train(train) for train in snapshot.trains))


def _turned_train(train: TrainView) -> TrainView:
    vehicles = tuple(
        replace(vehicle, axles=tuple((*_down(x, y), heading + _DOWN) for x, y, heading in vehicle.axles))
        for vehicle in train.vehicles
    )
    return replace(train, vehicles=vehicles)

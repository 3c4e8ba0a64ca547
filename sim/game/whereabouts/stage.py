"""What follows from the bench and the window alone: made once, kept until one of them changes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pygame

from sim.bench.level import SETTINGS
from sim.bench.levers import filed_settings, with_settings
from sim.bench.model import Bench
from sim.bench.piece import Place, Section
from sim.bench.table import Table
from sim.electric.parts import PartRef
from sim.game.draw.slips.slip import slip_size
from sim.game.look.theme import Theme
from sim.game.paper.camera import HOME, Camera
from sim.game.paper.plan import Floats, Plan, plan_of, sleepers
from sim.game.paper.railviews import FROG_PARTS, RailView, rail_views
from sim.game.paper.view import Point, Rooms, World
from sim.game.whereabouts.dressing import Run, Tie, dress, rounded_path, ties
from sim.game.whereabouts.fixtures import Fixtures, place_fixtures, row_squeeze
from sim.game.whereabouts.tagging import Surroundings, tag_places
from sim.game.whereabouts.turning import turned_fixtures, turned_rect, turned_rooms, turned_run, turned_world, turned_x
from sim.game.whereabouts.zooming import Shift, spread
from sim.session.frogs import frog_pieces
from sim.track.layout import Layout
from sim.wiring.inflow import part_ends

__all__ = ["PlaceMark", "Stage", "Stages", "slip_rect"]

_MOST_PX_PER_MM = 6.0
_SMALL_TAG, _SMALL_GAUGE = 18.0, 30.0  # layout px
_LEAST_TAGGED = 2.5  # tags: as long as a rail must be to have one, on a large bench seen as a whole
_AS_NORMAL: Table[str, float] = Table()


@dataclass(frozen=True)
class PlaceMark:
    """A gap, bond or jumper on the screen: what it is, its middle (px), the rail's bearing there (radians, y down)."""

    place: Place
    x: float
    y: float
    bearing: float


@dataclass(frozen=True, eq=False)
class Stage:
    """A bench set up in a window. Compared by identity.

    above: the same bench seen from above, when this is what is seen of it from below; None for the one from above.
    whole, shift: the same bench laid out on the whole of its mat, and how the camera shows it; None without a camera.
    held: its wires as they lay before one was taken off, for a while; None: dressed as they are now.
    """

    bench: Bench
    rooms: Rooms
    theme: Theme
    plan: Plan
    world: World
    fixtures: Fixtures
    above: Stage | None = None
    whole: Stage | None = None
    shift: Shift | None = None
    held: tuple[Run, ...] | None = None

    @property
    def below(self) -> bool:
        """Whether the board is seen from below."""
        return self.above is not None

    @property
    def slip(self) -> pygame.Rect:
        """Where the frog's slip lies when it is open."""
        rect = slip_rect(self.bench, self.rooms if self.above is None else self.above.rooms)
        return turned_rect(rect, self.rooms) if self.below and rect.width else rect

    @property
    def size(self) -> float:
        """How large screws, wires and blocks are, 1 as they are laid out."""
        return 1.0 if self.shift is None else self.shift.times

    @property
    def grain(self) -> float:
        """Device pixels of a layout pixel of what is mounted on the board; what is said of it keeps to `unit`."""
        return self.unit * self.size

    @property
    def unit(self) -> float:
        """Device pixels of a layout pixel."""
        return self.rooms.unit

    @cached_property
    def tag_px(self) -> float:
        """The side of an A or B tag of a rail, layout px: smaller where the rails lie close together."""
        gauge = min((laid.geometry.gauge_mm for laid in self.plan.laid), default=math.inf) * self.world.scale
        return min(self.theme.tag_px, _SMALL_TAG if gauge < _SMALL_GAUGE * self.unit else math.inf)

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """Every wire, dressed."""
        if self.above is not None:
            return tuple(turned_run(run, self.rooms) for run in self.above.runs)
        if self.whole is not None and self.shift is not None:
            return tuple(self.shift.run(run) for run in self.whole.runs)
        return dress(self.bench, self.fixtures, self.rooms) if self.held is None else self.held

    @cached_property
    def paths(self) -> tuple[tuple[Point, ...], ...]:
        """Every wire's way with rounded corners, px, from its first end to its second."""
        return tuple(
            tuple((round(x, 2), round(y, 2)) for x, y in rounded_path(run.corners, self.grain)) for run in self.runs
        )

    @cached_property
    def ties(self) -> tuple[Tie, ...]:
        """Ties and staples on the wires."""
        if self.above is not None:
            return tuple(replace(tie, x=turned_x(tie.x, self.rooms)) for tie in self.above.ties)
        if self.whole is not None and self.shift is not None:
            return tuple(self.shift.tie(tie) for tie in self.whole.ties)
        keep = [(spot.x, spot.y) for spots in self.fixtures.spots.values() for spot in spots]
        return ties(self.runs, self.rooms, keep)

    @cached_property
    def places(self) -> tuple[PlaceMark, ...]:
        """Every gap, bond and jumper of every piece."""
        out = []
        for piece in self.bench.tracks:
            laid = self.plan.by_id[piece.id]
            for place in piece.places():
                mark = laid.geometry.marks.places.get(place.name.split(".", 1)[1])
                if mark is not None:
                    spot = laid.mark(mark)
                    x, y = self.world.to_screen((spot.x, spot.y))
                    turn = math.pi + spot.heading if self.below else -spot.heading
                    out.append(PlaceMark(place, x, y, turn))
        return tuple(out)

    @cached_property
    def ends(self) -> Mapping[PartRef, tuple[str, str]]:
        """The two terminals or rails that every part of the wiring lies between."""
        return part_ends(self.bench, self.plan.layout)

    def views(self, piece: str, settings: Mapping[str, float] = _AS_NORMAL) -> tuple[RailView, ...]:
        """The rails of a piece. settings: blade travel by set of points, normal where left out."""
        laid = self.plan.by_id[piece]
        stand = laid.geometry.stand(self.plan.layout.travel(piece, settings))
        return rail_views(laid, stand, self.theme.rail_head_mm)

    @cached_property
    def rails(self) -> Mapping[str, Section]:
        """Every section by its name."""
        return {rail.name: rail for piece in self.bench.tracks for rail in piece.rails()}

    @cached_property
    def frogs(self) -> frozenset[str]:
        """Nodes of the rails that meet in a frog, of metal or not."""
        every = (view for laid in self.plan.laid for view in self.views(laid.id))
        return frozenset(view.node for view in every if view.part in FROG_PARTS)

    @cached_property
    def lines(self) -> Mapping[str, tuple[Floats, ...]]:
        """The middle lines (px) of all rails of every node, blades as they lie when normal."""
        out: dict[str, list[Floats]] = {}
        for laid in self.plan.laid:
            for view in self.views(laid.id):
                if view.node:
                    middle = view.middle
                    out.setdefault(view.node, []).append(
                        np.stack(
                            [
                                self.world.left + middle[:, 0] * self.world.across,
                                self.world.base - middle[:, 1] * self.world.scale,
                            ],
                            axis=1,
                        )
                    )
        return {node: tuple(lines) for node, lines in out.items()}

    @cached_property
    def tags(self) -> tuple[tuple[str, float, float], ...]:
        """Where the A and B tags stand: (section, x, y)."""
        if self.above is not None:
            return tuple((section, turned_x(x, self.rooms), y) for section, x, y in self.above.tags)
        spots = tuple(spot for spots in self.fixtures.spots.values() for spot in spots)
        places = tuple((mark.x, mark.y) for mark in self.places)
        gaps = tuple((mark.x, mark.y) for mark in self.places if mark.place.kind == "gap")
        among = Surroundings(
            unit=self.unit, grain=self.grain, scale=self.world.scale, tag=self.tag_px,
            lines=self.lines, frogs=self.frogs, rails=self.rails, spots=spots, places=places, gaps=gaps,
            least=_LEAST_TAGGED * self.tag_px * self.unit if self.size < 1.0 else 0.0,
        )  # fmt: skip
        return tuple(tag_places(among))


def slip_rect(bench: Bench, rooms: Rooms) -> pygame.Rect:
    """Where the frog's slip lies when it is open, at the lower left of the mat; empty on a bench without frogs."""
    if not frog_pieces(bench):
        return pygame.Rect(0, 0, 0, 0)
    asked = bench.level is not None and bool(bench.level.predict)
    width, height = slip_size(rooms.unit, asked, rooms.widths.slip, rooms.widths.line)
    foot = rooms.mat.bottom + round(3 * rooms.unit)  # over the edge of the mat
    return pygame.Rect(rooms.sheet.x, foot - height, width, height)


_SMALLER, _LEAST_SHARE = 0.98, 0.75
_LANES = 30.0  # layout px under the track: three wires that come round its right end
_OVER = 0.65  # of a tag's side: so far it hangs over the sleepers' ends


def _above_slip(world: World, plan: Plan, rooms: Rooms, slip: pygame.Rect, tag: float, lanes: float = 0.0) -> World:
    """The transform moved up, and made smaller if it must be, until track and tags lie between job sheet and slip.

    tag: how far, px, the tags of the outer rails hang over the sleepers' ends.
    lanes: how far, px, wires run below the lowest sleeper, when these must lie over the slip, too
    """
    if not slip.width:
        return world
    area, first = _track_area(rooms), world.scale
    moved, short = _raised(world, plan, rooms, slip, tag, lanes)
    while short > 0.5 and world.scale > _LEAST_SHARE * first:
        world = World.fitting(area, *plan.box, world.scale * _SMALLER)
        moved, short = _raised(world, plan, rooms, slip, tag, lanes)
    return moved


def _raised(
    world: World, plan: Plan, rooms: Rooms, slip: pygame.Rect, tag: float, lanes: float
) -> tuple[World, float]:
    """The transform moved up or down as far as needed and possible, and how much room is still lacking, px.

    The timbers of a throwing bar, which reach beyond the sleepers, lie clear of the sheet too; no tag hangs over them.
    """
    every = [(sleeper, world.to_screen(end)) for laid in plan.laid for sleeper in sleepers(laid) for end in (
        sleeper.a, sleeper.b)]  # fmt: skip
    ends = [end for _, end in every]
    low = max((y for x, y in ends if x < slip.right + tag), default=0.0)
    high = min((y for _, y in ends), default=0.0) - _track_area(rooms).y
    under = [(sleeper.long, y) for sleeper, (x, y) in every if x < rooms.sheet.right + tag]
    hidden = rooms.sheet.bottom + _BAR_CLEAR * rooms.unit - min((y for _, y in under), default=math.inf)
    if hidden > 0:
        moved = min(hidden, max(0.0, slip.y - low - tag))
        return replace(world, base=world.base + moved), hidden - moved
    beside = min((y - (0.0 if long else tag) for long, y in under), default=math.inf) - rooms.sheet.bottom
    foot = max((y for _, y in ends), default=0.0) + lanes if lanes else 0.0
    wanted = max(0.0, low + tag - slip.y, foot - slip.y)
    moved = min(wanted, max(0.0, high), max(0.0, beside))
    return replace(world, base=world.base - moved), wanted - moved


_BAR_CLEAR = 3.0  # layout px between the sheet and the timbers of a throwing bar


def _track_area(rooms: Rooms) -> pygame.Rect:
    """Where the track may lie."""
    return rooms.track.inflate(-round(32 * rooms.unit), -round(16 * rooms.unit))


_HIGHEST = 0.4  # of a large mat's height: over that blocks and the lanes of their wires


def _beside(large: Rooms, area: pygame.Rect) -> pygame.Rect:
    """Where the track of a large bench may lie beside the sheet, higher up than under it."""
    left, top = max(area.x, large.fixtures.x), min(area.y, round(large.mat.y + _HIGHEST * large.mat.height))
    return pygame.Rect(left, top, area.right - left, area.bottom - top)


def _left_over(stage: Stage, bench: Bench) -> tuple[Run, ...] | None:
    """The runs of what is left of a stage's wires on a bench from which some were taken; None for any other bench."""
    before = stage.bench.wires
    if len(bench.wires) >= len(before) or replace(bench, wires=before) != stage.bench:
        return None
    runs, index = [], 0
    for run in stage.runs:
        if index < len(bench.wires) and bench.wires[index] == before[run.index]:
            runs.append(replace(run, index=index))
            index += 1
    return tuple(runs) if index == len(bench.wires) else None


_SPREADS = (1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)
_LEAST_SQUEEZE = 0.6  # of a terminal block's width; narrower, its screws would lie over each other


def _spread_of(bench: Bench, rooms: Rooms) -> Rooms:
    """The rooms that a bench is laid out in: the window's, or with so much larger a mat that its blocks have room."""
    if row_squeeze(bench, rooms) >= _LEAST_SQUEEZE:
        return rooms
    larger = (spread(rooms, times) for times in _SPREADS)
    return next((large for large in larger if row_squeeze(bench, large) == 1.0), spread(rooms, _SPREADS[-1]))


class Stages:
    """Makes stages and keeps the last one, so that nothing is worked out twice for the same bench and window."""

    def __init__(self) -> None:
        self._whole: Stage | None = None
        self._for: tuple[Bench, Rooms, Theme] | None = None
        self._seen: tuple[Camera, Stage] | None = None
        self._turned: Stage | None = None
        self._asked: Bench | None = None
        self._plain: Bench | None = None
        self._bench: Bench | None = None

    def of(
        self, bench: Bench, rooms: Rooms, theme: Theme, below: bool = False, camera: Camera = HOME, *,
        hold: bool = False,
    ) -> Stage:  # fmt: skip
        """The stage of a bench in a window, seen by a camera from above or from below.

        How its levers stand changes nothing of it: its own bench may have them otherwise.
        hold: after a wire was taken off the others stay as they lay.
        """
        above = self._from_above(self._standing(bench), rooms, theme, camera, hold)
        if not below:
            return above
        turned = self._turned
        if turned is None or turned.above is not above:
            world, fixtures = turned_world(above.world, rooms), turned_fixtures(above.fixtures, rooms)
            own = turned_rooms(rooms)
            turned = Stage(bench, own, theme, above.plan, world, fixtures, above, above.whole, above.shift)
            self._turned = turned
        return turned

    def _standing(self, bench: Bench) -> Bench:
        """The bench of the last stage, if it is this one but for how levers stand; else this one."""
        if bench is not self._asked:
            plain = with_settings(bench, dict.fromkeys(filed_settings(bench), SETTINGS[0]))
            if plain != self._plain:
                self._plain, self._bench = plain, bench
            self._asked = bench
        return bench if self._bench is None else self._bench

    def _from_above(self, bench: Bench, rooms: Rooms, theme: Theme, camera: Camera, hold: bool) -> Stage:
        whole = self._laid_out(bench, rooms, theme, hold)
        if whole.rooms is rooms and camera.zoom == 1.0:
            return whole
        if self._seen is None or self._seen[0] != camera or self._seen[1].whole is not whole:
            shift = Shift.of(camera, whole.rooms.mat, rooms.mat)
            world, fixtures = shift.world(whole.world), shift.fixtures(whole.fixtures)
            self._seen = camera, Stage(bench, rooms, theme, whole.plan, world, fixtures, None, whole, shift)
        return self._seen[1]

    def _laid_out(self, bench: Bench, rooms: Rooms, theme: Theme, hold: bool) -> Stage:
        last = self._for
        if self._whole is not None and last is not None and last[1] is rooms and last[2] is theme:
            if last[0] is bench and (hold or self._whole.held is None):
                return self._whole
            left = _left_over(self._whole, bench) if hold else None
            if left is not None:
                self._whole = replace(self._whole, bench=bench, held=left)
                self._for = bench, rooms, theme
                return self._whole
        plan = plan_of(Layout(bench))
        large = _spread_of(bench, rooms)
        area = _track_area(large)
        if bench.level is None:  # track of one's own grows: clear of the sheet, above the folded slip
            times = large.mat.height / rooms.mat.height
            top = large.sheet.bottom + round(16 * times * rooms.unit)
            foot = large.mat.bottom - round(52 * times * rooms.unit)
            area = pygame.Rect(area.x, top, area.width, foot - top)
        world = World.fitting(area, *plan.box, _MOST_PX_PER_MM * rooms.unit)
        if large is not rooms:  # beside the sheet there is more room for what is high
            beside = World.fitting(_beside(large, area), *plan.box, _MOST_PX_PER_MM * rooms.unit)
            world = max(world, beside, key=lambda each: each.scale)
        if bench.level is not None or large is rooms:  # what a camera shows in part can be moved from under the slip
            lanes = 0.0 if bench.level is not None else _LANES * rooms.unit
            tag = _OVER * theme.tag_px * rooms.unit
            world = _above_slip(world, plan, large, slip_rect(bench, rooms), tag, lanes)
        self._whole = Stage(bench, large, theme, plan, world, place_fixtures(bench, large, world, plan))
        self._for = bench, rooms, theme
        return self._whole

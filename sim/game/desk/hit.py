"""What can be pointed at, and what is under the pointer.

It asks the same functions that draw the picture where things lie.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

import pygame

from sim.bench.point_set import PointSet
from sim.game.desk.every import THINGS, on_board
from sim.game.desk.prompting import prompt_area
from sim.game.draw.instruments import meter as meters
from sim.game.draw.instruments import supply as supplies
from sim.game.draw.instruments import throttle as throttles
from sim.game.draw.pen.icons import top_items
from sim.game.draw.pen.marks import probe_tail
from sim.game.draw.railway.vehicle import body_outline
from sim.game.draw.slips import sheet as sheets
from sim.game.draw.slips import slip as slips
from sim.game.items.common.thing import Layer, Sight
from sim.game.look.fonts import Type
from sim.game.paper.view import Point
from sim.game.picture.rolling import train_bodies
from sim.game.picture.side import (
    box_of,
    folded_away,
    folded_box,
    levers,
    page_of,
    right_sign,
    several_frogs,
    sheet_lies_open,
    slip_asked,
    slip_box,
    slip_wanted,
    strip_box,
    top_row,
)
from sim.game.shorts.shortslot import slot_shown
from sim.game.whereabouts.area import Area, along, disc, middle_of, nearest
from sim.game.whereabouts.cabling import plug_rect
from sim.game.whereabouts.handles import probe_angle, probe_tip
from sim.game.whereabouts.parking import parked
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.snapshot import Snapshot, TrainView

__all__ = [
    "areas",
    "focus_order",
    "met",
    "nearest_towards",
    "stray_words",
    "strayed",
    "under",
]


def areas(stage: Stage, snapshot: Snapshot, view: ViewState) -> list[Area]:
    """Everything that can be pointed at, in reading order: top rail, sheet, mat from the left, instruments."""
    sight = Sight(stage, snapshot, view)
    cover = next((thing for thing in THINGS if thing.covers(sight)), None)
    if cover is not None:
        return list(cover.areas(sight))
    terminals, places, wires = _fixed(stage)
    every = [
        *_top(stage, snapshot, view),
        *_things(stage, snapshot, view),
        *_sheet(stage, snapshot, view),
        *_slip(stage, snapshot, view),
        *terminals,
        *places,
        *_blades(stage, snapshot),
        *wires,
        *_vehicles(stage, snapshot),
        *_probes(stage, snapshot, view),
        *_panels(stage, snapshot, view),
    ]
    return [*prompt_area(stage, view, every), *every]


def _things(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Area]:
    for thing in THINGS:
        yield from thing.areas(Sight(stage, snapshot, view))


def _top(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Area]:
    row = top_row(snapshot, view)
    for name, rect in sorted(
        top_items(box_of(stage.rooms.top), stage.unit, Type(stage.theme, stage.unit), row).items(),
        key=lambda pair: pair[1].x,
    ):
        if name != "pace":
            yield Area(Target("top", name), rect)


def _sheet(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Area]:
    if folded_away(snapshot, view):
        yield Area(Target("fold", "sheet"), pygame.Rect(folded_box(stage, snapshot)))
        return
    if not sheet_lies_open(snapshot, view):
        return
    page = page_of(stage, snapshot, view)
    places = sheets.sheet_buttons(box_of(stage.rooms.sheet), stage.unit, Type(stage.theme, stage.unit), page.test)
    if page.test:
        yield Area(Target("button", "hint"), places["hint"])
        yield Area(Target("button", "test"), places["test"])
        if page.names:
            yield Area(Target("button", "names"), places["names"])
        yield Area(Target("again", "ask"), places["again"])
    turn = sheets.sheet_turn(box_of(stage.rooms.sheet), stage.unit, Type(stage.theme, stage.unit), page)
    if turn is not None:
        yield Area(Target("button", "turn-sheet"), turn[1])
    yield Area(Target("fold", "sheet"), places["fold"])
    yield Area(Target("paper", "sheet"), stage.rooms.sheet)


def _slip(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Area]:
    strip = strip_box(stage, snapshot, view)
    if strip is not None:
        yield Area(Target("paper", "strip"), pygame.Rect(strip))
        return
    words = slot_shown(stage, snapshot, view)
    if words is not None:  # they lie in its place
        if words.box is not None:
            yield Area(Target("paper", "strip"), pygame.Rect(words.box))
        return
    if not slip_wanted(stage):
        return
    box = slip_box(stage, view)
    if not view.slip:
        yield Area(Target("fold", "slip"), pygame.Rect(box))
        return
    for name, rect in slips.slip_places(box, stage.unit, slip_asked(stage)).items():
        if name == "close":
            yield Area(Target("fold", "slip"), rect)
        elif name == "next":
            if several_frogs(stage):
                yield Area(Target("button", "next-frog"), rect)
        else:
            yield Area(Target("predict", name), rect)
    yield Area(Target("paper", "slip"), pygame.Rect(box))


@lru_cache(maxsize=2)
def _fixed(stage: Stage) -> tuple[tuple[Area, ...], ...]:
    """What lies still on a stage: terminals, places and wires."""
    return tuple(_terminals(stage)), tuple(_places(stage)), tuple(_wires(stage))


def _terminals(stage: Stage) -> Iterator[Area]:
    unit = stage.grain
    rows = [
        (spot.x if spot.fixture == "tab" else -1.0, name, spot)
        for name, spots in stage.fixtures.spots.items()
        for spot in spots
    ]
    for _, name, spot in sorted(rows, key=lambda row: row[0]):
        target = Target("terminal", name)
        if spot.fixture == "tab":
            yield disc(target, spot.x, spot.y, max(10 * unit, 5 * stage.unit))
            continue
        yield disc(target, spot.probe_x, spot.probe_y, spot.radius + 2 * unit)
        block = next((place for place in stage.fixtures.blocks if place.motor == spot.fixture), None)
        if block is not None:
            yield disc(target, spot.x, block.lower, spot.radius + 2 * unit)
            foot = round(block.lower + spot.radius + unit)
            yield Area(
                target,
                pygame.Rect(
                    round(spot.x - 8 * unit), foot, round(16 * unit), round(block.face.bottom - foot + 4 * unit)
                ),
            )


def _places(stage: Stage) -> Iterator[Area]:
    half = max(7.0 * stage.unit, 2.6 * stage.world.scale)
    for mark in stage.places:
        if mark.place.kind == "gap" or stage.bench.level is None or stage.bench.level.allow.place(mark.place.name):
            yield disc(Target("place", mark.place.name), mark.x, mark.y, half)


def _blades(stage: Stage, snapshot: Snapshot) -> Iterator[Area]:
    for points in stage.bench.point_sets:
        yield from _blades_of(stage, points, 1.0 if snapshot.travel.get(points.id, 0.0) > 0.5 else 0.0)


@lru_cache(maxsize=64)
def _blades_of(stage: Stage, points: PointSet, travel: float) -> tuple[Area, ...]:
    out = []
    blades = {blade.section for blade in points.blades}
    for view in stage.views(points.piece, {points.id: travel}):
        if view.part == "blade" and view.node in blades:
            rows = view.middle
            line = tuple(stage.world.to_screen((x, y)) for x, y in rows[: max(2, len(rows) * 2 // 3)].tolist())
            out.append(along(Target("blade", points.id), line, 7 * stage.unit))
    return tuple(out)


def _wires(stage: Stage) -> Iterator[Area]:
    for run, path in zip(stage.runs, stage.paths, strict=True):
        yield along(Target("wire", str(run.index)), path, 5 * stage.unit)


def _vehicles(stage: Stage, snapshot: Snapshot) -> Iterator[Area]:
    for train, rect in strayed(stage, snapshot):
        yield Area(Target("vehicle", train.id), rect)
    for train in snapshot.trains:
        for body, bearing, (x, y) in train_bodies(stage, train):
            front, back, half = body_outline(body)
            c, s, px = math.cos(bearing), math.sin(bearing), stage.world.scale
            line = tuple((x + along * c * px, y + along * s * px) for along in (front, (front + back) / 2, back))
            yield along(Target("vehicle", train.id), line, half * px)


def strayed(stage: Stage, snapshot: Snapshot) -> list[tuple[TrainView, pygame.Rect]]:
    """Trains that have run off the mat, and the label at its edge that stands for each."""
    mat, unit = stage.rooms.mat, stage.unit
    kind = Type(stage.theme, unit)
    whole = stage.whole or stage  # what a camera does not show has not run off
    out = []
    for train in snapshot.trains:
        axles = [axle[:2] for vehicle in train.vehicles for axle in vehicle.axles]
        if any(whole.rooms.mat.collidepoint(whole.world.to_screen(axle)) for axle in axles):
            continue
        x, y = stage.world.to_screen(axles[0])
        width, height = round(kind.width(stray_words(train), "body") + 22 * unit), round(30 * unit)
        left = mat.right - width - round(22 * unit) if x > mat.centerx else mat.x + round(22 * unit)
        top = min(max(round(y - height / 2), mat.y + round(24 * unit)), mat.bottom - height - round(24 * unit))
        rect = pygame.Rect(left, top, width, height)
        if rect.collidelist(parked(stage)) >= 0:
            rect.bottom = min(box[1] for box in parked(stage)) - round(4 * unit)
        out.append((train, rect))
    return out


def stray_words(train: TrainView) -> str:
    """What is said of a train that has run off the mat."""
    name = train.vehicles[0].name if train.vehicles else train.id
    return f"{name}, run off the board: drag it back"


def _probes(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Area]:
    for name in ("red", "black"):
        tip = probe_tip(stage, snapshot, view, name)
        tail = probe_tail(tip, probe_angle(snapshot, view, name), stage.unit)
        near = (tip[0] + (tail[0] - tip[0]) * 0.16, tip[1] + (tail[1] - tip[1]) * 0.16)
        yield along(Target("probe", name), (near, tail), 9 * stage.unit)
        yield disc(Target("probe", name), *tip, _TIP_PX * stage.unit)  # beside it the screw or tab is met


def _panels(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Area]:
    unit, rooms = stage.unit, stage.rooms
    kind = Type(stage.theme, unit)
    box = box_of(rooms.meter)
    for name, rect in meters.knob_places(box, unit, kind).items():
        yield Area(Target("dial", name), rect.inflate(round(6 * unit), round(4 * unit)))
    yield disc(Target("knob", "meter"), *meters.knob_centre(box, unit), 37 * unit)
    box = box_of(rooms.supply)
    yield Area(Target("rocker", "supply"), supplies.rocker_rect(box, unit))
    if snapshot.supplies:
        yield Area(Target("plug", "supply"), plug_rect(stage))
    if len(snapshot.supplies) > 1:
        yield Area(Target("button", "next-supply"), supplies.face_rect(box, unit))
    box = box_of(rooms.throttle)
    if snapshot.trains:
        train = snapshot.trains[min(view.train, len(snapshot.trains) - 1)]
        yield Area(Target("slider", train.id), throttles.knob_rect(box, unit, train.throttle))
        slot = throttles.slider_rect(box, unit)
        yield Area(Target("slot", train.id), slot.inflate(round(24 * unit), round(26 * unit)))
        back, fore = throttles.direction_rects(box, unit)
        right = right_sign(stage, snapshot, train)
        yield Area(Target("direction", f"{-right:+d}"), back)
        yield Area(Target("direction", f"{right:+d}"), fore)
        if len(snapshot.trains) > 1:
            yield Area(Target("button", "next-train"), throttles.name_rect(box, unit))
    every = levers(stage, snapshot)
    for number, rect in throttles.lever_rects(box, unit, len(every), view.lever).items():
        yield Area(Target("lever", every[number].piece), rect)


_TIP_PX = 5.0
_INNER_PX = 6.0  # of a tab or gap: so near its middle it is meant, and not the vehicle that stands over it
_DEPTH = {
    "prompt": -2, "button": 1, "fold": 1, "predict": 1, "top": 1, "dial": 1, "rocker": 1, "slider": 1, "direction": 1,
    "lever": 1, "plug": 2, "knob": 2, "slot": 2, "paper": 3, "probe": 4, "terminal": 5, "place": 5, 
    "vehicle": 8, "blade": 7,
}  # fmt: skip
_LAYERS: dict[Layer, float] = {"top": -1.0, "paper": 0.5, "board": 3.5, "bed": 9.0}
_OWN = {kind: _LAYERS[thing.layer] + thing.deep + 0.01 * k for thing in THINGS for k, kind in enumerate(thing.kinds)}


def _depth(kind: str) -> float:
    return _OWN[kind] if kind in _OWN else _DEPTH.get(kind, 9)


def under(
    stage: Stage, snapshot: Snapshot, view: ViewState, point: Point, through: frozenset[str] = frozenset()
) -> Target | None:
    """What is under a point, the uppermost first; None for plain mat, and for the rest of a sheet or slip.

    through: the kinds of things that are looked through, such as those that the end of a wire in hand passes under
    """
    every = [area for area in areas(stage, snapshot, view) if area.target.kind not in through]
    if stage.shift is not None and not stage.rooms.mat.collidepoint(point):
        every = [area for area in every if not on_board(area.target.kind) or area.target.kind == "probe"]
    return met(every, point, stage.unit)


def met(every: Sequence[Area], point: Point, unit: float) -> Target | None:
    """Which of these areas is meant by a point: the uppermost that it is on, else the nearest that is small.

    An engine's body lies over screws and tabs but for their very middle.
    """
    found = [area for area in every if area.holds(point)]
    vehicle = any(area.target.kind == "vehicle" for area in found)

    def depth(area: Area) -> float:
        aside = area.off_centre(point) > _INNER_PX * unit
        if vehicle and area.target.kind in _UNDER_VEHICLES and (aside or area.target.kind == "blade"):
            return _DEPTH["vehicle"] + 0.5
        return _depth(area.target.kind)

    best = min(found, key=lambda area: (depth(area), area.off_centre(point)), default=None)
    if best is not None and best.target.kind != "paper":
        return best.target
    over = _depth("paper") if best is not None else math.inf
    beside = nearest([area for area in every if _depth(area.target.kind) < over], point, unit)
    if beside is not None:
        return beside.target
    return best.target if best is not None else None


_UNDER_VEHICLES = frozenset({"terminal", "place", "blade"})


def focus_order(stage: Stage, snapshot: Snapshot, view: ViewState) -> list[Area]:
    """What Tab goes through, each thing once."""
    seen: set[Target] = set()
    out = []
    for area in areas(stage, snapshot, view):
        if area.target.kind in {"paper", "slot"} or area.target in seen:
            continue
        seen.add(area.target)
        out.append(area)
    return out


def nearest_towards(order: Sequence[Area], here: Area, way: tuple[int, int]) -> Area | None:
    """The nearest thing in a direction (x, y of -1, 0 or 1), what lies straight ahead before what lies aside."""
    best: tuple[float, Area] | None = None
    x, y = middle_of(here)
    for area in order:
        dx, dy = middle_of(area)[0] - x, middle_of(area)[1] - y
        ahead, aside = dx * way[0] + dy * way[1], abs(dx * way[1]) + abs(dy * way[0])
        if ahead <= 2 or area.target == here.target:
            continue
        cost = ahead + 2.4 * aside
        if best is None or cost < best[0]:
            best = (cost, area)
    return best[1] if best is not None else None

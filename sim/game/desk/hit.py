"""What can be pointed at, and what is under the pointer.

It asks the same functions that draw the picture where things lie.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import get_args

import pygame

from sim.game.desk.every import THINGS, on_board, owner
from sim.game.desk.prompting import prompt_area
from sim.game.draw.instruments import meter as meters
from sim.game.draw.instruments import supply as supplies
from sim.game.draw.instruments import throttle as throttles
from sim.game.draw.pen.icons import top_items
from sim.game.draw.slips import sheet as sheets
from sim.game.draw.slips import slip as slips
from sim.game.items.common.thing import Layer, Reading, Sight
from sim.game.look.fonts import Type
from sim.game.paper.view import Point
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
from sim.game.whereabouts.area import Area, disc, middle_of, nearest
from sim.game.whereabouts.cabling import plug_rect
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.snapshot import Snapshot

__all__ = [
    "areas",
    "focus_order",
    "focused",
    "met",
    "next_of",
    "towards",
    "under",
]


def areas(stage: Stage, snapshot: Snapshot, view: ViewState) -> list[Area]:
    """Everything that can be pointed at, in reading order: top rail, slips, sheet, mat from the left, instruments."""
    sight = Sight(stage, snapshot, view)
    cover = next((thing for thing in THINGS if thing.covers(sight)), None)
    if cover is not None:
        return list(cover.areas(sight))
    every = list(_every(sight))
    return [*prompt_area(stage, view, every), *every]


def _every(sight: Sight) -> Iterator[Area]:
    for part in get_args(Reading):
        for thing in THINGS:
            if thing.reads == part:
                yield from thing.areas(sight)
        for more in _PARTS.get(part, ()):
            yield from more(*sight)


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


_PARTS: Mapping[Reading, Sequence[Callable[[Stage, Snapshot, ViewState], Iterator[Area]]]] = {
    "top": (_top,), "sheet": (_sheet, _slip), "panels": (_panels,),
}  # fmt: skip
"""What is read with the things of a part, and is no thing of its own yet."""

_INNER_PX = 6.0  # of a tab or gap: so near its middle it is meant, and not the vehicle that stands over it
_DEPTH = {
    "button": 1, "fold": 1, "predict": 1, "top": 1, "dial": 1, "rocker": 1, "slider": 1, "direction": 1,
    "lever": 1, "plug": 2, "knob": 2, "slot": 2, "paper": 3,
}  # fmt: skip
_LAYERS: Mapping[Layer, float] = {"top": -1.0, "paper": 0.5, "board": 3.5, "bed": 9.0}


_OWN = {kind: _LAYERS[thing.layer] + thing.deep + 0.01 * k for thing in THINGS for k, kind in enumerate(thing.kinds)}


def _depth(kind: str) -> float:
    """How deep a kind of thing lies, when several are under the pointer."""
    return _DEPTH[kind] if kind in _DEPTH else _OWN.get(kind, 9)


def under(
    stage: Stage, snapshot: Snapshot, view: ViewState, point: Point, through: frozenset[str] = frozenset()
) -> Target | None:
    """What is under a point, the uppermost first; None for plain mat, and for the rest of a sheet or slip.

    through: the kinds of things that are looked through, such as those that the end of a wire in hand passes under
    """
    every = [area for area in areas(stage, snapshot, view) if area.target.kind not in through]
    if stage.shift is not None and not stage.rooms.mat.collidepoint(point):
        every = [area for area in every if not on_board(area.target.kind) or _leads(area.target.kind)]
    return met(every, point, stage.unit)


def met(every: Sequence[Area], point: Point, unit: float) -> Target | None:
    """Which of these areas is meant by a point: the uppermost that it is on, else the nearest that is small.

    An engine's body lies over screws and tabs but for their very middle.
    """
    found = [area for area in every if area.holds(point)]
    over = [thing for area in found if (thing := owner(area.target.kind)) is not None and thing.hides]

    def depth(area: Area) -> float:
        kind = area.target.kind
        hidden = [_depth(thing.kinds[0]) + 0.5 for thing in over if kind in thing.hides]
        return max(hidden) if hidden and area.off_centre(point) > _INNER_PX * unit else _depth(kind)

    best = min(found, key=lambda area: (depth(area), area.off_centre(point)), default=None)
    if best is not None and best.target.kind != "paper":
        return best.target
    above = _depth("paper") if best is not None else math.inf
    beside = nearest([area for area in every if _depth(area.target.kind) < above], point, unit)
    if beside is not None:
        return beside.target
    return best.target if best is not None else None


def _leads(kind: str) -> bool:
    thing = owner(kind)
    return thing is not None and thing.leads


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


def _nearest_towards(order: Sequence[Area], here: Area, way: tuple[int, int]) -> Area | None:
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


def focused(sight: Sight) -> Area | None:
    """What has the focus."""
    return next((area for area in focus_order(*sight) if area.target == sight.view.focus), None)


def next_of(sight: Sight, by: int) -> Area | None:
    """So many things further in reading order; None on a bench with nothing to go to."""
    order = focus_order(*sight)
    if not order:
        return None
    now = next((k for k, area in enumerate(order) if area.target == sight.view.focus), None)
    return order[(0 if by > 0 else -1) if now is None else (now + by) % len(order)]


def towards(sight: Sight, way: tuple[int, int]) -> Area | None:
    """The nearest thing in a direction; the first of all while nothing has the focus."""
    here = focused(sight)
    return next_of(sight, 1) if here is None else _nearest_towards(focus_order(*sight), here, way)

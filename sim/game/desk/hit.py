"""What can be pointed at, and what is under the pointer, of all the things on the bench."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import get_args

from sim.game.desk.every import THINGS, on_board, owner
from sim.game.desk.prompting import prompt_area
from sim.game.items.common.thing import Layer, Reading, Sight
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area, middle_of, nearest
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


_INNER_PX = 6.0  # of a tab or gap: so near its middle it is meant, and not the vehicle that stands over it
_PAPER = 3.0  # how deep the rest of a sheet or slip lies, under all that stands on it
_LAYERS: Mapping[Layer, float] = {"top": -1.0, "paper": 0.5, "board": 3.5, "bed": 9.0}


_OWN = {kind: _LAYERS[thing.layer] + thing.deep + 0.01 * k for thing in THINGS for k, kind in enumerate(thing.kinds)}


def _depth(kind: str) -> float:
    """How deep a kind of thing lies, when several are under the pointer."""
    return _PAPER if kind == "paper" else _OWN.get(kind, 9)


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
    above = _PAPER if best is not None else math.inf
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

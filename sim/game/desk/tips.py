"""Where the meter's tips are put: by hand on the metal under them, by key on what is ringed or pointed at."""

from __future__ import annotations

from dataclasses import replace

import pygame

from sim.game.desk.focusing import focused
from sim.game.items.common.thing import Outcome, Sight
from sim.game.paper.view import Point
from sim.game.whereabouts.area import middle_of
from sim.game.whereabouts.handles import probe_tip, screws
from sim.game.whereabouts.metal import Metal, metal_of, nearest_metal
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Note
from sim.session.acts import Act, Dial, Probe

__all__ = ["SNAP_PX", "TIP_WORDS", "by_key", "let_go", "put"]

SNAP_PX = 15.0
TIP_WORDS = "A tip goes on a screw, a tab or a rail."
_METAL = frozenset({"terminal", "place", "blade", "joint", "rail", "piece"})  # where a tip finds metal


def put(name: str, terminal: str | None, mm: Point | None, sight: Sight) -> Outcome:
    """A tip ("red" or "black") onto a terminal, or into the air; `mm`: where on the bench it rests, if not on its tab.

    The second tip on metal turns the meter on, if it is off.
    """
    _, snapshot, view = sight
    red = terminal if name == "red" else snapshot.meter.red
    black = terminal if name == "black" else snapshot.meter.black
    acts: list[Act] = [Probe(red, black)]
    if snapshot.meter.dial == "off" and red is not None and black is not None:
        acts.insert(0, Dial("buzzer"))
    return Outcome(tuple(acts), view=replace(view, red_mm=mm) if name == "red" else replace(view, black_mm=mm))


def let_go(name: str, point: Point, sight: Sight) -> Outcome:
    """A tip let go of at a point: onto the metal within reach, or into the air."""
    stage = sight.stage
    metal = nearest_metal(stage, point, SNAP_PX * stage.unit)
    if metal is None:
        if any(box.collidepoint(point) for box in _with_screws(stage)):  # it was meant for a screw
            sight = sight._replace(view=replace(sight.view, said=Note(point, (TIP_WORDS,))))
        return put(name, None, None, sight)
    return put(name, metal[0], stage.world.to_bench(metal[1]) if _kept_where(metal, stage) else None, sight)


def by_key(name: str, sight: Sight) -> Outcome:
    """A tip onto the metal of what is ringed, or of what the pointer is on; words where there is none."""
    stage, snapshot, view = sight
    area = focused(sight)
    if area is not None:
        at = middle_of(area)
        metal = metal_of(stage, snapshot.travel, area.target, at, SNAP_PX * stage.unit)
    else:
        at, metal = view.pointer, None
        if stage.rooms.mat.collidepoint(at) and (view.hover is None or view.hover.kind in _METAL):
            metal = nearest_metal(stage, at, SNAP_PX * stage.unit)
        if at[0] < 0:  # nothing is pointed at yet
            at = probe_tip(stage, snapshot, view, name)
    if metal is None:
        return Outcome(view=replace(view, said=Note(at, (TIP_WORDS,))))
    several = area is None and _kept_where(metal, stage)
    return put(name, metal[0], stage.world.to_bench(metal[1]) if metal[2] or several else None, sight)


def _with_screws(stage: Stage) -> list[pygame.Rect]:
    """The boxes of what has screws, beside which a tip finds no metal."""
    fixtures = stage.fixtures
    boxes = [place.housing.union(place.face) for place in fixtures.blocks]
    boxes += [place.rect for place in fixtures.bars]
    return [*boxes, *(place.rect for place in (*fixtures.lamps, *fixtures.polarities))]


def _kept_where(metal: Metal, stage: Stage) -> bool:
    """Whether it must be kept where a tip rests: on a rail, or on one of several screws."""
    return metal[2] or sum(len(screws(stage, spot)) for spot in stage.fixtures.spots[metal[0]]) > 1

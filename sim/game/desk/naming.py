"""What a thing is called and what it is for, in a short line with its key, shown beside it when one rests on it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pygame

from sim.game.desk.every import owner
from sim.game.desk.hit import areas
from sim.game.desk.rail_names import rail_line
from sim.game.draw.pen.panel import box_of
from sim.game.items.common.thing import Sight
from sim.game.items.panels.frog_slip import slip_box
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Note, Target, ViewState
from sim.session.snapshot import Snapshot

__all__ = ["name_note", "name_words"]

def name_words(stage: Stage, snapshot: Snapshot, view: ViewState, target: Target) -> str:
    """The line for a thing; "" for what has none."""
    thing = owner(target.kind)
    return "" if thing is None else thing.words(Sight(stage, snapshot, view), target)


_SPOT_PX = 12.0  # round the pointer, that the name of a rail keeps clear of


def name_note(stage: Stage, snapshot: Snapshot, view: ViewState) -> Note | None:
    """The note beside what the pointer, or the focus, has rested on; it keeps clear of the thing itself."""
    if view.rested is None:
        return None
    if view.rested.kind == "spot":
        line, (x, y) = rail_line(stage, snapshot, view.pointer, bare=view.bare), view.pointer
        near = round(_SPOT_PX * stage.unit)
        clear = (round(x) - near, round(y) - near, 2 * near, 2 * near)
        return Note((x, y), (line,), clear) if line else None
    line = name_words(stage, snapshot, view, view.rested)
    every = [area for area in areas(stage, snapshot, view) if area.target == view.rested]
    if not line or not every:
        return None
    pointed = view.focus is None and view.rested == view.hover
    area = min(every, key=lambda area: math.dist(middle_of(area), view.pointer)) if pointed else every[0]
    return Note(middle_of(area), (line,), box_of(_clear(stage, view, view.rested, every)))


def _clear(stage: Stage, view: ViewState, target: Target, every: Sequence[Area]) -> pygame.Rect:
    """What a thing's note must not cover: all screws of a terminal, the slip whose fold is meant, else the thing."""
    if target == Target("slip", "fold") and view.slip:
        return pygame.Rect(slip_box(stage, view))
    first, *rest = (area.rect for area in every)
    return first.unionall(rest) if target.kind == "terminal" else first

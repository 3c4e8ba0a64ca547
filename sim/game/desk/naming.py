"""What a thing is called and what it is for, in a short line with its key, shown beside it when one rests on it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pygame

from sim.bench.levers import lever_named
from sim.game.desk.every import owner
from sim.game.desk.hit import areas
from sim.game.desk.rail_names import rail_line
from sim.game.items.common.controls import lever_number
from sim.game.items.common.thing import Sight
from sim.game.picture.side import box_of, right_sign, slip_box
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Note, Target, ViewState
from sim.session.snapshot import Snapshot
from sim.wiring.telling import listed

__all__ = ["name_note", "name_words"]

_WORDS = {
    ("rocker", "supply"): "Rocker: on, off, reset. Key P",
    ("knob", "meter"): "The meter's knob: a click turns it on. Key M",
    ("fold", "slip"): "Fold the frog's slip away. Key F",
    ("fold", "sheet"): "Fold the job sheet away. Key J",
    ("button", "test"): "Every vehicle over every route. Key T",
    ("button", "hint"): "A question first, then more. Key H",
    ("button", "names"): "What the parts of a turnout are called. Key F3",
    ("button", "turn-sheet"): "The other half of the sheet",
    ("button", "next-frog"): "The next frog. Key Shift F",
    ("button", "next-train"): "The next train",
    ("button", "next-supply"): "The next supply",
    ("top", "jobs"): "Back to the jobs, all kept. Key Esc",
    ("top", "undo"): "Key Ctrl Z",
    ("top", "redo"): "Key Ctrl Shift Z",
    ("top", "sheet"): "Print the wiring sheet: into your documents. Key Ctrl P",
    ("top", "turn"): "See the board from below, or above. Key V",
    ("top", "keys"): "All keys. Key F1",
    ("top", "settings"): "Light, size, motion, words. Key F2",
}
_OPEN = "Rocker: open after a short. Pressed, the breaker closes. Key P"
_IN = "The supply's plug: a click pulls it out. Key U"
_PULLED = "The supply's plug, pulled out: a click plugs it in. Key U"
_UNFOLD = {"slip": "Open the frog's slip. Key F", "sheet": "Open the job sheet. Key J"}


def name_words(stage: Stage, snapshot: Snapshot, view: ViewState, target: Target) -> str:
    """The line for a thing; "" for what has none."""
    thing = owner(target.kind)
    own = "" if thing is None else thing.words(Sight(stage, snapshot, view), target)
    return own or _panel_words(stage, snapshot, view, target)


def _panel_words(stage: Stage, snapshot: Snapshot, view: ViewState, target: Target) -> str:
    """The line for what is on an instrument, the sheet, the slip or the top rail."""
    kind, name = target
    if kind == "fold" and (not view.slip if name == "slip" else view.folded):
        return _UNFOLD[name]
    if kind == "rocker" and any(supply.tripped for supply in snapshot.supplies):
        return _OPEN
    if kind == "plug":
        return _PULLED if not all(supply.plugged for supply in snapshot.supplies) else _IN
    if kind == "dial":
        return f"The meter's knob to {name}. Key M"
    if kind in {"slider", "slot"}:
        return "Throttle: drag it along. Keys + and -, 0 stops"
    if kind == "direction":
        train = next(iter(snapshot.trains), None) if not view.train else snapshot.trains[view.train]
        if train is None:
            return ""
        way = "right" if int(name) == right_sign(stage, snapshot, train) else "left"
        return f"Direction: to the {way}. Key D"
    if kind == "lever":
        thrown = lever_named(stage.bench, name)
        moved = thrown.movers if thrown is not None else (name,)
        switch = thrown is not None and thrown.is_switch
        what = f"Lever: switch {name}" if switch else f"Lever: throws the points of {listed(moved)}"
        number = lever_number(Sight(stage, snapshot, view), name)
        return f"{what}. Key {number + 1}" if number is not None and number < 9 else what
    return _WORDS.get((kind, name), "")


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
    if target == Target("fold", "slip") and view.slip:
        return pygame.Rect(slip_box(stage, view))
    first, *rest = (area.rect for area in every)
    return first.unionall(rest) if target.kind == "terminal" else first

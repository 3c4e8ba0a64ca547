"""The wires as they are strung over the board, and the end of one in hand: where it snaps to, what it is put on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from typing import ClassVar

import pygame

from sim.bench.edits import RemoveWire
from sim.bench.terminals import terminals
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway import wires
from sim.game.items.cards.wire_slip import end_in_hand, wire_words
from sim.game.items.common.controls import wire_to
from sim.game.items.common.curves import slack_way
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing, emptied
from sim.game.look.new_wire import new_cloth
from sim.game.paper.view import Point
from sim.game.picture.board import cloth_of
from sim.game.whereabouts.area import Area, along, middle_of
from sim.game.whereabouts.handles import nearest_screw, nearest_spot
from sim.game.whereabouts.metal import SNAP_PX, nearest_metal
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Note, Target, ViewState
from sim.session.acts import Do
from sim.session.snapshot import Snapshot

__all__ = ["WIRE_WORDS", "Wires", "legal_ends", "snapped"]

WIRE_WORDS = "A wire ends on a screw or a tab."
_DRAG_WORDS = "Drag it: the nearer end comes along"
_FEW = 2  # wires on the bench, below which it is said what to do with one in hand


def legal_ends(snapshot: Snapshot, view: ViewState) -> frozenset[str]:
    """Every terminal at which the wire in hand can end; empty when none is in hand."""
    hand = view.hand
    if hand is None or hand.what != "wire":
        return frozenset()
    return frozenset(terminals(snapshot.bench)) - {hand.name}


class Wires(Thing):
    """The wires themselves: clicked, their slip opens; dragged, the nearer end goes to another terminal.

    In hand is the end of a wire, a new one or one that is on the bench already.
    """

    kinds = ("wire",)
    layer = "bed"
    reads = "board"
    through: ClassVar = frozenset({"probe", "vehicle"})
    meets: ClassVar = frozenset({"terminal"})

    def settled(self, sight: Sight) -> ViewState:
        view = sight.view
        hover = view.hover
        gone = hover is not None and hover.kind == "wire" and int(hover.name) >= len(sight.snapshot.bench.wires)
        return replace(view, hover=None) if gone else view

    def areas(self, sight: Sight) -> Iterator[Area]:
        yield from _areas(sight.stage)

    def in_hand(self, sight: Sight, hand: Hand) -> Iterator[Sprite]:
        """A loose tail."""
        stage, snapshot, view = sight
        unit, theme = stage.unit, stage.theme
        spot = nearest_spot(stage, hand.name, hand.at)
        if hand.moves is None:
            cloth = new_cloth(snapshot, hand.name, _end_of(hand, view), bare=view.bare)
        else:
            cloth = cloth_of(stage.bench.wires[hand.moves[0]], stage.runs[hand.moves[0]])
        away = math.hypot(hand.at[0] - spot.x, hand.at[1] - spot.y)
        down = 1 if spot.leaves == "down" else -1
        first = (spot.x, spot.y + down * (18 * unit + 0.38 * away))
        lean = 1 if hand.at[0] >= spot.x else -1
        second = (hand.at[0] - lean * 0.36 * away, hand.at[1] + 12 * unit)
        path = slack_way((spot.x, spot.y), first, second, (round(hand.at[0]), round(hand.at[1])), 28)
        yield wires.wire(path, 6.4 * unit, wires.wire_colour(cloth, theme), unit, theme, (6 * unit, 12 * unit), True)

    def note(self, sight: Sight, target: Target) -> Note | None:
        stage = sight.stage
        tip = (sight.view.pointer[0] + 8 * stage.unit, sight.view.pointer[1])
        return Note(tip, (*wire_words(stage.bench, stage.bench.wires[int(target.name)]), _DRAG_WORDS))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        opened = replace(sight.view, menu_wire=int(target.name), hover=None)
        if opened.focus is not None:  # by keyboard: go on at the slip
            opened = replace(opened, focus=Target("menu", "size+"))
        return Outcome(view=opened)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        focus = sight.view.focus
        if event.key == pygame.K_DELETE and focus is not None and focus.kind == "wire":
            return Outcome((Do(RemoveWire(int(focus.name))),))
        return None

    # The end of a wire in hand

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        index = int(target.name)
        path = sight.stage.paths[index] if index < len(sight.stage.paths) else ()
        return end_in_hand(sight.stage.bench, index, _nearer_end(path, point), point, dragging=True) if path else None

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        hover, at = snapped(sight.stage, hand, point, over)
        return Outcome(view=replace(sight.view, hand=hand._replace(at=at), hover=hover, menu_wire=None))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        end, _ = snapped(sight.stage, hand, point, over)
        if end is not None:
            return Outcome(wire_to(sight.snapshot, sight.view, hand, end.name))
        if over != Target("terminal", hand.name):
            return Outcome(view=replace(sight.view, said=Note(point, (WIRE_WORDS,))))
        if hand.moves is None and hand.dragging:  # pressed and let go on the same screw: carry on with clicks
            return Outcome(view=replace(sight.view, hand=hand._replace(at=point, dragging=False)))
        return NOTHING

    def held_note(self, sight: Sight, hand: Hand) -> Note | None:
        hover = sight.view.hover
        if (hover is not None and hover.kind == "terminal") or len(sight.stage.bench.wires) >= _FEW:
            return None
        lines = ("Let go on any", "lit screw or tab") if hand.dragging else ("Click any", "lit screw or tab")
        return Note((hand.at[0] + 14 * sight.stage.unit, hand.at[1]), lines)

    def enter(self, sight: Sight, hand: Hand, area: Area) -> Outcome | None:
        if area.target.kind != "terminal":
            return Outcome(view=replace(emptied(sight.view), said=Note(middle_of(area), (WIRE_WORDS,))))
        view = replace(sight.view, hand=None, hover=None)
        if area.target.name == hand.name:
            return Outcome(view=view)
        return Outcome(wire_to(sight.snapshot, view, hand, area.target.name), view=view)


@lru_cache(maxsize=2)
def _areas(stage: Stage) -> tuple[Area, ...]:
    return tuple(
        along(Target("wire", str(run.index)), path, 5 * stage.unit)
        for run, path in zip(stage.runs, stage.paths, strict=True)
    )


def _nearer_end(path: Sequence[Point], point: Point) -> int:
    """Which end of a wire, 0 or 1, is nearer to a place on it, along its way."""
    lengths = [math.dist(a, b) for a, b in pairwise(path)]
    nearest = min(range(len(path)), key=lambda k: math.dist(path[k], point))
    return 0 if sum(lengths[:nearest]) <= sum(lengths) / 2 else 1


def _end_of(hand: Hand, view: ViewState) -> str:
    """The terminal that a wire in hand is held to; empty while it is held to none."""
    on = view.hover
    return on.name if on is not None and on.kind == "terminal" and on.name != hand.name else ""


def snapped(stage: Stage, hand: Hand, point: Point, over: Target | None) -> tuple[Target | None, Point]:
    """The terminal that a wire in hand is held to, and where on it that is; the point itself where it is held to none.

    A wire is soldered at a rail's tab, so a rail is as good as its tab.
    """
    if over is not None and over.kind == "terminal" and over.name != hand.name:
        spot = nearest_spot(stage, over.name, point)
        return over, (spot.x, spot.y) if spot.fixture == "tab" else nearest_screw(stage, over.name, point)
    metal = nearest_metal(stage, point, SNAP_PX * stage.unit, rails_only=True)
    if metal is None or metal[0] == hand.name:
        return None, point
    spot = nearest_spot(stage, metal[0], point)
    return Target("terminal", metal[0]), (spot.x, spot.y)

"""The wires as they are strung over the board: one is clicked for its slip, or dragged to another screw."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pygame

from sim.bench.edits import RemoveWire
from sim.game.items.cards.wire_slip import end_in_hand, wire_words
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.paper.view import Point
from sim.game.whereabouts.viewstate import Hand, Note, Target
from sim.session.acts import Do

__all__ = ["Wires"]


def _nearer_end(path: Sequence[Point], point: Point) -> int:
    """Which end of a wire, 0 or 1, is nearer to a place on it, along its way."""
    lengths = [math.dist(a, b) for a, b in pairwise(path)]
    nearest = min(range(len(path)), key=lambda k: math.dist(path[k], point))
    return 0 if sum(lengths[:nearest]) <= sum(lengths) / 2 else 1


_DRAG_WORDS = "Drag it: the nearer end comes along"


class Wires(Thing):
    """The wires themselves: clicked, their slip opens; dragged, the nearer end goes to another terminal."""

    kinds = ("wire",)
    layer = "bed"

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        index = int(target.name)
        path = sight.stage.paths[index] if index < len(sight.stage.paths) else ()
        return end_in_hand(sight.stage.bench, index, _nearer_end(path, point), point, dragging=True) if path else None

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

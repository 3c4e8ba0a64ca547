"""The slip of a wire: its colour, size, length and number, and taking it off."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pygame

from sim.bench.edits import ChangeWire, RemoveWire
from sim.bench.model import Bench, Wire
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.slips.choices import Line, choice_slip
from sim.game.items.cards.wiring_choices import ENDS, changed_wire, typed_number, wire_lines
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.look.modifiers import ctrl_held
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.viewstate import Hand, Target, ViewState
from sim.session.acts import Do
from sim.wiring.names import terminal_words
from sim.wiring.telling import wire_end_words

__all__ = ["WireSlip", "end_in_hand", "wire_words"]


def wire_words(bench: Bench, wire: Wire) -> tuple[str, ...]:
    """A wire in two short lines: its number and ends, its size."""
    a, b = (wire_end_words(bench, end) for end in wire.ends)
    size = f"{wire.area_mm2:.2g} mm²" if wire.awg is None else f"AWG {wire.awg}"
    number = f"{wire.number}, " if wire.number else ""
    return f"{number}{a} to {b}", f"{size}, {wire.metres:g} m"


def end_in_hand(bench: Bench, index: int, end: int, at: Point, *, dragging: bool) -> Hand | None:
    """One end of a wire in hand; its other end stays where it is. None for a wire that is not there."""
    if index >= len(bench.wires):
        return None
    return Hand("wire", bench.wires[index].ends[1 - end], at, dragging, (index, end))


def _open(sight: Sight) -> Wire | None:
    """The wire whose slip lies open."""
    index = sight.view.menu_wire
    return sight.stage.bench.wires[index] if index is not None and index < len(sight.stage.bench.wires) else None


def _lines(bench: Bench, wire: Wire) -> tuple[Line, ...]:
    """The lines of a wire's slip, its ends named by where they are."""
    a, b = (terminal_words(bench, end) or end for end in wire.ends)
    return wire_lines(wire, (a, b))


def _slip(sight: Sight) -> Arrangement[str] | None:
    """The slip that lies open, beside the middle of its wire's longest stretch, inside the mat."""
    stage, index, wire = sight.stage, sight.view.menu_wire, _open(sight)
    if wire is None or index is None:
        return None
    title = wire_words(stage.bench, wire)[0]
    slip = choice_slip(stage.unit, stage.theme, title[:1].upper() + title[1:], _lines(stage.bench, wire))
    width, height = slip.box.size
    corners = stage.runs[index].corners if index < len(stage.runs) else ((0.0, 0.0), (0.0, 0.0))
    a, b = max(pairwise(corners), key=lambda pair: math.dist(*pair))
    mat = stage.rooms.mat
    x = min(max((a[0] + b[0]) / 2 + 14 * stage.unit, mat.x + 8), mat.right - width - 10 * stage.unit)
    y = min(max((a[1] + b[1]) / 2 + 12 * stage.unit, mat.y + 8), mat.bottom - height - 10 * stage.unit)
    return slip.moved(round(x), round(y))


class WireSlip(Thing):
    """The slip that lies open beside a wire."""

    kinds = ("menu",)
    layer = "top"
    keeps_slips = True
    heading = "A wire's slip"
    keys = (
        ("Enter", "on a wire: its colour, size, length, number"),
        ("0 to 9", "write on its sleeve; Backspace wipes"),
    )

    def settled(self, sight: Sight) -> ViewState:
        index = sight.view.menu_wire
        gone = index is not None and index >= len(sight.snapshot.bench.wires)
        return replace(sight.view, menu_wire=None) if gone else sight.view

    def areas(self, sight: Sight) -> Iterator[Area]:
        slip = _slip(sight)
        if slip is not None:
            yield from (Area(Target("menu", name), rect) for name, rect in slip.places.items())
            yield Area(Target("paper", "menu"), slip.box)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        slip = _slip(sight)
        if slip is not None:
            yield slip.sprite

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        index, wire = sight.view.menu_wire, _open(sight)
        if index is None or wire is None:
            return NOTHING
        if target.name in ENDS:
            hand = end_in_hand(sight.stage.bench, index, ENDS.index(target.name), point, dragging=False)
            return Outcome(view=replace(sight.view, menu_wire=None, hover=None, hand=hand))
        if target.name in {"close", "remove"}:
            closed = replace(sight.view, menu_wire=None)
            if closed.focus is not None:
                closed = replace(closed, focus=Target("wire", str(index)) if target.name == "close" else None)
            return Outcome((Do(RemoveWire(index)),) if target.name == "remove" else (), view=closed)
        new = changed_wire(sight.stage.bench, index, target.name)
        return Outcome((Do(ChangeWire(index, new)),)) if new != wire else NOTHING

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        """Digits are written on the sleeve while the slip is open; Del takes the wire off."""
        index, wire = sight.view.menu_wire, _open(sight)
        if index is None or wire is None or ctrl_held(event):
            return None
        if event.key == pygame.K_DELETE:
            return self.act(sight, Target("menu", "remove"), sight.view.pointer)
        digit = "" if event.key == pygame.K_BACKSPACE else _DIGITS.get(event.key)
        if digit is None:
            return None
        new = typed_number(sight.stage.bench, index, digit)
        return Outcome((Do(ChangeWire(index, new)),)) if new != wire else NOTHING


_DIGITS = {pygame.K_0 + k: str(k) for k in range(10)}

"""The list of what dies when each thing is opened once; a line clicked rings the thing on the bench."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

import pygame

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.game.draw.pen import marks
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import box_of
from sim.game.draw.slips.broken_list import Row, broken_list, rows_shown
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.look.theme import Theme
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.joinery import joiner_places
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target
from sim.proof.breaking import Broken, fate_words
from sim.wiring.names import place_name

__all__ = ["BrokenList", "spots_of"]

_EMPTY = "Nothing on this bench conducts yet."


class BrokenList(Thing):
    """It lies where the drawer does, until one goes back or changes the bench."""

    kinds = ("broken",)
    layer = "paper"

    def areas(self, sight: Sight) -> Iterator[Area]:
        rows = _rows(sight)
        if rows is None:
            return
        for name, rect in _list(sight, rows).places.items():
            yield Area(Target("broken", name), rect)
        yield Area(Target("paper", "sheet"), sight.stage.rooms.sheet)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        rows = _rows(sight)
        if rows is None:
            return
        stage, view = sight.stage, sight.view
        if view.broken_ref is not None:
            yield from _ringed(stage, view.broken_ref)
        yield _list(sight, rows).sprite

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        rows = _rows(sight)
        if rows is None:
            return NOTHING
        if target.name == "back":
            return Outcome(view=replace(sight.view, broken=None, broken_ref=None))
        if target.name in {"up", "down"}:
            turned = _turned(sight, rows, 1 if target.name == "down" else -1)
            return Outcome(view=replace(sight.view, broken_top=turned))
        ref = (sight.view.broken or ())[int(target.name)].ref
        return Outcome(view=replace(sight.view, broken_ref=None if ref == sight.view.broken_ref else ref))

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        rows = _rows(sight)
        if rows is None:
            return None
        if event.key == pygame.K_ESCAPE:
            return Outcome(view=replace(sight.view, broken=None, broken_ref=None, focus=None))
        if event.key in (pygame.K_PAGEDOWN, pygame.K_PAGEUP):
            by = 1 if event.key == pygame.K_PAGEDOWN else -1
            return Outcome(view=replace(sight.view, broken_top=_turned(sight, rows, by)))
        return None


def _list(sight: Sight, rows: tuple[Row, ...]) -> Arrangement[str]:
    stage, view = sight.stage, sight.view
    chosen = next((str(k) for k, row in enumerate(view.broken or ()) if row.ref == view.broken_ref), None)
    return broken_list(box_of(stage.rooms.sheet), stage.unit, stage.theme, rows, view.broken_top, chosen, _EMPTY)


def _turned(sight: Sight, rows: tuple[Row, ...], by: int) -> int:
    """The first row after a page on, or back."""
    stage, top = sight.stage, sight.view.broken_top

    def count(first: int) -> int:
        return rows_shown(box_of(stage.rooms.sheet), stage.unit, stage.theme, rows, first)

    if by > 0:
        further = top + count(top)
        return further if further < len(rows) else top
    before = 0
    while before + count(before) < top:
        before += 1
    return before if top else 0


def _rows(sight: Sight) -> tuple[Row, ...] | None:
    """The lines of the list, None while it does not lie open."""
    view = sight.view
    if view.broken is None or view.folded or sight.snapshot.fault is not None:
        return None
    return _told(sight.snapshot.bench, view.broken)


@lru_cache(maxsize=2)
def _told(bench: Bench, broken: tuple[Broken, ...]) -> tuple[Row, ...]:
    return tuple(
        Row(str(number), row.words, fate_words(bench, row), row.fate == "dies") for number, row in enumerate(broken)
    )


# Where a thing is


def spots_of(stage: Stage, ref: PartRef) -> tuple[Point, ...]:
    """Where a part is on the screen: one point, or the two ends of a contact; a wire's way is drawn whole."""
    owner, detail = ref.owner, ref.detail
    if ref.kind == "contact":
        contact = next(m for m in stage.bench.motors if m.id == owner).changeovers[int(detail[0])]
        letters = contact.common, getattr(contact, str(detail[1]))
        return tuple(_screw(stage, f"{owner}.{letter}") for letter in letters)
    if ref.kind == "unit":
        return _screw(stage, f"{owner}.{detail[0]}"), _screw(stage, f"{owner}.out")
    if ref.kind == "lamp":
        return _screw(stage, f"{owner}.1"), _screw(stage, f"{owner}.2")
    if ref.kind == "bus":
        return (_screw(stage, f"{owner}.{detail[0]}"),)
    if ref.kind == "joint":
        end, side = f"{owner}.{detail[0]}", detail[1]
        return tuple(at for e, s, at in joiner_places(stage) if (e, s) == (end, side))
    if ref.kind == "blade":
        laid = stage.plan.by_id[owner]
        mark = laid.mark(laid.geometry.marks.tips[str(detail[0])])
        return (stage.world.to_screen((mark.x, mark.y)),)
    return tuple((mark.x, mark.y) for mark in stage.places if mark.place.name == place_name(ref))


def _screw(stage: Stage, terminal: str) -> Point:
    spot = stage.fixtures.spots[terminal][0]
    return spot.probe_x, spot.probe_y


def _ringed(stage: Stage, ref: PartRef) -> Iterator[Sprite]:
    unit, theme = stage.unit, stage.theme
    if ref.kind == "wire":
        yield _outline(stage.paths[int(ref.detail[0])], unit, theme)
        return
    for x, y in spots_of(stage, ref):
        yield marks.ring(round(x), round(y), 15 * unit, unit, theme, True)


@kept
def _outline(path: tuple[Point, ...], unit: float, theme: Theme) -> Sprite:
    """Two pale lines along both sides of a wire."""
    xs, ys = [x for x, _ in path], [y for _, y in path]
    edge = 12 * unit
    left, top = math.floor(min(xs) - edge), math.floor(min(ys) - edge)
    area = pygame.Rect(left, top, math.ceil(max(xs) + edge) - left, math.ceil(max(ys) + edge) - top)
    pen = Pen(area, 3)
    pen.stroke(path, 15 * unit, theme["ring-dark"])
    pen.stroke(path, 12.5 * unit, theme["ring"])
    part = pen.done()
    hole = Pen(area, 3)
    hole.stroke(path, 8 * unit, (255, 255, 255))
    part.surface.blit(hole.done().surface, (0, 0), special_flags=pygame.BLEND_RGBA_SUB)
    return part

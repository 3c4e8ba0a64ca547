"""Gaps, bonds and jumpers: clicked, a gap is cut or bridged, a bond or jumper made or opened; held, it is shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import ClassVar

from sim.game.draw.pen import marks
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway import fittings
from sim.game.items.common.commands import ShowGap
from sim.game.items.common.controls import change_place
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.paper.view import Point
from sim.game.picture.ruler import where_words
from sim.game.whereabouts.area import Area, disc
from sim.game.whereabouts.joinery import jumper_way
from sim.game.whereabouts.stage import PlaceMark, Stage
from sim.game.whereabouts.viewstate import Note, Target
from sim.wiring.names import part_words, place_ref

__all__ = ["Gaps"]

_WORDS = {"cut": "cut", "closed": "bridged with solder", "leaking": "leaking", "made": "made", "open": "open"}


class Gaps(Thing):
    """The places of the track that can be changed."""

    kinds = ("place",)
    layer = "board"
    deep: ClassVar = 1.5
    reads = "board"

    def areas(self, sight: Sight) -> Iterator[Area]:
        yield from _areas(sight.stage)

    def over(self, sight: Sight) -> Iterator[Sprite]:
        stage, hover = sight.stage, sight.view.hover
        mark = _mark(stage, hover) if hover is not None and sight.view.hand is None else None
        if mark is not None:
            if mark.place.kind == "jumper" and (way := jumper_way(stage, mark)):
                yield fittings.bond_wire(way, stage.grain, stage.theme, mark.place.state == "made")
            yield marks.gap_ring(_box(stage, mark), stage.unit, stage.theme, True)

    def note(self, sight: Sight, target: Target) -> Note | None:
        stage = sight.stage
        mark = _mark(stage, target)
        if mark is None:
            return None
        named = part_words(stage.bench, place_ref(mark.place.name))
        where = where_words(stage, mark.place.name)
        lines = (named[:1].upper() + named[1:], _WORDS.get(mark.place.state, mark.place.state), where)
        return Note((mark.x + 8 * stage.unit, mark.y), tuple(filter(None, lines)))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        return Outcome(change_place(sight.stage, target.name))

    def hold(self, sight: Sight, target: Target) -> Outcome | None:
        mark = _mark(sight.stage, target)
        return Outcome(command=ShowGap(target.name)) if mark is not None and mark.place.kind == "gap" else None

    def release(self, sight: Sight) -> Outcome | None:
        return Outcome(view=replace(sight.view, gap=None))


def _mark(stage: Stage, target: Target) -> PlaceMark | None:
    if target.kind != "place":
        return None
    return next((mark for mark in stage.places if mark.place.name == target.name), None)


@lru_cache(maxsize=2)
def _areas(stage: Stage) -> tuple[Area, ...]:
    half = max(7.0 * stage.unit, 2.6 * stage.world.scale)
    level = stage.bench.level
    return tuple(
        disc(Target("place", mark.place.name), mark.x, mark.y, half)
        for mark in stage.places
        if mark.place.kind == "gap" or level is None or level.allow.place(mark.place.name)
    )


def _box(stage: Stage, mark: PlaceMark) -> tuple[int, int, int, int]:
    """The box of a gap, bond or jumper on the screen."""
    half = max(9.0 * stage.unit, 3.4 * stage.world.scale)
    return round(mark.x - half), round(mark.y - half), round(2 * half), round(2 * half)

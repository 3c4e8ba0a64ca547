"""What a gap does: held, or asked for with a key, a gap shows the same moment with it cut and with it closed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import ClassVar

import pygame

from sim.coach.sides import BARE
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import ring
from sim.game.draw.slips.gap_card import Half, card
from sim.game.items.common.commands import ShowGap
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.look.modifiers import ctrl_held
from sim.game.picture.ruler import where_words
from sim.game.shorts.closeup import Seen, closeup
from sim.game.shorts.lensing import hot_wheels
from sim.game.whereabouts.stage import PlaceMark, Stage
from sim.session.otherwise import GapMoment
from sim.wiring.names import part_words, place_ref, section_of

__all__ = ["GapCard"]

_SHOWN_MM = 42.0  # of the surroundings from left to right, HO


class GapCard(Thing):
    """The card; the window works out what stands on it when `ShowGap` asks for it."""

    layer: ClassVar = "top"
    heading: ClassVar = "What a gap does"
    keys: ClassVar = (("G", "the ringed gap cut and closed, side by side; or hold it with the pointer"),)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        moments, stage = sight.view.gap, sight.stage
        mark = None if moments is None else _mark(stage, moments[0].place)
        if moments is None or mark is None:
            return
        halves = (_half(moments[0], mark, sight.snapshot.feeds), _half(moments[1], mark, sight.snapshot.feeds))
        name = part_words(stage.bench, place_ref(mark.place.name))
        title = f"What the {name} does"
        where = where_words(stage, mark.place.name)
        paper = card(stage.unit, stage.theme, title, where, halves)
        paper = paper.moved(*_corner(stage, mark, paper.box.size))
        yield paper.sprite
        for number, moment in enumerate(moments):
            place = paper.places[number]
            yield Sprite(closeup(stage, sight.snapshot, _seen(sight, moment, mark, place.size)), place.x, place.y)
            yield ring(place.x + place.width / 2, place.centery, 12 * stage.unit, stage.unit, stage.theme)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if ctrl_held(event):
            return None
        if sight.view.gap is not None and event.key in (pygame.K_g, pygame.K_ESCAPE):
            return Outcome(view=replace(sight.view, gap=None))
        if event.key != pygame.K_g:
            return None
        target = sight.view.focus or sight.view.hover
        mark = _mark(sight.stage, target.name) if target is not None and target.kind == "place" else None
        return Outcome() if mark is None else Outcome(command=ShowGap(mark.place.name))


def _mark(stage: Stage, name: str) -> PlaceMark | None:
    return next((mark for mark in stage.places if mark.place.name == name and mark.place.kind == "gap"), None)


_NOT_PROVED = "the sides of its two rails are not proved yet."


def _half(moment: GapMoment, mark: PlaceMark, feeds: Mapping[str, str]) -> Half:
    """`feeds`: sides as they may be seen."""
    heading, _, text = moment.text.partition(": ")
    quiet = moment.moment.fault is None and not moment.moment.engines  # then it tells which sides meet there
    if quiet and any(feeds.get(section_of(end)) == BARE for end in (mark.place.a, mark.place.b)):
        text = _NOT_PROVED
    text = text[:1].upper() + text[1:]
    return Half(heading, mark.place.state == moment.state, moment.moment.fault is not None, text)


def _seen(sight: Sight, moment: GapMoment, mark: PlaceMark, size: tuple[int, int]) -> Seen:
    stage, known = sight.stage, sight.snapshot.feeds
    share = max((laid.geometry.gauge_mm for laid in stage.plan.laid), default=16.5) / 16.5
    closed = {m.place.name for m in stage.places if m.place.kind == "gap" and m.place.state == "closed"}
    closed = closed | {moment.place} if moment.state == "closed" else closed - {moment.place}
    x, y = stage.world.to_bench((mark.x, mark.y))
    return Seen(
        (round(x, 1), round(y, 1)),
        round(size[0] / (_SHOWN_MM * share), 2),
        size,
        {rail: BARE if known.get(rail) == BARE else side for rail, side in moment.moment.feeds.items()},
        moment.moment.amps,
        frozenset(closed),
        hot_wheels(moment.moment.fault),
    )


def _corner(stage: Stage, mark: PlaceMark, size: tuple[int, int]) -> tuple[int, int]:
    """Above or below the gap, whichever leaves it in sight; inside the mat."""
    mat, unit = stage.rooms.mat, stage.unit
    wide, high = size
    left = min(max(mark.x - wide / 2, mat.x + 10 * unit), mat.right - wide - 10 * unit)
    above, below = mark.y - 44 * unit - high, mark.y + 44 * unit
    top = above if above >= mat.y + 8 * unit or below + high > mat.bottom - 8 * unit else below
    return round(left), round(max(top, mat.y + 8 * unit))

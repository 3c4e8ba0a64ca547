"""Screws and tabs: what a wire ends on. A click or a drag on one takes a new wire from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

import pygame

from sim.game.draw.pen import marks
from sim.game.draw.pen.ink import Sprite
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.items.trackside.pieces import letter_end
from sim.game.items.trackside.strung_wires import legal_ends, snapped
from sim.game.paper.view import Point
from sim.game.picture.mounted import contacts_seen
from sim.game.whereabouts.area import Area, disc
from sim.game.whereabouts.fixtures import Spot
from sim.game.whereabouts.handles import nearest_screw, nearest_spot, screws
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Target
from sim.wiring.names import terminal_words

__all__ = ["Terminals"]


class Terminals(Thing):
    """Every screw and tab, also of things that are not metal of the track."""

    kinds = ("terminal",)
    layer = "board"
    deep = 1.5
    reads = "board"

    def areas(self, sight: Sight) -> Iterator[Area]:
        yield from _areas(sight.stage)

    def over(self, sight: Sight) -> Iterator[Sprite]:
        """A ring round every legal end while a wire is in hand, and round the one that is pointed at."""
        stage, snapshot, view = sight
        hover = view.hover
        chosen = hover.name if hover is not None and hover.kind == "terminal" else None
        for name in sorted(legal_ends(snapshot, view) - {chosen}):
            for spot in stage.fixtures.spots.get(name, ()):
                yield _spot_ring(stage, spot)
        if chosen is not None and chosen in stage.fixtures.spots:
            at = view.hand.at if view.hand is not None else view.pointer
            yield _ring_pointed(stage, chosen, at, strong=view.hand is not None)

    def words(self, sight: Sight, target: Target) -> str:
        named = terminal_words(sight.stage.bench, target.name)
        if not named:
            return target.name
        spots = sight.stage.fixtures.spots.get(target.name, ())
        if any(spot.fixture == "tab" for spot in spots):
            return f"Tab: {named}"
        if named.startswith(("screw ", "end ")):
            return f"{named[:1].upper()}{named[1:]}{_contact_words(sight, target.name)}"
        return f"Screw of {named}"

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        return Hand("wire", target.name, point, True)

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        hand = Hand("wire", target.name, point, False)
        hover, at = snapped(sight.stage, hand, point, None)
        return Outcome(view=replace(sight.view, hand=hand._replace(at=at), hover=hover))


@lru_cache(maxsize=2)
def _areas(stage: Stage) -> tuple[Area, ...]:
    return tuple(_each(stage))


def _each(stage: Stage) -> Iterator[Area]:
    unit = stage.grain
    rows = [
        (spot.x if spot.fixture == "tab" else -1.0, name, spot)
        for name, spots in stage.fixtures.spots.items()
        for spot in spots
    ]
    for _, name, spot in sorted(rows, key=lambda row: row[0]):
        target = Target("terminal", name)
        if spot.fixture == "tab":
            yield disc(target, spot.x, spot.y, max(10 * unit, 5 * stage.unit))
            continue
        yield disc(target, spot.probe_x, spot.probe_y, spot.radius + 2 * unit)
        block = next((place for place in stage.fixtures.blocks if place.motor == spot.fixture), None)
        if block is not None:
            yield disc(target, spot.x, block.lower, spot.radius + 2 * unit)
            left, foot = round(spot.x - 8 * unit), round(block.lower + spot.radius + unit)
            yield Area(target, pygame.Rect(left, foot, round(16 * unit), round(block.face.bottom - foot + 4 * unit)))
    for bar in stage.fixtures.bars:  # between its screws, as good as the one that is next
        rect, end = bar.rect.copy(), letter_end(stage, bar)
        if end is not None:
            rect.width -= end.width
            rect.x += 0 if stage.below else end.width
        yield Area(Target("terminal", bar.terminal), rect)


def _ring_pointed(stage: Stage, terminal: str, at: Point, *, strong: bool) -> Sprite:
    """The ring round that screw or tab of a terminal which is pointed at."""
    unit, spot = stage.unit, nearest_spot(stage, terminal, at)
    x, y = (spot.x, spot.y) if spot.fixture == "tab" else nearest_screw(stage, terminal, at)
    radius = 9.5 * unit if spot.fixture == "tab" else spot.radius + (3.5 if strong else 2.2) * unit
    return marks.ring(x, y, radius, unit, stage.theme, strong)


def _spot_ring(stage: Stage, spot: Spot) -> Sprite:
    """The ring round a place where a wire in hand can end."""
    unit = stage.unit
    if spot.fixture == "tab":
        return marks.ring(spot.x, spot.y, 9.5 * unit, unit, stage.theme, False)
    x, y = screws(stage, spot)[-1]
    return marks.ring(x, y, spot.radius + 2.2 * unit, unit, stage.theme, False)


def _contact_words(sight: Sight, name: str) -> str:
    """ ", a common" or ", an outer" of a screw whose contact is seen; empty for others."""
    owner, _, letter = name.partition(".")
    snapshot = sight.snapshot
    for motor in snapshot.bench.motors:
        for number in contacts_seen(snapshot, motor, sight.view.lids_off) if motor.id == owner else ():
            contact = motor.changeovers[number]
            if letter in contact.letters:
                return ", a common" if letter == contact.common else ", an outer"
    return ""

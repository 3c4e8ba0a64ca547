"""Track, motors and fixtures of the test track: clicked, their slip opens; joiners are changed where they are."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import ClassVar

import numpy as np
import pygame

from sim.bench.edits import TurnMotor
from sim.bench.laying import JoinEnds, PartEnds, SetJoint
from sim.bench.model import Bench
from sim.game.draw.pen import marks
from sim.game.draw.pen.ink import Sprite
from sim.game.items.cards.piece_choices import next_joint, piece_lines, piece_title
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area, along, disc
from sim.game.whereabouts.fixtures import BarPlace
from sim.game.whereabouts.joinery import joiner_places
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Note, Target
from sim.session.acts import Do
from sim.track.laying import joinable, open_places

__all__ = ["Ends", "Fittings", "Joints", "Pieces", "letter_end"]


def _open_to(sight: Sight, name: str) -> Outcome:
    """The slip of a thing opened; by keyboard one goes on at the slip."""
    opened = replace(sight.view, opened=name, hover=None)
    if opened.focus is not None:
        lines = piece_lines(sight.stage.bench, name)
        first = next(choice.name for line in lines for choice in line.choices if choice.look != "value")
        opened = replace(opened, focus=Target("piece-slip", first))
    return Outcome(view=opened)


def _own(bench: Bench) -> bool:
    """Whether the bench is one's own, to be laid as one likes."""
    return bench.level is None


class Pieces(Thing):
    """Pieces of track, met on their sleepers, and buffer stops."""

    kinds = ("piece",)
    layer = "bed"
    deep = 0.6

    def areas(self, sight: Sight) -> Iterator[Area]:
        if _own(sight.stage.bench):
            yield from _piece_areas(sight.stage)

    def note(self, sight: Sight, target: Target) -> Note | None:
        pointer = sight.view.pointer
        title = piece_title(sight.stage.bench, target.name)
        return Note((pointer[0] + 8 * sight.stage.unit, pointer[1]), (title, "Click: change it, take it away"))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        return _open_to(sight, target.name)


@lru_cache(maxsize=4)
def _piece_areas(stage: Stage) -> tuple[Area, ...]:
    out = []
    for laid in stage.plan.laid:
        target = Target("piece", laid.id)
        reach = max(12 * stage.unit, (laid.geometry.gauge_mm / 2 + 4) * stage.world.scale)
        if not laid.geometry.tracks:
            out.append(disc(target, *stage.world.to_screen((laid.x, laid.y)), max(12 * stage.unit, reach * 0.7)))
        for number, path in enumerate(laid.geometry.tracks):
            x, y, _ = stage.plan.layout.pose(laid.id, number, np.linspace(0.0, path.length_mm, 15))
            line = tuple(stage.world.to_screen((a, b)) for a, b in zip(x.tolist(), y.tolist(), strict=True))
            out.append(along(target, line, reach))
    return tuple(out)


def letter_end(stage: Stage, bar: BarPlace) -> pygame.Rect | None:
    """The end of a tap's holder with the letter, clear of the screws, where its slip is opened; None for other bars."""
    taps = stage.bench.bus.taps if stage.bench.bus is not None else {}
    if not _own(stage.bench) or bar.side != "A" or bar.terminal.rpartition(".")[0] not in taps:
        return None
    edge = round(30 * stage.unit)
    return pygame.Rect(bar.rect.right - edge if stage.below else bar.rect.x, bar.rect.y, edge, bar.rect.height)


class Fittings(Thing):
    """Motors, lamps, polarity units and taps. In a job a motor can only be turned round, where the job allows it."""

    kinds = ("motor", "fixture")
    layer = "bed"
    deep = 1.0

    def areas(self, sight: Sight) -> Iterator[Area]:
        stage = sight.stage
        for place in stage.fixtures.blocks:
            lid = pygame.Rect(place.housing.x, place.housing.y, place.housing.width, place.face.y - place.housing.y)
            yield Area(Target("motor", place.motor), lid)
        if not _own(stage.bench):
            return
        for box in (*stage.fixtures.lamps, *stage.fixtures.polarities):
            yield Area(Target("fixture", box.id), box.rect)
        for bar in stage.fixtures.bars:
            end = letter_end(stage, bar)
            if end is not None:
                yield Area(Target("fixture", bar.terminal.rpartition(".")[0]), end)

    def note(self, sight: Sight, target: Target) -> Note | None:
        stage = sight.stage
        level = stage.bench.level
        if level is not None:
            if not level.allow.motor:
                return None
            place = next(place for place in stage.fixtures.blocks if place.motor == target.name)
            return Note(
                (float(place.housing.centerx), place.housing.y + 34 * stage.unit), ("Click: turn the", "motor round")
            )
        pointer = sight.view.pointer
        title = piece_title(stage.bench, target.name)
        return Note((pointer[0] + 8 * stage.unit, pointer[1]), (title, "Click: change it, take it away"))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        if not _own(sight.stage.bench):
            return Outcome((Do(TurnMotor(target.name)),))
        return _open_to(sight, target.name)


class Joints(Thing):
    """Joiners between two pieces: clicked, they are metal, insulated or bad in turn."""

    kinds = ("joint",)
    deep = 1.5  # as deep as tabs and gaps: the nearest of them is meant

    def areas(self, sight: Sight) -> Iterator[Area]:
        if _own(sight.stage.bench):
            for end, side, (x, y) in joiner_places(sight.stage):
                yield disc(Target("joint", f"{end}/{side}"), x, y, 12 * sight.stage.unit)

    def note(self, sight: Sight, target: Target) -> Note | None:
        end, _, side = target.name.partition("/")
        at = next((at for e, s, at in joiner_places(sight.stage) if (e, s) == (end, side)), None)
        if at is None:
            return None
        now = next(
            s.state
            for joint in sight.stage.plan.layout.joints
            if joint.end == end
            for s in joint.sides
            if s.side == side
        )
        following = next_joint(sight.stage.bench, end, side)
        lines = (f"Joiner: {_WORDS[now]}", f"Click: {_WORDS[following]}; Del parts the joint")
        return Note((at[0] + 10 * sight.stage.unit, at[1]), lines)

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        end, _, side = target.name.partition("/")
        return Outcome((Do(SetJoint(end, side, next_joint(sight.stage.bench, end, side))),))


_WORDS = {"metal": "metal", "insulated": "insulated", "bad": "loose, conducts badly"}


class Ends(Thing):
    """Open ends of track: one taken to another joins the two."""

    kinds = ("open-end", "joining", "join-here")
    meets: ClassVar = frozenset(kinds)
    layer = "bed"
    deep = 0.3
    heading = "Test track"
    keys = (("Enter", "on an open end, then on another: the two joined"),)

    def areas(self, sight: Sight) -> Iterator[Area]:
        stage, hand = sight.stage, sight.view.hand
        if not _own(stage.bench):
            return
        for end, (x, y) in _open_ends(stage).items():
            if hand is None:
                yield disc(Target("open-end", end), x, y, 12 * stage.unit)
            elif hand.what == "joining" and end in joinable(stage.plan.layout, hand.name):
                yield disc(Target("join-here", end), x, y, 14 * stage.unit)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        stage, view = sight.stage, sight.view
        if view.hand is not None and view.hand.what == "joining":
            every = _open_ends(stage)
            for end in (view.hand.name, *joinable(stage.plan.layout, view.hand.name)):
                if end in every:
                    x, y = every[end]
                    strong = end in (view.hand.name, view.at_place)
                    yield marks.ring(round(x), round(y), 12 * stage.unit, stage.unit, stage.theme, strong)

    def note(self, sight: Sight, target: Target) -> Note | None:
        x, y = _open_ends(sight.stage).get(target.name, sight.view.pointer)
        more = (
            "Take it to another open end" if joinable(sight.stage.plan.layout, target.name) else "Nothing to join yet"
        )
        return Note((x + 10 * sight.stage.unit, y), (f"Open end {target.name}", more))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        hand = sight.view.hand
        if target.kind == "join-here" and hand is not None:
            focus = None if sight.view.focus is None else Target("piece", target.name.partition(".")[0])
            view = replace(sight.view, hand=None, at_place=None, focus=focus)
            return Outcome((Do(JoinEnds(hand.name, target.name)),), view=view)
        others = joinable(sight.stage.plan.layout, target.name)
        if not others:
            return NOTHING
        taken = replace(sight.view, hand=Hand("joining", target.name, point, False), at_place=None)
        if taken.focus is not None:
            taken = replace(taken, focus=Target("join-here", others[0]), at_place=others[0])
        return Outcome(view=taken)

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        if target.kind == "open-end" and joinable(sight.stage.plan.layout, target.name):
            return Hand("joining", target.name, point, True)
        return None

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        return Outcome(view=replace(sight.view, at_place=_nearest_end(sight, hand, point)))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        near = _nearest_end(sight, hand, point)
        view = replace(sight.view, at_place=None)
        return Outcome(() if near is None else (Do(JoinEnds(hand.name, near)),), view=view)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        focus = sight.view.focus
        if event.key == pygame.K_DELETE and focus is not None and focus.kind == "joint":
            return Outcome((Do(PartEnds(focus.name.partition("/")[0])),), view=replace(sight.view, focus=None))
        return None


@lru_cache(maxsize=4)
def _open_ends(stage: Stage) -> dict[str, Point]:
    return {end: stage.world.to_screen((x, y)) for end, (x, y, _) in open_places(stage.plan.layout).items()}


def _nearest_end(sight: Sight, hand: Hand, point: Point) -> str | None:
    every = _open_ends(sight.stage)
    others = [end for end in joinable(sight.stage.plan.layout, hand.name) if end in every]
    near = min(others, key=lambda end: math.dist(every[end], point), default=None)
    return near if near is not None and math.dist(every[near], point) <= 40 * sight.stage.unit else None

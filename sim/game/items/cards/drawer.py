"""The drawer of the test track: what is taken from it is laid at open ends, at points, on rails, or by itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

import pygame

from sim.bench.edits import EditRefused, Remove
from sim.coach.assessment import told
from sim.game.draw.pen import marks
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import bubble
from sim.game.draw.railway.vehicle import vehicle
from sim.game.draw.slips.drawer_sheet import drawer
from sim.game.draw.slips.progress_bar import progress
from sim.game.items.common.commands import AskBench
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.look.fonts import Type
from sim.game.look.modifiers import ctrl_held
from sim.game.look.theme import Theme
from sim.game.paper.view import Point
from sim.game.picture.laying import (
    APART,
    ITEMS,
    VEHICLES,
    edit_for,
    ghost_rails,
    own_end,
    own_end_words,
    places_for,
    sort_of,
    standing_near,
)
from sim.game.picture.papers import drawer_lies_open
from sim.game.picture.rolling import train_bodies
from sim.game.whereabouts.area import Area, disc
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Note, Target, ViewState
from sim.session.acts import Do
from sim.session.snapshot import TrainView, VehicleView
from sim.track.laying import box_item, ends_of

__all__ = ["KEPT_WORDS", "Drawer"]

_WORDS = tuple((item.name, item.word) for item in ITEMS)
_BUTTONS = ("compare", "break", "test")
_REACH = 46.0
KEPT_WORDS = "Kept as first. Change it, then compare."


class Drawer(Thing):
    """What lies open in the place of the job sheet on a bench without a job."""

    kinds = ("place-here", "drawer", "laying")
    layer = "paper"
    meets: ClassVar = frozenset(kinds)
    heading = "Test track"
    keys = (
        ("A", "open the drawer of pieces, or fold it away"),
        ("Enter", "on a piece: take it; on a ring: lay it there"),
        ("E", "another end of the piece in hand to the ring"),
        ("K", "keep this wiring as the first; then compare with it"),
        ("O", "open each wire, contact and joint once: what dies"),
        ("Esc", "end what is being worked out"),
        ("Del", "take away what is ringed, with all that hangs on it"),
    )

    def areas(self, sight: Sight) -> Iterator[Area]:
        hand = sight.view.hand
        if hand is not None and hand.what == "laying":
            for name, at in places_for(sight.stage, hand.name).items():
                yield disc(Target("place-here", name), *at, 14 * sight.stage.unit)
        if not drawer_lies_open(sight.snapshot, sight.view):
            return
        for name, rect in _sheet(sight).places.items():
            if name == "fold":
                yield Area(Target("fold", "sheet"), rect)
            elif name in _BUTTONS:
                yield Area(Target("button", name), rect)
            else:
                yield Area(Target("drawer", name), rect)
        yield Area(Target("paper", "sheet"), sight.stage.rooms.sheet)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        stage, snapshot, view = sight
        if drawer_lies_open(snapshot, view):
            sheet = _sheet(sight)
            places = sheet.places
            yield sheet.sprite
            if view.testing is not None:
                yield progress(places["test"], stage.unit, stage.theme, view.testing)
            if view.work is not None:
                what, share = view.work
                yield progress(places[what], stage.unit, stage.theme, share, "")
        if view.hand is not None and view.hand.what == "laying":
            yield from _in_hand(sight, view.hand)

    def note(self, sight: Sight, target: Target) -> Note | None:
        item = next((item for item in ITEMS if item.name == target.name), None)
        if item is None or target.kind != "drawer":
            return None
        place = _sheet(sight).places[item.name]
        lines: tuple[str, ...] = (item.words,)
        if not places_for(sight.stage, item.name):
            lines = (item.words, _where_words(sight, item.name))
        return Note((float(place.right - 4), float(place.centery)), lines)

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        if target.kind == "place-here":
            hand = sight.view.hand
            return _lay(sight, hand.name, target.name, point) if hand is not None else NOTHING
        if sort_of(target.name) == "board":
            return _lay(sight, target.name, APART, point)
        places = places_for(sight.stage, target.name)
        if not places:
            return _not_here(sight, target.name, point)
        if len(places) == 1 and sort_of(target.name) == "motor":
            return _lay(sight, target.name, next(iter(places)), point)
        view = replace(sight.view, hand=Hand("laying", target.name, point, False), turns=0, at_place=None)
        if view.focus is not None:
            first = next(iter(places))
            view = replace(_over(sight._replace(view=view), target.name, first), focus=Target("place-here", first))
        return Outcome(view=view)

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        if target.kind == "drawer":
            return Hand("laying", target.name, point, True)
        return None

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        if sort_of(hand.name) == "vehicle":
            stand = standing_near(sight.stage, sight.snapshot, hand.name, point) if _on_mat(sight, point) else None
            ghost = None if stand is None else (hand.name, stand.axles)
            return Outcome(view=replace(sight.view, ghost=ghost, at_place=None, ghost_rails=()))
        near = _near(sight, hand.name, point)
        if near == sight.view.at_place:
            return Outcome(view=sight.view)
        return Outcome(view=_over(sight, hand.name, near))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        near = _near(sight, hand.name, point)
        if near is None and _on_mat(sight, point) and APART in places_for(sight.stage, hand.name):
            near = APART
        if near is not None:
            return _lay(sight, hand.name, near, point)
        return _not_here(sight, hand.name, point) if _on_mat(sight, point) else Outcome(view=_empty(sight.view))

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if sight.stage.bench.level is not None or ctrl_held(event):
            return None
        hand, focus = sight.view.hand, sight.view.focus
        if event.key == pygame.K_ESCAPE and sight.view.work is not None and hand is None:
            return Outcome((), AskBench.STOP)
        if event.key == pygame.K_a:
            return Outcome(view=replace(sight.view, folded=not sight.view.folded))
        if event.key == pygame.K_k:
            return Outcome((), AskBench.COMPARE)
        if event.key == pygame.K_o:
            return Outcome((), AskBench.BREAK_EACH)
        if event.key == pygame.K_e and hand is not None and hand.what == "laying":
            turned = sight._replace(view=replace(sight.view, turns=sight.view.turns + 1))
            return Outcome(view=_over(turned, hand.name, sight.view.at_place))
        if event.key == pygame.K_DELETE and focus is not None and focus.kind in _REMOVABLE:
            return Outcome((Do(Remove(focus.name)),), view=replace(sight.view, focus=None))
        return None


def _sheet(sight: Sight) -> Arrangement[str]:
    stage, snapshot, view = sight
    compare = "Keep as first" if view.first is None else "Compare"
    lines = (view.hint.text,) if view.hint is not None else told(snapshot)[-8:]
    if view.hint is None and view.first is not None and view.first == snapshot.bench:
        lines = (*lines, KEPT_WORDS)
    able = view.testing is None and view.work is None
    title = stage.bench.title or "Test track"
    return drawer(box_of(stage.rooms.sheet), stage.unit, stage.theme, title, _WORDS, compare, lines, able)


_REMOVABLE = frozenset({"piece", "motor", "fixture", "vehicle"})


def _empty(view: ViewState) -> ViewState:
    """The view with nothing in hand."""
    return replace(view, hand=None, ghost=None, ghost_rails=(), at_place=None, turns=0)


def _on_mat(sight: Sight, point: Point) -> bool:
    """Whether a point is on the mat and not on the drawer itself."""
    under_sheet = drawer_lies_open(sight.snapshot, sight.view) and sight.stage.rooms.sheet.collidepoint(point)
    return bool(sight.stage.rooms.mat.collidepoint(point)) and not under_sheet


def _near(sight: Sight, item: str, point: Point) -> str | None:
    """The ring nearest to a point, within reach."""
    if sort_of(item) == "vehicle":
        return next(iter(places_for(sight.stage, item)), None) if _on_mat(sight, point) else None
    places = places_for(sight.stage, item)
    best = min(places, key=lambda name: math.dist(places[name], point), default=None)
    return best if best is not None and math.dist(places[best], point) <= _REACH * sight.stage.unit else None


def _over(sight: Sight, item: str, place: str | None) -> ViewState:
    """The view with an item held at a place."""
    if place is None:
        return replace(sight.view, at_place=None, ghost_rails=())
    if sort_of(item) == "vehicle":
        stand = standing_near(sight.stage, sight.snapshot, item, places_for(sight.stage, item)[place])
        return replace(sight.view, at_place=place, ghost=None if stand is None else (item, stand.axles))
    rails = ghost_rails(sight.stage.bench, item, place, sight.view.turns)
    return replace(sight.view, at_place=place, ghost_rails=rails)


def _lay(sight: Sight, item: str, place: str, point: Point) -> Outcome:
    if sort_of(item) == "vehicle" and not _on_mat(sight, point):
        return Outcome(view=_empty(sight.view))
    try:
        edit = edit_for(sight.stage, sight.snapshot, item, place, point, sight.view.turns)
    except (EditRefused, ValueError):
        edit = None
    view = _empty(sight.view)
    if view.focus is not None:
        view = replace(view, focus=Target("drawer", item))
    return Outcome((Do(edit),) if edit is not None else (), view=view)


def _where_words(sight: Sight, item: str) -> str:
    """Where an item belongs, as a hand is told that let go of it elsewhere; or why it belongs nowhere."""
    driven = {points for motor in sight.stage.bench.motors for points in motor.drives}
    if sort_of(item) == "motor":
        points = [points.id for points in sight.stage.bench.point_sets]
        if not points:
            return "No turnout to put it on"
        if driven.issuperset(points):
            return "Every turnout has one"
        return "Drop it on a turnout without a motor" if driven else "Drop it on a turnout"
    if not places_for(sight.stage, item):
        stops = sort_of(item) == "track" and box_item(item).stops
        return "No open end of track to put it on" if stops else "No track to put it on"
    return "Drop it on an open end of track"


def _not_here(sight: Sight, item: str, point: Point) -> Outcome:
    """Nothing is laid, and a few words beside the hand say why."""
    return Outcome(view=replace(_empty(sight.view), said=Note(point, (_where_words(sight, item),))))


# What is in the hand


def _in_hand(sight: Sight, hand: Hand) -> Iterator[Sprite]:
    stage, _, view = sight
    unit, theme = stage.unit, stage.theme
    places = places_for(stage, hand.name)
    if view.ghost_rails:
        lines = tuple(
            tuple((round(x, 1), round(y, 1)) for x, y in map(stage.world.to_screen, line)) for line in view.ghost_rails
        )
        yield _ghost(lines, box_of(stage.rooms.mat), unit, theme)
    if view.ghost is not None and sort_of(hand.name) == "vehicle":
        yield from _ghost_vehicle(stage, view.ghost)
    if sort_of(hand.name) != "vehicle" or view.focus is not None:
        for name, (x, y) in places.items():
            yield marks.ring(round(x), round(y), 12 * unit, unit, theme, name == view.at_place)
        if APART in places:
            x, y = places[APART]
            words = f"{APART}, a switch" if hand.name == "lever" else APART
            yield _label(stage, (round(x + 16 * unit), round(y)), words)
    own = own_end(hand.name, view.turns)
    if own is not None and view.at_place not in (None, APART) and len(ends_of(hand.name)) > 1:
        x, y = places.get(str(view.at_place), hand.at)
        words = f"by its {own_end_words(hand.name, view.turns)}; E: by another"
        yield _end_label(stage, (x, y), words)


def _end_label(stage: Stage, end: Point, words: str) -> Sprite:
    """Words over an end of track, clear of its ring and its rails: over it, or under it where there is no room."""
    kind, unit, mat = Type(stage.theme, stage.unit), stage.unit, stage.rooms.mat
    width, height = round(kind.width(words, "body") + 22 * unit), round(kind.height("body") + 10 * unit)
    away = round(max(30 * unit, 18 * stage.world.scale))
    left = min(max(round(end[0] - width / 2), mat.x + round(8 * unit)), mat.right - width - round(8 * unit))
    over = end[1] - away - height > mat.y + 8 * unit
    top = round(end[1] - away - height if over else end[1] + away)
    tip = round(end[0]), round(end[1] + (-1 if over else 1) * 15 * unit)
    return bubble(tip, (left, top, width, height), unit, stage.theme, (words,))


def _label(stage: Stage, tip: tuple[int, int], words: str) -> Sprite:
    kind, unit = Type(stage.theme, stage.unit), stage.unit
    width, height = round(kind.width(words, "body") + 22 * unit), round(kind.height("body") + 10 * unit)
    left = min(tip[0] + round(12 * unit), stage.rooms.mat.right - width - round(8 * unit))
    return bubble(tip, (left, tip[1] - height // 2, width, height), unit, stage.theme, (words,))


@kept
def _ghost(lines: tuple[tuple[Point, ...], ...], mat: Box, unit: float, theme: Theme) -> Sprite:
    """Rails that are not laid yet, pale."""
    xs = [x for line in lines for x, _ in line]
    ys = [y for line in lines for _, y in line]
    area = pygame.Rect(
        math.floor(min(xs)), math.floor(min(ys)), math.ceil(max(xs) - min(xs)) + 1, math.ceil(max(ys) - min(ys)) + 1
    )
    pen = Pen(area.inflate(round(16 * unit), round(16 * unit)).clip(pygame.Rect(mat)), 2)
    for line in lines:
        pen.stroke(line, 6.4 * unit, theme["ring-dark"], 0.75)
        pen.stroke(line, 3.4 * unit, theme["ring"], 0.9)
    return pen.done()


def _ghost_vehicle(stage: Stage, ghost: tuple[str, tuple[tuple[float, float, float], ...]]) -> Iterator[Sprite]:
    view = VehicleView(VEHICLES.get(ghost[0], ghost[0]), ghost[1], (), 0.0)
    for body, bearing, (x, y) in train_bodies(stage, TrainView("", 0.0, 1, 0.0, 0.0, False, False, (view,))):
        part = vehicle(body, round(bearing, 3), stage.world.scale, (0.0, 0.0), stage.unit, stage.theme, 2)
        yield part.moved(math.floor(x), math.floor(y))

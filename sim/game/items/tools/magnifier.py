"""The magnifier: parked on the mat, held over a place, or laid beside one; on a short it offers itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import ClassVar, NamedTuple

import pygame

from sim.game.draw.instruments import lens as lenses
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.slips.word_slip import word_slip
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.items.tools.ammeter import hung_tag
from sim.game.look.modifiers import ctrl_held
from sim.game.paper.view import Point
from sim.game.picture.papers import folded_away
from sim.game.shorts.closeup import closeup
from sim.game.shorts.lensing import lens_words, seen_at
from sim.game.shorts.shortslot import Slot, loop_path, offered_at, slot_shown, strip_of
from sim.game.whereabouts.area import Area, along, disc
from sim.game.whereabouts.metal import nearest_metal
from sim.game.whereabouts.parking import park
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Lens, Note, Target

__all__ = ["Magnifier", "label_place"]

_STEP_PX = 10.0
_LABEL_PX = 292.0  # the widest that the label is
_STEPS = {pygame.K_LEFT: (-1, 0), pygame.K_RIGHT: (1, 0), pygame.K_UP: (0, -1), pygame.K_DOWN: (0, 1)}


class _Held(NamedTuple):
    """The lens in use: the middle of its glass and the place it shows (px), that place in mm; its radius, px.

    mirrored: its grip is to the right; slot: what it offers itself with in a short, None once it has been laid
    """

    glass: Point
    place: Point
    of: Point
    radius: float
    mirrored: bool
    slot: Slot | None = None


class Magnifier(Thing):
    """One lens."""

    kinds: ClassVar = ("lens",)
    layer: ClassVar = "board"
    heading: ClassVar = "Magnifier"
    keys: ClassVar = (
        ("L", "look closely at what is ringed or pointed at; once more: put it away"),
        ("Arrows", "move the lens, while it is ringed itself"),
    )

    def areas(self, sight: Sight) -> Iterator[Area]:
        held = _held(sight)
        if held is None:
            yield Area(Target("lens"), park(sight.stage, "lens"))
            return
        unit = sight.stage.unit
        yield disc(Target("lens"), *held.glass, held.radius)
        end = lenses.handle_end(held.glass, held.radius, unit, held.mirrored)
        yield along(Target("lens"), (held.glass, end), 9 * unit)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        stage = sight.stage
        unit, theme = stage.unit, stage.theme
        held = _held(sight)
        if held is None:
            rect = park(stage, "lens")
            yield lenses.small_lens((rect.x, rect.y, rect.width, rect.height), unit, theme, stage.below)
            return
        radius = held.radius
        beam = lenses.beams(held.place, held.glass, radius, unit, theme)
        if beam is not None:
            yield beam
        edge = 2 * round(radius)
        seen = seen_at(stage, sight.snapshot, held.of, edge)
        yield lenses.glass(closeup(stage, sight.snapshot, seen), held.glass, unit)
        yield lenses.rim(held.glass, radius, unit, theme, held.mirrored)
        if held.slot is not None:
            return
        yield _label(sight, held).sprite

    def note(self, sight: Sight, target: Target) -> Note | None:
        if _held(sight) is not None:
            return None
        rect = park(sight.stage, "lens")
        return Note((float(rect.centerx), float(rect.y - 6)), ("Magnifier: drag it", "over the rails"))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        return NOTHING if _held(sight) is not None else self._look(sight)

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        held = _held(sight)
        dx, dy = (0.0, 0.0) if held is None else (held.glass[0] - point[0], held.glass[1] - point[1])
        return Hand("lens", "", point, True, grip=(round(dx), round(dy)))

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        dx, dy = hand.grip
        glass = _inside(sight.stage, (point[0] + dx, point[1] + dy))
        return Outcome(view=replace(sight.view, lens=Lens(sight.stage.world.to_bench(glass), None)))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        if park(sight.stage, "lens").inflate(40, 40).collidepoint(point):
            return _away(sight)
        return self.carry(sight, hand, point, over)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if ctrl_held(event):
            return None
        held = _held(sight)
        if event.key == pygame.K_l:
            return _away(sight) if held is not None else self._look(sight)
        focused = sight.view.focus is not None and sight.view.focus.kind == "lens"
        if focused and held is not None and event.key in _STEPS:
            x, y = _STEPS[event.key]
            step = _STEP_PX * sight.stage.unit
            glass = _inside(sight.stage, (held.glass[0] + x * step, held.glass[1] + y * step))
            return Outcome(view=replace(sight.view, lens=Lens(sight.stage.world.to_bench(glass), None)))
        return None

    def _look(self, sight: Sight) -> Outcome:
        """Look at what the keyboard has ringed, else at the rail nearest to the pointer, else at the first frog."""
        place = _wanted(sight)
        glass = _beside(sight, place)
        world = sight.stage.world
        lens = Lens(world.to_bench(glass), world.to_bench(place))
        return Outcome(view=replace(sight.view, lens=lens, lens_away=sight.snapshot.fault))


def _radius(stage: Stage) -> float:
    return lenses.RADIUS * stage.unit


def _away(sight: Sight) -> Outcome:
    return Outcome(view=replace(sight.view, lens=None, lens_away=sight.snapshot.fault))


def _inside(stage: Stage, point: Point) -> Point:
    mat, edge = stage.rooms.mat, 12 * stage.unit
    return (
        round(min(max(point[0], mat.x + edge), mat.right - edge), 1),
        round(min(max(point[1], mat.y + edge), mat.bottom - edge), 1),
    )


def _held(sight: Sight) -> _Held | None:
    """How it is held now: as it was laid, or, on a short, beside the place that a wheel bridges."""
    stage, view = sight.stage, sight.view
    world = stage.world
    if view.lens is not None:
        glass = _inside(stage, world.to_screen(view.lens.glass))
        glass = (float(round(glass[0])), float(round(glass[1])))
        if view.lens.of is None:
            return _Held(glass, glass, world.to_bench(glass), _radius(stage), stage.below)
        place = world.to_screen(view.lens.of)
        return _Held(glass, (float(round(place[0])), float(round(place[1]))), view.lens.of, _radius(stage), stage.below)
    of = offered_at(stage, sight.snapshot, view)
    slot = None if of is None else slot_shown(stage, sight.snapshot, view)
    if of is None or slot is None or slot.glass is None:
        return None
    x, y = world.to_screen(of)
    return _Held(slot.glass, (float(round(x)), float(round(y))), of, slot.radius, slot.mirrored, slot)


def _wanted(sight: Sight) -> Point:
    stage, view = sight.stage, sight.view
    target = view.focus or view.hover
    if target is not None:
        if target.kind == "place":
            mark = next((mark for mark in stage.places if mark.place.name == target.name), None)
            if mark is not None:
                return mark.x, mark.y
        spots = stage.fixtures.spots.get(target.name, ()) if target.kind == "terminal" else ()
        if spots and spots[0].fixture == "tab":
            return spots[0].probe_x, spots[0].probe_y
        train = next((t for t in sight.snapshot.trains if target.kind == "vehicle" and t.id == target.name), None)
        if train is not None and train.vehicles:
            return stage.world.to_screen(train.vehicles[0].axles[0][:2])
    metal = nearest_metal(stage, view.pointer, 60 * stage.unit)
    if metal is not None and metal[2]:
        return metal[1]
    frogs = [laid.mark(point) for laid in stage.plan.laid for point in laid.geometry.marks.frog_points]
    if frogs:
        return stage.world.to_screen((frogs[0].x, frogs[0].y))
    mat = stage.rooms.mat
    return float(mat.centerx), float(mat.centery)


def _keep_off(sight: Sight) -> list[pygame.Rect]:
    """What must not be covered: the sheet with its sentence, the slip."""
    stage = sight.stage
    out = [stage.rooms.folded if folded_away(sight.snapshot, sight.view) else stage.rooms.sheet]
    strip = strip_of(stage, sight.snapshot, sight.view)
    if strip is not None:
        return [*out, strip.box]
    slip = stage.slip
    if slip.width:
        out.append(slip if sight.view.slip else pygame.Rect(slip.x, slip.bottom - 30, slip.width, 30))
    return out


def _beside(sight: Sight, place: Point) -> Point:
    """Where the glass lies to show a place (px): near it, in the mat, covering neither sheet nor slip nor the place."""
    fault = sight.snapshot.fault
    way: tuple[Point, ...] = ()
    if fault is not None and fault.loop:
        way = loop_path(sight.stage, sight.snapshot, sight.view)[::3]
    off = tuple((rect.x, rect.y, rect.width, rect.height) for rect in _keep_off(sight))
    return _spot(sight.stage, place, off, way)


@lru_cache(maxsize=8)
def _spot(stage: Stage, place: Point, keep_off: tuple[Box, ...], way: tuple[Point, ...]) -> Point:
    unit, mat, radius = stage.unit, stage.rooms.mat, _radius(stage)
    blocks = [block.housing.union(block.face) for block in stage.fixtures.blocks]
    blocks += [bar.rect for bar in stage.fixtures.bars]
    low, high = stage.fixtures.track_top, stage.fixtures.track_foot
    best: tuple[float, Point] | None = None
    for far in (40.0, 70.0, 110.0, 160.0, 220.0, 290.0):
        for k in range(24):
            turn = 2 * math.pi * k / 24 + math.pi / 2
            x, y = place[0] + math.cos(turn) * (radius + far * unit), place[1] + math.sin(turn) * (radius + far * unit)
            edge = round(2 * radius)
            box = pygame.Rect(round(x - radius), round(y - radius), edge, edge).inflate(12, 12)
            cost = far / 40
            cost += 40.0 * (not mat.inflate(-8, -8).contains(box))
            cost += sum(60.0 for rect in keep_off if box.colliderect(rect))
            cost += sum(10.0 for rect in blocks if rect.colliderect(box))
            cost += 5.0 * max(0.0, min(box.bottom, high) - max(box.y, low)) / max(1.0, high - low)
            cost += min(9.0, 0.35 * sum(box.collidepoint(point) for point in way))
            if best is None or cost < best[0]:
                best = (cost, (x, y))
    if best is None:
        return place
    return float(round(best[1][0])), float(round(best[1][1]))


def _words(sight: Sight, held: _Held) -> tuple[str, str]:
    radius = _radius(sight.stage)
    seen = seen_at(sight.stage, sight.snapshot, held.of, 2 * round(radius))
    return lens_words(sight.stage, sight.snapshot, held.of, 0.8 * radius / seen.scale)


def label_place(sight: Sight) -> Box:
    """Where the label of the lens in use lies, px; ValueError when it is parked."""
    held = _held(sight)
    if held is None:
        raise ValueError("the lens is parked")
    if held.slot is not None and held.slot.box is not None:
        return held.slot.box
    return box_of(_label(sight, held).box)


def _label(sight: Sight, held: _Held) -> Arrangement[str]:
    """The label beside the glass, where it covers least."""
    stage = sight.stage
    unit, mat, radius = stage.unit, stage.rooms.mat, _radius(stage)
    most = _LABEL_PX * (1 + 0.9 * (stage.theme.type_scale - 1)) * unit
    label = word_slip(unit, stage.theme, *_words(sight, held), None, most)
    wide, high = label.box.size
    x, y = held.glass
    gap = radius + 16 * unit
    keep_off = _keep_off(sight)
    tag = hung_tag(sight)
    if tag is not None:
        keep_off.append(tag)
    edge = round((stage.tag_px + 4) * unit)
    tags = [pygame.Rect(round(a - edge / 2), round(b - edge / 2), edge, edge) for _, a, b in stage.tags]
    best: tuple[float, pygame.Rect] | None = None
    for number, (left, top) in enumerate((
        (x + gap, y - high / 2 + 30 * unit), (x + gap, y - high), (x + gap, y), (x - gap - wide, y - high * 0.8),
        (x - wide / 2, y - gap - high), (x - wide / 2, y + gap), (x - gap - wide, y),
        (x - wide / 2, y - gap - high - 24 * unit), (x - wide / 2, y - gap - high - 48 * unit),
    )):  # fmt: skip
        low_x, high_x = mat.x + 10 * unit, mat.right - wide - 10 * unit
        low_y, high_y = mat.y + 10 * unit, mat.bottom - high - 10 * unit
        rect = pygame.Rect(round(min(max(left, low_x), high_x)), round(min(max(top, low_y), high_y)), wide, high)
        cost = 0.4 * number + (abs(rect.x - left) + abs(rect.y - top)) / (40 * unit)
        glass = pygame.Rect(round(x - radius), round(y - radius), round(2 * radius), round(2 * radius))
        cost += 25.0 * glass.inflate(-10, -10).colliderect(rect)
        cost += sum(30.0 for other in keep_off if other.colliderect(rect))
        cost += 6.0 * len(rect.collidelistall(tags))
        cost += 10.0 * rect.inflate(16, 16).collidepoint(held.place)
        shared = min(rect.bottom, stage.fixtures.track_foot) - max(rect.y, stage.fixtures.track_top)
        cost += 3.0 * max(0.0, shared) / max(1.0, rect.height)
        if best is None or cost < best[0]:
            best = (cost, rect)
    if best is None:
        raise ValueError("no place for a label")
    return label.moved(*best[1].topleft)

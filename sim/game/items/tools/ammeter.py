"""The clip-on ammeter: parked on the mat, laid round any wire or rail, which its tag then reads."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar, NamedTuple

import pygame

from sim.game.draw.instruments.clampmeter import amps_text, clampmeter, grip_end, tag, tag_size, thread
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import Box
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.look.fonts import Type
from sim.game.look.modifiers import ctrl_held
from sim.game.paper.view import Point
from sim.game.picture.clamp import Round, around, clip_at, clip_of_rail, clip_of_wire, clipped_to, reading
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.handles import nearest_spot
from sim.game.whereabouts.parking import park
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Clip, Hand, Note, Target

__all__ = ["Ammeter", "hung_tag"]

_SNAP_PX = 14.0
_AT_END_PX = 34.0
_STEP_PX = 12.0
_STEPS = {pygame.K_LEFT: (-1, 0), pygame.K_RIGHT: (1, 0), pygame.K_UP: (0, -1), pygame.K_DOWN: (0, 1)}


class _Hung(NamedTuple):
    """How it hangs: its ring, the way of its grip (radians, y down), its tag and at which end of it the hole is."""

    ring: Round
    grip: float
    tag: Box
    hole_left: bool

    def hole(self, unit: float) -> Point:
        x, y, w, h = self.tag
        return (x + 8 * unit if self.hole_left else x + w - 8 * unit), y + h / 2


class Ammeter(Thing):
    """One ring, one tag."""

    kinds: ClassVar = ("clip",)
    layer: ClassVar = "board"
    heading: ClassVar = "Clip-on ammeter"
    keys: ClassVar = (
        ("C", "round the wire or rail that is ringed; once more: off"),
        ("Arrows", "along the wire or rail, while it is ringed itself"),
    )

    def areas(self, sight: Sight) -> Iterator[Area]:
        if sight.view.hand is not None and sight.view.hand.what == "clip":
            return
        ring = _ring(sight)
        if ring is None:
            yield Area(Target("clip"), park(sight.stage, "clip"))
            return
        hung = _hung(sight, ring)
        unit = sight.stage.unit
        end = grip_end(ring.at, hung.grip, unit)
        middle = ((ring.at[0] + end[0]) / 2, (ring.at[1] + end[1]) / 2)
        reach = 16 * unit
        line = (ring.at, middle, end)
        yield Area(Target("clip"), _box_round(line, reach), False, line, 12 * unit)
        yield Area(Target("clip"), pygame.Rect(hung.tag))

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        stage, view = sight.stage, sight.view
        unit, theme = stage.unit, stage.theme
        ring = _ring(sight)
        held = view.hand is not None and view.hand.what == "clip"
        if ring is None and held and view.hand is not None:
            yield clampmeter(_rounded(view.hand.at), math.pi, 0.0, unit, theme)
            return
        if ring is None:
            rect = park(stage, "clip")
            at = (rect.right - 14 * unit, rect.centery - 4 * unit)
            yield clampmeter(_rounded(at), math.radians(168), 0.0, unit, theme)
            return
        hung = _hung(sight, ring)
        yield clampmeter(_rounded(ring.at), round(hung.grip, 2), round(ring.half, 1), unit, theme)
        yield thread(_rounded(grip_end(ring.at, hung.grip, unit)), _rounded(hung.hole(unit)), unit, theme)
        amps = reading(stage, sight.snapshot, view.clip) if view.clip is not None else None
        yield tag(hung.tag, hung.hole_left, amps_text(amps), unit, theme)

    def note(self, sight: Sight, target: Target) -> Note | None:
        ring = _ring(sight)
        if ring is None:
            rect = park(sight.stage, "clip")
            return Note(
                (float(rect.centerx), float(rect.y - 6)), ("Clip-on ammeter:", "drag it round any", "wire or rail")
            )
        hung = _hung(sight, ring)
        lines = ("all that flows into", f"the {ring.name}") if _whole(sight) else (f"round the {ring.name}",)
        return Note((ring.at[0] + 10 * sight.stage.unit, max(ring.at[1], hung.tag[1])), lines)

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        return Hand("clip", "", point, True)

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        clip = clip_at(sight.stage, sight.snapshot, point, _SNAP_PX * sight.stage.unit)
        return Outcome(view=replace(sight.view, clip=clip))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        return self.carry(sight, hand, point, over)

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        """Enter or a click: off again, when it is round something."""
        return Outcome(view=replace(sight.view, clip=None)) if sight.view.clip is not None else NOTHING

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if ctrl_held(event):
            return None
        if event.key == pygame.K_c:
            return self._clip_on(sight)
        focused = sight.view.focus is not None and sight.view.focus.kind == "clip"
        if focused and event.key in _STEPS and _ring(sight) is not None:
            return self._along(sight, _STEPS[event.key])
        return None

    def _clip_on(self, sight: Sight) -> Outcome:
        view, stage = sight.view, sight.stage
        at = view.focus or view.hover
        found: Clip | None = None
        if at is not None and at.kind == "wire":
            found = clip_of_wire(stage, int(at.name))
        elif at is not None and at.kind == "terminal":
            found = (
                clip_of_rail(stage, sight.snapshot, at.name) if _is_tab(stage, at.name) else _only_wire(stage, at.name)
            )
        elif at is None and view.clip is None:
            found = clip_at(stage, sight.snapshot, view.pointer, _SNAP_PX * stage.unit)
        same = (
            found is not None and view.clip is not None and (found.kind, found.name) == (view.clip.kind, view.clip.name)
        )
        return Outcome(view=replace(sight.view, clip=None if same else found))

    def _along(self, sight: Sight, way: tuple[int, int]) -> Outcome:
        """A step along what it goes round, or on to what follows it."""
        ring, stage, clip = _ring(sight), sight.stage, sight.view.clip
        if ring is None or clip is None:
            return NOTHING
        c, s = math.cos(ring.bearing), math.sin(ring.bearing)
        sign = 1.0 if c * way[0] + s * way[1] >= 0 else -1.0
        step = _STEP_PX * stage.unit * sign
        found = clip_at(stage, sight.snapshot, (ring.at[0] + c * step, ring.at[1] + s * step), 8 * stage.unit)
        return Outcome(view=replace(sight.view, clip=found)) if found is not None and found != clip else NOTHING


def hung_tag(sight: Sight) -> pygame.Rect | None:
    """Where the tag with its reading hangs, px; None while it is round nothing."""
    ring = _ring(sight)
    return None if ring is None else pygame.Rect(_hung(sight, ring).tag)


def _ring(sight: Sight) -> Round | None:
    stage, view = sight.stage, sight.view
    if view.clip is None:
        return None
    ring = around(stage, sight.snapshot, view.clip)
    hand = view.hand
    lifted = hand.moves[0] if hand is not None and hand.moves is not None else None
    if ring is None or hand is None or view.clip.kind != "wire" or clipped_to(stage, view.clip) != lifted:
        return ring
    spot = nearest_spot(stage, hand.name, hand.at)  # its wire is in hand: it hangs at the end that stays
    down = 1 if spot.leaves == "down" else -1
    return ring._replace(at=(spot.x, spot.y + down * _AT_END_PX * stage.unit), bearing=math.pi / 2)


def _whole(sight: Sight) -> bool:
    clip = sight.view.clip
    return clip is not None and clip.kind == "rail" and len(sight.stage.lines.get(clip.name, ())) > 1


def _is_tab(stage: Stage, terminal: str) -> bool:
    spots = stage.fixtures.spots.get(terminal, ())
    return bool(spots) and spots[0].fixture == "tab"


def _only_wire(stage: Stage, terminal: str) -> Clip | None:
    """Round the wire at a screw, if there is just one."""
    ends = [k for k, wire in enumerate(stage.bench.wires) if terminal in wire.ends]
    return clip_of_wire(stage, ends[0]) if len(ends) == 1 else None


def _hung(sight: Sight, ring: Round) -> _Hung:
    """Grip and tag where they cover least: in the mat, off the sheet and the slip, off the rails."""
    stage = sight.stage
    unit, mat = stage.unit, stage.rooms.mat
    wide, high = tag_size(Type(stage.theme, unit))
    keep_off = [
        rect for rect in (stage.rooms.folded if sight.view.folded else stage.rooms.sheet, stage.slip) if rect.width
    ]
    keep_off += [place.housing.union(place.face) for place in stage.fixtures.blocks]
    keep_off += [bar.rect for bar in stage.fixtures.bars]
    best: tuple[float, _Hung] | None = None
    for number, turn in enumerate((-math.pi / 2, math.pi / 2)):
        grip = math.remainder(ring.bearing + turn, 2 * math.pi)
        end = grip_end(ring.at, grip, unit)
        away = (math.cos(grip), math.sin(grip))
        for side, left in ((-1, False), (1, True)):
            hole = (end[0] + (away[0] * 16 + side * 5) * unit, end[1] + (away[1] * 16 + 2) * unit)
            x = hole[0] - 8 * unit if left else hole[0] + 8 * unit - wide
            box = pygame.Rect(round(x), round(hole[1] - high / 2), wide, high)
            cost = 0.1 * number + (0.0 if (side < 0) == (away[0] < 0.3) else 2.0)
            cost += 40.0 * (not mat.inflate(-8, -8).contains(box))
            cost += sum(12.0 for rect in keep_off if rect.colliderect(box))
            cost += 6.0 * (stage.fixtures.track_top < box.centery < stage.fixtures.track_foot)
            if best is None or cost < best[0]:
                best = (cost, _Hung(ring, grip, (box.x, box.y, box.width, box.height), left))
    if best is None:
        raise ValueError("nowhere to hang a tag")
    return best[1]


def _rounded(point: Point) -> Point:
    return float(round(point[0])), float(round(point[1]))


def _box_round(line: tuple[Point, ...], reach: float) -> pygame.Rect:
    left, top = min(x for x, _ in line) - reach, min(y for _, y in line) - reach
    return pygame.Rect(
        round(left),
        round(top),
        round(max(x for x, _ in line) + reach - left),
        round(max(y for _, y in line) + reach - top),
    )

"""What lies over the bench: the meter's leads, what is in hand, rings, notes, the ring of the focus."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import pygame

from sim.game.desk.every import owner
from sim.game.desk.hit import stray_words, strayed
from sim.game.desk.naming import name_note
from sim.game.draw.pen import marks
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.paper_parts import bubble
from sim.game.draw.railway import track, wires
from sim.game.draw.railway.vehicle import vehicle
from sim.game.items.common.thing import Sight
from sim.game.look.fonts import Type
from sim.game.look.new_wire import new_cloth
from sim.game.paper.view import Point
from sim.game.picture.board import cloth_of
from sim.game.picture.rolling import train_bodies
from sim.game.picture.ruler import where_words
from sim.game.picture.side import meter_panel
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.fixtures import Spot
from sim.game.whereabouts.handles import nearest_screw, nearest_spot, probe_angle, probe_tip, screws
from sim.game.whereabouts.joinery import jumper_way
from sim.game.whereabouts.stage import PlaceMark, Stage
from sim.game.whereabouts.viewstate import Hand, Note, Target, ViewState
from sim.session.snapshot import Snapshot, TrainView, VehicleView
from sim.wiring.names import part_words, place_ref

__all__ = [
    "focus_ring",
    "ghost_sprites",
    "hand_sprites",
    "note_for",
    "note_sprite",
    "place_box",
    "probes",
    "rings",
    "strays",
]


@lru_cache(maxsize=16)
def _curve(a: Point, b: Point, c: Point, d: Point, steps: int = 40) -> tuple[Point, ...]:
    out = []
    for k in range(steps + 1):
        t = k / steps
        p, q, r, s = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        out.append(
            (round(a[0] * p + b[0] * q + c[0] * r + d[0] * s, 1), round(a[1] * p + b[1] * q + c[1] * r + d[1] * s, 1))
        )
    return tuple(out)


def probes(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Sprite]:
    """Both probes with their leads to the meter."""
    unit, theme, rect = stage.unit, stage.theme, stage.rooms.meter
    for red in (False, True):
        place = probe_tip(stage, snapshot, view, "red" if red else "black")
        tip = (float(round(place[0])), float(round(place[1])))
        angle = probe_angle(snapshot, view, "red" if red else "black")
        tail = marks.probe_tail(tip, angle, unit)
        end = (
            float(rect.x + 1),
            meter_panel(stage, snapshot).places["display"].y + (12 if red else 32) * unit,
        )
        reach = max(24 * unit, 0.42 * math.hypot(end[0] - tail[0], end[1] - tail[1]))
        first = (tail[0] + math.cos(angle) * reach * 0.55, tail[1] + math.sin(angle) * reach * 0.55)
        path = _curve(tail, first, (end[0] - reach * 1.2, end[1]), end)
        colour = (196, 60, 48) if red else (222, 216, 198)
        yield wires.lead(path, 4.4 * unit, colour, unit, theme)
        yield wires.socket(end[0] - 1 * unit, end[1], unit, theme)
        yield marks.probe(tip, angle, unit, theme, red)


# What is in hand


def hand_sprites(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Sprite]:
    """A wire in hand as a loose tail, or a train in hand as it would stand."""
    hand = view.hand
    if hand is None:
        return
    unit, theme = stage.unit, stage.theme
    if hand.what == "wire":
        spot = nearest_spot(stage, hand.name, hand.at)
        if hand.moves is None:
            cloth = new_cloth(snapshot, hand.name, _end_of(hand, view), bare=view.bare)
        else:
            cloth = _cloth_of(stage, hand.moves[0])
        away = math.hypot(hand.at[0] - spot.x, hand.at[1] - spot.y)
        down = 1 if spot.leaves == "down" else -1
        first = (spot.x, spot.y + down * (18 * unit + 0.38 * away))
        lean = 1 if hand.at[0] >= spot.x else -1
        second = (hand.at[0] - lean * 0.36 * away, hand.at[1] + 12 * unit)
        path = _curve((spot.x, spot.y), first, second, (round(hand.at[0]), round(hand.at[1])), 28)
        yield wires.wire(path, 6.4 * unit, wires.wire_colour(cloth, theme), unit, theme, (6 * unit, 12 * unit), True)
    elif hand.what == "vehicle" and view.ghost is not None:
        yield from ghost_sprites(stage, snapshot, view)


def _end_of(hand: Hand, view: ViewState) -> str:
    """The terminal that a wire in hand is held to; empty while it is held to none."""
    on = view.hover
    return on.name if on is not None and on.kind == "terminal" and on.name != hand.name else ""


def _cloth_of(stage: Stage, index: int) -> str:
    """The colour that a wire on the bench is shown in."""
    return cloth_of(stage.bench.wires[index], stage.runs[index])


def ghost_sprites(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Sprite]:
    """The train in hand, at the place on the track nearest to the pointer."""
    if view.ghost is None:
        return
    name, axles = view.ghost
    train = next((train for train in snapshot.trains if train.id == name), None)
    if train is None:
        return
    moved = TrainView(train.id, 0.0, train.direction, 0.0, 0.0, False, False, _with_axles(train, axles))
    for body, bearing, (x, y) in train_bodies(stage, moved):
        px, py = math.floor(x), math.floor(y)
        yield vehicle(body, round(bearing, 3), stage.world.scale, (0.0, 0.0), stage.unit, stage.theme, 2).moved(px, py)


def _with_axles(train: TrainView, axles: tuple[tuple[float, float, float], ...]) -> tuple[VehicleView, ...]:
    out, start = [], 0
    for vehicle_view in train.vehicles:
        count = len(vehicle_view.axles)
        out.append(
            VehicleView(vehicle_view.name, axles[start : start + count], vehicle_view.touching, vehicle_view.volts)
        )
        start += count
    return tuple(out)


def strays(stage: Stage, snapshot: Snapshot, held: str | None) -> Iterator[Sprite]:
    """A label at the mat's edge for every train that has run off it."""
    for train, rect in strayed(stage, snapshot):
        if train.id != held:
            right = rect.centerx > stage.rooms.mat.centerx
            tip = (stage.rooms.mat.right - 3 if right else stage.rooms.mat.x + 3, rect.centery)
            yield bubble(tip, (rect.x, rect.y, rect.width, rect.height), stage.unit, stage.theme, (stray_words(train),))


# Rings and notes


def rings(stage: Stage, view: ViewState, legal: frozenset[str]) -> Iterator[Sprite]:
    """A ring round every legal end while a wire is in hand, and round what is under the pointer."""
    unit, theme = stage.unit, stage.theme
    hover = view.hover
    chosen = hover.name if hover is not None and hover.kind == "terminal" else None
    for name in sorted(legal - {chosen}):
        for spot in stage.fixtures.spots.get(name, ()):
            yield _spot_ring(stage, spot)
    if chosen is not None and chosen in stage.fixtures.spots:
        held = view.hand is not None
        yield _ring_pointed(stage, chosen, view.hand.at if view.hand is not None else view.pointer, strong=held)
    if hover is not None and hover.kind == "place" and view.hand is None:
        mark = next((mark for mark in stage.places if mark.place.name == hover.name), None)
        if mark is not None:
            if mark.place.kind == "jumper" and (way := jumper_way(stage, mark)):
                yield track.bond_wire(way, stage.grain, stage.theme, mark.place.state == "made")
            yield marks.gap_ring(place_box(stage, mark), unit, theme, True)


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


def place_box(stage: Stage, mark: PlaceMark) -> tuple[int, int, int, int]:
    """The box of a gap, bond or jumper on the screen."""
    half = max(9.0 * stage.unit, 3.4 * stage.world.scale)
    return round(mark.x - half), round(mark.y - half), round(2 * half), round(2 * half)


_PLACE_WORDS = {"cut": "cut", "closed": "bridged with solder", "leaking": "leaking", "made": "made", "open": "open"}


def note_for(stage: Stage, snapshot: Snapshot, view: ViewState) -> Note | None:
    """The note that belongs to what is going on, if any."""
    unit = stage.unit
    hand, hover = view.hand, view.hover
    if (
        hand is not None
        and hand.what == "wire"
        and (hover is None or hover.kind != "terminal")
        and len(stage.bench.wires) < 2
    ):
        last = ("Let go on any", "lit screw or tab") if hand.dragging else ("Click any", "lit screw or tab")
        return Note((hand.at[0] + 14 * unit, hand.at[1]), last)
    if hand is not None:
        return None
    if view.said is not None:
        return view.said
    if view.menu_wire is not None or view.opened is not None:
        return None
    return _note_of(stage, snapshot, view, hover) or name_note(stage, snapshot, view)


def _note_of(stage: Stage, snapshot: Snapshot, view: ViewState, hover: Target | None) -> Note | None:
    """The note that shows as soon as the pointer is on a thing, if it has one."""
    unit = stage.unit
    if hover is None:
        return None
    thing = owner(hover.kind)
    if thing is not None:
        return thing.note(Sight(stage, snapshot, view), hover)
    if hover.kind == "place":
        mark = next((mark for mark in stage.places if mark.place.name == hover.name), None)
        if mark is None:
            return None
        named = part_words(stage.bench, place_ref(mark.place.name))
        return Note(
            (mark.x + 8 * unit, mark.y),
            (
                named[:1].upper() + named[1:],
                _PLACE_WORDS.get(mark.place.state, mark.place.state),
                *filter(None, (where_words(stage, mark.place.name),)),
            ),
        )
    return None


def note_sprite(stage: Stage, note: Note) -> Sprite:
    """A note as a paper label with its beak at the note's tip."""
    unit = stage.unit
    kind = Type(stage.theme, unit)
    width = max(kind.width(line, "body") for line in note.lines) + 22 * unit
    height = (kind.height("body") - 1) * len(note.lines) + 12 * unit
    mat = stage.rooms.mat
    tip = (round(note.tip[0]), round(note.tip[1]))
    if note.clear is not None:
        return _note_clear_of(stage, note, note.clear, (round(width), round(height)))
    x = tip[0] + 16 * unit
    if x + width > mat.right - 8 * unit:
        x = tip[0] - 32 * unit - width
        tip = (round(tip[0] - 16 * unit), tip[1])
    y = min(max(tip[1] - height / 2, mat.y + 8 * unit), mat.bottom - height - 8 * unit)
    return bubble(tip, (round(x), round(y), round(width), round(height)), unit, stage.theme, note.lines)


_AWAY_PX = 13.0


def _note_clear_of(stage: Stage, note: Note, clear: tuple[int, int, int, int], size: tuple[int, int]) -> Sprite:
    """A note that lies below a box, or above it where there is no room, inside the window."""
    away, edge = round(_AWAY_PX * stage.unit), round(6 * stage.unit)
    wide, high = stage.rooms.size
    box = pygame.Rect(0, 0, *size)
    box.midtop = round(note.tip[0]), clear[1] + clear[3] + away
    over = box.bottom > high - edge
    if over:
        box.bottom = clear[1] - away
    box.x = min(max(box.x, edge), wide - edge - box.width)
    tip = round(note.tip[0]), clear[1] - 2 if over else clear[1] + clear[3] + 2
    return bubble(tip, (box.x, box.y, box.width, box.height), stage.unit, stage.theme, note.lines)


def focus_ring(stage: Stage, area: Area) -> Sprite:
    """The ring round what the keyboard acts on."""
    if area.round:
        return marks.ring(
            area.rect.centerx, area.rect.centery, area.rect.width / 2 + 3 * stage.unit, stage.unit, stage.theme, True
        )
    rect = area.rect
    return marks.focus_frame((rect.x, rect.y, rect.width, rect.height), 5 * stage.unit, stage.unit, stage.theme)

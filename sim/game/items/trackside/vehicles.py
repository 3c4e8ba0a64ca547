"""Engines and wagons: clicked, the throttle is theirs; dragged, the train is put down elsewhere on the track."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

import pygame

from sim.bench.edits import Remove
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.paper_parts import bubble
from sim.game.draw.railway.vehicle import body_outline, vehicle
from sim.game.items.common.controls import nudge_on
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.look.fonts import Type
from sim.game.paper.view import Point
from sim.game.picture.papers import drawer_lies_open
from sim.game.picture.rolling import train_bodies
from sim.game.whereabouts.area import Area, along
from sim.game.whereabouts.handles import Standing, stand_near
from sim.game.whereabouts.parking import park
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Target
from sim.session.acts import Do, Put
from sim.session.snapshot import Snapshot, TrainView, VehicleView

__all__ = ["Vehicles", "stray_lines", "strayed"]


class Vehicles(Thing):
    """The board's picture draws those on it; drawn here are the labels of those that have run off, and one in hand."""

    kinds = ("vehicle",)
    layer = "bed"
    deep: ClassVar = -1.0
    reads = "board"
    hides: ClassVar = frozenset({"terminal", "place"})

    def areas(self, sight: Sight) -> Iterator[Area]:
        stage = sight.stage
        for train, rect in strayed(stage, sight.snapshot):
            yield Area(Target("vehicle", train.id), rect)
        for train in sight.snapshot.trains:
            for body, bearing, (x, y) in train_bodies(stage, train):
                front, back, half = body_outline(body)
                c, s, px = math.cos(bearing), math.sin(bearing), stage.world.scale
                line = tuple((x + far * c * px, y + far * s * px) for far in (front, (front + back) / 2, back))
                yield along(Target("vehicle", train.id), line, half * px)

    def over(self, sight: Sight) -> Iterator[Sprite]:
        """A label at the mat's edge for every train that has run off it."""
        stage, mat, hand = sight.stage, sight.stage.rooms.mat, sight.view.hand
        held = hand.name if hand is not None and hand.what == "vehicle" else None
        for train, rect in strayed(stage, sight.snapshot):
            if train.id != held:
                tip = (mat.right - 3 if rect.centerx > mat.centerx else mat.x + 3, rect.centery)
                box = (rect.x, rect.y, rect.width, rect.height)
                yield bubble(tip, box, stage.unit, stage.theme, stray_lines(train))

    def in_hand(self, sight: Sight, hand: Hand) -> Iterator[Sprite]:
        """The train, at the place on the track nearest to the pointer."""
        stage, snapshot, view = sight
        if view.ghost is None:
            return
        name, axles = view.ghost
        train = next((train for train in snapshot.trains if train.id == name), None)
        if train is None:
            return
        moved = TrainView(train.id, 0.0, train.direction, 0.0, 0.0, False, False, _with_axles(train, axles))
        for body, bearing, (x, y) in train_bodies(stage, moved):
            part = vehicle(body, round(bearing, 3), stage.world.scale, (0.0, 0.0), stage.unit, stage.theme, 2)
            yield part.moved(math.floor(x), math.floor(y))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        number = next((k for k, train in enumerate(sight.snapshot.trains) if train.id == target.name), 0)
        return Outcome(nudge_on(sight.snapshot, target.name), view=replace(sight.view, train=number))

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        return Hand("vehicle", target.name, point, True)

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        stand = _stand(sight, hand, point)
        return Outcome(view=replace(sight.view, ghost=None if stand is None else (hand.name, stand.axles)))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        if drawer_lies_open(sight.snapshot, sight.view) and sight.stage.rooms.sheet.collidepoint(point):
            return Outcome((Do(Remove(hand.name)),))  # put back into the drawer
        stand = _stand(sight, hand, point)
        return NOTHING if stand is None else Outcome((Put(hand.name, stand.end, stand.mm),))


def _stand(sight: Sight, hand: Hand, point: Point) -> Standing | None:
    train = next((train for train in sight.snapshot.trains if train.id == hand.name), None)
    return None if train is None else stand_near(sight.stage, sight.snapshot, train, point)


def _with_axles(train: TrainView, axles: tuple[tuple[float, float, float], ...]) -> tuple[VehicleView, ...]:
    out, start = [], 0
    for seen in train.vehicles:
        count = len(seen.axles)
        out.append(VehicleView(seen.name, axles[start : start + count], seen.touching, seen.volts))
        start += count
    return tuple(out)


def strayed(stage: Stage, snapshot: Snapshot) -> list[tuple[TrainView, pygame.Rect]]:
    """Trains that have run off the mat, and the label at its edge that stands for each."""
    mat, unit = stage.rooms.mat, stage.unit
    kind = Type(stage.theme, unit)
    whole = stage.whole or stage  # what a camera does not show has not run off
    out = []
    for train in snapshot.trains:
        axles = [axle[:2] for vehicle in train.vehicles for axle in vehicle.axles]
        if any(whole.rooms.mat.collidepoint(whole.world.to_screen(axle)) for axle in axles):
            continue
        x, y = stage.world.to_screen(axles[0])
        lines = stray_lines(train)
        width = round(max(kind.width(line, "body") for line in lines) + 22 * unit)
        height = round((kind.height("body") - 1) * len(lines) + 12 * unit)
        left = mat.right - width - round(22 * unit) if x > mat.centerx else mat.x + round(22 * unit)
        top = min(max(round(y - height / 2), mat.y + round(24 * unit)), mat.bottom - height - round(24 * unit))
        label = pygame.Rect(left, top, width, height)
        for lies in sorted((stage.slip, park(stage, "lens"), park(stage, "clip")), key=lambda rect: -rect.top):
            if lies.width and label.colliderect(lies.inflate(0, round(10 * unit))):
                label.bottom = lies.top - round(5 * unit)
        out.append((train, label))
    return out


def stray_lines(train: TrainView) -> tuple[str, ...]:
    """What is said of a train that has run off the mat, on the label at its edge."""
    name = train.vehicles[0].name if train.vehicles else train.id
    drawing = train.throttle > 0 and train.volts > 0
    first = f"{name[:1].upper()}{name[1:]}: off the board"
    return (f"{first}, still under power.", "Stop it and drag it back.") if drawing else (f"{first}.", "Drag it back.")
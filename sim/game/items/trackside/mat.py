"""The mat itself: looked at closer or from afar with the wheel, drawn along with the pointer, both by keys too."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

import pygame

from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.look.modifiers import ctrl_held, shift_held
from sim.game.paper.camera import HOME, Camera
from sim.game.paper.view import Point
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.turning import turned_x
from sim.game.whereabouts.viewstate import Hand, Target

__all__ = ["Mat"]

_NOTCH = 1.25  # times closer for a notch of the wheel
_KEY_TIMES = 1.5
_KEY_SHARE = 0.2  # of the mat's size for a key
_LYING = frozenset({"terminal", "place", "vehicle", "blade", "wire", "piece", "fitting", "joint", "motor", "clip"})
_WAYS = {pygame.K_LEFT: (1, 0), pygame.K_RIGHT: (-1, 0), pygame.K_UP: (0, 1), pygame.K_DOWN: (0, -1)}


class Mat(Thing):
    """Bare mat can be drawn along when a part of it is seen."""

    kinds: ClassVar = ("mat",)
    layer: ClassVar = "bed"
    heading: ClassVar = "Looking closer"
    keys: ClassVar = (
        ("Wheel", "over the mat: closer, up to 12 times, or further off"),
        ("Z", "closer; with Shift further off; Home: all of it"),
        ("Ctrl arrows", "along the mat, as drawing bare mat does"),
    )

    def wheel(self, sight: Sight, target: Target | None, turns: int) -> Outcome | None:
        if target is not None and target.kind not in _LYING:
            return None
        stage, pointer = sight.stage, sight.view.pointer
        if not stage.rooms.mat.collidepoint(pointer):
            return None
        return _seen(sight, sight.view.camera.closer(_NOTCH**turns, _above(stage, pointer), stage.rooms.mat))

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        camera = sight.view.camera
        if camera.zoom <= 1.0:
            return None
        return Hand("mat", "", point, True, grip=(camera.x, camera.y), taken_at=point)

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        dx = (point[0] - hand.taken_at[0]) * (-1 if sight.stage.below else 1)
        begun = Camera(sight.view.camera.zoom, *hand.grip)
        camera = begun.moved(dx, point[1] - hand.taken_at[1], sight.stage.rooms.mat)
        return Outcome(view=replace(sight.view, camera=camera))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        return self.carry(sight, hand, point, over)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        stage, camera, mat = sight.stage, sight.view.camera, sight.stage.rooms.mat
        ctrl = ctrl_held(event)
        if ctrl and event.key in _WAYS:
            dx, dy = _WAYS[event.key]
            dx = -dx if stage.below else dx
            return _seen(sight, camera.moved(dx * _KEY_SHARE * mat.width, dy * _KEY_SHARE * mat.height, mat))
        if ctrl:
            return None
        if event.key == pygame.K_HOME:
            return _seen(sight, HOME)
        if event.key == pygame.K_z:
            times = 1 / _KEY_TIMES if shift_held(event) else _KEY_TIMES
            return _seen(sight, camera.closer(times, _above(stage, _wanted(sight)), mat))
        return None


def _seen(sight: Sight, camera: Camera) -> Outcome:
    return Outcome(view=replace(sight.view, camera=camera))


def _above(stage: Stage, point: Point) -> Point:
    """Where a point lies as seen from above: the camera is that of the upper side."""
    return (turned_x(point[0], stage.rooms), point[1]) if stage.below else point


def _wanted(sight: Sight) -> Point:
    """What is looked at closer with a key: the ringed terminal or place, else what the pointer is on."""
    stage, view = sight.stage, sight.view
    if view.focus is not None:
        spots = stage.fixtures.spots.get(view.focus.name, ()) if view.focus.kind == "terminal" else ()
        if spots:
            return spots[0].probe_x, spots[0].probe_y
        mark = next((mark for mark in stage.places if mark.place.name == view.focus.name), None)
        if mark is not None:
            return mark.x, mark.y
    mat = stage.rooms.mat
    if view.focus is None and mat.collidepoint(view.pointer):
        return view.pointer
    return float(mat.centerx), float(mat.centery)

"""The camera over the mat: how much of it is seen, and everything that was laid out on the whole of it moved along.

A bench is laid out once, on the whole mat; a large one on a mat that is several times as large as the window's, so that
screws and wires keep their natural size among each other. The camera shows a part of it, larger or smaller.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import pygame

from sim.game.paper.camera import Camera
from sim.game.paper.view import Point, Rooms, World
from sim.game.whereabouts.dressing import Run, Tie
from sim.game.whereabouts.fixtures import BarPlace, BlockPlace, BoxPlace, Fixtures, Spot

__all__ = ["Shift", "spread"]

_HEAD_PX = 100.0  # from the mat's upper edge: the ruler's numbers and the parked probes


def spread(rooms: Rooms, times: float) -> Rooms:
    """The rooms with a mat, and what lies on it, so many times as large; its upper left corner stays."""

    def large(rect: pygame.Rect) -> pygame.Rect:
        x, y = rooms.mat.topleft
        return pygame.Rect(
            round(x + (rect.x - x) * times), round(y + (rect.y - y) * times),
            round(rect.width * times), round(rect.height * times),
        )  # fmt: skip

    drop = _HEAD_PX * rooms.unit * (times - 1)
    return replace(
        rooms, mat=large(rooms.mat), fixtures=large(rooms.fixtures), track=large(rooms.track), sheet=large(rooms.sheet),
        drop=drop,
    )  # fmt: skip


class Shift(NamedTuple):
    """From the layout of the whole mat to the screen: x = left + times * x, y = top + times * y."""

    times: float
    left: float
    top: float

    @classmethod
    def of(cls, camera: Camera, whole: pygame.Rect, mat: pygame.Rect) -> Shift:
        """What a camera shows in `mat` of a bench laid out on `whole`."""
        times = mat.width * camera.zoom / whole.width
        left = mat.centerx - (whole.x + whole.width * camera.x) * times
        top = mat.centery - (whole.y + whole.height * camera.y) * times
        return cls(times, float(round(left)), float(round(top)))

    def x(self, x: float) -> float:
        return self.left + self.times * x

    def y(self, y: float) -> float:
        return self.top + self.times * y

    def points(self, points: tuple[Point, ...]) -> tuple[Point, ...]:
        """A polyline, point for point."""
        return tuple((self.x(x), self.y(y)) for x, y in points)

    def rect(self, rect: pygame.Rect) -> pygame.Rect:
        """A box; its edges are rounded outwards."""
        left, top = math.floor(self.x(rect.x)), math.floor(self.y(rect.y))
        return pygame.Rect(left, top, math.ceil(self.x(rect.right)) - left, math.ceil(self.y(rect.bottom)) - top)

    def world(self, world: World) -> World:
        """The transform between bench and screen."""
        return replace(world, left=self.x(world.left), base=self.y(world.base), scale=world.scale * self.times)

    def spot(self, spot: Spot) -> Spot:
        """A place where a wire ends."""
        return replace(
            spot, x=self.x(spot.x), y=self.y(spot.y), probe_x=self.x(spot.probe_x), probe_y=self.y(spot.probe_y),
            radius=spot.radius * self.times,
        )  # fmt: skip

    def fixtures(self, fixtures: Fixtures) -> Fixtures:
        """All fixtures."""
        return replace(
            fixtures,
            blocks=tuple(self._block(place) for place in fixtures.blocks),
            bars=tuple(self._bar(place) for place in fixtures.bars),
            lamps=tuple(self._box(place) for place in fixtures.lamps),
            polarities=tuple(self._box(place) for place in fixtures.polarities),
            spots={name: tuple(self.spot(spot) for spot in spots) for name, spots in fixtures.spots.items()},
            foot=self.y(fixtures.foot),
            track_top=self.y(fixtures.track_top),
            track_foot=self.y(fixtures.track_foot),
            track_right=self.x(fixtures.track_right),
        )

    def _block(self, place: BlockPlace) -> BlockPlace:
        return replace(
            place, housing=self.rect(place.housing), face=self.rect(place.face), xs=tuple(map(self.x, place.xs)),
            upper=self.y(place.upper), lower=self.y(place.lower),
        )  # fmt: skip

    def _bar(self, place: BarPlace) -> BarPlace:
        return replace(place, rect=self.rect(place.rect), xs=tuple(map(self.x, place.xs)), y=self.y(place.y))

    def _box(self, place: BoxPlace) -> BoxPlace:
        return replace(place, rect=self.rect(place.rect), xs=tuple(map(self.x, place.xs)), y=self.y(place.y))

    def run(self, run: Run) -> Run:
        """A dressed wire."""
        return replace(run, corners=self.points(run.corners), a=self.spot(run.a), b=self.spot(run.b))

    def tie(self, tie: Tie) -> Tie:
        """A tie or staple."""
        return replace(tie, x=self.x(tie.x), y=self.y(tie.y), reach=tie.reach * self.times)

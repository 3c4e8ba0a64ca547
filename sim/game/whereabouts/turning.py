"""The board turned over: every place mirrored about the upright line through the mat's middle.

Only places are mirrored. Each part is then drawn upright where it comes to lie, so letters and words stay readable.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import pygame

from sim.game.paper.view import Point, Rooms, World
from sim.game.whereabouts.dressing import Run
from sim.game.whereabouts.fixtures import BarPlace, BlockPlace, BoxPlace, Fixtures, Spot

__all__ = ["turned_fixtures", "turned_line", "turned_rect", "turned_rooms", "turned_run", "turned_world", "turned_x"]


_TIPS_PX = 118.0  # from the mat's right edge to before the tips at rest


def turned_x(x: float, rooms: Rooms) -> float:
    """Where x (px) comes to lie; turning twice gives x again."""
    return rooms.mat.x + rooms.mat.right - x


def turned_line(points: Sequence[Point], rooms: Rooms) -> tuple[Point, ...]:
    """A polyline, point for point."""
    return tuple((turned_x(x, rooms), y) for x, y in points)


def turned_rect(rect: pygame.Rect, rooms: Rooms) -> pygame.Rect:
    """A box; it keeps its size."""
    return pygame.Rect(rooms.mat.x + rooms.mat.right - rect.right, rect.y, rect.width, rect.height)


@lru_cache(maxsize=8)
def turned_rooms(rooms: Rooms) -> Rooms:
    """The rooms from below: the sheet lies to the right, beside the resting tips, for bars and blocks are at the left.

    The same rooms give the same object.
    """
    tips = _TIPS_PX - (48.0 if rooms.narrow else 0.0)
    left = rooms.mat.right - round(tips * rooms.unit) - rooms.sheet.width
    sheet = rooms.sheet.move(max(rooms.sheet.x, left) - rooms.sheet.x, 0)
    return replace(rooms, sheet=sheet)


def turned_world(world: World, rooms: Rooms) -> World:
    """The transform of the other side of the board."""
    return replace(world, left=turned_x(world.left, rooms), below=not world.below)


def _xs(xs: tuple[float, ...], rooms: Rooms) -> tuple[float, ...]:
    return tuple(turned_x(x, rooms) for x in reversed(xs))


def _spot(spot: Spot, rooms: Rooms) -> Spot:
    return replace(spot, x=turned_x(spot.x, rooms), probe_x=turned_x(spot.probe_x, rooms))


def _block(place: BlockPlace, rooms: Rooms) -> BlockPlace:
    return replace(
        place,
        housing=turned_rect(place.housing, rooms),
        face=turned_rect(place.face, rooms),
        letters=place.letters[::-1],
        xs=_xs(place.xs, rooms),
    )


def _bar(place: BarPlace, rooms: Rooms) -> BarPlace:
    return replace(place, rect=turned_rect(place.rect, rooms), xs=_xs(place.xs, rooms))


def _box(place: BoxPlace, rooms: Rooms) -> BoxPlace:
    return replace(place, rect=turned_rect(place.rect, rooms), letters=place.letters[::-1], xs=_xs(place.xs, rooms))


def turned_fixtures(fixtures: Fixtures, rooms: Rooms) -> Fixtures:
    """All fixtures; letters stand from left to right as they then lie: t s r p m k."""
    return replace(
        fixtures,
        blocks=tuple(_block(place, rooms) for place in fixtures.blocks),
        bars=tuple(_bar(place, rooms) for place in fixtures.bars),
        lamps=tuple(_box(place, rooms) for place in fixtures.lamps),
        polarities=tuple(_box(place, rooms) for place in fixtures.polarities),
        spots={name: tuple(_spot(spot, rooms) for spot in spots) for name, spots in fixtures.spots.items()},
    )


def turned_run(run: Run, rooms: Rooms) -> Run:
    """A dressed wire."""
    return replace(run, corners=turned_line(run.corners, rooms), a=_spot(run.a, rooms), b=_spot(run.b, rooms))

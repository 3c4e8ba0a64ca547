"""The board as a camera shows it, put together once, in tiles: one is drawn anew when something on it changes.

While the camera moves, the last picture of the board is moved and stretched along.
"""

from __future__ import annotations

from collections.abc import Sequence

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.picture.compositor import changed_boxes, paint
from sim.game.picture.trackwork import Group
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.turning import turned_x
from sim.game.whereabouts.zooming import Shift

__all__ = ["Composed"]

_TILE = 256  # px, the side of a tile
_AS_LAID_OUT = Shift(1.0, 0.0, 0.0)


class Composed:
    """The board of one stage on tiles that cover the mat. It remembers the last one: it stands still most of the time.

    stage: the last; under: the ground that it lies on; asked: what it was made of, for whoever asks again
    """

    def __init__(self) -> None:
        self._groups: list[Group] = []
        self._bounds: list[pygame.Rect] = []
        self._tiles: dict[tuple[int, int], Sprite] = {}
        self._whole: tuple[Sprite, ...] = ()
        self._flat: Sprite | None = None
        self.stage: Stage | None = None
        self.under: Sprite | None = None
        self.asked: tuple[object, ...] = ()

    @property
    def tiles(self) -> tuple[Sprite, ...]:
        """Those of the last board."""
        return self._whole

    def of(self, stage: Stage, under: Sprite, groups: list[Group]) -> tuple[Sprite, ...]:
        """The tiles of a board that is made of so many groups of sprites, from the undermost up."""
        self.asked = ()
        same = stage is self.stage and self.under is not None and under.surface is self.under.surface
        if same and len(groups) == len(self._groups) and all(map(_alike, groups, self._groups)):
            return self._whole
        mat = stage.rooms.mat
        if same and len(groups) == len(self._groups):
            changed = []
            for k, (old, new) in enumerate(zip(self._groups, groups, strict=True)):
                if not _alike(old, new):
                    changed += changed_boxes(old, new)
                    self._bounds[k] = _bounds(new)
        else:
            changed, self._bounds, self._tiles = [mat], [_bounds(group) for group in groups], {}
        for at, box in _boxes(mat):
            if box.collidelist(changed) >= 0:
                near = [part for k in box.collidelistall(self._bounds) for part in groups[k]]
                self._tiles[at] = _tile(box, mat, under, near, stage.unit)
        self._groups, self.stage, self.under = groups, stage, under
        self._whole, self._flat = tuple(self._tiles.values()), None
        return self._whole

    @property
    def flat(self) -> Sprite | None:
        """The last board on one surface as large as the mat; None before there is any."""
        if self._flat is None and self.stage is not None and self._whole:
            mat = self.stage.rooms.mat
            surface = pygame.Surface(mat.size)
            paint(surface, [tile.moved(-mat.x, -mat.y) for tile in self._whole])
            self._flat = Sprite(surface, mat.x, mat.y)
        return self._flat

    def gliding(self, stage: Stage) -> Sprite | None:
        """The last board moved and stretched to where a camera shows it now; None before there is any."""
        last, sprite = self.stage, self.flat
        if last is None or sprite is None:
            return None
        return _stretched(sprite, last, stage)


def _alike(one: Group, other: Group) -> bool:
    """Whether two groups are the same sprites; most often they are one."""
    return one is other or one == other


def _bounds(group: Group) -> pygame.Rect:
    """The box that holds all of a group."""
    return group[0].rect.unionall([part.rect for part in group]) if group else pygame.Rect(0, 0, 0, 0)


def _boxes(mat: pygame.Rect) -> list[tuple[tuple[int, int], pygame.Rect]]:
    """The tiles of a mat, row by row: where each lies, px."""
    return [
        ((x, y), pygame.Rect(x, y, _TILE, _TILE).clip(mat))
        for y in range(mat.y, mat.bottom, _TILE)
        for x in range(mat.x, mat.right, _TILE)
    ]


def _tile(box: pygame.Rect, mat: pygame.Rect, under: Sprite, parts: Sequence[Sprite], unit: float) -> Sprite:
    """A part of the board, drawn; what lies on the mat is not drawn over the mat's edge."""
    surface = pygame.Surface(box.size)
    surface.blit(under.surface, (0, 0), box.move(-under.x, -under.y))
    edge = max(1, round(2 * unit))
    within = mat.inflate(-2 * edge, -2 * edge).clip(box)
    near = [part.moved(-box.x, -box.y) for part in parts if part.rect.colliderect(within)]
    paint(surface, near, within.move(-box.x, -box.y))
    return Sprite(surface, box.x, box.y)


def _stretched(sprite: Sprite, last: Stage, stage: Stage) -> Sprite:
    old, new, mat = last.shift or _AS_LAID_OUT, stage.shift or _AS_LAID_OUT, stage.rooms.mat
    times = new.times / old.times

    def moved(x: float, left: float, was: float) -> float:
        return left + times * (x - was)

    first = turned_x(old.left, stage.rooms) if stage.below else old.left
    then = turned_x(new.left, stage.rooms) if stage.below else new.left
    box = pygame.Rect(
        round(moved(mat.x, then, first)), round(moved(mat.y, new.top, old.top)),
        round(mat.width * times), round(mat.height * times),
    )  # fmt: skip
    shown = box.clip(mat)
    surface = pygame.Surface(mat.size)
    surface.fill(stage.theme["mat"])
    if shown.width and shown.height:
        part = pygame.Rect(
            round((shown.x - box.x) / times), round((shown.y - box.y) / times),
            max(1, round(shown.width / times)), max(1, round(shown.height / times)),
        ).clip(sprite.surface.get_rect())  # fmt: skip
        if part.width and part.height:
            stretched = pygame.transform.smoothscale(sprite.surface.subsurface(part), shown.size)
            surface.blit(stretched, shown.move(-mat.x, -mat.y))
    return Sprite(surface, mat.x, mat.y)

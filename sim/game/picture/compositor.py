"""Puts sprites on a surface and redraws only what changed since the last time.

A picture is a list of sprites from the ground up. Sprites are kept by those who draw them, so an unchanged part is the
same surface at the same place; what differs from the last picture says which boxes have to be drawn again.
"""

from __future__ import annotations

from collections.abc import Sequence

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.kept import next_picture

__all__ = ["Compositor", "changed_boxes", "paint"]

_MANY = 24


def paint(target: pygame.Surface, sprites: Sequence[Sprite], area: pygame.Rect | None = None) -> None:
    """Draw sprites, the first undermost, in one box of the target or everywhere."""
    if area is None:
        for sprite in sprites:
            _put(target, sprite)
    else:
        _paint_box(target, sprites, [sprite.rect for sprite in sprites], area)


def _paint_box(
    target: pygame.Surface, sprites: Sequence[Sprite], rects: list[pygame.Rect], area: pygame.Rect
) -> None:
    """Draw one box of the target; `rects`: those of the sprites."""
    target.set_clip(area)
    for k in area.collidelistall(rects):
        _put(target, sprites[k])
    target.set_clip(None)


def _put(target: pygame.Surface, sprite: Sprite) -> None:
    surface, x, y, light = sprite
    if light:
        target.blit(surface, (x, y), special_flags=pygame.BLEND_RGB_ADD)
    elif surface.get_flags() & pygame.SRCALPHA:
        target.blit(surface, (x, y), special_flags=pygame.BLEND_PREMULTIPLIED)
    else:
        target.blit(surface, (x, y))


class Compositor:
    """Remembers the last picture."""

    def __init__(self) -> None:
        self._last: list[Sprite] = []
        self._size = (0, 0)

    def forget(self) -> None:
        """Draw everything the next time."""
        self._last = []

    def show(self, target: pygame.Surface, sprites: Sequence[Sprite]) -> list[pygame.Rect]:
        """Bring the target up to date; gives the boxes that were drawn again, none when nothing changed."""
        next_picture(target.get_size())
        whole = target.get_rect()
        if not self._last or self._size != target.get_size():
            dirty = [whole]
        else:
            dirty = [box.clip(whole) for box in changed_boxes(self._last, sprites)]
            dirty = _joined([box for box in dirty if box.width and box.height])
            if sum(box.width * box.height for box in dirty) > 0.7 * whole.width * whole.height:
                dirty = [whole]
        if dirty:
            rects = [sprite.rect for sprite in sprites]
            for box in dirty:
                _paint_box(target, sprites, rects, box)
        self._last, self._size = list(sprites), target.get_size()
        return dirty


def changed_boxes(last: Sequence[Sprite], sprites: Sequence[Sprite]) -> list[pygame.Rect]:
    """The boxes in which a picture differs from the last one."""
    old = [(id(s.surface), s.x, s.y) for s in last]
    new = [(id(s.surface), s.x, s.y) for s in sprites]
    if old == new:
        return []
    was, now = set(old), set(new)
    boxes = [sprite.rect for sprite, key in zip(last, old, strict=True) if key not in now]
    boxes += [sprite.rect for sprite, key in zip(sprites, new, strict=True) if key not in was]
    kept_old = [key for key in old if key in now]
    kept_new = [key for key in new if key in was]
    if kept_old != kept_new:  # something changed places in the pile
        moved = {key for a, b in zip(kept_old, kept_new, strict=False) if a != b for key in (a, b)}
        boxes += [sprite.rect for sprite, key in zip(sprites, new, strict=True) if key in moved]
    return boxes


def _joined(boxes: list[pygame.Rect]) -> list[pygame.Rect]:
    """Fewer boxes: those that overlap become one."""
    out: list[pygame.Rect] = []
    for box in boxes:
        box = box.copy()
        while (k := box.collidelist(out)) >= 0:
            box.union_ip(out.pop(k))
        out.append(box)
    if len(out) > _MANY:
        return [out[0].unionall(out[1:])]
    return out

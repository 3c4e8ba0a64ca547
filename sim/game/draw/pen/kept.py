"""Drawings that are kept for the next picture, all on one shelf, so that together they do not grow without end.

What a picture of late has used stays, however much it is: otherwise a large bench would be drawn anew in each picture.
Of the rest, what was used longest ago goes when the shelf is full. In another light or size nothing of it is used
again, and the shelf is emptied.

The shelf is the one thing of the window that lies in a module and changes: a drawing is the same for all who ask.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import pygame

__all__ = ["empty_shelf", "from_shelf", "kept", "kept_bytes", "next_picture", "onto_shelf"]

P = ParamSpec("P")
T = TypeVar("T")

_LEAST_BYTES = 64_000_000
_PICTURES = 10
"""The shelf is full with as many bytes as so many pictures have, and with no less than the least."""
_OF_LATE = 3
"""Pictures since the last use of a drawing for which it stays in any case."""


class _Drawing:
    __slots__ = ("size", "used", "value")

    def __init__(self, value: Any, size: int, used: int) -> None:
        self.value = value
        self.size = size
        self.used = used


class _Shelf:
    """Drawings by what they are of, the one used longest ago first."""

    def __init__(self) -> None:
        self.drawings: OrderedDict[Hashable, _Drawing] = OrderedDict()
        self.size = 0
        self.picture = 0

    def lay(self, key: Hashable, value: object) -> _Drawing:
        """Another drawing, used now."""
        size = _size_of(value) + _pixels_in(key)
        self.size += size - (self.drawings.pop(key).size if key in self.drawings else 0)
        found = self.drawings[key] = _Drawing(value, size, self.picture)
        return found

    def find(self, key: Hashable) -> _Drawing | None:
        """A drawing, used now; None for one that is not there."""
        found = self.drawings.get(key)
        if found is not None:
            self.drawings.move_to_end(key)
            found.used = self.picture
        return found

    def clear(self, draw: object) -> None:
        """Without those of one function."""
        for key in [key for key in self.drawings if isinstance(key, tuple) and key[0] is draw]:
            self.size -= self.drawings.pop(key).size

    def tidy(self, full: int) -> None:
        """Take away what was used longest ago, until it is not more than full or only what was used of late is left."""
        while self.size > full and self.drawings:
            key, oldest = next(iter(self.drawings.items()))
            if oldest.used > self.picture - _OF_LATE:
                return
            del self.drawings[key]
            self.size -= oldest.size


_SHELF = _Shelf()


def _size_of(value: object) -> int:
    if isinstance(value, pygame.Surface):
        return value.get_width() * value.get_height() * value.get_bytesize()
    if isinstance(value, tuple | list):
        return sum(_size_of(each) for each in value)
    return 64


def _pixels_in(key: object) -> int:
    """How much a drawing holds of what it was made from."""
    if isinstance(key, tuple):
        return sum(_pixels_in(each) for each in key if isinstance(each, tuple | pygame.Surface))
    return _size_of(key) if isinstance(key, pygame.Surface) else 0


def kept(draw: Callable[P, T]) -> Callable[P, T]:
    """Keep what a drawing function gives for arguments, which must be hashable; the same gives the same object.

    A surface among them is known by which one it is, and stays as long as what was made from it.
    """

    drawings = _SHELF.drawings

    @wraps(draw)
    def shelved(*args: P.args, **kwargs: P.kwargs) -> T:
        key = (draw, args, tuple(kwargs.items())) if kwargs else (draw, args)
        found = drawings.get(key)
        if found is None:
            found = _SHELF.lay(key, draw(*args, **kwargs))
        elif found.used != _SHELF.picture:  # the first time in this picture; it is asked for often
            drawings.move_to_end(key)
            found.used = _SHELF.picture
        result: T = found.value
        return result

    shelved.cache_clear = lambda: _SHELF.clear(draw)  # type: ignore[attr-defined]
    return shelved


def onto_shelf(key: Hashable, value: object) -> None:
    """Keep something that was made step by step, or is one of its kind, by a key of its own."""
    _SHELF.lay(key, value)


def from_shelf(key: Hashable, kind: type[T]) -> T | None:
    """What was kept so; None where it is not there any more."""
    found = _SHELF.find(key)
    return found.value if found is not None and isinstance(found.value, kind) else None


def next_picture(size: tuple[int, int]) -> None:
    """Another picture of that size, px, begins: the shelf is tidied."""
    _SHELF.picture += 1
    _SHELF.tidy(max(_LEAST_BYTES, _PICTURES * 4 * size[0] * size[1]))


def empty_shelf() -> None:
    """Forget all drawings: the light or the size is another one."""
    _SHELF.drawings.clear()
    _SHELF.size = 0


def kept_bytes() -> int:
    """How much lies on the shelf."""
    return _SHELF.size

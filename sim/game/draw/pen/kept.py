"""Drawings that are kept for the next picture, all on one shelf, so that together they do not grow without end.

What a picture of late has used stays, however much it is: otherwise a large bench would be drawn anew in each picture.
Of the rest, what was used longest ago goes when the shelf is full.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import pygame

__all__ = ["kept", "kept_bytes", "next_picture"]

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
    """Drawings by function and arguments, the one used longest ago first."""

    def __init__(self) -> None:
        self.drawings: OrderedDict[Hashable, _Drawing] = OrderedDict()
        self.size = 0
        self.picture = 0

    def clear(self, number: int) -> None:
        """Without those of one function."""
        for key in [key for key in self.drawings if isinstance(key, tuple) and key[0] == number]:
            self.size -= self.drawings.pop(key).size

    def tidy(self, full: int) -> None:
        """Take away what was used longest ago, until it is not more than full or only what was used of late is left."""
        while self.size > full and self.drawings:
            key, oldest = next(iter(self.drawings.items()))
            if oldest.used > self.picture - _OF_LATE:
                return
            del self.drawings[key]
            self.size -= oldest.size


_shelf = _Shelf()
_functions = 0


def _size_of(value: object) -> int:
    if isinstance(value, pygame.Surface):
        return value.get_width() * value.get_height() * value.get_bytesize()
    if isinstance(value, tuple | list):
        return sum(_size_of(each) for each in value)
    return 64


def kept(draw: Callable[P, T]) -> Callable[P, T]:
    """Keep what a drawing function gives for arguments, which must be hashable; the same gives the same object."""
    global _functions
    number = _functions = _functions + 1
    drawings = _shelf.drawings

    @wraps(draw)
    def shelved(*args: P.args, **kwargs: P.kwargs) -> T:
        key = (number, args, tuple(kwargs.items())) if kwargs else (number, args)
        found = drawings.get(key)
        if found is None:
            value = draw(*args, **kwargs)
            found = drawings[key] = _Drawing(value, _size_of(value), 0)
            _shelf.size += found.size
        else:
            drawings.move_to_end(key)
        found.used = _shelf.picture
        result: T = found.value
        return result

    shelved.cache_clear = lambda: _shelf.clear(number)  # type: ignore[attr-defined]
    return shelved


def next_picture(size: tuple[int, int]) -> None:
    """Another picture of that size, px, begins: the shelf is tidied."""
    _shelf.picture += 1
    _shelf.tidy(max(_LEAST_BYTES, _PICTURES * 4 * size[0] * size[1]))


def kept_bytes() -> int:
    """How much lies on the shelf."""
    return _shelf.size

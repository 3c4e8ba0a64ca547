"""What was worked out last, kept for what is alike: as many things as there are different pieces on a large bench."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

__all__ = ["MOST_PIECES", "Latest"]

V = TypeVar("V")

MOST_PIECES = 500
"""Different pieces with what lies about them, of which something is kept: fewer than a bench has, and a second test of
it, which comes to them in the same order, would find none."""


class Latest(Generic[V]):
    """So many things by their keys, those used last."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, V] = OrderedDict()

    def get(self, key: Hashable) -> V | None:
        """What is kept; None where nothing is."""
        found = self._kept.get(key)
        if found is not None:
            self._kept.move_to_end(key)
        return found

    def put(self, key: Hashable, found: V) -> V:
        """Keep this, and give it back."""
        self._kept[key] = found
        if len(self._kept) > self._most:
            self._kept.popitem(last=False)
        return found

    def of(self, key: Hashable, make: Callable[[], V]) -> V:
        """What is kept, made if there is none."""
        found = self.get(key)
        return self.put(key, make()) if found is None else found

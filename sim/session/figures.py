"""Figures of nodes or parts in an array, read by their names: nothing is copied until all of them are asked for."""

from __future__ import annotations

from collections.abc import ItemsView, Iterator, Mapping
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from sim.bench.table import Table

__all__ = ["Figures"]

K = TypeVar("K")


class Figures(Mapping[K, float]):
    """A mapping that cannot change; it equals, and hashes as, a table with the same items."""

    __slots__ = ("_figures", "_further", "_index")

    def __init__(self, index: Mapping[K, int], further: Mapping[K, int], figures: NDArray[np.float64]) -> None:
        """`index`, `further`: places of the names in `figures`, one after the other; no name is in both."""
        self._index = index
        self._further = further
        self._figures = figures

    def __getitem__(self, key: K) -> float:
        place = self._index.get(key)
        return float(self._figures[self._further[key] if place is None else place])

    def __contains__(self, key: object) -> bool:
        return key in self._index or key in self._further

    def __iter__(self) -> Iterator[K]:
        yield from self._index
        yield from self._further

    def __len__(self) -> int:
        return len(self._index) + len(self._further)

    def items(self) -> ItemsView[K, float]:
        """All of them, in the order of the array."""
        return dict(zip(self, self._figures.tolist(), strict=True)).items()

    def __hash__(self) -> int:
        return hash(Table(self))

    def __repr__(self) -> str:
        return f"Figures({dict(self)!r})"

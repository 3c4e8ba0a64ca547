"""An immutable, hashable mapping for the small tables of a bench."""

from __future__ import annotations

from collections.abc import ItemsView, Iterable, Iterator, Mapping, ValuesView
from typing import Any, TypeVar

__all__ = ["Table"]

K = TypeVar("K")
V = TypeVar("V")


class Table(Mapping[K, V]):
    """A mapping that cannot change, so that a frozen dataclass may hold it.

    It equals any mapping with the same items. The order in which the items were given is forgotten: iteration and
    ``repr`` go by sorted keys, so that two equal tables always give the same bytes further on.

    >>> Table({"right": "metal", "left": "bad"})
    Table({'left': 'bad', 'right': 'metal'})
    >>> Table(a=1) == {"a": 1}
    True
    >>> Table(a=1).replaced("b", 2)
    Table({'a': 1, 'b': 2})
    """

    __slots__ = ("_hash", "_items")

    def __init__(self, items: Mapping[K, V] | Iterable[tuple[K, V]] = (), /, **more: V) -> None:
        given: dict[Any, V] = dict(items, **more)
        self._items: dict[K, V] = {key: given[key] for key in sorted(given)}
        self._hash: int | None = None

    def __getitem__(self, key: K) -> V:
        return self._items[key]

    def __iter__(self) -> Iterator[K]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def __contains__(self, key: object) -> bool:
        return key in self._items

    def items(self) -> ItemsView[K, V]:
        """As of a dict."""
        return self._items.items()

    def values(self) -> ValuesView[V]:
        """As of a dict."""
        return self._items.values()

    def __hash__(self) -> int:
        if self._hash is None:
            self._hash = hash(tuple(self._items.items()))
        return self._hash

    def __repr__(self) -> str:
        return f"Table({self._items!r})"

    def __reduce__(self) -> tuple[type[Table[K, V]], tuple[dict[K, V]]]:
        # The kept hash must not travel: another process hashes text differently.
        return (type(self), (dict(self._items),))

    def replaced(self, key: K, value: V) -> Table[K, V]:
        """The same table with one item added or changed."""
        return Table({**self._items, key: value})

    def updated(self, items: Mapping[K, V]) -> Table[K, V]:
        """The same table with the values of some of its keys changed. Raises KeyError for a key that it has not got."""
        for key in items:
            self._items[key]
        table = Table[K, V]()
        table._items = {**self._items, **items}  # in the order that they had
        return table

    def without(self, key: K) -> Table[K, V]:
        """The same table with one item left out; no error if it is not there."""
        return Table({k: v for k, v in self._items.items() if k != key})

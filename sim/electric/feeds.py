"""What is joined to what: the connected groups of nodes, whatever the resistance between them."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import TypeVar

__all__ = ["joined", "labels"]

Name = TypeVar("Name", bound=Hashable)


def labels(count: int, firsts: Sequence[int], seconds: Sequence[int]) -> list[int]:
    """Label `count` nodes 0 .. count-1, joined in pairs `firsts[k]` to `seconds[k]`.

    Two nodes have the same label exactly when a chain of pairs joins them. The label is the least node number of the
    group.

    >>> labels(5, [0, 3], [4, 2])
    [0, 1, 2, 2, 0]
    """
    root = list(range(count))
    for a, b in zip(firsts, seconds, strict=True):
        while root[a] != a:
            root[a] = a = root[root[a]]
        while root[b] != b:
            root[b] = b = root[root[b]]
        if a < b:
            root[b] = a
        else:
            root[a] = b
    for node in range(count):  # a root is never greater than its node, so one pass in order settles all
        root[node] = root[root[node]]
    return root


def joined(pairs: Iterable[tuple[Name, Name]], nodes: Iterable[Name] = ()) -> dict[Name, Name]:
    """Name the group of every node that stands in `pairs` or `nodes`: equal names, joined; unequal, not.

    The name of a group is that of its first node in the order given (`nodes` first, then `pairs`).

    >>> joined([("a", "b"), ("c", "d"), ("d", "e")], nodes=["e"])
    {'e': 'e', 'a': 'a', 'b': 'a', 'c': 'e', 'd': 'e'}
    """
    number: dict[Name, int] = {}
    for node in nodes:
        number.setdefault(node, len(number))
    firsts: list[int] = []
    seconds: list[int] = []
    for a, b in pairs:
        firsts.append(number.setdefault(a, len(number)))
        seconds.append(number.setdefault(b, len(number)))
    names = list(number)
    return dict(zip(names, (names[group] for group in labels(len(names), firsts, seconds)), strict=True))

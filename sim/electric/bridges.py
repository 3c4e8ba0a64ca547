"""What hangs on each link of a net alone: its bridges, found in one pass, and what lies beyond them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

__all__ = ["Forest"]


class Forest:
    """A net of nodes 0 .. count-1 gone through once, depth first, each part of it from its first root.

    bridges: number of each link without which its two ends are not joined, to its end that lies beyond
    root: (count,) the node from which each node was first reached; of no node that was given as no root, -1

    >>> net = Forest(5, {7: (0, 1), 8: (1, 2), 9: (2, 1), 4: (2, 3)}, roots=[0])
    >>> net.bridges
    {4: 3, 7: 1}
    >>> sorted(net.beyond(7)), net.root
    ([1, 2, 3], [0, 0, 0, 0, -1])
    """

    def __init__(self, count: int, links: Mapping[int, tuple[int, int]], roots: Iterable[int] | None = None) -> None:
        """`links`: two nodes each, by numbers; `roots`: where to begin, in order; left out: at every node."""
        near: list[list[tuple[int, int]]] = [[] for _ in range(count)]
        for number, (a, b) in links.items():
            if a != b:
                near[a].append((b, number))
                near[b].append((a, number))
        self.root = [-1] * count
        self.bridges: dict[int, int] = {}
        self._order: list[int] = []
        self._first = [-1] * count
        self._past = [0] * count
        low = [0] * count
        for start in range(count) if roots is None else roots:
            if self._first[start] < 0:
                self._walk(start, near, low)

    def _walk(self, start: int, near: Sequence[Sequence[tuple[int, int]]], low: list[int]) -> None:
        first, order = self._first, self._order
        first[start] = low[start] = len(order)
        order.append(start)
        self.root[start] = start
        stack = [(start, -1, iter(near[start]))]
        while stack:
            node, came, links = stack[-1]
            for other, number in links:
                if number == came:
                    continue
                if first[other] >= 0:
                    low[node] = min(low[node], first[other])
                    continue
                first[other] = low[other] = len(order)
                order.append(other)
                self.root[other] = start
                stack.append((other, number, iter(near[other])))
                break
            else:
                stack.pop()
                self._past[node] = len(order)
                if stack:
                    before = stack[-1][0]
                    low[before] = min(low[before], low[node])
                    if low[node] == first[node]:
                        self.bridges[came] = node

    def beyond(self, bridge: int) -> list[int]:
        """The nodes that hang on a bridge, seen from the root."""
        node = self.bridges[bridge]
        return self._order[self._first[node] : self._past[node]]

    def part(self, root: int) -> list[int]:
        """All nodes that were reached from a root."""
        return self._order[self._first[root] : self._past[root]]

    def classes(self) -> list[int]:
        """(count,) nodes that stay joined whichever link is opened have the same number: that of the first reached."""
        ends = set(self.bridges.values())
        found = list(range(len(self.root)))
        stack: list[int] = []  # heads of the classes that the walk is in
        for node in self._order:
            while stack and self._first[node] >= self._past[stack[-1]]:
                stack.pop()
            if node in ends or self.root[node] == node:
                stack.append(node)
            found[node] = stack[-1]
        return found

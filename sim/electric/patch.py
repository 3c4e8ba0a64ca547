"""A factored circuit with a few parts more or less, and a few nodes more, solved without factoring it again.

The parts lie between nodes of the circuit, the ports, and nodes of their own. Seen from its ports the circuit is small;
what the ports put into it then tells the volts of all its nodes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.electric.factor import Factor
from sim.electric.feeds import labels

__all__ = ["Link", "Patched", "joined_groups"]

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_KEPT = 400  # columns of a factor that are kept
_MORE = 32  # for so many more there is room made at a time


class Link(NamedTuple):
    """What joins two nodes, by number, with so many siemens; less than 0 takes away what is there."""

    a: int
    b: int
    siemens: float


class Patched:
    """A factor of N nodes with links added to it, again and again others."""

    def __init__(self, factor: Factor) -> None:
        """Columns of the factor are worked out when they are first asked for."""
        self.factor = factor
        self._group = factor.circuit.branches.group
        self._rows = np.empty((0, len(self._group)))  # each a column of the factor
        self._row: dict[int, int] = {}

    def _answers(self, nodes: Sequence[int]) -> Array:
        """(nodes, N) volts of every node per ampere put in at each of these; see `Factor.columns`."""
        if len(self._row) + len(nodes) > _KEPT:
            self._row.clear()
        fresh = [node for node in nodes if node not in self._row]
        if fresh:
            used = len(self._row)
            if used + len(fresh) > len(self._rows):
                more = max(_MORE, len(fresh))
                self._rows = np.concatenate((self._rows[:used], np.empty((more, len(self._group)))))
            self._rows[used : used + len(fresh)] = self.factor.columns(fresh).T
            self._row.update(zip(fresh, range(used, used + len(fresh)), strict=True))
        return self._rows[[self._row[node] for node in nodes]] if nodes else self._rows[:0]

    def volts(self, own: Array, links: Sequence[Link], group: Ints) -> Array:
        """(N + E,) volts of the circuit's nodes and of E further ones; each island of `group` has its own zero.

        Args:
            own: (N,) volts of the circuit without the links; from `Factor.own`.
            links: between nodes numbered on from N for the further ones.
            group: (N + E,) label of the island that each node lies in with the links joined and taken away.
        """
        count, further = len(own), len(group) - len(own)
        ports = sorted({end for link in links for end in link[:2] if end < count})
        size = len(ports)
        place = {node: k for k, node in enumerate(ports)} | {count + k: size + k for k in range(further)}
        some = np.array(ports, dtype=np.intp)
        answers = self._answers(ports)
        between = self.factor.between(some, answers[:, some].T)
        current = between @ own[some]

        matrix = np.zeros((size + further, size + further))
        matrix[:size, :size] = between
        for a, b, siemens in links:
            matrix[place[a], place[b]] -= siemens
            matrix[place[b], place[a]] -= siemens
        island = group[np.concatenate((some, np.arange(count, count + further)))]
        matrix[island[:, None] != island] = 0.0  # what was taken away leaves no rounding
        np.fill_diagonal(matrix, 0.0)
        np.fill_diagonal(matrix, -matrix.sum(axis=1))
        held = np.unique(island, return_index=True)[1]
        matrix[held] = 0.0
        matrix[:, held] = 0.0
        matrix[held, held] = 1.0
        right = np.zeros(size + further)
        right[:size] = current
        right[held] = 0.0
        found = np.linalg.solve(matrix, right)

        volts = np.zeros(count + further)
        volts[:count] = own + (between @ found[:size] - current) @ answers
        shift = np.zeros(count)
        shift[self._group[some]] = found[:size] - volts[some]
        volts[:count] += shift[self._group]
        volts[count:] = found[size:]
        return volts


def joined_groups(group: Ints, links: Sequence[Link], further: int) -> Ints:
    """(N + further,) label of each node's island, the least node number in it, when links join what `group` parts.

    Args:
        group: (N,) the same before, without the further nodes. links: none of them takes anything away.
    """
    count = len(group)
    label = np.arange(count + further)
    own = [[int(group[end]) if end < count else end for end in link[:2]] for link in links]
    some = sorted({one for pair in own for one in pair})
    number = {one: k for k, one in enumerate(some)}
    roots = labels(len(some), [number[a] for a, _ in own], [number[b] for _, b in own])
    label[some] = [some[root] for root in roots]
    return np.asarray(label[np.concatenate((group, np.arange(count, count + further)))])

"""Express every node of a circuit by a few kept ones: the one elimination behind `solve` (nothing kept) and `fold`.

A node that is not kept takes the volts that leave no current over at it. Dense for small circuits. In large ones, which
are mostly long rails, nodes with few neighbours go first, one by one (star to mesh: the arms' currents are shared out
in the ratio of their conductances, with nothing ever subtracted), and the dense step is left with the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.electric.circuit import Branches

__all__ = ["Expressed", "express", "held_nodes", "narrow"]

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_SMALL = 40  # nodes; below, dead ends are not worth looking for
_DENSE = 300  # nodes; below, one dense solve is quicker than going node by node
_NEIGHBOURS = 10  # a node with more is left to the dense step


@dataclass(frozen=True, eq=False)
class Expressed:
    """The N nodes of a circuit with L lamps (cold, as a straight-line circuit) in terms of P kept nodes.

    `volts` (N, P + 1 + L): volts of each node per volt of each kept node; then with the kept nodes at 0 V; then what
    one ampere put in across each lamp adds to that. `conductance` (P, P): S between the kept nodes, rows summing to
    zero. `current` (P, 1 + L): A put in at the kept nodes by the sources, and for each ampere put in across each lamp.
    """

    volts: Array
    conductance: Array
    current: Array


class _Step(NamedTuple):
    """One node gone: its volts are those of `near` in the parts `share`, and `own` with all of those at 0 V."""

    node: int
    near: list[int]
    share: Array
    own: Array


def express(branches: Branches, kept: Ints, lamps: Ints, pushed: Ints | None = None) -> Expressed:
    """Express all nodes by `kept`, numbers of nodes. `lamps`: places of the parts in `branches` that are hot filaments.

    In an island without a kept node one node is held at 0 V: the minus of its first source, else its first node.

    Args:
        pushed: numbers of nodes; for each, one more column tells what one ampere put in at it adds.
    """
    count, size = len(branches.group), len(kept)
    extra = np.zeros(0, dtype=np.intp) if pushed is None else pushed
    given = np.zeros((count, 1 + len(lamps) + len(extra)))
    given[extra, 1 + len(lamps) + np.arange(len(extra))] = 1.0
    given[:, 0] = branches.injection()
    columns = np.arange(1, 1 + len(lamps))
    given[branches.a[lamps], columns] += 1.0
    given[branches.b[lamps], columns] -= 1.0
    held = held_nodes(branches, kept)

    steps: list[_Step] = []
    ends = rest = np.arange(count)
    if count > _DENSE:
        steps, rest, matrix = _strip(branches, np.concatenate((kept, held)), given)
    elif count > _SMALL:
        ends, rest, matrix = _without_dead_ends(branches, np.concatenate((kept, held)), given)
    else:
        matrix = branches.conductance()

    place = np.zeros(count, dtype=np.intp)
    place[rest] = np.arange(len(rest))
    left = _dense(matrix, given[rest], place[kept], place[held])
    volts = np.zeros((count, size + given.shape[1]))
    volts[rest] = left.volts
    for step in reversed(steps):
        volts[step.node] = step.share @ volts[step.near]
        volts[step.node, size:] += step.own
    if len(rest) < count and not steps:
        volts = volts[ends]
    return Expressed(volts, left.conductance, left.current)


def narrow(whole: Expressed, added: Array, kept: Ints, held: Ints) -> Expressed:
    """`whole` in terms of fewer of its kept nodes, with more joined between them first.

    Args:
        added: (P, P) S, a conductance matrix of what is joined between the nodes that `whole` keeps.
        kept: places among those of the nodes that are still kept.
        held: places of the nodes to hold at 0 V, one for each island without a kept node.
    """
    near = _dense(whole.conductance + added, whole.current, kept, held)
    size = len(whole.conductance)
    volts = whole.volts[:, :size] @ near.volts
    volts[:, len(kept) :] += whole.volts[:, size:]
    return Expressed(volts, near.conductance, near.current)


def _dense(matrix: Array, given: Array, kept: Ints, held: Ints) -> Expressed:
    """`express` for the nodes of a conductance matrix, with `given` (N, R) A put in at them in each column."""
    size = len(kept)
    inside = np.ones(len(matrix), dtype=bool)
    inside[kept] = False
    inner = np.flatnonzero(inside)
    to_inner = matrix[kept[:, None], inner]
    within = matrix[inner[:, None], inner]
    right = np.concatenate((-to_inner.T, given[inner]), axis=1)
    still = np.searchsorted(inner, held)
    within[still] = 0.0
    within[:, still] = 0.0
    within[still, still] = 1.0
    right[still] = 0.0
    found = np.linalg.solve(within, right)

    # Beside a thousandth of an ohm, a meter's ten megohm is lost in a sum of conductances; so once more with what is
    # left over at the nodes, counted link by link.
    trial = np.zeros(given.shape)
    trial[inner] = found[:, size:]
    over = (given - _leaving(matrix, trial))[inner]
    over[still] = 0.0
    found[:, size:] += np.linalg.solve(within, over)

    volts = np.zeros((len(matrix), size + given.shape[1]))
    volts[kept, np.arange(size)] = 1.0
    volts[inner] = found
    conductance = matrix[kept[:, None], kept] + to_inner @ found[:, :size]
    conductance = np.minimum(0.5 * (conductance + conductance.T), 0.0)  # what is above 0 is rounding
    np.fill_diagonal(conductance, 0.0)
    np.fill_diagonal(conductance, -conductance.sum(axis=1))
    return Expressed(volts, conductance, current=given[kept] - to_inner @ found[:, size:])


def _leaving(matrix: Array, volts: Array) -> Array:
    """Current that leaves each node, (n, R) A, at R sets of `volts` (n, R), summed link by link of `matrix`."""
    return np.stack([((column - column[:, None]) * matrix).sum(axis=1) for column in volts.T], axis=1)


def held_nodes(branches: Branches, kept: Ints) -> Ints:
    """The nodes to hold at 0 V, one for each island without a kept node."""
    group = branches.group.tolist()
    zero = {island: island for island in group}  # a label is the island's first node
    for source in reversed(branches.sources):
        if branches.siemens[source]:
            minus = int(branches.b[source])
            zero[group[minus]] = minus
    for node in kept.tolist():
        zero.pop(group[node], None)
    return np.array(list(zero.values()), dtype=np.intp)


def _without_dead_ends(branches: Branches, keep: Ints, given: Array) -> tuple[Ints, Ints, Array]:
    """Leave out nodes at which no current can arrive: those with one link, then those that are left with one.

    Returns for each node the one that has its volts, itself or that at which its dead end begins; the nodes left, and
    the conductance matrix of those.
    """
    count = len(branches.group)
    end = np.arange(count)
    stays = np.asarray(given.any(axis=1))
    stays[keep] = True
    links = np.flatnonzero((branches.siemens > 0.0) & (branches.a != branches.b))
    while True:
        a, b = branches.a[links], branches.b[links]
        alone = (np.bincount(np.concatenate((a, b)), minlength=count) == 1) & ~stays
        if not (alone[a] | alone[b]).any():
            break
        end[a[alone[a]]] = b[alone[a]]
        end[b[alone[b]]] = a[alone[b]]
        links = links[~(alone[a] | alone[b])]
    rest = np.flatnonzero(end == np.arange(count))
    while (further := end[end]).tobytes() != end.tobytes():
        end = further
    place = np.zeros(count, dtype=np.intp)
    place[rest] = np.arange(len(rest))
    bare = replace(
        branches,
        a=place[branches.a[links]],
        b=place[branches.b[links]],
        siemens=branches.siemens[links],
        group=branches.group[rest],
    )
    return end, rest, bare.conductance()


def _strip(branches: Branches, keep: Ints, given: Array) -> tuple[list[_Step], Ints, Array]:
    """Eliminate nodes with few neighbours, fewest first, passing their rows of `given` on to the neighbours.

    Returns the steps in order, the nodes left, and the conductance matrix of those.
    """
    net: list[dict[int, float]] = [{} for _ in range(len(branches.group))]
    for a, b, siemens in zip(branches.a.tolist(), branches.b.tolist(), branches.siemens.tolist(), strict=True):
        if siemens and a != b:
            net[a][b] = net[b][a] = net[a].get(b, 0.0) + siemens
    stay = set(keep.tolist())
    queue = [(len(near), node) for node, near in enumerate(net) if node not in stay and len(near) <= _NEIGHBOURS]
    heapify(queue)
    gone: set[int] = set()
    steps: list[_Step] = []
    while queue:
        degree, node = heappop(queue)
        arms = net[node]
        if node in gone or degree != len(arms):
            continue
        gone.add(node)
        near = list(arms)
        total = sum(arms.values())
        for k, one in enumerate(near):
            row = net[one]
            del row[node]
            for other in near[:k]:
                row[other] = net[other][one] = row.get(other, 0.0) + arms[one] * arms[other] / total
        for one in near:
            if one not in stay and len(net[one]) <= _NEIGHBOURS:
                heappush(queue, (len(net[one]), one))
        share = np.array(list(arms.values())) / total
        steps.append(_Step(node, near, share, given[node] / total))
        given[near] += share[:, None] * given[node]
    rest = np.array([node for node in range(len(net)) if node not in gone], dtype=np.intp)
    place = {node: k for k, node in enumerate(rest.tolist())}
    matrix = np.zeros((len(rest), len(rest)))
    for node, k in place.items():
        for other, siemens in net[node].items():
            matrix[k, place[other]] = -siemens
    np.fill_diagonal(matrix, -matrix.sum(axis=1))
    return steps, rest, matrix

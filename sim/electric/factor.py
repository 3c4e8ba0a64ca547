"""A whole circuit factored once, and seen from a few of its nodes again and again.

One ampere put in at each of some nodes tells the resistance between all of them; its inverse is what the rest of the
circuit is between those nodes (Kron reduction). So the factor is made once, and each look costs as much as the few
nodes and not as the whole circuit.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.electric.circuit import Branches, Circuit, TooMuch
from sim.electric.eliminate import held_nodes
from sim.electric.parts.lamp import settle

__all__ = ["Factor", "Lit", "Reduced", "narrowed", "solve_reduced"]

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_DENSE = 500  # nodes; above, a sparse factor is quicker, and worth the time that its library takes to be imported
_OPEN = 1e-9  # S: what links two nodes by less joins nothing; a gigaohm
_DARK = 5e-6  # rated volts: with no more across it a filament is as good as cold, to 1 part in a million
_MOST_LIT = 64  # lamps that glow in one small circuit
_BLOCK = 256  # columns that are worked out at a time


@dataclass(frozen=True, eq=False)
class Lit:
    """L lamps as seen from P ports: what they add to a straight-line circuit in which they stay cold.

    `volts` (L, P): volts across each per volt of each port; `own` (K, L): with the ports at 0 V, for each set of
    sources; `answer` (L, L): volts across each per ampere put in across each, ports at 0 V; `push` (P, L): amperes that
    come out at each port per ampere put in across each. `cold` (L,) S, `rated` (L,) V.
    """

    volts: Array
    own: Array
    answer: Array
    push: Array
    cold: Array
    rated: Array


@dataclass(frozen=True, eq=False)
class Reduced:
    """A circuit seen from P of its nodes, the ports.

    `nodes` (P,): their numbers. `conductance` (P, P) S: between them, only what stands off the diagonal counts.
    `current` (K, P) A: what the sources put in at them, for each of K sets of sources. `lit`: lamps that glow, or None.
    """

    nodes: Ints
    conductance: Array
    current: Array
    lit: Lit | None = None


class Factor:
    """A circuit, factored.

    sources: (K, parts that deliver) factors by which their volts are taken: K sets of sources that are looked at
    """

    def __init__(self, circuit: Circuit, sources: Array | None = None) -> None:
        """`sources`: left out, one set with the volts as they are."""
        self.circuit = circuit
        branches = self._branches = circuit.branches
        count = len(branches.group)
        places = np.array(branches.sources, dtype=np.intp)
        self.sources = np.ones((1, len(places))) if sources is None else sources
        held = held_nodes(branches, np.zeros(0, dtype=np.intp))
        self._zero = np.zeros(count, dtype=np.intp)
        self._zero[branches.group[held]] = held
        self._free_rows = np.ones(count, dtype=bool)
        self._free_rows[held] = False
        self._solve = _sparse(branches, held) if count > _DENSE else _dense(branches, held)
        given = np.zeros((count, len(self.sources)))
        for k, factors in enumerate(self.sources):
            amps = branches.siemens[places] * branches.emf[places] * factors
            np.add.at(given[:, k], branches.a[places], amps)
            np.add.at(given[:, k], branches.b[places], -amps)
        self.own = self._answers(given)
        """(nodes, K) volts of every node, from the zero of its island, with nothing more joined; lamps cold."""

    def _answers(self, given: Array) -> Array:
        given[~self._free_rows] = 0.0
        return self._solve(given)

    def columns(self, nodes: Sequence[int] | Ints) -> Array:
        """(all nodes, nodes) volts of every node per ampere put in at each of these; 0 at the zero of each island."""
        some = np.asarray(nodes, dtype=np.intp)
        given = np.zeros((len(self._zero), len(some)))
        given[some, np.arange(len(some))] = 1.0
        return self._answers(given)

    def blocks(self, nodes: Ints) -> list[tuple[Ints, Array]]:
        """`columns` of many nodes, some at a time."""
        return [
            (nodes[k : k + _BLOCK], self.columns(nodes[k : k + _BLOCK])) for k in range(0, len(nodes), _BLOCK)
        ]

    def reduced(self, nodes: Ints, lamps: Ints | None = None) -> Reduced:
        """The circuit seen from these nodes, each once.

        Args:
            lamps: places, among the circuit's lamps, of those that may glow; the others stay cold.
        """
        branches = self._branches
        columns = self.columns(nodes)
        conductance = _between(branches.group[nodes], nodes, self._zero, columns[nodes])
        current = (conductance @ self.own[nodes]).T
        if lamps is None or not len(lamps):
            return Reduced(nodes, conductance, np.ascontiguousarray(current))
        some = branches.lamps[lamps]
        a, b = branches.a[some], branches.b[some]
        given = np.zeros((len(self._zero), len(some)))
        np.add.at(given, (a, np.arange(len(some))), 1.0)
        np.add.at(given, (b, np.arange(len(some))), -1.0)
        pushed = self._answers(given)  # volts of every node per ampere across each lamp, ports free
        spread = columns @ conductance  # of every node per volt of each port, less what is alike in an island
        volts = spread[a] - spread[b]
        free = self.own[a] - self.own[b]
        own = (free - volts @ self.own[nodes]).T
        answer = (pushed[a] - pushed[b]) - volts @ pushed[nodes]
        push = conductance @ pushed[nodes]
        lit = Lit(volts, own, answer, push, branches.siemens[some], branches.rated[lamps])
        return Reduced(nodes, conductance, np.ascontiguousarray(current), lit)


def _matrix_parts(branches: Branches, held: Ints) -> tuple[Ints, Ints, Array]:
    """Rows, columns and values of the conductance matrix, each held node's row and column being that of 0 V."""
    free = np.ones(len(branches.group), dtype=bool)
    free[held] = False
    a, b, siemens = branches.a, branches.b, branches.siemens
    some = (siemens > 0.0) & (a != b)
    a, b, siemens = a[some], b[some], siemens[some]
    both = free[a] & free[b]
    rows = np.concatenate((a[free[a]], b[free[b]], a[both], b[both], held))
    cols = np.concatenate((a[free[a]], b[free[b]], b[both], a[both], held))
    ones = np.ones(len(held))
    values = np.concatenate((siemens[free[a]], siemens[free[b]], -siemens[both], -siemens[both], ones))
    return rows, cols, values


def _dense(branches: Branches, held: Ints) -> Callable[[Array], Array]:
    rows, cols, values = _matrix_parts(branches, held)
    count = len(branches.group)
    matrix = np.bincount(rows * count + cols, values, minlength=count * count).reshape(count, count)
    inverse = np.linalg.inv(matrix)

    def solved(given: Array) -> Array:
        return np.asarray(inverse @ given)

    return solved


def _sparse(branches: Branches, held: Ints) -> Callable[[Array], Array]:
    from scipy.sparse import csc_matrix
    from scipy.sparse.linalg import splu

    rows, cols, values = _matrix_parts(branches, held)
    count = len(branches.group)
    matrix = csc_matrix((values, (rows, cols)), shape=(count, count))
    factor = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})

    def solved(given: Array) -> Array:
        return np.asarray(factor.solve(given))

    return solved


def _between(islands: Ints, nodes: Ints, zero: Ints, answers: Array) -> Array:
    """(P, P) S between the ports: what is left of the circuit when all other nodes are taken out.

    Args:
        islands: (P,) label of the island that each port lies in; zero: of each island, by its label, its node at 0 V.
        answers: (P, P) volts of each port per ampere put in at each.
    """
    size = len(nodes)
    between = np.zeros((size, size))
    for island in dict.fromkeys(islands.tolist()):
        mine = np.flatnonzero(islands == island)
        at_zero = nodes[mine] == zero[island]
        others = mine[~at_zero]
        if not len(others):
            continue
        grounded = np.linalg.inv(answers[others[:, None], others])
        to_zero = grounded.sum(axis=1)
        if at_zero.any():  # the node at 0 V is itself a port
            port = mine[at_zero][0]
            between[others[:, None], others] = grounded
            between[others, port] = between[port, others] = -to_zero
        elif to_zero.sum() > _OPEN:  # it is not: it is taken out too, star to mesh
            between[others[:, None], others] = grounded - np.outer(to_zero, to_zero) / to_zero.sum()
        else:
            between[others[:, None], others] = grounded
    between = 0.5 * (between + between.T)
    between[between > -_OPEN] = 0.0  # what is above 0 is rounding
    np.fill_diagonal(between, 0.0)
    np.fill_diagonal(between, -between.sum(axis=1))
    return between


def narrowed(reduced: Reduced, added: Array, kept: Ints) -> Reduced:
    """A circuit seen from fewer of its ports, with more joined between them first; without lamps that glow.

    Args:
        added: (P, P) S, as `extra` of `solve_reduced`. kept: places of the ports that are kept.
    """
    links = reduced.conductance + added
    links[links > -_OPEN] = 0.0
    np.fill_diagonal(links, 0.0)
    np.fill_diagonal(links, _OPEN - links.sum(axis=1))
    gone = np.setdiff1d(np.arange(len(links)), kept)
    if len(gone):
        share = np.linalg.solve(links[gone[:, None], gone], links[gone[:, None], kept])
        between = links[kept[:, None], kept] - links[kept[:, None], gone] @ share
        current = reduced.current[:, kept] - reduced.current[:, gone] @ share
    else:
        between, current = links[kept[:, None], kept], reduced.current[:, kept]
    between = 0.5 * (between + between.T)
    between[between > -_OPEN] = 0.0
    return Reduced(reduced.nodes[kept], between, np.ascontiguousarray(current))


def solve_reduced(reduced: Reduced, extra: Array, sources: int = 0, pushed: Array | None = None) -> Array:
    """Volts of the ports, (S, Q), in S states at once, Q being the ports and whatever nodes come after them.

    Only differences of volts within what is joined have a meaning.

    Args:
        extra: (S, Q, Q) S, conductance that each state adds between nodes, less than 0 off the diagonal where it
            joins; more than 0 takes away what is there. The diagonal is not read. Q is at least P.
        sources: which set of sources.
        pushed: (Q,) A put in at the nodes; the answer is then (S, Q, 2), the second being what these add. Not with
            lamps.
    """
    count, size = extra.shape[:2]
    ports = len(reduced.nodes)
    links = extra.copy()
    links[:, :ports, :ports] += reduced.conductance
    np.minimum(links, 0.0, out=links)
    links[links > -_OPEN] = 0.0
    diagonal = links.reshape(count, size * size)[:, :: size + 1]  # a view
    diagonal[:] = 0.0
    diagonal[:] = _OPEN - links.sum(axis=2)
    lit = reduced.lit
    right = np.zeros((count, size, 1 + (0 if pushed is None else 1)))
    right[:, :ports, 0] = reduced.current[sources]
    if lit is None:
        if pushed is None:
            return np.asarray(np.linalg.solve(links, right)[:, :, 0])
        right[:, :, 1] = pushed
        return np.asarray(np.linalg.solve(links, right))
    return _lit(links, right[:, :, 0], lit, ports, lit.own[sources])


def _lit(links: Array, current: Array, lit: Lit, ports: int, own: Array) -> Array:
    """The same with lamps: those that glow are settled, one with next to no volts is as good as cold."""
    volts = np.asarray(np.linalg.solve(links, current[:, :, None])[:, :, 0])
    glowing = np.zeros(0, dtype=np.intp)
    while True:
        if len(glowing):
            pushes = _pushes(links, lit, ports, glowing)
            found = np.linalg.solve(links, np.concatenate((current[:, :, None], pushes), axis=2))
            across = lit.volts @ found[:, :ports]
            answer = across[:, glowing, 1:] + lit.answer[glowing[:, None], glowing]
            less = settle(across[:, glowing, 0] + own[glowing], answer, lit.cold[glowing], lit.rated[glowing])
            volts = found[:, :, 0] + (found[:, :, 1:] @ less[:, :, None])[:, :, 0]
            far = (lit.answer[:, glowing] @ less[:, :, None])[:, :, 0]
            now = volts[:, :ports] @ lit.volts.T + own + far
        else:
            now = volts[:, :ports] @ lit.volts.T + own
        bright = np.flatnonzero((np.abs(now) > _DARK * lit.rated).any(axis=0))
        more = np.union1d(glowing, bright).astype(np.intp)
        if len(more) == len(glowing):
            return np.asarray(volts, dtype=np.float64)
        if len(more) > _MOST_LIT:
            raise TooMuch(f"{len(more)} lamps that glow at once are too many to work out")
        glowing = more


def _pushes(links: Array, lit: Lit, ports: int, some: Ints) -> Array:
    pushes = np.zeros((*links.shape[:2], len(some)))
    pushes[:, :ports] = lit.push[:, some]
    return pushes

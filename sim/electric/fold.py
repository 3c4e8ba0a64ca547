"""Fold a circuit onto a few of its nodes, and solve many variations of what hangs on those.

Folding eliminates every other node exactly (Schur complement). What is left has the same volts at the ports, whatever
is joined to them afterwards. A batch of states, each a few more conductances between ports, is then one batched solve
of small matrices.

Lamps are folded cold; what a hot filament takes off (`parts.lamp.settle`) is carried as currents put back in at the
ports, so that lamps need not be ports themselves.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.electric.circuit import Branches, Circuit, CircuitError, twice
from sim.electric.eliminate import Expressed, express, held_nodes, narrow
from sim.electric.parts import Part
from sim.electric.parts.lamp import settle

__all__ = ["Folded", "Switched", "fold", "fold_each", "solve_states"]

Array = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Folded:
    """A circuit of N nodes seen from P of them, with L lamps.

    `conductance` (P, P) S, rows summing to zero, lamps cold; `current` (P,) A put in at the ports. So far as the
    outside can tell the circuit is: amps out of port p = conductance @ port volts - current. `circuit`, `nodes`: what
    was folded.
    """

    circuit: Circuit
    ports: tuple[str, ...]
    conductance: Array
    current: Array
    _spread: Array  # (N, P) volts of every node per volt of each port
    _own: Array  # (N,) volts of every node with all ports at 0 V
    _lamp_spread: Array  # (N, L) volts of every node, ports at 0 V, per ampere put in across each lamp
    _lamp_current: Array  # (P, L) current put in at the ports for each ampere put in across each lamp
    _lamp_volts: Array  # (L, P + 1) volts across the lamps per volt of each port, and with all ports at 0 V
    _lamp_answer: Array  # (L, L) volts across the lamps, ports at 0 V, per ampere put in across each
    _cold: Array  # (L,) cold conductance of the lamps
    _rated: Array  # (L,) rated volts of the lamps
    _piece: Ints  # (P,) number of the island that each port lies in, numbered by their first ports
    _first: Ints  # (C,) first port of each such island
    _zeros: tuple[tuple[int, int], ...]  # of each source that a port can reach: the number of its island, and its minus

    @property
    def nodes(self) -> tuple[str, ...]:
        """The nodes of the circuit, in the order of the columns of `everywhere`."""
        return self.circuit.nodes

    def everywhere(self, port_volts: Array) -> Array:
        """Volts of all nodes, (S, N), when the ports have `port_volts` (S, P); or (N,) for one state (P,)."""
        states = np.atleast_2d(port_volts)
        volts = states @ self._spread.T + self._own
        if len(self._cold):
            volts += self._settled(states) @ self._lamp_spread.T
        return volts if port_volts.ndim == 2 else volts[0]

    def flow(self, port_volts: Array, places: Ints) -> Array:
        """Current through the parts at these places, (S, M), A from a to b, when the ports have `port_volts` (S, P)."""
        branches = self.circuit.branches
        a, b = branches.a[places], branches.b[places]
        across = port_volts @ (self._spread[a] - self._spread[b]).T + (self._own[a] - self._own[b])
        if len(self._cold):
            less = self._settled(port_volts)
            across += less @ (self._lamp_spread[a] - self._lamp_spread[b]).T
        return branches.through(across, only=places)

    def _settled(self, port_volts: Array) -> Array:
        """What the hot lamps take off, (S, L) A; see `settle`."""
        across = port_volts @ self._lamp_volts[:, :-1].T + self._lamp_volts[:, -1]
        return settle(across, self._lamp_answer, self._cold, self._rated)


def fold(circuit: Circuit, ports: Sequence[str], *, cold: bool = False) -> Folded:
    """Fold `circuit` onto `ports`, names of nodes, each once.

    `cold`: in the first instant, with every lamp's filament cold still.
    """
    branches = circuit.branches
    try:
        kept = np.array([circuit.index[port] for port in ports], dtype=np.intp)
    except KeyError as missing:
        raise CircuitError(f"no node {missing.args[0]!r}") from None
    if len(set(ports)) != len(ports):
        raise CircuitError(f"port given twice: {twice(tuple(ports))}")
    lamps = branches.lamps[:0] if cold else branches.lamps
    return _folded(circuit, ports, kept, lamps, express(branches, kept, lamps))


def fold_each(circuit: Circuit, port_sets: Sequence[Sequence[str]]) -> list[Folded]:
    """The same as `fold` for each of several sets of ports of one circuit, from far fewer eliminations.

    One ampere put in at each port in turn tells the resistance between all of them; its inverse is what folding gives.
    """
    branches = circuit.branches
    lamps = branches.lamps
    found: list[Folded] = []
    for group in _grouped(port_sets):
        union = np.array(sorted({circuit.index[port] for ports in group for port in ports}), dtype=np.intp)
        whole = express(branches, np.zeros(0, dtype=np.intp), lamps, union).volts
        held = held_nodes(branches, np.zeros(0, dtype=np.intp))
        zero = np.zeros(len(branches.group), dtype=np.intp)
        zero[branches.group[held]] = held
        column = {node: k for k, node in enumerate(union.tolist())}
        size = 1 + len(lamps)
        for ports in group:
            kept = np.array([circuit.index[port] for port in ports], dtype=np.intp)
            answers = whole[:, size + np.array([column[node] for node in kept.tolist()], dtype=np.intp)]
            expressed = _from_answers(branches, kept, zero, whole[:, :size], answers)
            found.append(_folded(circuit, ports, kept, lamps, expressed))
    return found


class Switched:
    """A circuit with parts that may be closed, all of them open: folded once for all ways in which they can be closed.

    What is kept are the nodes between which those parts lie, and `ports`, further nodes.
    """

    def __init__(self, circuit: Circuit, parts: Mapping[int, Part], ports: Sequence[str]) -> None:
        """`parts`: those that may be closed, as they are then, by their places."""
        self.circuit = circuit
        self.parts = parts
        self._circuits: dict[tuple[int, ...], Circuit] = {}
        branches, places = circuit.branches, list(parts)
        ends = branches.a[places], branches.b[places]
        further = np.array([circuit.index[port] for port in ports], dtype=np.intp)
        self._kept = np.unique(np.concatenate((*ends, further)))
        self._expressed = express(branches, self._kept, branches.lamps)
        a, b = (np.searchsorted(self._kept, end).tolist() for end in ends)
        self._links = {
            place: (one, other, part.stamp().siemens)
            for (place, part), one, other in zip(parts.items(), a, b, strict=True)
        }

    def added(self, places: Iterable[int]) -> Array:
        """What the parts at these places, closed, add between the kept nodes: their conductance matrix."""
        matrix = np.zeros((len(self._kept), len(self._kept)))
        for place in places:
            one, other, siemens = self._links[place]
            if one != other:
                matrix[one, one] += siemens
                matrix[other, other] += siemens
                matrix[one, other] -= siemens
                matrix[other, one] -= siemens
        return matrix

    def _closed(self, places: Sequence[int]) -> Circuit:
        key = tuple(places)
        if key not in self._circuits:
            self._circuits[key] = self.circuit.closed({place: self.parts[place] for place in places})
        return self._circuits[key]

    def whole(self) -> Folded:
        """The circuit with all of the parts open, folded onto all kept nodes."""
        ports = [self.circuit.nodes[k] for k in self._kept.tolist()]
        return _folded(self.circuit, ports, self._kept, self.circuit.branches.lamps, self._expressed)

    def fold(self, places: Sequence[int], ports: Sequence[str]) -> Folded:
        """What `fold` gives for the circuit with the parts at these places closed."""
        closed = self._closed(places)
        branches = closed.branches
        kept = np.array([closed.index[port] for port in ports], dtype=np.intp)
        # Of each island that has kept nodes but none of the ports, the first of them is held at 0 V, to begin with.
        islands, first = np.unique(branches.group[self._kept], return_index=True)
        held = first[~np.isin(islands, branches.group[kept])]
        expressed = narrow(self._expressed, self.added(places), np.searchsorted(self._kept, kept), held)
        if len(held):
            zero = np.arange(len(branches.group))
            real = held_nodes(branches, kept)
            moved = np.isin(branches.group, branches.group[self._kept[held]])
            zero[branches.group[real]] = real
            at = zero[branches.group[moved]]
            expressed.volts[moved] -= expressed.volts[at]
        return _folded(closed, ports, kept, branches.lamps, expressed)


_COLUMNS = 400  # ports that are worked out in one elimination


def _grouped(port_sets: Sequence[Sequence[str]]) -> list[list[Sequence[str]]]:
    groups: list[list[Sequence[str]]] = []
    union: set[str] = set()
    for ports in port_sets:
        if not groups or len(union | set(ports)) > _COLUMNS:
            groups.append([])
            union = set()
        groups[-1].append(ports)
        union |= set(ports)
    return groups


def _from_answers(branches: Branches, kept: Ints, zero: Ints, free: Array, answers: Array) -> Expressed:
    """What `express` gives for `kept`, from the circuit's answers.

    Args:
        zero: of each island, by its label, the node held at 0 V.
        free: (N, 1 + L) volts with nothing put in at the ports.
        answers: (N, P) volts per ampere put in at each port and taken out at its island's node held at 0 V.
    """
    size = len(kept)
    between = np.zeros((size, size))  # conductance between the ports, as a full matrix with rows summing to zero
    islands = branches.group[kept]
    for island in np.unique(islands):
        mine = np.flatnonzero(islands == island)
        others = mine[kept[mine] != zero[island]]
        if not len(others):
            continue
        grounded = np.linalg.inv(answers[kept[others]][:, others])
        to_zero = grounded.sum(axis=1)
        if len(others) < len(mine):  # the node held at 0 V is itself a port
            (port,) = mine[kept[mine] == zero[island]]
            between[np.ix_(others, others)] = grounded
            between[others, port] = between[port, others] = -to_zero
        elif to_zero.sum() > 0.0:  # it is not: it goes, star to mesh
            between[np.ix_(others, others)] = grounded - np.outer(to_zero, to_zero) / to_zero.sum()
    between = np.minimum(0.5 * (between + between.T), 0.0)
    np.fill_diagonal(between, 0.0)
    np.fill_diagonal(between, -between.sum(axis=1))
    current = between @ free[kept]
    volts = np.concatenate((answers @ between, free - answers @ current), axis=1)
    first = np.zeros(len(branches.group), dtype=np.intp) - 1
    first[islands[::-1]] = np.arange(size)[::-1]  # of each island, by its label, its first port
    anchor = first[branches.group]
    with_port = np.flatnonzero(anchor >= 0)
    at = anchor[with_port]
    shift = -volts[kept[at]]
    shift[np.arange(len(at)), at] += 1.0
    volts[with_port] += shift
    return Expressed(volts, between, current)


def _folded(circuit: Circuit, ports: Sequence[str], kept: Ints, lamps: Ints, expressed: Expressed) -> Folded:
    branches = circuit.branches
    size = len(ports)
    across = expressed.volts[branches.a[lamps]] - expressed.volts[branches.b[lamps]]
    islands = branches.group[kept].tolist()
    numbers: dict[int, int] = {}
    for island in islands:
        numbers.setdefault(island, len(numbers))
    piece = [numbers[island] for island in islands]
    zeros = [
        (numbers[int(branches.group[branches.b[source]])], int(branches.b[source]))
        for source in branches.sources
        if branches.siemens[source] and int(branches.group[branches.b[source]]) in numbers
    ]
    return Folded(
        circuit=circuit,
        ports=tuple(ports),
        conductance=expressed.conductance,
        current=expressed.current[:, 0],
        _spread=expressed.volts[:, :size],
        _own=expressed.volts[:, size],
        _lamp_spread=expressed.volts[:, size + 1 :],
        _lamp_current=expressed.current[:, 1:],
        _lamp_volts=across[:, : size + 1],
        _lamp_answer=across[:, size + 1 :],
        _cold=branches.siemens[lamps],
        _rated=branches.rated[: len(lamps)],
        _piece=np.array(piece, dtype=np.intp),
        _first=np.array([piece.index(number) for number in range(len(numbers))], dtype=np.intp),
        _zeros=tuple(zeros),
    )


def solve_states(folded: Folded, extra: Array) -> Array:
    """Volts of the ports, (S, P), in S states at once.

    `extra` (S, P, P): conductance matrices of what each state adds between ports, never takes away; only what stands
    off the diagonal is read. Zero volts are where `solve` has them. The currents of the parts are then
    `circuit.branches.flow(folded.everywhere(volts))`.
    """
    count, size = len(extra), len(folded.ports)
    links = np.add(folded.conductance, extra, order="C")
    diagonal = links.reshape(count, size * size)[:, :: size + 1]  # a view
    diagonal[:] = 0.0
    group = _islands(folded, links)
    diagonal[:] = -(links.reshape(count * size, size) @ np.ones(size)).reshape(count, size)
    pieces = np.arange(len(folded._first))
    diagonal[:, folded._first] += group == pieces  # one port of each island is held at 0 V, through 1 ohm

    right = np.empty((count, size, 1 + len(folded._cold)))
    right[:, :, 0] = folded.current
    right[:, :, 1:] = folded._lamp_current
    found = np.linalg.solve(links, right)
    volts = np.asarray(found[:, :, 0], dtype=np.float64)
    less = np.zeros((count, 0))
    if len(folded._cold):
        across = folded._lamp_volts[:, :-1] @ found
        across[:, :, 0] += folded._lamp_volts[:, -1]
        less = settle(across[:, :, 0], across[:, :, 1:] + folded._lamp_answer, folded._cold, folded._rated)
        volts = volts + (found[:, :, 1:] @ less[:, :, None])[:, :, 0]

    zero = np.zeros((count, len(pieces)))
    for island, minus in reversed(folded._zeros):
        at = volts @ folded._spread[minus] + folded._own[minus] + less @ folded._lamp_spread[minus]
        zero = np.where(group == group[:, island, None], at[:, None], zero)
    return np.asarray(volts - zero[:, folded._piece], dtype=np.float64)


def _islands(folded: Folded, links: Array) -> Ints:
    """Which islands of the folded circuit `links` (S, P, P) join: (S, C) least number among those joined to each."""
    count, size = links.shape[:2]
    pieces = len(folded._first)
    if not pieces:
        return np.zeros((count, 0), dtype=np.intp)
    member = (folded._piece[:, None] == np.arange(pieces)).astype(np.float64)
    pairs = (member.T[:, None, :, None] * member.T[None, :, None, :]).reshape(pieces**2, size**2)
    joined = (pairs @ links.reshape(count, size**2).T).reshape(pieces, pieces, count) < 0.0
    joined |= np.eye(pieces, dtype=bool)[:, :, None]
    for middle in range(pieces):  # whatever is joined to one piece is joined through it
        joined |= joined[:, middle, None] & joined[None, middle]
    return np.ascontiguousarray(joined.argmax(axis=1).T)

"""Networks for the tests: made from edges or at random, and second ways to their answers that share no code with
ours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

import networkx as nx
import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from sim.electric.circuit import Circuit
from sim.electric.fold import fold
from sim.electric.parts import Lamp, Part, PartRef, Resistor, Source
from sim.electric.solve import solve

Edges = Sequence[tuple[Any, Any, float]]


def circuit_of(edges: Edges, *more: Part) -> Circuit:
    """Resistors r0, r1, ... for edges (node, node, ohms), and more parts on the same nodes."""
    nodes = dict.fromkeys(str(node) for a, b, _ in edges for node in (a, b))
    resistors = [Resistor(PartRef(f"r{k}"), str(a), str(b), float(ohms)) for k, (a, b, ohms) in enumerate(edges)]
    return Circuit(tuple(nodes), (*resistors, *more))


def graph_edges(graph: Any) -> Edges:
    """Unit resistors for the edges of a networkx graph."""
    return [(a, b, 1.0) for a, b in graph.edges]


def by_solving(edges: Edges, a: Any, b: Any) -> float:
    """Ohms between two nodes of a network, from the volts and amperes of a solved circuit."""
    solution = solve(circuit_of(edges, Source(PartRef("s"), str(a), str(b), 1.0, 1.0)))
    return (solution.volts[str(a)] - solution.volts[str(b)]) / solution.amps[PartRef("s")]


def by_folding(edges: Edges, a: Any, b: Any) -> float:
    """Ohms between two nodes of a network, from the one conductance that folding leaves."""
    return -1.0 / float(fold(circuit_of(edges), [str(a), str(b)]).conductance[0, 1])


def exact_volts(circuit: Circuit, grounds: Sequence[str]) -> dict[str, float]:
    """Volts of a circuit without lamps in exact fractions, one ground for each island; rounded only at the end."""
    place = {node: k for k, node in enumerate(circuit.nodes)}
    size = len(place)
    rows = [[Fraction(0)] * (size + 1) for _ in range(size)]
    for part in circuit.parts:
        ends, volts, ohms = _plain(part)
        a, b = place[ends[0]], place[ends[1]]
        siemens = 1 / Fraction(ohms)
        for one, other, amps in ((a, b, siemens * Fraction(volts)), (b, a, -siemens * Fraction(volts))):
            rows[one][one] += siemens
            rows[one][other] -= siemens
            rows[one][size] += amps
    for ground in grounds:
        rows[place[ground]] = [Fraction(int(k == place[ground])) for k in range(size)] + [Fraction(0)]
    for k in range(size):
        pivot = next(row for row in range(k, size) if rows[row][k])
        rows[k], rows[pivot] = rows[pivot], rows[k]
        for row in range(size):
            if row != k and rows[row][k]:
                ratio = rows[row][k] / rows[k][k]
                rows[row] = [x - ratio * y for x, y in zip(rows[row], rows[k], strict=True)]
    return {node: float(rows[k][size] / rows[k][k]) for node, k in place.items()}


def _plain(part: Part) -> tuple[tuple[str, str], float, float]:
    if isinstance(part, Source):
        return (part.plus, part.minus), part.volts, part.ohms
    if isinstance(part, Resistor):
        return (part.a, part.b), 0.0, part.ohms
    raise TypeError(part)


def by_kind(values: Mapping[PartRef, float]) -> dict[str, float]:
    """Amperes or watts of parts that are named by their kinds alone."""
    return {ref.kind: value for ref, value in values.items()}


def leftover_amps(circuit: Circuit) -> dict[str, float]:
    """What Kirchhoff's current law leaves over at every node, A, from the currents that `solve` tells."""
    solution = solve(circuit)
    over = dict.fromkeys(circuit.nodes, 0.0)
    for part in circuit.parts:
        amps = solution.amps[part.ref]
        out, into = (part.minus, part.plus) if isinstance(part, Source) else (_ends(part))
        over[out] -= amps
        over[into] += amps
    return over


def _ends(part: Part) -> tuple[str, str]:
    if isinstance(part, Resistor | Lamp):
        return part.a, part.b
    raise TypeError(part)


def star(siemens: Sequence[float], ports: Sequence[int], size: int) -> NDArray[np.float64]:
    """Conductance matrix (size, size) of a node joined to `ports` by `siemens`, itself eliminated: g_i g_j / sum."""
    matrix = np.zeros((size, size))
    for one, a in zip(siemens, ports, strict=True):
        for other, b in zip(siemens, ports, strict=True):
            matrix[a, b] -= one * other / sum(siemens)
        matrix[a, a] += one
    return matrix


def link(siemens: float, a: int, b: int, size: int) -> NDArray[np.float64]:
    """Conductance matrix (size, size) of one conductance between ports `a` and `b`."""
    return 2 * star((siemens, siemens), (a, b), size)


def amps_of(circuit: Circuit, volts: NDArray[np.float64], *, cold: bool = False) -> NDArray[np.float64]:
    """Current of every part, (..., M) A with the signs of `Solution.amps`, at the nodes' `volts` (..., N)."""
    return np.asarray(circuit.branches.flow(volts, cold=cold) * circuit.branches.sign)


def random_edges(
    seed: int, count: int, links: int, *, least: float = 1e-3, most: float = 1e4
) -> list[tuple[int, int, float]]:
    """A connected network of `count` nodes: a random tree and `links` more, ohms spread evenly over their decades."""
    rng = np.random.default_rng(seed)
    ends = [(node, int(rng.integers(0, node))) for node in range(1, count)]
    for _ in range(links):
        a, b = rng.choice(count, 2, replace=False).tolist()
        ends.append((a, b))
    ohms: NDArray[np.float64] = 10.0 ** rng.uniform(np.log10(least), np.log10(most), len(ends))
    return [(a, b, float(value)) for (a, b), value in zip(ends, ohms, strict=True)]


def decades(least: float, most: float) -> st.SearchStrategy[float]:
    """Numbers spread evenly over their decades."""
    return st.floats(float(np.log10(least)), float(np.log10(most))).map(lambda power: float(10.0**power))


@st.composite
def islands(draw: st.DrawFn, most_nodes: int = 9, sources: int = 2, lamps: int = 0) -> Circuit:
    """A circuit of any shape: islands, loose nodes, loops, sources of both signs anywhere, lamps."""
    count = draw(st.integers(2, most_nodes))
    pair = st.lists(st.integers(0, count - 1), min_size=2, max_size=2, unique=True)
    parts: list[Part] = []
    for k in range(draw(st.integers(0, 2 * count))):
        a, b = draw(pair)
        parts.append(Resistor(PartRef(f"r{k}"), str(a), str(b), draw(decades(1e-3, 1e4))))
    for k in range(draw(st.integers(1, sources))):
        a, b = draw(pair)
        parts.append(Source(PartRef(f"s{k}"), str(a), str(b), draw(st.floats(-20.0, 20.0)), draw(decades(0.05, 10.0))))
    for k in range(draw(st.integers(0, lamps))):
        a, b = draw(pair)
        parts.append(Lamp(PartRef(f"l{k}"), str(a), str(b), draw(st.floats(1.0, 24.0)), draw(st.floats(0.1, 50.0))))
    return Circuit(tuple(str(k) for k in range(count)), tuple(draw(st.permutations(parts))))


def grounds_of(circuit: Circuit) -> list[str]:
    """Where 0 V is by the rule: the minus of the first source of each island; any node of one without."""
    graph = nx.Graph()
    graph.add_nodes_from(circuit.nodes)
    for part in circuit.parts:
        graph.add_edge(*((part.plus, part.minus) if isinstance(part, Source) else _ends(part)))
    minuses = [part.minus for part in circuit.parts if isinstance(part, Source)]
    groups = nx.connected_components(graph)
    return [next((node for node in minuses if node in group), min(group)) for group in groups]

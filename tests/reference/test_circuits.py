"""Circuits: networks whose answers are published, each solved, folded and metered; and networks by lot."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache, partial
from typing import Any, NamedTuple

import networkx as nx

from sim.electric.circuit import Circuit
from sim.electric.fold import fold
from sim.electric.meter import LEAD_OHMS, read
from sim.electric.parts import PartRef, Resistor, Source
from sim.electric.solve import solve
from tests.electric.networks import Edges, by_folding, by_solving, circuit_of, graph_edges, random_edges
from tests.reference import check as world
from tests.reference.check import Check, every
from tests.reference.page import verify
from tests.reference.published import Entry, entry, sheet

ROUNDING = "what a solver and a meter's 1,500 ohm lose"


def by_metering(edges: Edges, a: Any, b: Any) -> float:
    """Ohms that the meter reads, its leads taken off. Raises ValueError where it reads nothing."""
    value = read(circuit_of(edges), str(a), str(b), "ohms").value
    if value is None:
        raise ValueError(f"no reading between {a} and {b}")
    return value - LEAD_OHMS


WAYS = (by_solving, by_folding, by_metering)


def _farthest(edges: Edges, a: Any, b: Any, published: float) -> float:
    """The answer of the one of the three ways that is farthest from what was published."""
    return max((way(edges, a, b) for way in WAYS), key=lambda ohms: abs(ohms - published))


def _resistance(found: Entry, edges: Edges, a: Any, b: Any) -> Check:
    published = found.number()
    return found.check(partial(_farthest, edges, a, b, published), within=1e-9 * published, because=ROUNDING)


# --- Networks given as lists of edges, solids, ladders. ---

LISTED = (
    "graph.five_node",
    "graph.square_weights",
    "graph.square_conductances",
    "graph.square_unit",
    "solid.cube.body_diagonal",
    "solid.cube.face_diagonal",
)
SOLIDS = {
    "tetrahedron": nx.tetrahedral_graph,
    "cube": nx.cubical_graph,
    "octahedron": nx.octahedral_graph,
    "dodecahedron": nx.dodecahedral_graph,
    "icosahedron": nx.icosahedral_graph,
}


def _solid(name: str, published: float) -> float:
    """Across each edge of the solid in turn; the farthest from what was published."""
    graph = SOLIDS[name]()
    edges = graph_edges(graph)
    return max((_farthest(edges, a, b, published) for a, b in graph.edges), key=lambda ohms: abs(ohms - published))


def _ladder(sections: int, ratio: float = 1.0) -> list[tuple[Any, Any, float]]:
    """Series 1 ohm, shunt 1 ohm, and so on, each section `ratio` times the one before; seen from 0 to "g"."""
    edges: list[tuple[Any, Any, float]] = []
    for k in range(sections):
        edges += [(k, k + 1, ratio**k), (k + 1, "g", ratio**k)]
    return edges


def _two_rails(sections: int) -> list[tuple[Any, Any, float]]:
    edges: list[tuple[Any, Any, float]] = []
    for k in range(sections):
        edges += [(f"u{k}", f"u{k + 1}", 1.0), (f"d{k}", f"d{k + 1}", 1.0), (f"u{k + 1}", f"d{k + 1}", 1.0)]
    return edges


ENDLESS = 40  # sections: each shrinks what is left by more than the square of the golden ratio


def _networks() -> list[Check]:
    checks = []
    for name in LISTED:
        found = entry(f"circuits.{name}")
        checks.append(_resistance(found, found.fields["edges"], *found.fields["between"]))
    bridge = entry("circuits.bridge.unbalanced_textbook.total")
    a, b = bridge.fields["between"]
    checks.append(
        bridge.check(
            partial(_farthest, bridge.fields["edges"], a, b, bridge.number()),
            within=5e-11 + 1e-9 * bridge.number(),
            because=ROUNDING,
        )
    )
    for name in SOLIDS:
        found = entry(f"circuits.solid.{name}.adjacent")
        published = found.number()
        checks.append(found.check(partial(_solid, name, published), within=1e-9, because=ROUNDING))
    for kind, ratio in (("series_first", 1.0), ("doubling", 2.0)):
        for name in sheet("circuits")["ladder"][kind]:
            count = ENDLESS if name == "infinite" else int(name.removeprefix("sections_"))
            found = entry(f"circuits.ladder.{kind}.{name}")
            checks.append(_resistance(found, _ladder(count, ratio), 0, "g"))
    shunt = [*_ladder(ENDLESS), (0, "g", 1.0)]
    checks.append(_resistance(entry("circuits.ladder.shunt_first.infinite"), shunt, 0, "g"))
    checks.append(_resistance(entry("circuits.ladder.two_rail.infinite"), _two_rails(ENDLESS), "u0", "d0"))
    return checks


def _unconnected() -> str:
    """What the meter and the fold say of two nodes that nothing joins."""
    apart = circuit_of([(1, 2, 1.0), (3, 4, 1.0)])
    none = read(apart, "1", "3", "ohms").value is None and not fold(apart, ["1", "3"]).conductance.any()
    return "no number" if none else "a number"


# --- Volts in bridges and where branches meet. ---


class _Bridge(NamedTuple):
    """A bridge with 10 V between two of its nodes."""

    edges: Edges
    top: str
    bottom: str

    def volts(self, node: str) -> float:
        return solve(circuit_of(self.edges, Source(PartRef("s"), self.top, self.bottom, 10.0, 1e-6))).volts[node]


def _balance() -> float:
    """The fourth arm for which a bridge's middle carries no current, by halving; the others as published."""
    low, high = 1.0, 1e4
    for _ in range(60):
        arm = (low + high) / 2
        edges = [("a", "b", 590.0), ("a", "c", 78.6), ("b", "g", 972.0), ("c", "g", arm), ("b", "c", 100.0)]
        volts = solve(circuit_of(edges, Source(PartRef("s"), "a", "g", 10.0, 1.0))).volts
        low, high = (arm, high) if volts["c"] < volts["b"] else (low, arm)
    return low


def _meeting(branches: Sequence[tuple[float, float]]) -> float:
    """Volts where branches of a source behind a resistance meet."""
    parts = [Source(PartRef(f"s{k}"), "top", "bottom", float(v), float(r)) for k, (v, r) in enumerate(branches)]
    return solve(Circuit(("top", "bottom"), tuple(parts))).volts["top"]


def _divided() -> float:
    """Of 10 V, 2 ohm over 1 ohm; the 2 ohm is the source's own."""
    circuit = Circuit(("a", "b"), (Source(PartRef("s"), "a", "b", 10.0, 2.0), Resistor(PartRef("r"), "a", "b", 1.0)))
    return solve(circuit).volts["a"]


def _bridges() -> list[Check]:
    textbook = _Bridge(entry("circuits.bridge.unbalanced_textbook.total").fields["edges"], "a", "g")
    example = _Bridge(entry("circuits.bridge.simulator_example.v2").fields["edges"], "1", "0")
    unknown = entry("circuits.bridge.balanced.unknown")
    checks = [
        entry(f"circuits.bridge.{name}").check(
            partial(bridge.volts, node), within=5e-4, because="printed to three decimals"
        )
        for name, bridge, node in (
            ("unbalanced_textbook.vb", textbook, "b"),
            ("unbalanced_textbook.vc", textbook, "c"),
            ("simulator_example.v2", example, "2"),
            ("simulator_example.v3", example, "3"),
        )
    ]
    checks.append(unknown.check(_balance, within=0.005, because="printed to 0.01"))
    for name in ("two_batteries", "simulator_example"):
        found = entry(f"circuits.millman.{name}")
        checks.append(found.check(partial(_meeting, found.fields["branches"]), within=1e-9, because="rounding"))
    checks.append(entry("circuits.divider.simulator_example").check(_divided, within=1e-9, because="rounding"))
    return checks


# --- Stars and deltas: folding the middle of a star away leaves its delta; a delta read at two corners is two arms. ---


def _delta(arms: Sequence[float], between: tuple[int, int]) -> float:
    star = circuit_of([(f"t{k}", "middle", ohms) for k, ohms in enumerate(arms)])
    return -1.0 / float(fold(star, ("t0", "t1", "t2")).conductance[between])


def _arm(delta: Sequence[float], arm: int) -> float:
    """An arm of the star that reads as the delta does: half of what its two pairs read more than the third.

    `delta`: ohms opposite to corners 0, 1 and 2.
    """
    edges = [(1, 2, delta[0]), (0, 2, delta[1]), (0, 1, delta[2])]
    one, other = (k for k in range(3) if k != arm)
    return (by_metering(edges, arm, one) + by_metering(edges, arm, other) - by_metering(edges, one, other)) / 2


def _stars() -> list[Check]:
    checks = []
    delta = entry("circuits.star_delta.star_10_20_30")
    # Ra between the star's arms 1 and 2, Rb between 2 and 3, Rc between 1 and 3: the entry's formulas
    for k, (letter, between) in enumerate((("Ra", (0, 1)), ("Rb", (1, 2)), ("Rc", (0, 2)))):
        checks.append(
            Check(
                name=f"star_delta.star_10_20_30 {letter}",
                source=delta.source,
                published=float(delta.fields["value"][k]),
                ours=partial(_delta, (10.0, 20.0, 30.0), between),
                unit="ohm",
                within=5e-4,
                because="printed to three decimals",
            )
        )
    # opposite to corners 1, 2, 3 (R1 = Rb Rc / sum and so on); opposite to a, b, c
    for name, opposite in (
        ("star_delta.delta_6_3_2", (6.0, 3.0, 2.0)),
        ("bridge.unbalanced_textbook.star", (6.0, 18.0, 12.0)),
    ):
        star = entry(f"circuits.{name}")
        for k, ohms in enumerate(star.fields["value"]):
            checks.append(
                Check(
                    name=f"{name} arm {k + 1}",
                    source=star.source,
                    published=float(ohms),
                    ours=partial(_arm, opposite, k),
                    unit="ohm",
                    within=1e-9,
                    because=ROUNDING,
                )
            )
    return checks


# --- Rules for whole families. ---


def _complete(n: int) -> float:
    return _farthest(graph_edges(nx.complete_graph(n)), 0, n - 1, 2 / n)


def _ring(n: int, k: int) -> float:
    return _farthest(graph_edges(nx.cycle_graph(n)), 0, k, k * (n - k) / n)


def _grid(width: int) -> float:
    """Between neighbours at the middle of a square grid."""
    edges = graph_edges(nx.convert_node_labels_to_integers(nx.grid_2d_graph(width, width)))
    middle = (width // 2) * (width + 1)
    return by_solving(edges, middle, middle + 1)


def _foster(seed: int) -> float:
    """The sum of r / R over all edges of a network by lot."""
    edges = random_edges(seed, 12, 10, least=1e-2, most=1e2)
    return math.fsum(by_folding(edges, a, b) / ohms for a, b, ohms in edges)


GRID_ENDS = "the grid ends; what that adds goes with the square of its width, 0.0014 at 20"


def _rules() -> list[Check]:
    def ruled(name: str, words: str, published: float, ours: Callable[[], float], within: float, because: str) -> Check:
        source = entry(f"circuits.general.{name}").source
        return Check(f"general.{name} {words}", source, published, ours, "ohm", within, because)

    checks = [ruled("complete_graph", f"of {n}", 2 / n, partial(_complete, n), 1e-9, ROUNDING) for n in (2, 3, 5, 12)]
    checks += [
        ruled("cycle", f"of 11, {k} apart", k * (11 - k) / 11, partial(_ring, 11, k), 1e-8, ROUNDING) for k in (1, 3, 5)
    ]
    checks.append(ruled("square_grid", "of 40 by 40", 0.5, partial(_grid, 40), 1e-3, GRID_ENDS))
    checks.append(ruled("foster", "12 nodes by lot", 11.0, partial(_foster, 7), 1e-7, "21 sums of rounding"))
    return checks


# --- Networks by lot, against graph theory. ---

NETWORKS = 200


@cache
def _from_graphs() -> float:
    """The greatest relative difference from networkx's resistance distance, solved, folded and metered."""
    worst = 0.0
    for seed in range(NETWORKS):
        edges = random_edges(seed, 5 + seed % 25, seed % 23, least=1e-2, most=1e2)
        graph = nx.Graph()
        for a, b, ohms in edges:  # networkx keeps one edge between two nodes
            graph.add_edge(a, b, s=1.0 / ohms + (graph[a][b]["s"] if graph.has_edge(a, b) else 0.0))
        nx.set_edge_attributes(graph, {(a, b): 1.0 / s for a, b, s in graph.edges.data("s")}, "ohms")
        a, b = 0, 1 + seed % 4
        expected = nx.resistance_distance(graph, a, b, weight="ohms", invert_weight=True)
        worst = max(worst, *(abs(way(edges, a, b) / expected - 1.0) for way in WAYS))
    return worst


CHECKS: tuple[Check, ...] = (
    *_networks(),
    Check("graph.unconnected", entry("circuits.graph.unconnected").source, "no number", _unconnected),
    *_bridges(),
    *_stars(),
    *_rules(),
    Check(
        name=f"{NETWORKS} networks of resistors by lot, relative difference",
        source=world.Source("networkx resistance_distance", "tool"),
        published=1e-9,
        ours=_from_graphs,
        unit="1",
        sense="at most",
    ),
)


@every(CHECKS)
def test_circuits(check: Check) -> None:
    verify(check)

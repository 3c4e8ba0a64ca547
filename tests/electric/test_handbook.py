"""Networks from handbooks, whose answers are published: solved, folded and metered."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import networkx as nx
import pytest

from sim.electric.circuit import Circuit
from sim.electric.fold import fold
from sim.electric.meter import LEAD_OHMS, read
from sim.electric.parts import Resistor, Source
from sim.electric.solve import solve
from tests.electric.networks import Edges, by_folding, by_solving, circuit_of, entries, golden, graph_edges, star

BOOK = golden("handbook.toml")
WITH_EDGES = {name: entry for name, entry in entries(BOOK) if "edges" in entry and "between" in entry}
WAYS: list[Callable[[Edges, Any, Any], float]] = [by_solving, by_folding]
GRAPHS = {
    "tetrahedron": nx.tetrahedral_graph,
    "cube": nx.cubical_graph,
    "octahedron": nx.octahedral_graph,
    "dodecahedron": nx.dodecahedral_graph,
    "icosahedron": nx.icosahedral_graph,
}


def test_the_book_is_read() -> None:
    assert len(WITH_EDGES) == sum("edges" in entry and "between" in entry for _, entry in entries(BOOK)) > 5


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", WITH_EDGES)
def test_network_with_edges(name: str, way: Callable[[Edges, Any, Any], float]) -> None:
    entry = WITH_EDGES[name]
    assert way(entry["edges"], *entry["between"]) == pytest.approx(entry["value"], rel=1e-9)


@pytest.mark.parametrize("name", WITH_EDGES)
def test_the_meter_reads_it_and_its_leads(name: str) -> None:
    entry = WITH_EDGES[name]
    a, b = (str(node) for node in entry["between"])
    reading = read(circuit_of(entry["edges"]), a, b, "ohms")
    assert reading.value == pytest.approx(entry["value"] + LEAD_OHMS, rel=1e-9)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("solid", GRAPHS)
def test_edge_of_a_solid(solid: str, way: Callable[[Edges, Any, Any], float]) -> None:
    entry = BOOK["solid"][solid]["adjacent"]
    graph = GRAPHS[solid]()
    assert (len(graph), {degree for _, degree in graph.degree}) == (entry["vertices"], {entry["degree"]})
    for a, b in graph.edges:
        found = way(graph_edges(graph), a, b)
        assert found == pytest.approx(float(Fraction(entry["fraction"])), rel=1e-12)
        assert found == pytest.approx(2 / entry["degree"] * (1 - 1 / entry["vertices"]))  # the book's solid.rule


def ladder(sections: int, ratio: float = 1.0) -> Edges:
    """Series 1 ohm, shunt 1 ohm, and so on, each section `ratio` times the one before; seen from "0" to "g"."""
    edges: list[tuple[Any, Any, float]] = []
    for k in range(sections):
        edges += [(k, k + 1, ratio**k), (k + 1, "g", ratio**k)]
    return edges


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("sections", range(1, 5))
def test_ladder(sections: int, way: Callable[[Edges, Any, Any], float]) -> None:
    entry = BOOK["ladder"]["series_first"][f"sections_{sections}"]
    assert way(ladder(sections), 0, "g") == pytest.approx(float(Fraction(entry["fraction"])), rel=1e-12)


@pytest.mark.parametrize("sections", range(1, 6))
def test_ladder_that_doubles(sections: int) -> None:
    entry = BOOK["ladder"]["doubling"][f"sections_{sections}"]
    assert by_solving(ladder(sections, 2.0), 0, "g") == pytest.approx(float(Fraction(entry["fraction"])), rel=1e-12)


@pytest.mark.parametrize("way", WAYS)
def test_endless_ladders(way: Callable[[Edges, Any, Any], float]) -> None:
    """Forty sections are as good as no end: each shrinks what is left by the square of the golden ratio."""
    entries_ = BOOK["ladder"]
    assert way(ladder(40), 0, "g") == pytest.approx(entries_["series_first"]["infinite"]["value"], rel=1e-12)
    shunt_first = [*ladder(40), (0, "g", 1.0)]
    assert way(shunt_first, 0, "g") == pytest.approx(entries_["shunt_first"]["infinite"]["value"], rel=1e-12)


def test_endless_ladder_with_two_rails() -> None:
    edges: list[tuple[Any, Any, float]] = []
    for k in range(40):
        edges += [(f"u{k}", f"u{k + 1}", 1.0), (f"d{k}", f"d{k + 1}", 1.0), (f"u{k + 1}", f"d{k + 1}", 1.0)]
    assert by_solving(edges[:3], "u0", "d0") == pytest.approx(3.0)  # the first value in the book's quantity
    published = BOOK["ladder"]["two_rail"]["infinite"]["value"]
    assert by_solving(edges, "u0", "d0") == pytest.approx(published, rel=1e-12)


@pytest.mark.parametrize("name", ["unbalanced_textbook", "simulator_example"])
def test_volts_in_a_bridge(name: str) -> None:
    table = BOOK["bridge"][name]
    published = {key.removeprefix("v"): entry for key, entry in table.items() if key.startswith("v")}
    edges = next(entry["edges"] for entry in table.values() if "edges" in entry)
    top, bottom = ("a", "g") if name == "unbalanced_textbook" else ("1", "0")
    volts = solve(circuit_of(edges, Source("s", top, bottom, 10.0, 1e-6))).volts
    for node, entry in published.items():
        assert volts[node] == pytest.approx(entry["value"], abs=1e-3)  # the book gives three decimals


def test_balanced_bridge_has_no_volts_across() -> None:
    entry = BOOK["bridge"]["balanced"]["unknown"]
    # The book's quantity: R1 = 590, R2 = 972, R3 = 78.6, and the fourth arm that balances them.
    edges = [("a", "b", 590.0), ("a", "c", 78.6), ("b", "g", 972.0), ("c", "g", entry["value"]), ("b", "c", 100.0)]
    volts = solve(circuit_of(edges, Source("s", "a", "g", 10.0, 1.0))).volts
    assert volts["b"] - volts["c"] == pytest.approx(0.0, abs=10.0 * 0.005 / entry["value"])  # as exact as printed


@pytest.mark.parametrize("name", ["two_batteries", "simulator_example"])
def test_branches_in_parallel(name: str) -> None:
    entry = BOOK["millman"][name]
    parts = [Source(f"s{k}", "top", "bottom", float(v), float(r)) for k, (v, r) in enumerate(entry["branches"])]
    solution = solve(Circuit(("top", "bottom"), tuple(parts)))
    assert solution.volts["top"] == pytest.approx(entry["value"], rel=1e-12)
    assert sum(solution.amps.values()) == pytest.approx(0.0, abs=1e-12)


def test_divider() -> None:
    entry = BOOK["divider"]["simulator_example"]  # 10 V, 2 ohm over 1 ohm; the 2 ohm is the source's own here
    circuit = Circuit(("a", "b"), (Source("s", "a", "b", 10.0, 2.0), Resistor("r", "a", "b", 1.0)))
    assert solve(circuit).volts["a"] == pytest.approx(entry["value"], rel=1e-12)


def test_star_to_delta() -> None:
    """Delta Ra between the star's arms 1 and 2, Rb between 2 and 3, Rc between 1 and 3 (the book's formulas)."""
    published = BOOK["star_delta"]["star_10_20_30"]["value"]
    arms = (10.0, 20.0, 30.0)
    mesh = star([1 / ohms for ohms in arms], (0, 1, 2), 3)
    edges = [(f"t{k}", "middle", ohms) for k, ohms in enumerate(arms)]
    folded = fold(circuit_of(edges), ("t0", "t1", "t2")).conductance
    for found in (mesh, folded):
        assert [-1 / found[0, 1], -1 / found[1, 2], -1 / found[0, 2]] == pytest.approx(published, abs=1e-3)


@pytest.mark.parametrize(
    ("delta", "published"),
    [
        ((6.0, 3.0, 2.0), BOOK["star_delta"]["delta_6_3_2"]["value"]),  # Ra, Rb, Rc; R1 = Rb Rc / sum and so on
        ((6.0, 18.0, 12.0), BOOK["bridge"]["unbalanced_textbook"]["star"]["value"]),  # opposite a, b, c
    ],
)
def test_delta_to_star(delta: tuple[float, float, float], published: list[float]) -> None:
    """Seen from any two of its corners, a delta is its star's two arms in series."""
    edges = [("2", "3", delta[0]), ("1", "3", delta[1]), ("1", "2", delta[2])]
    for one, other in ((1, 2), (2, 3), (1, 3)):
        assert by_solving(edges, one, other) == pytest.approx(published[one - 1] + published[other - 1], rel=1e-12)


@pytest.mark.parametrize("n", [2, 3, 5, 12])
def test_complete_graph(n: int) -> None:
    rule = BOOK["general"]["complete_graph"]["value"]
    assert rule == "2 / n"
    assert by_solving(graph_edges(nx.complete_graph(n)), 0, n - 1) == pytest.approx(2 / n, rel=1e-12)


@pytest.mark.parametrize("k", [1, 3, 5])
def test_ring(k: int) -> None:
    assert BOOK["general"]["cycle"]["value"] == "k * (n - k) / n"
    assert by_folding(graph_edges(nx.cycle_graph(11)), 0, k) == pytest.approx(k * (11 - k) / 11, rel=1e-12)


def test_neighbours_on_a_wide_square_grid() -> None:
    """A grid of 40 by 40 is nearly endless at its middle, and a network of 1,600 nodes."""
    edges = graph_edges(nx.convert_node_labels_to_integers(nx.grid_2d_graph(40, 40)))
    middle = 20 * 40 + 20
    endless = BOOK["general"]["square_grid"]["value"]
    small = graph_edges(nx.convert_node_labels_to_integers(nx.grid_2d_graph(10, 10)))
    near, far = by_solving(edges, middle, middle + 1), by_solving(small, 55, 56)
    assert endless < near < far  # fewer ways round, more ohms
    assert near == pytest.approx(endless, rel=2e-3)


def test_sum_over_all_edges() -> None:
    """Foster: r / R over all edges sums to n - 1 in any connected network."""
    assert BOOK["general"]["foster"]["value"] == "n - 1"
    edges = [("a", "b", 0.3), ("b", "c", 7.0), ("c", "a", 2.0), ("c", "d", 0.02), ("d", "a", 40.0), ("b", "d", 1.0)]
    assert math.fsum(by_solving(edges, a, b) / ohms for a, b, ohms in edges) == pytest.approx(4 - 1, rel=1e-12)

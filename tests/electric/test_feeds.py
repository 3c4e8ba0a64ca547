"""What is joined to what."""

from __future__ import annotations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from sim.electric.feeds import joined, labels

PAIRS = st.lists(st.tuples(st.integers(0, 14), st.integers(0, 14)), max_size=25)


@given(PAIRS)
def test_groups_are_those_of_a_graph(pairs: list[tuple[int, int]]) -> None:
    graph = nx.Graph()
    graph.add_nodes_from(range(15))
    graph.add_edges_from(pairs)
    expected = {node: min(group) for group in nx.connected_components(graph) for node in group}
    found = labels(15, [a for a, _ in pairs], [b for _, b in pairs])
    assert dict(enumerate(found)) == expected
    assert joined(pairs, nodes=range(15)) == expected


@given(PAIRS)
def test_order_and_direction_do_not_matter(pairs: list[tuple[int, int]]) -> None:
    turned = [(b, a) for a, b in reversed(pairs)]
    assert joined(pairs, nodes=range(15)) == joined(turned, nodes=range(15))


def test_a_group_bears_the_name_of_its_first_node() -> None:
    assert joined([("T1.frog", "M1.k"), ("bus.A", "M1.m"), ("M1.k", "M1.m")], nodes=["bus.A", "bus.B"]) == {
        "bus.A": "bus.A", "bus.B": "bus.B", "T1.frog": "bus.A", "M1.k": "bus.A", "M1.m": "bus.A",
    }  # fmt: skip


def test_nothing() -> None:
    assert joined([]) == {}
    assert labels(0, [], []) == []

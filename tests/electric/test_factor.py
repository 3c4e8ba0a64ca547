"""A factored circuit seen from a few nodes, against the same circuit solved whole."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.electric.circuit import Circuit
from sim.electric.factor import Factor, narrowed, solve_reduced
from sim.electric.parts import Lamp, Part, PartRef, Resistor, Source
from sim.electric.solve import solve
from tests.electric.networks import circuit_of, decades, islands, link, random_edges

Links = list[tuple[int, int, float]]

_REL = 1e-5  # a gigaohm to the zero of each circuit, beside up to 10 kilohm
_ABS = 2e-5  # V


@st.composite
def cases(draw: st.DrawFn, lamps: int = 2) -> tuple[Circuit, list[str], list[Links]]:
    """A circuit of any shape, some of its nodes as ports, and states with a few more conductances between ports."""
    circuit = draw(islands(lamps=lamps))
    ports = draw(st.lists(st.sampled_from(circuit.nodes), min_size=2, unique=True))
    end = st.integers(0, len(ports) - 1)
    states = draw(st.lists(st.lists(st.tuples(end, end, decades(1e-3, 1e2)), max_size=4), min_size=1, max_size=4))
    return circuit, ports, [[(a, b, s) for a, b, s in links if a != b] for links in states]


def whole(circuit: Circuit, ports: list[str], links: Links) -> Circuit:
    more = tuple(Resistor(PartRef(f"x{k}"), ports[a], ports[b], 1 / s) for k, (a, b, s) in enumerate(links))
    return Circuit(circuit.nodes, (*circuit.parts, *more))


def nodes_of(circuit: Circuit, ports: list[str]) -> list[int]:
    return [circuit.index[port] for port in ports]


def extra_of(states: list[Links], size: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    extra = np.zeros((len(states), size, size))
    for matrix, links in zip(extra, states, strict=True):
        for a, b, siemens in links:
            matrix += link(siemens, a, b, size)
    return extra


def same_differences(circuit: Circuit, ports: list[str], found: list[float]) -> None:
    """Volts between ports that are joined are those of the circuit solved whole."""
    volts = solve(circuit).volts
    group = circuit.branches.group[nodes_of(circuit, ports)]
    for k, one in enumerate(ports):
        for j in range(k):
            if group[k] == group[j]:
                expected = volts[one] - volts[ports[j]]
                assert found[k] - found[j] == pytest.approx(expected, rel=_REL, abs=_ABS), (one, ports[j])


@settings(max_examples=120, deadline=None, derandomize=True)
@given(cases())
def test_states_seen_from_ports_are_the_whole_circuit_with_the_links_in_it(
    case: tuple[Circuit, list[str], list[Links]],
) -> None:
    """Islands, loose nodes, sources that meet, lamps from cold to hot."""
    circuit, ports, states = case
    lamps = np.arange(sum(isinstance(part, Lamp) for part in circuit.parts), dtype=np.intp)
    reduced = Factor(circuit).reduced(np.array(nodes_of(circuit, ports)), lamps)
    found = solve_reduced(reduced, extra_of(states, len(ports)))
    for links, volts in zip(states, found.tolist(), strict=True):
        same_differences(whole(circuit, ports, links), ports, volts)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(cases(lamps=0), st.lists(st.sampled_from([-1.0, 0.0, 1.0, 0.5]), min_size=2, max_size=2))
def test_each_set_of_sources_is_the_circuit_with_those_volts(
    case: tuple[Circuit, list[str], list[Links]], factors: list[float]
) -> None:
    circuit, ports, states = case
    places = [k for k, part in enumerate(circuit.parts) if isinstance(part, Source)]
    sets = np.array([[1.0] * len(places), [factors[k % 2] for k in range(len(places))]])
    reduced = Factor(circuit, sets).reduced(np.array(nodes_of(circuit, ports)))
    for number, row in enumerate(sets):
        parts: list[Part] = list(circuit.parts)
        for place, factor in zip(places, row.tolist(), strict=True):
            source = parts[place]
            assert isinstance(source, Source)
            parts[place] = Source(source.ref, source.plus, source.minus, source.volts * factor, source.ohms)
        other = Circuit(circuit.nodes, tuple(parts))
        found = solve_reduced(reduced, extra_of(states, len(ports)), number)
        for links, volts in zip(states, found.tolist(), strict=True):
            same_differences(whole(other, ports, links), ports, volts)


def test_nodes_that_come_after_the_ports_are_joined_by_states_alone() -> None:
    """A divider of two ohms on 12 V, made of a node that the circuit does not have."""
    circuit = circuit_of([("a", "b", 1e4)], Source(PartRef("s"), "a", "b", 12.0, 1e-3))
    reduced = Factor(circuit).reduced(np.array(nodes_of(circuit, ["a", "b"])))
    extra = (link(1.0, 0, 2, 3) + link(1.0, 2, 1, 3))[None]
    a, b, middle = solve_reduced(reduced, extra)[0].tolist()
    assert a - middle == pytest.approx(middle - b, rel=1e-6)
    assert a - b == pytest.approx(12.0 * 2 / 2.001, rel=1e-3)


def test_more_than_nothing_takes_away_what_is_there() -> None:
    """A link of 2 ohm between ports, taken away by what is added: what is left is as if it had never been."""
    edges = [("a", "m", 1.0), ("m", "b", 3.0), ("a", "b", 2.0)]
    with_link = circuit_of(edges, Source(PartRef("s"), "a", "b", 10.0, 1.0))
    ports = ["a", "m", "b"]
    reduced = Factor(with_link).reduced(np.array(nodes_of(with_link, ports)))
    taken = solve_reduced(reduced, -link(0.5, 0, 2, 3)[None])[0].tolist()
    same_differences(circuit_of(edges[:2], Source(PartRef("s"), "a", "b", 10.0, 1.0)), ports, taken)
    cut = solve_reduced(reduced, -(link(1.0, 0, 1, 3) + link(1 / 3, 1, 2, 3))[None])[0].tolist()
    same_differences(circuit_of(edges[2:], Source(PartRef("s"), "a", "b", 10.0, 1.0)), ["a", "b"], [cut[0], cut[2]])


def test_an_ampere_put_in_tells_the_ohms_between() -> None:
    """1 A into one port and out of the other: the volts between are the ohms, whatever the source gives besides."""
    circuit = circuit_of([("a", "b", 6.0), ("a", "b", 3.0)], Source(PartRef("s"), "a", "b", 5.0, 2.0))
    reduced = Factor(circuit).reduced(np.array(nodes_of(circuit, ["a", "b"])))
    found = solve_reduced(reduced, np.zeros((1, 2, 2)), 0, np.array([1.0, -1.0]))[0]
    assert found[0, 1] - found[1, 1] == pytest.approx(1.0, rel=1e-6)  # 6, 3 and 2 ohm side by side
    assert found[0, 0] - found[1, 0] == pytest.approx(5.0 * 2 / (2 + 2), rel=1e-6)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(cases(lamps=0), st.data())
def test_fewer_ports_with_more_joined_first(
    case: tuple[Circuit, list[str], list[Links]], data: st.DataObject
) -> None:
    """`narrowed` is the same circuit with the links in it, seen from the ports that are kept."""
    circuit, ports, states = case
    reduced = Factor(circuit).reduced(np.array(nodes_of(circuit, ports)))
    every = st.lists(st.integers(0, len(ports) - 1), min_size=2, unique=True)
    kept = sorted(data.draw(every))
    fewer = narrowed(reduced, extra_of(states[:1], len(ports))[0], np.array(kept))
    volts = solve_reduced(fewer, np.zeros((1, len(kept), len(kept))))[0].tolist()
    same_differences(whole(circuit, ports, states[0]), [ports[k] for k in kept], volts)


@pytest.mark.parametrize("count", [480, 520, 1500])
def test_large_circuits_by_either_way_of_factoring(count: int) -> None:
    """Up to 500 nodes dense, above them sparse: the same answers."""
    edges = random_edges(count, count, count // 2, least=1e-2, most=1e2)
    sources = (Source(PartRef("s"), "0", str(count - 1), 15.0, 0.1), Source(PartRef("t"), "7", "9", 12.0, 0.5))
    circuit = circuit_of([*edges, ("far", "off", 1.0)], *sources)
    ports = [str(k) for k in range(3, count, count // 12)]
    states: list[Links] = [[], [(0, 1, 10.0)], [(2, 5, 1e-3), (1, 4, 100.0)]]
    reduced = Factor(circuit).reduced(np.array(nodes_of(circuit, ports)))
    found = solve_reduced(reduced, extra_of(states, len(ports)))
    for links, volts in zip(states, found.tolist(), strict=True):
        same_differences(whole(circuit, ports, links), ports, volts)

"""Folded against whole, batched against one by one, and large circuits against small."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from sim.electric import eliminate
from sim.electric.circuit import Circuit, CircuitError
from sim.electric.fold import fold, solve_states
from sim.electric.parts import Lamp, Part, PartRef, Resistor, Source
from sim.electric.solve import solve
from tests.electric.networks import (
    amps_of,
    circuit_of,
    decades,
    exact_volts,
    grounds_of,
    islands,
    link,
    random_edges,
    star,
)

Array = NDArray[np.float64]
Links = list[tuple[int, int, float]]


@st.composite
def cases(draw: st.DrawFn, lamps: int = 2) -> tuple[Circuit, list[str], list[Links]]:
    """A circuit of any shape, some of its nodes as ports, and states: in each a few more conductances between ports."""
    circuit = draw(islands(lamps=lamps))
    ports = draw(st.lists(st.sampled_from(circuit.nodes), min_size=2, unique=True))
    end = st.integers(0, len(ports) - 1)
    states = draw(st.lists(st.lists(st.tuples(end, end, decades(1e-3, 1e2)), max_size=4), min_size=1, max_size=5))
    return circuit, ports, [[(a, b, s) for a, b, s in links if a != b] for links in states]


def extra_of(states: list[Links], size: int) -> Array:
    extra = np.zeros((len(states), size, size))
    for k, links in enumerate(states):
        for a, b, siemens in links:
            extra[k] += link(siemens, a, b, size)
    return extra


def with_links(circuit: Circuit, ports: list[str], links: Links) -> Circuit:
    more = tuple(
        Resistor(PartRef(f"x{k}"), ports[a], ports[b], 1.0 / siemens) for k, (a, b, siemens) in enumerate(links)
    )
    return Circuit(circuit.nodes, (*circuit.parts, *more))


@given(cases())
def test_folded_is_whole(case: tuple[Circuit, list[str], list[Links]]) -> None:
    """Volts everywhere and amperes through every part, in every state, as when the whole circuit is solved with it."""
    circuit, ports, states = case
    folded = fold(circuit, ports)
    port_volts = solve_states(folded, extra_of(states, len(ports)))
    volts = folded.everywhere(port_volts)
    amps = amps_of(circuit, volts)
    assert (folded.ports, folded.nodes) == (tuple(ports), circuit.nodes)
    for k, links in enumerate(states):
        whole = solve(with_links(circuit, ports, links))
        largest = max(1.0, *(abs(v) for v in whole.volts.values()))
        assert port_volts[k] == pytest.approx([whole.volts[port] for port in ports], rel=1e-9, abs=1e-9 * largest)
        assert volts[k] == pytest.approx(list(whole.volts.values()), rel=1e-9, abs=1e-9 * largest)
        assert folded.everywhere(port_volts[k]) == pytest.approx(volts[k], rel=1e-12, abs=1e-12)
        most = max(1.0, *(abs(a) for a in whole.amps.values()))
        expected = [whole.amps[part.ref] for part in circuit.parts]
        # Milliohms take the difference of volts that are nearly the same.
        assert amps[k] == pytest.approx(expected, rel=1e-6, abs=1e-6 * most)


@given(cases(lamps=0))
def test_folded_is_exact(case: tuple[Circuit, list[str], list[Links]]) -> None:
    """Against fractions, which know nothing of our way."""
    circuit, ports, states = case
    volts = solve_states(fold(circuit, ports), extra_of(states, len(ports)))
    for k, links in enumerate(states):
        whole = with_links(circuit, ports, links)
        expected = exact_volts(whole, grounds_of(whole))
        largest = max(1.0, *(abs(v) for v in expected.values()))
        assert volts[k] == pytest.approx([expected[port] for port in ports], rel=1e-9, abs=1e-9 * largest)


@given(cases(), st.booleans())
def test_a_batch_is_its_states_one_by_one(case: tuple[Circuit, list[str], list[Links]], cold: bool) -> None:
    circuit, ports, states = case
    folded = fold(circuit, ports, cold=cold)
    extra = extra_of(states, len(ports))
    together = solve_states(folded, extra)
    for k in range(len(states)):
        alone = solve_states(folded, extra[k : k + 1])[0]
        assert together[k] == pytest.approx(alone, rel=1e-10, abs=1e-10 * (1.0 + abs(alone).max()))


@given(cases())
def test_first_instant(case: tuple[Circuit, list[str], list[Links]]) -> None:
    circuit, ports, states = case
    volts = solve_states(fold(circuit, ports, cold=True), extra_of(states, len(ports)))
    for k, links in enumerate(states):
        whole = solve(with_links(circuit, ports, links), cold=True).volts
        largest = max(1.0, *(abs(v) for v in whole.values()))
        assert volts[k] == pytest.approx([whole[port] for port in ports], rel=1e-9, abs=1e-9 * largest)


@given(cases())
def test_what_folding_leaves_is_a_network(case: tuple[Circuit, list[str], list[Links]]) -> None:
    """Conductances are symmetric, never below zero, and join nothing to ground."""
    circuit, ports, _ = case
    conductance = fold(circuit, ports).conductance
    assert np.array_equal(conductance, conductance.T)
    assert (conductance[~np.eye(len(ports), dtype=bool)] <= 0.0).all()
    assert conductance.sum(axis=1) == pytest.approx(np.zeros(len(ports)), abs=1e-9)


def test_a_wheel_eliminated_is_a_wheel() -> None:
    """A wheel on two sections that also collects: a star of 0.1, 0.1 and 0.001 ohm, in place of a node of its own."""
    supply = (Source(PartRef("bus"), "A", "B", 15.0, 0.1), Resistor(PartRef("load"), "pickup.left", "B", 60.0))
    circuit = Circuit(
        ("A", "B", "blade", "frog", "pickup.left"), (*supply, Resistor(PartRef("feed"), "A", "blade", 0.02))
    )
    ports = ["blade", "frog", "pickup.left"]
    wheel = star([10.0, 10.0, 1000.0], [0, 1, 2], 3)
    found = solve_states(fold(circuit, ports), wheel[None])[0]
    arms = [Resistor(PartRef(port), "wheel", port, ohms) for port, ohms in zip(ports, (0.1, 0.1, 0.001), strict=True)]
    whole = solve(Circuit((*circuit.nodes, "wheel"), (*circuit.parts, *arms))).volts
    assert found == pytest.approx([whole[port] for port in ports], rel=1e-12)
    assert found[1] == pytest.approx(whole["wheel"], rel=1e-12)  # a frog with no wire of its own takes no current


def test_floating_ports_are_at_zero_until_joined() -> None:
    circuit = Circuit(
        ("A", "B", "f", "g", "loose"),
        (Source(PartRef("s"), "A", "B", 15.0, 0.1), Resistor(PartRef("r"), "f", "g", 1.0)),
    )
    ports = ["loose", "f", "A", "B"]
    states: list[Links] = [[], [(1, 2, 10.0)], [(0, 1, 5.0)], [(1, 3, 10.0), (0, 2, 1.0)]]
    folded = fold(circuit, ports)
    volts = solve_states(folded, extra_of(states, 4))
    #                      loose  f     A     B
    assert volts == pytest.approx(
        np.array([[0.0, 0.0, 15.0, 0.0], [0.0, 15.0, 15.0, 0.0], [0.0, 0.0, 15.0, 0.0], [15.0, 0.0, 15.0, 0.0]]),
        abs=1e-12,
    )
    assert folded.everywhere(volts)[:, 3] == pytest.approx(volts[:, 1], abs=1e-12)  # g hangs on f
    assert amps_of(circuit, folded.everywhere(volts)) == pytest.approx(np.zeros((4, 2)), abs=1e-11)


def test_islands_that_no_port_touches_are_solved_all_the_same() -> None:
    far = (
        Source(PartRef("t"), "C", "D", 12.0, 0.5),
        Lamp(PartRef("l"), "C", "E", 12.0, 21.0),
        Resistor(PartRef("q"), "E", "D", 1.0),
    )
    near = (Source(PartRef("s"), "A", "B", 15.0, 0.1), Resistor(PartRef("r"), "A", "B", 1.0))
    circuit = Circuit(("f", "C", "D", "E", "A", "B"), (*far, *near))
    folded = fold(circuit, ["A", "B"])
    volts = folded.everywhere(solve_states(folded, np.zeros((1, 2, 2))))[0]
    assert volts == pytest.approx(list(solve(circuit).volts.values()), rel=1e-12, abs=1e-12)


def test_zero_is_at_the_first_source_of_what_a_state_joins() -> None:
    parts = (
        Source(PartRef("s"), "A", "B", 15.0, 0.1),
        Source(PartRef("t"), "C", "D", 12.0, 0.5),
        Source(PartRef("u"), "E", "F", 9.0, 1.0),
    )
    circuit = Circuit(tuple("ABCDEF"), parts)
    folded = fold(circuit, ["F", "C", "A"])
    states: list[Links] = [[], [(0, 1, 10.0)], [(1, 2, 10.0)], [(0, 1, 10.0), (1, 2, 10.0)]]
    volts = folded.everywhere(solve_states(folded, extra_of(states, 3)))
    #                          A     B    C     D     E     F
    assert volts == pytest.approx(
        np.array(
            [
                [15.0, 0.0, 12.0, 0.0, 9.0, 0.0],
                [15.0, 0.0, 12.0, 0.0, 21.0, 12.0],
                [15.0, 0.0, 15.0, 3.0, 9.0, 0.0],
                [15.0, 0.0, 15.0, 3.0, 24.0, 15.0],
            ]
        ),
        abs=1e-12,
    )


@given(st.lists(st.tuples(decades(1e-4, 1e3), st.integers(0, 4)), min_size=1, max_size=7))
def test_star_is_what_folding_its_middle_away_leaves(arms: list[tuple[float, int]]) -> None:
    ports = [str(k) for k in range(5)]
    rail = [("0", "1", 1.0), ("1", "2", 1.0), ("2", "3", 1.0), ("3", "4", 1.0)]
    edges = [(port, "middle", 1 / siemens) for siemens, port in arms]
    whole = fold(circuit_of([*rail, *edges]), ports).conductance
    parted = fold(circuit_of(rail), ports).conductance + star([s for s, _ in arms], [p for _, p in arms], 5)
    assert parted == pytest.approx(whole, rel=1e-9, abs=1e-9 * abs(whole).max())


@pytest.mark.parametrize("cold", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_taken_apart_node_by_node_or_all_at_once(seed: int, cold: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Large circuits go another way; on the same circuit both ways must agree, to more than the folding's own
    digits."""
    supplies = Source(PartRef("s"), "0", "59", 15.0, 0.1), Source(PartRef("t"), "f", "g", 12.0, 0.5)
    cut = Resistor(PartRef("cut"), "5", "g", math.inf), Source(PartRef("unplugged"), "8", "9", 15.0, math.inf)
    more: tuple[Part, ...] = (*cut, *supplies, Lamp(PartRef("l"), "3", "41", 12.0, 21.0))
    plain = circuit_of(random_edges(seed, 60, 25), *more)
    circuit = Circuit((*plain.nodes, "f", "g", "loose"), plain.parts)
    ports = ["7", "loose", "30", "f", "12"]
    extra = extra_of([[(0, 2, 3.0)], [(0, 3, 1.0), (1, 4, 9.0)]], 5)
    found = []
    for limit in (0, 10_000):
        monkeypatch.setattr(eliminate, "_DENSE", limit)
        folded = fold(circuit, ports, cold=cold)
        whole = np.array(list(solve(circuit, cold=cold).volts.values()))
        found.append((whole, folded.everywhere(solve_states(folded, extra)), folded.conductance))
    for one, other in zip(*found, strict=True):
        assert one == pytest.approx(other, rel=1e-8, abs=1e-8)


def test_no_ports_and_no_states() -> None:
    circuit = Circuit(("A", "B"), (Source(PartRef("s"), "A", "B", 15.0, 0.1),))
    nothing = fold(circuit, [])
    assert nothing.everywhere(solve_states(nothing, np.zeros((1, 0, 0))))[0] == pytest.approx([15.0, 0.0])
    assert solve_states(fold(circuit, ["A"]), np.zeros((0, 1, 1))).shape == (0, 1)


def test_wrong_ports() -> None:
    circuit = Circuit(("A", "B"), (Resistor(PartRef("r"), "A", "B", 1.0),))
    with pytest.raises(CircuitError, match="no node 'C'"):
        fold(circuit, ["A", "C"])
    with pytest.raises(CircuitError, match="port given twice: 'A'"):
        fold(circuit, ["A", "B", "A"])


def test_open_parts_join_nothing() -> None:
    circuit = Circuit(
        ("A", "B", "x"), (Source(PartRef("s"), "A", "B", 15.0, 0.1), Resistor(PartRef("cut"), "A", "x", math.inf))
    )
    folded = fold(circuit, ["A", "x"])
    assert not folded.conductance.any()
    assert solve_states(folded, np.zeros((1, 2, 2)))[0] == pytest.approx([15.0, 0.0])


def test_a_batch_costs_little() -> None:
    """A batch of a hundred states takes a fraction of a hundred single ones; some half a millisecond at 20 ports."""
    folded = fold(
        circuit_of(random_edges(1, 40, 25), Source(PartRef("s"), "0", "39", 15.0, 0.1)), [str(k) for k in range(20)]
    )
    rng = np.random.default_rng(1)
    feet = [rng.choice(20, 3, replace=False).tolist() for _ in range(100)]
    extra = np.stack([star(rng.uniform(1.0, 10.0, 3).tolist(), ports, 20) for ports in feet])
    together = min(_seconds(lambda: solve_states(folded, extra)) for _ in range(20))
    alone = min(_seconds(lambda: [solve_states(folded, one[None]) for one in extra]) for _ in range(5))
    assert together < alone / 3
    assert together < 0.01


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start

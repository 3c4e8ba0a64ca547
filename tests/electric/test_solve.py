"""Whole circuits, against sparse linear algebra, exact fractions, hand-worked cases and the laws themselves."""

from __future__ import annotations

import math
import time
from dataclasses import replace

import numpy as np
import pytest
import scipy.sparse
import scipy.sparse.linalg
from hypothesis import given
from hypothesis import strategies as st

from sim.electric.circuit import Circuit, CircuitError
from sim.electric.parts import Lamp, PartError, PartRef, Resistor, Source
from sim.electric.solve import solve
from tests.electric.networks import (
    amps_of,
    by_kind,
    circuit_of,
    decades,
    exact_volts,
    grounds_of,
    islands,
    leftover_amps,
    random_edges,
)

BATTERY = Source(PartRef("s"), "A", "B", 15.0, 0.1)


@pytest.mark.parametrize(("count", "links"), [(30, 10), (250, 60), (400, 100), (2000, 300)])
def test_sparse_linear_algebra(count: int, links: int) -> None:
    """scipy, with one row struck out, at sizes on both sides of where large circuits are taken apart node by node."""
    edges = random_edges(count, count, links, least=1e-2, most=1e2)
    first, second, ohms = (np.array(column) for column in zip(*edges, strict=True))
    first, second = np.append(first, 0), np.append(second, count - 1)  # the source's own resistance
    siemens = np.append(1.0 / ohms, 10.0)
    incidence = scipy.sparse.csr_matrix(
        (np.tile([1.0, -1.0], len(first)), np.column_stack((first, second)).ravel(), np.arange(len(first) + 1) * 2),
        shape=(len(first), count),
    )
    laplacian = (incidence.T @ scipy.sparse.diags(siemens) @ incidence).tocsc()
    amps = np.zeros(count)
    amps[0] = 15.0 * 10.0
    expected = scipy.sparse.linalg.spsolve(laplacian[:-1, :-1], amps[:-1])
    found = solve(circuit_of(edges, Source(PartRef("s"), "0", str(count - 1), 15.0, 0.1))).volts
    assert [found[str(k)] for k in range(count - 1)] == pytest.approx(expected, rel=1e-8, abs=1e-10)
    assert found[str(count - 1)] == 0.0


@given(islands())
def test_exact_fractions(circuit: Circuit) -> None:
    """Any shape of circuit, to the last digits; 0 V where the rule puts it."""
    expected = exact_volts(circuit, grounds_of(circuit))
    largest = max(1.0, *(abs(volts) for volts in expected.values()))
    assert solve(circuit).volts == pytest.approx(expected, rel=1e-12, abs=1e-13 * largest)


@pytest.mark.parametrize("seed", range(30))
def test_exact_beside_very_strong_and_very_weak_links(seed: int) -> None:
    """A meter's 10 megohm beside a pick-up's 0.001 ohm."""
    circuit = circuit_of(random_edges(seed, 10, 5, least=1e-3, most=1e7), Source(PartRef("s"), "0", "1", 15.0, 0.1))
    assert solve(circuit).volts == pytest.approx(exact_volts(circuit, ["1"]), rel=1e-12, abs=1e-12)


@given(islands(lamps=2))
def test_current_law_at_every_node(circuit: Circuit) -> None:
    solution = solve(circuit)
    most = max((abs(amps) for amps in solution.amps.values()), default=0.0)
    assert leftover_amps(circuit) == pytest.approx(dict.fromkeys(circuit.nodes, 0.0), abs=1e-10 * (1.0 + most))


@given(islands(lamps=2))
def test_watts_in_are_watts_out(circuit: Circuit) -> None:
    """What the sources give is what turns to heat; and no part gives heat back."""
    solution = solve(circuit)
    assert sum(solution.watts.values()) == pytest.approx(solution.supplied_watts, rel=1e-9, abs=1e-9)
    assert all(watts >= -1e-9 for watts in solution.watts.values())
    given_ = sum(solution.amps[part.ref] * part.volts for part in circuit.parts if isinstance(part, Source))
    assert solution.supplied_watts == pytest.approx(given_, rel=1e-12, abs=1e-12)


@given(islands(), decades(0.1, 10.0))
def test_volts_scale_with_the_sources(circuit: Circuit, factor: float) -> None:
    parts = [replace(p, volts=p.volts * factor) if isinstance(p, Source) else p for p in circuit.parts]
    expected = {node: volts * factor for node, volts in solve(circuit).volts.items()}
    assert solve(Circuit(circuit.nodes, tuple(parts))).volts == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(islands(sources=1), st.integers(0, 8), st.integers(0, 8))
def test_reciprocity(circuit: Circuit, one: int, other: int) -> None:
    """A battery here drives through an ammeter there what a battery there drives through an ammeter here."""
    resistors = tuple(part for part in circuit.parts if isinstance(part, Resistor))
    here = (str(one % len(circuit.nodes)), circuit.nodes[0])
    there = (str(other % len(circuit.nodes)), circuit.nodes[-1])

    def answer(volts_here: float, volts_there: float, ref: str) -> float:
        pair = (Source(PartRef("here"), *here, volts_here, 1.0), Source(PartRef("there"), *there, volts_there, 1.0))
        return solve(Circuit(circuit.nodes, (*resistors, *pair))).amps[PartRef(ref)]

    assert answer(1.0, 0.0, "there") == pytest.approx(answer(0.0, 1.0, "here"), rel=1e-9, abs=1e-12)


@given(islands(lamps=2))
def test_order_of_parts_does_not_matter(circuit: Circuit) -> None:
    """But for which source comes first, which is where 0 V is."""
    sources = [part for part in circuit.parts if isinstance(part, Source)]
    others = [part for part in circuit.parts if not isinstance(part, Source)]
    turned = Circuit(circuit.nodes, (*reversed(others), *sources))
    expected = solve(Circuit(circuit.nodes, (*sources, *others))).volts
    assert solve(turned).volts == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_floating_islands_read_nothing_and_draw_nothing() -> None:
    circuit = Circuit(
        ("A", "B", "f1", "f2", "loose"),
        (BATTERY, Resistor(PartRef("load"), "A", "B", 49.9), Resistor(PartRef("rail"), "f1", "f2", 0.01)),
    )
    solution = solve(circuit)
    assert (solution.volts["f1"], solution.volts["f2"], solution.volts["loose"]) == (0.0, 0.0, 0.0)
    assert solution.amps[PartRef("rail")] == 0.0
    assert solution.amps[PartRef("s")] == pytest.approx(15.0 / 50.0, rel=1e-12)  # Ohm's law


def test_an_island_that_hangs_on_one_wire_takes_its_volts_and_no_current() -> None:
    circuit = Circuit(
        ("A", "B", "f1", "f2"),
        (BATTERY, Resistor(PartRef("wire"), "A", "f1", 0.1), Resistor(PartRef("rail"), "f1", "f2", 0.002)),
    )
    solution = solve(circuit)
    assert solution.volts["f2"] == pytest.approx(15.0, rel=1e-14)
    assert by_kind(solution.amps) == pytest.approx({"s": 0.0, "wire": 0.0, "rail": 0.0}, abs=1e-12)


def test_two_supplies_apart_have_each_its_own_zero() -> None:
    circuit = Circuit(
        ("A", "B", "C", "D"),
        (
            BATTERY,
            Resistor(PartRef("load"), "A", "B", 14.9),
            Source(PartRef("t"), "C", "D", 12.0, 0.5),
            Resistor(PartRef("more"), "C", "D", 5.5),
        ),
    )
    solution = solve(circuit)
    assert (solution.volts["B"], solution.volts["D"]) == (0.0, 0.0)
    assert by_kind(solution.amps) == pytest.approx({"s": 1.0, "load": 1.0, "t": 2.0, "more": 2.0}, rel=1e-12)


def test_two_supplies_joined_at_one_place_drive_nothing_between_them() -> None:
    circuit = Circuit(
        ("A", "B", "C", "D"),
        (BATTERY, Source(PartRef("t"), "C", "D", 12.0, 0.5), Resistor(PartRef("wire"), "A", "D", 0.05)),
    )
    solution = solve(circuit)
    assert solution.volts == pytest.approx({"A": 15.0, "B": 0.0, "C": 27.0, "D": 15.0}, rel=1e-12)
    assert solution.amps[PartRef("wire")] == pytest.approx(0.0, abs=1e-12)


def test_two_supplies_joined_at_both_sides() -> None:
    """Aligned, the stronger charges the weaker; crossed, both push the same way round. One loop, Ohm's law."""
    loop = 0.1 + 0.5 + 0.05 + 0.05

    def joined(plus: str, minus: str) -> dict[str, float]:
        wires = (Resistor(PartRef("w1"), "A", plus, 0.05), Resistor(PartRef("w2"), "B", minus, 0.05))
        return by_kind(
            solve(Circuit(("A", "B", "C", "D"), (BATTERY, Source(PartRef("t"), "C", "D", 12.0, 0.5), *wires))).amps
        )

    aligned = (15.0 - 12.0) / loop
    assert joined("C", "D") == pytest.approx({"s": aligned, "t": -aligned, "w1": aligned, "w2": -aligned}, rel=1e-12)
    crossed = (15.0 + 12.0) / loop
    assert joined("D", "C") == pytest.approx({"s": crossed, "t": crossed, "w1": crossed, "w2": -crossed}, rel=1e-12)


def test_shorted_supply() -> None:
    """15 V behind 0.1 ohm into 0.02 ohm: 125 A, all of it heat, most of it in the supply itself."""
    solution = solve(Circuit(("A", "B"), (BATTERY, Resistor(PartRef("wire"), "A", "B", 0.02))))
    amps = 15.0 / 0.12
    assert by_kind(solution.amps) == pytest.approx({"s": amps, "wire": amps}, rel=1e-12)
    assert by_kind(solution.watts) == pytest.approx({"s": amps**2 * 0.1, "wire": amps**2 * 0.02}, rel=1e-12)
    assert solution.supplied_watts == pytest.approx(15.0 * amps, rel=1e-12)


def test_supply_shorted_on_its_own_terminal() -> None:
    solution = solve(Circuit(("A",), (Source(PartRef("s"), "A", "A", 15.0, 0.1),)))
    assert solution.amps[PartRef("s")] == pytest.approx(150.0)
    assert solution.volts["A"] == 0.0


def test_open_circuit() -> None:
    solution = solve(Circuit(("A", "B", "x"), (BATTERY, Resistor(PartRef("cut"), "A", "x", math.inf))))
    assert solution.volts == {"A": pytest.approx(15.0, rel=1e-14), "B": 0.0, "x": 0.0}
    assert solution.amps[PartRef("cut")] == 0.0
    assert solution.amps[PartRef("s")] == pytest.approx(0.0, abs=1e-12)


def test_supply_off_still_joins_and_unplugged_does_not() -> None:
    def ends(ohms: float) -> tuple[float, float]:
        supply = Source(PartRef("s"), "A", "B", 0.0, ohms)
        other = (Source(PartRef("t"), "A", "x", 1.0, 1.0), Resistor(PartRef("r"), "x", "B", 1.0))
        amps = solve(Circuit(("A", "B", "x"), (supply, *other))).amps
        return amps[PartRef("t")], amps[PartRef("s")]

    amps, through = ends(0.5)
    assert amps == pytest.approx(1.0 / 2.5)
    assert through == pytest.approx(-1.0 / 2.5)  # backwards, in at its A
    assert ends(math.inf) == pytest.approx((0.0, 0.0), abs=1e-15)


def test_an_unplugged_supply_does_not_say_where_zero_is() -> None:
    unplugged = Source(PartRef("t"), "x", "A", 12.0, math.inf)
    assert solve(Circuit(("x", "A", "B"), (unplugged, BATTERY))).volts["B"] == 0.0


def test_empty_circuits() -> None:
    assert solve(Circuit((), ())).volts == {}
    assert solve(Circuit(("a", "b"), ())).volts == {"a": 0.0, "b": 0.0}


@given(islands(lamps=1), st.booleans())
def test_amps_of_many_states_are_those_of_each(circuit: Circuit, cold: bool) -> None:
    solution = solve(circuit, cold=cold)
    volts = np.array([list(solution.volts.values())] * 3) * np.array([[1.0], [-1.0], [0.0]])
    found = amps_of(Circuit(circuit.nodes, circuit.parts), volts, cold=cold)
    assert found.shape == (3, len(circuit.parts))
    assert list(found[0]) == list(solution.amps.values())


def test_large_circuits_in_reasonable_time() -> None:
    """Two thousand nodes, as on a bench of a thousand pieces. Seconds would spoil the game; it takes some
    hundredths."""
    circuit = circuit_of(random_edges(7, 2000, 300), Source(PartRef("s"), "0", "1999", 15.0, 0.1))
    start = time.perf_counter()
    solve(circuit)
    assert time.perf_counter() - start < 2.0


@pytest.mark.parametrize(
    ("circuit", "words"),
    [
        (Circuit(("a", "a"), (Resistor(PartRef("r"), "a", "a", 1.0),)), "node given twice: 'a'"),
        (
            Circuit(("a", "b"), (Resistor(PartRef("r"), "a", "b", 1.0), Resistor(PartRef("r"), "b", "a", 1.0))),
            "part given twice: 'r'",
        ),
        (Circuit(("a", "b"), (Resistor(PartRef("r"), "a", "c", 1.0),)), "r: no node 'c'"),
    ],
)
def test_wrong_circuit(circuit: Circuit, words: str) -> None:
    with pytest.raises(CircuitError) as told:
        solve(circuit)
    assert str(told.value) == words


@pytest.mark.parametrize("ohms", [0.0, -1.0, math.nan])
def test_wrong_ohms(ohms: float) -> None:
    with pytest.raises(PartError, match="r: ohms must be more than 0"):
        Resistor(PartRef("r"), "a", "b", ohms)
    with pytest.raises(PartError, match="s: ohms must be more than 0"):
        Source(PartRef("s"), "a", "b", 1.0, ohms)


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_wrong_volts(bad: float) -> None:
    with pytest.raises(PartError, match="s: volts must be a number"):
        Source(PartRef("s"), "a", "b", bad, 1.0)
    with pytest.raises(PartError, match="l: volts must be more than 0"):
        Lamp(PartRef("l"), "a", "b", bad, 1.0)
    with pytest.raises(PartError, match="l: watts must be more than 0"):
        Lamp(PartRef("l"), "a", "b", 12.0, bad)

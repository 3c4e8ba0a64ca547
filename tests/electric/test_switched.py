"""A circuit folded once for all positions of its switches, against each position folded by itself."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.electric.circuit import Circuit
from sim.electric.fold import Switched, fold, solve_states
from sim.electric.parts import Resistor
from tests.electric.networks import islands


@st.composite
def switched(draw: st.DrawFn) -> tuple[Circuit, dict[int, Resistor]]:
    """A circuit with some of its resistors opened, and those by their places."""
    circuit = draw(islands(lamps=2))
    resistors = {place: part for place, part in enumerate(circuit.parts) if isinstance(part, Resistor)}
    chosen = draw(st.lists(st.sampled_from(sorted(resistors)), max_size=4, unique=True)) if resistors else []
    parts = list(circuit.parts)
    for place in chosen:
        parts[place] = replace(resistors[place], ohms=math.inf)
    return Circuit(circuit.nodes, tuple(parts)), {place: resistors[place] for place in chosen}


@given(switched(), st.data())
def test_a_closed_circuit_is_the_circuit_with_those_parts(
    given_: tuple[Circuit, dict[int, Resistor]], data: st.DataObject
) -> None:
    circuit, switches = given_
    closed = {place: part for place, part in switches.items() if data.draw(st.booleans())}
    ours = circuit.closed(closed)
    afresh = Circuit(ours.nodes, ours.parts)
    assert ours == afresh
    assert ours.index == afresh.index
    for name in ("siemens", "group", "a", "b", "emf", "lamps"):
        assert np.array_equal(getattr(ours.branches, name), getattr(afresh.branches, name)), name


@given(switched(), st.data())
def test_each_position_is_the_circuit_folded(given_: tuple[Circuit, dict[int, Resistor]], data: st.DataObject) -> None:
    circuit, switches = given_
    ports = data.draw(st.lists(st.sampled_from(circuit.nodes), max_size=4, unique=True))
    once = Switched(circuit, switches, ports)
    for _ in range(3):
        places = [place for place in switches if data.draw(st.booleans())]
        closed = circuit.closed({place: switches[place] for place in places})
        some = data.draw(st.permutations(ports))[: data.draw(st.integers(0, len(ports)))]
        extra = np.zeros((2, len(some), len(some)))
        if len(some) > 1:
            extra[1, 0, 1] = extra[1, 1, 0] = -10.0
        _alike(closed, places, some, extra, once)
        open_ = once.whole()
        volts = open_.everywhere(solve_states(open_, once.added(places)[None]))
        flow, scale = _flow(closed, fold(closed, ()).everywhere(np.zeros((1, 0))))
        assert closed.branches.flow(volts) == pytest.approx(flow, rel=1e-6, abs=1e-9 * scale)


def _flow(circuit: Circuit, volts: np.ndarray) -> tuple[np.ndarray, float]:
    flow = circuit.branches.flow(volts)
    return flow, max(1.0, float(np.abs(flow).max(initial=0.0)))


def _alike(closed: Circuit, places: list[int], ports: list[str], extra: np.ndarray, once: Switched) -> None:
    ours, alone = once.fold(places, ports), fold(closed, ports)
    assert ours.ports == alone.ports
    volts = [each.everywhere(solve_states(each, extra)) for each in (ours, alone)]
    assert volts[0] == pytest.approx(volts[1], rel=1e-7, abs=1e-8)
    flow, scale = _flow(closed, volts[1])
    assert closed.branches.flow(volts[0]) == pytest.approx(flow, rel=1e-6, abs=1e-8 * scale)

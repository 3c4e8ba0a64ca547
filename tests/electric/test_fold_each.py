"""Many folds from one elimination, against each fold by itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.electric.circuit import Circuit
from sim.electric.fold import fold, fold_each, solve_states
from sim.electric.parts import Lamp, Part, PartRef, Resistor, Source

NODES = tuple("abcdefgh")


@st.composite
def circuits(draw: st.DrawFn) -> Circuit:
    ohms = st.sampled_from([0.002, 0.03, 0.1, 5.0, 60.0, 2000.0, float("inf")])
    pairs = st.lists(st.tuples(st.sampled_from(NODES), st.sampled_from(NODES), ohms), max_size=14)
    parts: list[Part] = [
        Resistor(PartRef(f"r{k}"), a, b, value) for k, (a, b, value) in enumerate(draw(pairs)) if a != b
    ]
    for k in range(draw(st.integers(0, 2))):
        plus, minus = draw(st.permutations(NODES))[:2]
        parts.append(Source(PartRef(f"s{k}"), plus, minus, 15.0, 0.1))
    if draw(st.booleans()):
        a, b = draw(st.permutations(NODES))[:2]
        parts.append(Lamp(PartRef("l"), a, b, 12.0, 21.0))
    return Circuit(NODES, tuple(parts))


@given(
    circuits(),
    st.lists(st.lists(st.sampled_from(NODES), min_size=1, max_size=5, unique=True), min_size=1, max_size=4),
    st.data(),
)
def test_each_fold_is_the_fold(circuit: Circuit, port_sets: list[list[str]], data: st.DataObject) -> None:
    for ports, each in zip(port_sets, fold_each(circuit, port_sets), strict=True):
        alone = fold(circuit, ports)
        assert each.ports == alone.ports
        size = len(ports)
        extra = np.zeros((3, size, size))
        for state in range(3):
            for _ in range(data.draw(st.integers(0, 4))):
                one, other = data.draw(st.integers(0, size - 1)), data.draw(st.integers(0, size - 1))
                if one != other:
                    siemens = data.draw(st.sampled_from([0.02, 5.0, 10.0, 500.0]))
                    extra[state, one, other] -= siemens
                    extra[state, other, one] -= siemens
        flows = [circuit.branches.flow(f.everywhere(solve_states(f, extra))) for f in (each, alone)]
        scale = max(1.0, float(np.abs(flows[1]).max(initial=0.0)))
        assert flows[0] == pytest.approx(flows[1], rel=1e-6, abs=1e-8 * scale)
        volts = [solve_states(f, extra) for f in (each, alone)]
        assert volts[0] == pytest.approx(volts[1], rel=1e-6, abs=1e-7)


def test_more_ports_than_one_elimination_holds() -> None:
    count = 1000
    nodes = tuple(f"n{k}" for k in range(count))
    parts: list[Part] = [Resistor(PartRef(f"r{k}"), nodes[k], nodes[k + 1], 0.01) for k in range(count - 1)]
    parts.append(Source(PartRef("s"), nodes[0], nodes[-1], 15.0, 0.1))
    circuit = Circuit(nodes, tuple(parts))
    sets = [nodes[k : k + 3] for k in range(0, count - 3, 7)]
    for ports, each in zip(sets, fold_each(circuit, sets), strict=True):
        alone = fold(circuit, ports)
        assert each.conductance == pytest.approx(alone.conductance, rel=1e-7, abs=1e-9)
        assert each.current == pytest.approx(alone.current, rel=1e-7, abs=1e-7)

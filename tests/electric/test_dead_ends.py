"""Dead ends left out of a circuit before it is solved, against the same circuit solved with them."""

from __future__ import annotations

from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.electric import eliminate
from sim.electric.circuit import Circuit
from sim.electric.fold import fold, solve_states
from sim.electric.parts import PartRef, Resistor, Source
from sim.electric.solve import solve
from tests.electric.networks import islands


@given(islands(most_nodes=12, lamps=2), st.data())
def test_nothing_changes_by_leaving_them_out(circuit: Circuit, data: st.DataObject) -> None:
    ports = data.draw(st.lists(st.sampled_from(circuit.nodes), max_size=4, unique=True))
    extra = np.zeros((1, len(ports), len(ports)))
    whole, folded = solve(circuit), fold(circuit, ports)
    everywhere = folded.everywhere(solve_states(folded, extra))
    with patch.object(eliminate, "_SMALL", 0):
        bare, seen = solve(circuit), fold(circuit, ports)
        assert bare.volts == pytest.approx(whole.volts, rel=1e-9, abs=1e-9)
        assert bare.amps == pytest.approx(whole.amps, rel=1e-7, abs=1e-9)
        assert seen.conductance == pytest.approx(folded.conductance, rel=1e-7, abs=1e-10)
        assert seen.everywhere(solve_states(seen, extra)) == pytest.approx(everywhere, rel=1e-7, abs=1e-9)


def test_a_long_dead_end_has_the_volts_where_it_begins() -> None:
    """A source of 12 V behind 1 ohm feeds 5 ohm; from one end of those a chain of sixty leads nowhere."""
    chain = [Resistor(PartRef(f"r{k}"), "plus" if k == 0 else f"n{k}", f"n{k + 1}", 100.0) for k in range(60)]
    nodes = ("plus", "minus", *(f"n{k + 1}" for k in range(60)))
    circuit = Circuit(
        nodes,
        (*chain, Resistor(PartRef("load"), "plus", "minus", 5.0), Source(PartRef("s"), "plus", "minus", 12.0, 1.0)),
    )
    solution = solve(circuit)
    assert solution.volts["plus"] == pytest.approx(10.0)
    assert {solution.volts[node] for node in nodes} == {solution.volts["plus"], 0.0}
    assert all(solution.amps[part.ref] == 0.0 for part in chain)

"""Laws of circuits that hold for every bench: current, power, one side of the supply, and one wire more.

The mirror, the exchange of A and B, names and order of tables stand in tests/proof/test_laws.py.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from sim.bench.model import Wire
from sim.bench.terminals import terminals
from sim.electric.circuit import Circuit
from sim.electric.parts import Source
from sim.electric.solve import solve
from sim.proof import prove
from sim.track.layout import Layout
from sim.wiring.feeds import feeds
from sim.wiring.positions import positions
from sim.wiring.probe import probe
from sim.wiring.switched import circuit
from tests.bench.strategies import benches
from tests.proof.benches import Desk, four_wheeler
from tests.reference.lot import Drawn, Traits, draw

EXAMPLES = settings(max_examples=60, deadline=None, derandomize=True)
FEW = settings(EXAMPLES, max_examples=30, suppress_health_check=[HealthCheck.too_slow])


def lot(**held: bool) -> st.SearchStrategy[Drawn]:
    """Benches by lot; `held` are traits that are not left to it."""
    free = ("wrong", "throwing", "vehicles", "lamps", "polarities", "two_supplies")
    traits = st.fixed_dictionaries({name: st.just(held[name]) if name in held else st.booleans() for name in free})
    return st.builds(draw, st.integers(0, 10**6), traits.map(lambda drawn: Traits(**drawn)))


# --- Current and power. ---


@EXAMPLES
@given(lot())
def test_what_flows_into_a_node_flows_out_of_it(drawn: Drawn) -> None:
    amps = solve(drawn.circuit).amps
    over = dict.fromkeys(drawn.circuit.nodes, 0.0)
    for part in drawn.circuit.parts:
        branch, into = part.stamp(), amps[part.ref]
        if isinstance(part, Source):
            into = -into  # told as what leaves its plus
        over[branch.a] -= into
        over[branch.b] += into
    most = max(abs(value) for value in amps.values())
    assert max(abs(value) for value in over.values()) <= 1e-9 * (1.0 + most)


@EXAMPLES
@given(lot())
def test_what_supplies_give_turns_to_heat(drawn: Drawn) -> None:
    """And no part but a supply gives anything; the heat is told part by part."""
    found = solve(drawn.circuit)
    given_ = sum(part.volts * found.amps[part.ref] for part in drawn.circuit.parts if isinstance(part, Source))
    assert found.supplied_watts == pytest.approx(given_, rel=1e-9, abs=1e-9)
    assert math.fsum(found.watts.values()) == pytest.approx(given_, rel=1e-9, abs=1e-9)
    assert min(found.watts.values()) >= -1e-9


@EXAMPLES
@given(lot(two_supplies=False))
def test_no_volts_beyond_the_supply(drawn: Drawn) -> None:
    """One supply: every node lies between its two sides, wherever the current goes."""
    volts = solve(drawn.circuit).volts
    (supply,) = drawn.bench.supplies
    assert supply.volts is not None
    assert min(volts.values()) >= -1e-9
    assert max(volts.values()) <= supply.volts + 1e-9


# --- One wire more. ---


@EXAMPLES
@given(lot(lamps=False), st.data())
def test_a_wire_more_never_raises_what_the_meter_reads(drawn: Drawn, data: st.DataObject) -> None:
    """Rayleigh's law. Lamps are left out: what a filament lets through depends on what the meter drives through it."""
    ends = terminals(drawn.bench)
    pair = st.lists(st.sampled_from(ends), min_size=2, max_size=2, unique=True)
    (red, black), (one, other) = data.draw(pair), data.draw(pair)
    apart = replace(drawn.bench, supplies=tuple(replace(supply, plugged=False) for supply in drawn.bench.supplies))
    wired = replace(apart, wires=(*apart.wires, Wire((one, other), metres=data.draw(st.floats(0.0, 50.0)))))
    before, after = probe(apart, red, black).value, probe(wired, red, black).value
    assume(before is not None)
    assert before is not None
    assert after is not None
    assert after <= before * (1 + 1e-9)


@FEW
@given(lot(two_supplies=False, vehicles=False), st.data())
def test_a_wire_within_one_side_shorts_nothing(drawn: Drawn, data: st.DataObject) -> None:
    """Between two rails of one side in a setting, with nothing on the track: no current, no finding, no other feed."""
    layout = Layout(drawn.bench)
    travel = data.draw(st.sampled_from(list(positions(drawn.bench))))
    sides = feeds(drawn.bench, layout, travel)
    pairs = [(a, b) for a in sides for b in sides if a < b and sides[a] == sides[b] and sides[a] in ("A", "B")]
    assume(pairs)
    wired = replace(drawn.bench, wires=(*drawn.bench.wires, Wire(data.draw(st.sampled_from(pairs)))))
    amps = solve(circuit(wired, layout, travel)).amps
    assert max(abs(value) for value in amps.values()) < 1e-9
    assert feeds(wired, layout, travel) == sides
    setting = {"T1": "diverging" if travel["T1"] else "normal"}
    found = prove(replace(wired, test=("four-wheel shunter",))).findings
    assert [f.kind for f in found if f.when == "power-on" and f.points == setting and f.kind in {"short", "hot"}] == []


# --- No bench is too odd to be judged. ---


@FEW
@given(lot(vehicles=True) | benches().map(lambda bench: Drawn(bench, {}, Circuit((), ()))))
def test_every_bench_is_judged(drawn: Drawn) -> None:
    """Of our lot, and whatever a file can hold."""
    for finding in prove(drawn.bench).findings:
        assert finding.text
        assert finding.amps is None or math.isfinite(finding.amps)
        assert finding.volts is None or math.isfinite(finding.volts)


def test_an_engine_that_fits_no_rail_is_dead_everywhere() -> None:
    wheel = {"back_to_back_mm": 86.0, "flange_mm": 0.3, "width_mm": 4.0, "radius_mm": 5.0}
    verdict = Desk().carrying(four_wheeler(25.0, wheel=wheel)).verdict()
    assert {finding.kind for finding in verdict.findings} == {"dead"}
    assert (verdict.shares.safe, verdict.shares.live) == (0.0, 0.0)  # what runs nowhere is not safe either

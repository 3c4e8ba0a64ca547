"""The stamp of wheels between rails, against the same wheels solved part by part."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.model import Vehicle
from sim.electric.circuit import Circuit
from sim.electric.fold import fold
from sim.wiring.wheels import Standing, collects, load_ohms, pickup_nodes, stamps, standing_parts

RAILS = ("a", "b", "c", "d")

wheel = st.frozensets(st.sampled_from(RAILS), max_size=3)
axles = st.lists(st.tuples(wheel, wheel), min_size=1, max_size=4)


def _vehicle(count: int, left: tuple[int, ...], right: tuple[int, ...]) -> Vehicle:
    return Vehicle(
        name="test",
        scale="HO",
        axles_mm=tuple(20.0 * k for k in range(count)),
        wheel="RP-25 code 110",
        pickup_left=left,
        pickup_right=right,
        draws_amps=0.25,
        works_from_volts=7.0,
        stored_joules=0.0,
        grams=100.0,
    )


@settings(max_examples=60, deadline=None)
@given(axles, st.data())
def test_stamp_is_the_wheels_folded_away(
    touched: list[tuple[frozenset[str], frozenset[str]]], data: st.DataObject
) -> None:
    numbers = range(1, len(touched) + 1)
    left = tuple(k for k in numbers if data.draw(st.booleans()))
    right = tuple(k for k in numbers if data.draw(st.booleans()))
    vehicle = _vehicle(len(touched), left, right)
    nodes, parts = standing_parts(Standing("t:0", vehicle, tuple(touched)))
    ports = (*RAILS, *pickup_nodes("t:0"))
    whole = fold(Circuit((*RAILS, *nodes), tuple(parts)), ports)

    touches = np.zeros((1, len(touched), 2, len(ports)), dtype=bool)
    for axle, sides in enumerate(touched):
        for side, rails in enumerate(sides):
            for rail in rails:
                touches[0, axle, side, RAILS.index(rail)] = True
    stamp, branch = stamps(touches, collects(vehicle), (4, 5))
    assert np.allclose(stamp[0], whole.conductance, rtol=1e-9, atol=1e-9)
    assert np.allclose(stamp[0].sum(axis=1), 0.0, atol=1e-9)
    assert branch.shape == (1, len(touched), 2, len(ports))


def test_a_load_is_one_that_can_be_solved() -> None:
    """Next to no volts, next to no current: neither lost beside a pick-up's thousandth of an ohm, nor one itself."""
    engine = _vehicle(2, (1, 2), (1, 2))
    assert load_ohms(engine, 15.0) == 60.0
    assert load_ohms(engine, 1e-131) == 1e-3
    assert load_ohms(replace(engine, draws_amps=2e-16), 15.0) == 1e7
    assert load_ohms(replace(engine, draws_amps=0.0), 15.0) == math.inf

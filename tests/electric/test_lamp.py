"""Filament lamps, against the trade's figures and an independent search for the root."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.optimize
from hypothesis import given
from hypothesis import strategies as st

from sim.electric.circuit import Circuit
from sim.electric.parts import Lamp, PartError, PartRef, Resistor, Source
from sim.electric.parts.lamp import COLD_TO_HOT, chord, settle, slope
from sim.electric.solve import solve
from tests.electric.networks import decades

# trade.md F: "Lamp in series with frog feed (12 V, 21 W class)".
FROG_LAMP = Lamp(PartRef("lamp"), "A", "x", 12.0, 21.0)


def in_series(lamp: Lamp, volts: float, ohms: float, *, cold: bool = False) -> float:
    """Amperes of a lamp behind a supply and a resistance, which together have `ohms`."""
    parts = (Source(PartRef("s"), lamp.a, "B", volts, ohms / 2), lamp, Resistor(PartRef("r"), lamp.b, "B", ohms / 2))
    return solve(Circuit((lamp.a, lamp.b, "B"), parts), cold=cold).amps[lamp.ref]


def test_cold_under_one_ohm() -> None:
    assert FROG_LAMP.cold_ohms < 1.0
    assert FROG_LAMP.amps(1e-9) / 1e-9 == pytest.approx(1.0 / FROG_LAMP.cold_ohms)


@pytest.mark.parametrize("amps", [0.25, 0.3])
def test_drop_at_running_current(amps: float) -> None:
    """trade.md F: it drops 0.2 to 0.4 V at running current."""
    drop = scipy.optimize.brentq(lambda volts: FROG_LAMP.amps(volts) - amps, 0.0, 12.0)
    assert 0.2 <= drop <= 0.4


def test_on_a_short_it_limits_to_about_two_amperes() -> None:
    """trade.md F, on a 15 V supply; about 30 W then, most of it in the lamp (E1: 2.1 A, about 30 W)."""
    amps = in_series(FROG_LAMP, 15.0, 0.2)
    assert amps == pytest.approx(2.0, abs=0.15)
    assert amps * 15.0 == pytest.approx(30.0, rel=0.1)


def test_rated() -> None:
    assert FROG_LAMP.amps(12.0) * 12.0 == pytest.approx(21.0, rel=1e-12)
    assert FROG_LAMP.hot_ohms / FROG_LAMP.cold_ohms == pytest.approx(COLD_TO_HOT)


def test_first_instant() -> None:
    """Cold, it takes what its cold resistance lets through: a dozen times more."""
    cold = in_series(FROG_LAMP, 15.0, 0.2, cold=True)
    assert cold == pytest.approx(15.0 / (FROG_LAMP.cold_ohms + 0.2), rel=1e-12)
    assert cold > 10.0 * in_series(FROG_LAMP, 15.0, 0.2)


RATED = st.builds(Lamp, st.just("lamp"), st.just("A"), st.just("x"), st.floats(1.0, 30.0), decades(0.05, 100.0))


@given(RATED, decades(1e-3, 100.0), decades(1e-3, 1e6))
def test_root_by_search(lamp: Lamp, volts: float, ohms: float) -> None:
    """One lamp behind a resistance: where the lamp's amperes meet the resistance's, by bisection."""
    root = scipy.optimize.brentq(lambda v: lamp.amps(v) - (volts - v) / ohms, 0.0, volts, xtol=1e-15, rtol=1e-14)
    assert in_series(lamp, volts, ohms) == pytest.approx(lamp.amps(root), rel=1e-9)
    assert in_series(lamp, -volts, ohms) == pytest.approx(-lamp.amps(root), rel=1e-9)


@given(RATED, st.floats(0.0, 50.0), st.floats(0.0, 50.0))
def test_more_volts_more_amps_but_fewer_per_volt(lamp: Lamp, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert lamp.amps(low) <= lamp.amps(high)
    assert lamp.amps(high) * low <= lamp.amps(low) * high * (1 + 1e-12)
    assert lamp.amps(-low) == -lamp.amps(low)


@given(decades(1e-4, 3.0))
def test_slope_is_the_rise_of_the_current(volts: float) -> None:
    """By a difference quotient; all in parts of the rated volts and the cold conductance."""
    step = 1e-5 * volts
    ends = np.array([volts - step, volts + step])
    low, high = ends * chord(ends)
    assert slope(np.array(volts)) == pytest.approx((high - low) / (2 * step), rel=1e-6)


@given(st.floats(1.0, 30.0), st.floats(0.0, 30.0), st.tuples(decades(0.01, 100.0), decades(0.01, 100.0)))
def test_two_lamps_and_a_resistance_between(volts: float, bridge: float, watts: tuple[float, float]) -> None:
    """trade.md D3: a 12 V lamp in each bus wire, and something between. Checked against a search in one unknown: the
    current that comes round, with the volts of both lamps found by searches of their own."""
    one, other = Lamp(PartRef("one"), "A", "x", 12.0, watts[0]), Lamp(PartRef("other"), "y", "B", 12.0, watts[1])
    middle = 0.01 + bridge

    def volts_for(lamp: Lamp, amps: float) -> float:
        return float(scipy.optimize.brentq(lambda v: lamp.amps(v) - amps, 0.0, volts, xtol=1e-15, rtol=1e-14))

    most = min(lamp.amps(volts) for lamp in (one, other))
    expected = scipy.optimize.brentq(
        lambda amps: volts_for(one, amps) + volts_for(other, amps) + amps * (middle + 0.1) - volts,
        0.0, most, xtol=1e-15, rtol=1e-13,
    )  # fmt: skip
    parts = (Source(PartRef("s"), "A", "B", volts, 0.1), one, Resistor(PartRef("r"), "x", "y", middle), other)
    amps = solve(Circuit(("A", "x", "y", "B"), parts)).amps
    assert amps[PartRef("s")] == pytest.approx(expected, rel=1e-8)
    assert amps[PartRef("one")] == pytest.approx(amps[PartRef("other")], rel=1e-9)


def test_two_lamps_in_the_bus_let_a_safe_current_flow() -> None:
    """trade.md D3: about 1 A with two in series on a short."""
    parts = (
        Source(PartRef("s"), "A", "B", 15.0, 0.1),
        Lamp(PartRef("one"), "A", "x", 12.0, 21.0),
        Resistor(PartRef("short"), "x", "y", 0.1),
        Lamp(PartRef("other"), "y", "B", 12.0, 21.0),
    )
    assert 0.8 <= solve(Circuit(("A", "x", "y", "B"), parts)).amps[PartRef("short")] <= 1.5


def test_lamp_across_nothing_and_on_a_floating_island() -> None:
    parts = (
        Source(PartRef("s"), "A", "B", 15.0, 0.1),
        Lamp(PartRef("l"), "f", "g", 12.0, 21.0),
        Lamp(PartRef("m"), "A", "A", 12.0, 21.0),
    )
    solution = solve(Circuit(("A", "B", "f", "g"), parts))
    assert (solution.amps[PartRef("l")], solution.amps[PartRef("m")]) == (0.0, 0.0)
    assert (solution.volts["f"], solution.volts["g"]) == (0.0, 0.0)


def test_lamp_is_all_that_joins_two_islands() -> None:
    parts = (
        Source(PartRef("s"), "A", "B", 15.0, 0.1),
        Resistor(PartRef("r"), "f", "g", 1.0),
        FROG_LAMP,
        Resistor(PartRef("w"), "x", "f", 0.1),
    )
    solution = solve(Circuit(("A", "B", "x", "f", "g"), parts))
    assert solution.volts["g"] == pytest.approx(15.0, rel=1e-13)
    assert solution.amps[PartRef("lamp")] == pytest.approx(0.0, abs=1e-11)


def test_a_batch_settles_as_its_members_do() -> None:
    lamps = [Lamp(PartRef("one"), "a", "b", 12.0, 21.0), Lamp(PartRef("other"), "a", "b", 6.0, 3.0)]
    cold = np.array([1.0 / lamp.cold_ohms for lamp in lamps])
    rated = np.array([lamp.volts for lamp in lamps])
    answer = np.linalg.inv(np.diag(cold) + np.array([[3.0, -1.0], [-1.0, 2.0]]))
    open_volts = np.random.default_rng(3).uniform(-10.0, 10.0, (40, 2))
    together = settle(open_volts, answer, cold, rated)
    for k in range(40):
        assert settle(open_volts[k : k + 1], answer, cold, rated)[0] == pytest.approx(together[k], rel=1e-10, abs=1e-12)


@pytest.mark.parametrize("field", ["volts", "watts"])
@pytest.mark.parametrize("bad", [0.0, -12.0, math.nan, math.inf])
def test_lamps_that_cannot_be(field: str, bad: float) -> None:
    with pytest.raises(PartError, match=f"l: {field} must be more than 0"):
        Lamp(PartRef("l"), "a", "b", **{"volts": 12.0, "watts": 21.0} | {field: bad})

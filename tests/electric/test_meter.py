"""The meter: what it shows, and how it lies."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.electric.circuit import Circuit, CircuitError
from sim.electric.meter import BUZZER_OHMS, INNER_OHMS, LEAD_OHMS, OPEN_VOLTS, RANGE_OHMS, VOLTS_OHMS, Reading, read
from sim.electric.parts import Lamp, PartRef, Resistor, Source
from tests.electric.networks import decades, islands

OPEN = Reading(None, beeps=False)


def across(ohms: float) -> Reading:
    return read(Circuit(("a", "b"), (Resistor(PartRef("r"), "a", "b", ohms),)), "a", "b", "ohms")


def test_tip_to_tip() -> None:
    """trade.md C3: probe tip to tip, 0.1 to 0.5 ohm; and it beeps."""
    reading = read(Circuit(("a",), ()), "a", "a", "ohms")
    assert reading.beeps
    assert reading.value == pytest.approx(LEAD_OHMS, rel=1e-9)
    assert 0.1 <= LEAD_OHMS <= 0.5


@given(decades(1e-3, 9e6))
def test_reads_what_is_there_and_its_leads(ohms: float) -> None:
    reading = across(ohms)
    assert reading.value == pytest.approx(ohms + LEAD_OHMS, rel=1e-9)
    assert reading.beeps == (ohms + LEAD_OHMS < BUZZER_OHMS)


def test_open_is_no_reading() -> None:
    assert read(Circuit(("a", "b"), ()), "a", "b", "ohms") == OPEN
    assert across(math.inf) == OPEN
    assert across(RANGE_OHMS * 1.001) == OPEN
    assert across(RANGE_OHMS * 0.999) != OPEN


def test_buzzer() -> None:
    """practice.toml continuity.threshold_c: 40 ohm; 70 ohm of panel lamp do not beep, a cold carriage lamp does."""
    assert across(39.0).beeps
    assert not across(41.0).beeps


def test_what_it_drives() -> None:
    """practice.toml: at most 1.5 V open, and 0.1 to 1 mA on the lowest range."""
    assert OPEN_VOLTS <= 1.5
    assert 0.1e-3 <= OPEN_VOLTS / (INNER_OHMS + LEAD_OHMS) <= 1e-3


@given(islands(sources=1))
def test_either_way_round_is_the_same_with_the_supply_unplugged(circuit: Circuit) -> None:
    dead = Circuit(circuit.nodes, tuple(part for part in circuit.parts if isinstance(part, Resistor)))
    one, other = (read(dead, *ends, "ohms") for ends in (("0", "1"), ("1", "0")))
    assert one.beeps == other.beeps
    assert one.value == (None if other.value is None else pytest.approx(other.value, rel=1e-9))


def railway(supply: Source | None, *more: Resistor | Lamp) -> Circuit:
    """Two rails on a bus of 0.05 ohm wires, with or without the supply."""
    wires = (Resistor(PartRef("w1"), "bus.A", "left", 0.05), Resistor(PartRef("w2"), "bus.B", "right", 0.05))
    return Circuit(("bus.A", "bus.B", "left", "right", "frog"), (*wires, *more, *((supply,) if supply else ())))


DCC_ON = Source(PartRef("bus"), "bus.A", "bus.B", 15.0, 0.1)
DCC_OFF = Source(PartRef("bus"), "bus.A", "bus.B", 0.0, 0.1)
DC_ON = Source(PartRef("bus"), "bus.A", "bus.B", 12.0, 0.5)


def test_unplugged_the_rails_are_apart() -> None:
    assert read(railway(None), "left", "right", "ohms") == OPEN


@pytest.mark.parametrize("supply", [DCC_OFF, DCC_ON])
def test_a_supply_that_is_plugged_in_reads_as_a_short(supply: Source) -> None:
    """trade.md C6: booster still connected, near 0 to a few ohm. On or off: the meter averages what alternates."""
    reading = read(railway(supply), "left", "right", "ohms", alternating=[PartRef("bus")])
    assert reading.value == pytest.approx(0.05 + 0.1 + 0.05 + LEAD_OHMS, rel=1e-9)
    assert reading.beeps


def test_steady_supply_that_is_on_falsifies() -> None:
    """12 V against the meter's 1.5: past the range one way round, below zero the other; no one learns anything."""
    assert read(railway(DC_ON), "left", "right", "ohms") == OPEN
    assert read(railway(DC_ON), "right", "left", "ohms") == Reading(0.0, beeps=True)


@given(st.floats(-1.4, 1.4), decades(1.0, 1e4))
def test_a_little_foreign_voltage_shifts_the_reading(foreign: float, ohms: float) -> None:
    """The meter takes the volts at its terminals for its own doing: ohms = v / ((1.5 - v) / 1500)."""
    circuit = Circuit(("a", "b"), (Source(PartRef("s"), "a", "b", foreign, ohms),))
    v = (OPEN_VOLTS * (ohms + LEAD_OHMS) + foreign * INNER_OHMS) / (INNER_OHMS + ohms + LEAD_OHMS)
    shown = v / ((OPEN_VOLTS - v) / INNER_OHMS)
    assert read(circuit, "a", "b", "ohms").value == pytest.approx(max(0.0, shown), rel=1e-6, abs=1e-9)
    assert (shown > ohms + LEAD_OHMS) == (foreign > 0.0) or abs(foreign) < 1e-9


def test_lamp_is_read_cold() -> None:
    """The meter's milliampere does not warm it: a lamp that is 7 ohm at work reads under 1 (trade.md F)."""
    lamp = Lamp(PartRef("l"), "a", "b", 12.0, 21.0)
    value = read(Circuit(("a", "b"), (lamp,)), "a", "b", "ohms").value
    assert value == pytest.approx(lamp.cold_ohms + LEAD_OHMS, rel=1e-3)


def test_volts() -> None:
    load = Resistor(PartRef("load"), "left", "right", 5.4)
    assert read(railway(DC_ON, load), "left", "right", "volts").value == pytest.approx(12.0 * 5.4 / 6.0, rel=1e-6)
    assert read(railway(DC_ON, load), "right", "left", "volts").value == pytest.approx(-12.0 * 5.4 / 6.0, rel=1e-6)
    assert not read(railway(DC_ON, load), "left", "right", "volts").beeps
    assert read(railway(DC_ON), "left", "left", "volts").value == 0.0


def test_volts_of_what_alternates_have_no_sign() -> None:
    for ends in (("left", "right"), ("right", "left")):
        value = read(railway(DCC_ON), *ends, "volts", alternating=[PartRef("bus")]).value
        assert value == pytest.approx(15.0, rel=1e-6)
    off = read(railway(DCC_OFF), "left", "right", "volts", alternating=[PartRef("bus")])
    assert off.value == pytest.approx(0.0, abs=1e-9)


def test_volts_steady_and_alternating_together() -> None:
    """Root mean square: 3 V steady under 15 V that alternates."""
    parts = (DCC_ON, Source(PartRef("dc"), "x", "bus.B", 3.0, 0.5))
    circuit = Circuit(("bus.A", "bus.B", "x"), parts)
    value = read(circuit, "bus.A", "x", "volts", alternating=[PartRef("bus")]).value
    assert value == pytest.approx(math.sqrt((12.0**2 + 18.0**2) / 2), rel=1e-6)


def test_gap_in_phase_and_crossed() -> None:
    """trade.md C4: across a gap 0 V in phase, full track volts where a feeder is crossed."""
    in_phase = railway(DCC_ON, Resistor(PartRef("feeder"), "bus.A", "frog", 0.02))
    crossed = railway(DCC_ON, Resistor(PartRef("feeder"), "bus.B", "frog", 0.02))
    assert read(in_phase, "left", "frog", "volts", alternating=[PartRef("bus")]).value == pytest.approx(0.0, abs=1e-6)
    assert read(crossed, "left", "frog", "volts", alternating=[PartRef("bus")]).value == pytest.approx(15.0, rel=1e-6)


def test_volts_on_what_floats() -> None:
    """Nothing drives a current through the meter: it shows nothing. Through a leak, the meter's own load shows."""
    assert read(railway(DC_ON), "frog", "right", "volts").value == pytest.approx(0.0, abs=1e-9)
    leak = railway(DC_ON, Resistor(PartRef("damp"), "left", "frog", 1e6))
    expected = 12.0 * VOLTS_OHMS / (VOLTS_OHMS + LEAD_OHMS + 1e6 + 0.6)
    assert read(leak, "frog", "right", "volts").value == pytest.approx(expected, rel=1e-9)


def test_what_is_read_is_left_as_it_was() -> None:
    circuit = railway(DC_ON)
    before = circuit.parts
    read(circuit, "left", "right", "ohms")
    assert circuit.parts is before


def test_probe_on_nothing() -> None:
    with pytest.raises(CircuitError, match="no node 'nowhere'"):
        read(railway(DC_ON), "nowhere", "left", "ohms")

"""The meter by itself, on circuits that are known: its buzzer, its leads, and what it is within, found from outside."""

from __future__ import annotations

from collections.abc import Iterator

from sim.electric.circuit import Circuit
from sim.electric.meter import Reading, read
from sim.electric.parts import PartRef, Resistor, Source
from tests.reference.check import Check
from tests.reference.measuring import bisected
from tests.reference.published import entry

__all__ = ["meter_limits"]

NONE = 1e-9  # ohm of a supply that has next to none


def _over(ohms: float) -> Reading:
    return read(Circuit(("a", "b"), (Resistor(PartRef("r"), "a", "b", ohms),)), "a", "b", "ohms")


def _against(volts: float, ohms: float = NONE) -> Reading:
    """A supply of so many volts behind so many ohms, set against the meter's own on its ohms range."""
    return read(Circuit(("a", "b"), (Source(PartRef("s"), "a", "b", volts, ohms),)), "a", "b", "ohms")


def _buzzes_up_to() -> float:
    return bisected(lambda ohms: _over(ohms).beeps, 1000.0, 0.001)


def _leads() -> float:
    """Tip to tip."""
    return _over(NONE).value or 0.0


def _open_volts() -> float:
    """The volts against it from which the meter shows nothing: its own, but for a millivolt at the range's top."""
    return bisected(lambda volts: _against(volts).value is None, 0.0, 10.0)


def _test_milliamps() -> float:
    """Into a short, from what a tenth of a volt against it adds to a reading of 100 ohm.

    With E volts behind r ohms within it shows E/I - r, and I falls as the volts against it rise.
    """
    own, volts = _open_volts(), 0.1
    known = _against(0.0, 100.0).value or 0.0
    shown = _against(volts, 100.0).value or 0.0
    within = (shown - known) * (own - volts) / volts - known
    return own / (within + _leads()) * 1000.0


def _input_megohms() -> float:
    """From how much of 10 V is left behind ten megohm."""
    behind = 10e6
    circuit = Circuit(("a", "b"), (Source(PartRef("s"), "a", "b", 10.0, behind),))
    left = read(circuit, "a", "b", "volts").value or 0.0
    return behind * left / (10.0 - left) / 1e6


OTHER = "testers differ: ours has the threshold of the third of these documents, less its own leads"


def meter_limits() -> Iterator[Check]:
    """What manuals and common practice give of a hand-held meter."""
    for which, differs in (("a", OTHER), ("b", OTHER), ("c", "")):
        yield entry(f"practice.continuity.threshold_{which}").check(
            _buzzes_up_to, field="max", name=f"continuity.threshold_{which}: the buzzer sounds up to",
            within=0.21, because="leads of 0.1 to 0.2 ohm are in the reading", differs=differs,
        )  # fmt: skip
    usual = entry("practice.continuity.typical_range")
    yield usual.check(_buzzes_up_to, field="min", sense="at least")
    yield usual.check(_buzzes_up_to, field="max", sense="at most")
    leads = entry("practice.meter.lead_resistance")
    yield leads.check(_leads, field="min", sense="at least", name="meter.lead_resistance min, tip to tip")
    yield leads.check(
        _leads, field="max", sense="at most", name="meter.lead_resistance max, tip to tip",
        within=1e-6, because="what the meter's own 1,500 ohm loses by rounding",
    )  # fmt: skip
    yield entry("practice.meter.open_circuit_voltage").check(
        _open_volts, field="max", sense="at most", name="meter.open_circuit_voltage, by a supply set against it"
    )
    amps = entry("practice.continuity.hand_held_current")
    yield amps.check(_test_milliamps, field="min", sense="at least", name="continuity.hand_held_current min, shorted")
    yield amps.check(_test_milliamps, field="max", sense="at most", name="continuity.hand_held_current max, shorted")
    yield entry("practice.meter.input_impedance").check(
        _input_megohms, name="meter.input_impedance, from what it leaves of 10 V behind 10 Mohm",
        within=1e-5, because="its leads and rounding",
    )  # fmt: skip

"""A hand-held meter: what it shows across two points of a circuit.

Ohms: the meter drives a little current and reads its own terminals. It cannot tell what else drives them; so it is
honest only with the supply unplugged, and lies as real meters do:

* the leads, and every way round, are in the reading;
* a supply switched off but plugged in reads as its own small resistance;
* a supply that alternates (DCC) and is on shows what it shows when off: the meter averages, and an alternation averages
  to nothing;
* a steady supply (DC) that is on shifts the reading: too much where it opposes the meter, past the range when it
  reaches the meter's own open volts, then no reading; too little where it helps, and 0 with the buzzer sounding once
  the terminals are below zero.

Volts: read across 10 megohm, red against black. With a supply that alternates: the root mean square over both its
polarities.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal

from sim.electric.circuit import Circuit
from sim.electric.parts import PartRef, Resistor, Source
from sim.electric.solve import solve

__all__ = ["BUZZER_OHMS", "INNER_OHMS", "LEAD_OHMS", "OPEN_VOLTS", "RANGE_OHMS", "VOLTS_OHMS", "Reading", "read"]

OPEN_VOLTS = 1.5  # practice.toml meter.open_circuit_voltage: at most 1.5 V
INNER_OHMS = 1500.0  # so that a short takes 1 mA: practice.toml continuity.hand_held_current, 0.1 to 1 mA
LEAD_OHMS = 0.2  # both leads together; practice.toml meter.lead_resistance, 0.1 to 0.2 ohm
BUZZER_OHMS = 40.0  # practice.toml continuity.threshold_c
RANGE_OHMS = 10e6  # top of the ohms range: our choice
VOLTS_OHMS = 10e6  # practice.toml meter.input_impedance

METER = PartRef("meter")


@dataclass(frozen=True)
class Reading:
    """What the meter shows, ohms or volts; None: past the top of the ohms range. `beeps`: the buzzer (ohms only)."""

    value: float | None
    beeps: bool


def read(
    circuit: Circuit, red: str, black: str, dial: Literal["ohms", "volts"], *, alternating: Collection[PartRef] = ()
) -> Reading:
    """Read between the nodes `red` and `black`. `alternating`: refs of the sources whose polarity alternates (DCC)."""
    swing = [circuit]
    if any(isinstance(part, Source) and part.ref in alternating and part.volts for part in circuit.parts):
        swing.append(_turned(circuit, alternating))
    if dial == "volts":
        seen = [_volts(each, red, black) for each in swing]
        return Reading(seen[0] if len(seen) == 1 else math.hypot(*seen) / math.sqrt(len(seen)), beeps=False)
    amps = sum(_test_amps(each, red, black) for each in swing) / len(swing)
    volts = OPEN_VOLTS - amps * INNER_OHMS  # at the meter's terminals
    if amps <= OPEN_VOLTS / (INNER_OHMS + RANGE_OHMS):
        return Reading(None, beeps=False)
    ohms = max(0.0, volts / amps)
    return Reading(ohms, beeps=ohms < BUZZER_OHMS)


def _test_amps(circuit: Circuit, red: str, black: str) -> float:
    """Current out of the meter's red lead on its ohms range, A."""
    if red == black:
        return OPEN_VOLTS / (INNER_OHMS + LEAD_OHMS)
    cell = Source(METER, red, black, OPEN_VOLTS, INNER_OHMS + LEAD_OHMS)
    return solve(replace(circuit, parts=(*circuit.parts, cell))).amps[METER]


def _volts(circuit: Circuit, red: str, black: str) -> float:
    """Volts across the meter on its volts range."""
    if red == black:
        return 0.0
    load = Resistor(METER, red, black, VOLTS_OHMS + LEAD_OHMS)
    volts = solve(replace(circuit, parts=(*circuit.parts, load))).volts
    return (volts[red] - volts[black]) * VOLTS_OHMS / (VOLTS_OHMS + LEAD_OHMS)


def _turned(circuit: Circuit, alternating: Collection[PartRef]) -> Circuit:
    """The circuit with the sources named in `alternating` at their other polarity."""
    return replace(
        circuit,
        parts=tuple(
            replace(part, volts=-part.volts) if isinstance(part, Source) and part.ref in alternating else part
            for part in circuit.parts
        ),
    )

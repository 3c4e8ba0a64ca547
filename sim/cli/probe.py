"""``frogbench probe``: what the meter would read between two terminals, with everything as filed."""

from __future__ import annotations

import math
from typing import Literal

from sim.bench.terminals import terminals
from sim.cli.benches import open_bench, unknown
from sim.cli.output import CallRefused, print_errors, print_json, print_line
from sim.cli.status import FINE
from sim.cli.wordset import words_of_bench
from sim.electric.meter import Reading
from sim.wiring.probe import probe as read_between
from sim.words import verbatim

__all__ = ["probe"]

Dial = Literal["ohms", "volts"]

_FIGURES = 3
"""Significant figures of a reading: as many as a hand-held meter is good for."""
_LEAST = 1e-6
"""Ohms or volts below which a reading is nothing."""
_UNITS = {"ohms": "ohm", "volts": "V"}


def _shown(value: float | None) -> float | None:
    """A reading as it is printed; None for one off the scale."""
    if value is None:
        return None
    if abs(value) < _LEAST:
        return 0.0
    return round(value, _FIGURES - 1 - math.floor(math.log10(abs(value))))


def _said(red: str, black: str, dial: Dial, reading: Reading) -> str:
    value = _shown(reading.value)
    ends = f"{verbatim(red)} to {verbatim(black)}"
    if value is None:
        return f"{ends}: open"
    return f"{ends}: {value:,.10g} {_UNITS[dial]}{', the buzzer beeps' if reading.beeps else ''}"


def probe(file: str, red: str, black: str, *, dial: Dial, as_json: bool, asked: str | None = None) -> int:
    """Tell what the meter reads, and on standard error where a supply that is plugged in spoils the ohms.

    asked: the name of the set of words, None for the player's own.

    Raises CallRefused where the file is wrong, or a terminal is not on the bench.
    """
    bench = open_bench(file)
    known = terminals(bench)
    strange = [name for name in dict.fromkeys((red, black)) if name not in known]
    if strange:
        raise CallRefused(*(f"{file}: {unknown(name, 'a terminal of this bench', known)}" for name in strange))
    reading = read_between(bench, red, black, dial)
    plugged = any(supply.plugged for supply in bench.supplies)
    words = words_of_bench(asked, file, bench)
    if plugged and dial == "ohms":
        caution = words.of("the supply is plugged in and joins the two sides, so that ohms mean little")
        print_errors([f"{file}: {caution}"])
    if as_json:
        document = {"bench": 1, "ends": [red, black], "mode": dial, "reading": _shown(reading.value)}
        print_json({**document, "beeps": reading.beeps, "plugged": plugged})
    else:
        print_line(words.of(_said(red, black, dial, reading)))
    return FINE

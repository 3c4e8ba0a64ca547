"""Nickel-silver rail: its resistance by code, its height in thousandths of an inch."""

from __future__ import annotations

import re

__all__ = ["CODE_100_OHMS_PER_METRE", "code", "ohms", "ohms_per_metre"]

CODE_100_OHMS_PER_METRE = 0.0571
"""Measured, four-terminal, 1.45 milliohm per inch; wire.toml rail.nickel_silver_code_100."""


def code(rail: str) -> float:
    """The number of a rail such as "code 83".

    >>> code("code 83")
    83.0
    """
    found = re.fullmatch(r"code (\d+(\.\d+)?)", rail, re.ASCII)
    if found is None or not float(found[1]):
        raise ValueError(f"rail must be 'code' and a number, not {rail!r}")
    return float(found[1])


def ohms_per_metre(rail: str) -> float:
    """Resistance of one rail, ohm per metre.

    Rails of all codes are taken as alike in shape, so that the section goes with the square of the height. Measured
    code 83 against code 100 (wire.toml rail.nickel_silver_code_83_60hz, code_100_60hz) agrees within 3 %; code 70 there
    is a third higher.
    """
    return CODE_100_OHMS_PER_METRE * (100.0 / code(rail)) ** 2


def ohms(rail: str, mm: float) -> float:
    """Resistance of one rail `mm` millimetres long."""
    return ohms_per_metre(rail) * mm / 1000.0

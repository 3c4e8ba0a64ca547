"""Wire, rail and the table of conditions; published tables are in tests/reference/test_wire.py."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from sim.electric import conditions, rail, wire


def test_length() -> None:
    assert wire.ohms(0.5, 0.3) == pytest.approx(0.3 * wire.ohms_per_metre(0.5))
    assert wire.ohms_per_metre(0.5) == pytest.approx(2 * wire.ohms_per_metre(1.0))
    assert pytest.approx(3.0) == wire.AMPS_PER_MM2 * 0.5  # the model: 3 A per 0.5 mm2


def test_rail_that_is_lower_has_more_ohms() -> None:
    codes = ["code 148", "code 125", "code 100", "code 83", "code 70", "code 55", "code 40"]
    ohms = [rail.ohms_per_metre(code) for code in codes]
    assert ohms == sorted(ohms)
    assert rail.ohms("code 83", 300.0) == pytest.approx(0.3 * rail.ohms_per_metre("code 83"))


@pytest.mark.parametrize("name", ["83", "code", "code x", "Code 83", "code 0", "code -83", "code nan", "code inf", ""])
def test_rail_that_is_none(name: str) -> None:
    with pytest.raises(ValueError, match="rail must be 'code' and a number"):
        rail.code(name)


# trade.md E3: contact new 0.02 to 0.05, worn 0.1 to 1, oxidised 5 to 100; joiner good 0.002 to 0.02, bad from 0.2;
# wheel 0.1 to 1.
RANGES = [
    (conditions.CONTACT_OHMS["good"], 0.02, 0.05),
    (conditions.CONTACT_OHMS["worn"], 0.1, 1.0),
    (conditions.CONTACT_OHMS["oxidised"], 5.0, 100.0),
    (conditions.JOINT_OHMS["metal"], 0.002, 0.02),
    (conditions.JOINT_OHMS["bad"], 0.2, math.inf),
    (conditions.WHEEL_OHMS, 0.1, 1.0),
    (conditions.UNIT_OHMS, 0.02, 0.05),
]


@pytest.mark.parametrize(("ohms", "least", "most"), RANGES)
def test_condition_lies_in_the_range_of_the_trade(ohms: float, least: float, most: float) -> None:
    assert least <= ohms <= most


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (conditions.CONTACT_OHMS, ["good", "worn", "oxidised", "open"]),
        (conditions.BLADE_OHMS, ["good", "worn", "oxidised", "open"]),
        (conditions.JOINT_OHMS, ["metal", "bad", "insulated"]),
        (conditions.BOND_OHMS, ["made", "open"]),
        (conditions.GAP_OHMS, ["closed", "leaking", "cut"]),
    ],
)
def test_worse_has_more_ohms_and_the_worst_is_open(table: Mapping[str, float], words: list[str]) -> None:
    assert set(table) == set(words)
    assert [table[word] for word in words] == sorted(table.values())
    assert table[words[-1]] == math.inf
    assert table[words[0]] > 0.0

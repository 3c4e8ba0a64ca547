"""Wire, rail and the table of conditions, against published tables."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from sim.bench.model import awg_mm2
from sim.electric import conditions, rail, wire
from tests.electric.networks import entries, golden

TABLES = golden("wire_tables.toml")
GAUGES = {int(name.removeprefix("awg_")): rows for name, rows in TABLES["awg_table"].items()}


def diameter_mm(awg: int) -> float:
    return math.sqrt(awg_mm2(awg) * 4 / math.pi)


def test_gauges_that_define_the_series() -> None:
    """ASTM B258: No. 36 is 0.005 in, No. 0000 (-3) 0.46 in."""
    inch = 25.4
    assert diameter_mm(36) == pytest.approx(TABLES["awg"]["no_36"]["value"] * inch, rel=1e-12)
    assert diameter_mm(-3) == pytest.approx(TABLES["awg"]["no_0000"]["value"] * inch, rel=1e-12)
    ratio = diameter_mm(20) / diameter_mm(21)
    assert ratio == pytest.approx(TABLES["awg"]["ratio"]["value"], abs=5e-8)


def test_there_are_gauges() -> None:
    assert set(GAUGES) == set(range(12, 31))


@pytest.mark.parametrize("awg", GAUGES)
def test_gauge(awg: int) -> None:
    rows = GAUGES[awg]
    last_digit = 0.0001 * 25.4  # the table's diameters were first rounded to 0.0001 in, No. 22 the wrong way
    assert diameter_mm(awg) == pytest.approx(rows["diameter"]["value"], abs=last_digit)
    per_metre = wire.ohms_per_metre(awg_mm2(awg))
    # The two tables differ by 0.5 % between themselves (AWG 18), and give three figures.
    assert per_metre == pytest.approx(rows["ohm_per_km"]["value"] / 1000, rel=6e-3)
    assert per_metre == pytest.approx(rows["ohm_per_m_second"]["value"], rel=6e-3)
    assert per_metre * 304.8 == pytest.approx(rows["ohm_per_1000ft"]["value"], rel=6e-3)


@pytest.mark.parametrize("name", TABLES["iec_60228"])
def test_metric_wire_is_within_its_standard(name: str) -> None:
    """IEC 60228 gives the most that a conductor of a nominal size may have. Pure copper of just that size is up to 8 %
    under that for solid wire, and up to 17 % for flexible."""
    mm2 = float(name.removeprefix("mm2_").replace("_", "."))
    limits = [entry["max"] / 1000 for _, entry in entries(TABLES["iec_60228"][name])]
    assert len(limits) == 4
    assert all(0.83 * limit < wire.ohms_per_metre(mm2) < limit for limit in limits)
    assert wire.ohms_per_metre(mm2) > 0.92 * min(limits)


def test_length() -> None:
    assert wire.ohms(0.5, 0.3) == pytest.approx(0.3 * wire.ohms_per_metre(0.5))
    assert wire.ohms_per_metre(0.5) == pytest.approx(2 * wire.ohms_per_metre(1.0))
    assert pytest.approx(3.0) == wire.AMPS_PER_MM2 * 0.5  # the model: 3 A per 0.5 mm2


def test_rail_measured() -> None:
    """Code 100 direct; the others against code 100 of the same set of measurements, where code 83 is its 1.42 fold."""
    rows = TABLES["rail"]
    code_100 = rows["nickel_silver_code_100"]["value"] / 25.4  # milliohm per inch -> ohm per metre
    assert rail.ohms_per_metre("code 100") == pytest.approx(code_100, rel=1e-3)
    ratio = rows["nickel_silver_code_83_60hz"]["value"] / rows["nickel_silver_code_100_60hz"]["value"]
    assert rail.ohms_per_metre("code 83") / rail.ohms_per_metre("code 100") == pytest.approx(ratio, rel=0.03)


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
    (conditions.RELAY_OHMS, 0.02, 0.05),
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

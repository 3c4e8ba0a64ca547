"""The words for scales, wheels and rails; what is measured of them is checked in tests/reference/test_wheels.py."""

from __future__ import annotations

import pytest

from sim.bench.model import WheelSize
from sim.bench.vocabulary import RAILS, WHEELS
from sim.bench.vocabulary import SCALES as SCALE_WORDS
from sim.track.rails import INCH_MM, RAIL_SECTIONS, rail_section
from sim.track.standards import SCALES, scale_named
from sim.track.wheels import RP25_INCHES, play_mm, standard_wheel, wheel
from tests.reference.published import sheet

SHEETS = sheet("track_wheel")


def test_every_word_of_a_bench_file_has_its_figures() -> None:
    assert set(SCALES) == set(SCALE_WORDS)
    assert set(RAIL_SECTIONS) == set(RAILS)
    assert set(RP25_INCHES) == set(WHEELS)


@pytest.mark.parametrize("name", ["HO", "S", "O", "N"])
def test_the_wheel_is_the_narrowest_row_not_under_the_least_width(name: str) -> None:
    floor = SHEETS["nmra_s4_2"][name]["wheel_width"]["min"]
    rows = [row for key, row in SHEETS["nmra_rp25"].items() if key.startswith("code_")]
    narrowest = min(
        (row for row in rows if row["wheel_width"]["value"] >= floor), key=lambda row: row["wheel_width"]["value"]
    )
    own = standard_wheel(SCALES[name])
    assert own.width_mm == pytest.approx(narrowest["wheel_width"]["value"] * INCH_MM)
    assert own.flange_mm == pytest.approx(narrowest["flange_width"]["value"] * INCH_MM)


@pytest.mark.parametrize("name", RAILS)
def test_rail_rows_are_those_of_the_sheet(name: str) -> None:
    row = SHEETS["nmra_rp15_1"][name.replace(" ", "_")]
    section = rail_section(name)
    assert section.base_mm == pytest.approx(row["base_width"]["value"] * INCH_MM)
    # A code is the height in thousandths of an inch.
    assert section.height_mm == pytest.approx(int(name.split()[1]) / 1000 * INCH_MM)
    assert section.height_mm == pytest.approx(row["height"]["value"] * INCH_MM)


@pytest.mark.parametrize("name", SCALES)
def test_a_wheelset_pressed_aside_has_its_flange_at_the_gauge_line(name: str) -> None:
    scale = SCALES[name]
    own = standard_wheel(scale)
    play = play_mm(scale.gauge_mm, own)
    assert play > 0
    assert own.back_to_back_mm / 2 + own.flange_mm + play == pytest.approx(scale.gauge_mm / 2)


def test_a_wheelset_too_wide_for_the_gauge_has_no_play() -> None:
    assert play_mm(16.5, wheel(WheelSize(15.6, 0.6, 2.8, 5.0), SCALES["HO"])) == 0.0


def test_a_row_takes_its_radius_and_distance_from_the_scale_and_sizes_take_nothing() -> None:
    by_row = wheel("RP-25 code 88", SCALES["S"])
    assert (by_row.back_to_back_mm, by_row.radius_mm) == (SCALES["S"].back_to_back_mm, SCALES["S"].wheel_radius_mm)
    own = wheel(WheelSize(14.5, 0.7, 2.4, 6.1), SCALES["S"])
    assert (own.back_to_back_mm, own.flange_mm, own.width_mm, own.radius_mm) == (14.5, 0.7, 2.4, 6.1)


def test_unknown_names_are_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="code 83"):
        rail_section("code 84")
    with pytest.raises(ValueError, match="HO"):
        scale_named("H0")
    with pytest.raises(ValueError, match="RP-25 code 110"):
        wheel("RP-25 code 111", SCALES["HO"])

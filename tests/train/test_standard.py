"""The standard vehicles: sizes against the trade's ranges, and what each of the four is for."""

from __future__ import annotations

import pytest

from sim.bench.model import Vehicle
from sim.bench.vocabulary import SCALES, STANDARD_VEHICLES
from sim.track.standards import SCALES as ROWS
from sim.track.wheels import standard_wheel, wheel
from sim.train.standard import RATIOS, standard_set

# Trade.md E5, common practice: four-wheel wheelbase, bogie wheelbase, bogie centres, six-wheel wheelbase; mm
RANGES = {
    "N": ((14, 18), (17, 17), (60, 75), (22, 30)),
    "HO": ((25, 34), (32, 32), (105, 140), (42, 55)),
    "O": ((55, 70), (58, 58), (210, 260), (85, 110)),
}


def by_name(scale: str) -> dict[str, Vehicle]:
    return {vehicle.name: vehicle for vehicle in standard_set(scale)}


@pytest.mark.parametrize("scale", SCALES)
def test_every_scale_has_the_four_in_order(scale: str) -> None:
    assert tuple(vehicle.name for vehicle in standard_set(scale)) == STANDARD_VEHICLES
    assert {vehicle.scale for vehicle in standard_set(scale)} == {scale}


@pytest.mark.parametrize("scale", RANGES)
def test_sizes_lie_in_the_trades_ranges(scale: str) -> None:
    four, bogie, centres, six = RANGES[scale]
    vehicles = by_name(scale)
    shunter = vehicles["four-wheel shunter"].axles_mm
    assert four[0] <= shunter[-1] <= four[1]
    first, second, third, last = vehicles["bogie diesel"].axles_mm
    assert bogie[0] <= second - first <= bogie[1]
    assert last - third == pytest.approx(second - first)
    assert centres[0] <= third - first <= centres[1]
    engine = vehicles["tender engine"].axles_mm
    assert six[0] <= engine[2] <= six[1]


def test_the_ho_shunter_is_shorter_than_a_no_6_frog() -> None:
    # trade.md E5: dead length of a No. 6 frog in HO is 30 mm by the rule of thumb; wheelbase by the bench-file contract
    assert by_name("HO")["four-wheel shunter"].axles_mm == (0.0, 26.0)
    assert by_name("HO")["four-wheel shunter"].axles_mm[-1] < 30.0


@pytest.mark.parametrize("scale", SCALES)
def test_pick_ups(scale: str) -> None:
    vehicles = by_name(scale)
    for name in ("four-wheel shunter", "bogie diesel"):
        every = tuple(range(1, len(vehicles[name].axles_mm) + 1))
        assert vehicles[name].pickup_left == vehicles[name].pickup_right == every
    engine = vehicles["tender engine"]
    assert set(engine.pickup_right).isdisjoint(engine.pickup_left)
    assert sorted((*engine.pickup_right, *engine.pickup_left)) == list(range(1, len(engine.axles_mm) + 1))
    gaps = [b - a for a, b in zip(engine.axles_mm, engine.axles_mm[1:], strict=False)]
    assert max(range(len(gaps)), key=gaps.__getitem__) + 1 == max(engine.pickup_right)
    wagon = vehicles["metal-wheel wagon"]
    assert (wagon.pickup_left, wagon.pickup_right, wagon.draws_amps) == ((), (), 0.0)


@pytest.mark.parametrize("scale", SCALES)
def test_their_wheels_are_those_the_track_is_made_for(scale: str) -> None:
    for vehicle in standard_set(scale):
        found = wheel(vehicle.wheel, ROWS[scale])
        want = standard_wheel(ROWS[scale])
        assert (found.width_mm, found.flange_mm, found.back_to_back_mm) == pytest.approx(
            (want.width_mm, want.flange_mm, want.back_to_back_mm)
        )


def test_sizes_of_s_are_those_of_ho_by_the_scales_ratio() -> None:
    ratio = RATIOS["HO"] / RATIOS["S"]
    for small, large in zip(standard_set("HO"), standard_set("S"), strict=True):
        assert large.axles_mm == pytest.approx([ratio * axle for axle in small.axles_mm], abs=0.15)


def test_volts_from_which_an_engine_works_go_by_the_supply() -> None:
    # digital: near 7 V, trade.md E1; DC: below half of the 12 V of full throttle
    assert by_name("HO")["bogie diesel"].works_from_volts == 7.0
    direct = {vehicle.name: vehicle for vehicle in standard_set("HO", "dc")}
    assert 0 < direct["bogie diesel"].works_from_volts < 6.0
    assert direct["metal-wheel wagon"] == by_name("HO")["metal-wheel wagon"]

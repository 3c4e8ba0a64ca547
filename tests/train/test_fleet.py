"""Which vehicles a bench has, which are and how a train's axles stand."""

from __future__ import annotations

import dataclasses
import math

import pytest

from sim.bench.model import Bench, Supply, Train, Vehicle
from sim.bench.vocabulary import STANDARD_VEHICLES
from sim.train import fleet
from sim.train.fleet import (
    VehicleUnknown,
    axle_places,
    known_names,
    meter_ohms,
    overhang,
    supply_kind,
    train_vehicles,
    vehicle,
)  # fmt: skip
from sim.train.standard import standard_set

TANK = Vehicle(
    name="six-coupled tank", scale="HO", axles_mm=(0.0, 22.0, 45.0), wheel="RP-25 code 110", pickup_left=(1, 2, 3),
    pickup_right=(1, 2, 3), draws_amps=0.25, works_from_volts=7.0, grams=220.0,
)  # fmt: skip
SMALL = dataclasses.replace(TANK, name="small tank", scale="N", wheel="RP-25 code 72")
DCC = Supply(id="bus", kind="dcc")
DC = Supply(id="bus", kind="dc")


def test_a_bench_finds_its_own_and_the_standard_ones() -> None:
    what = Bench(supplies=(DCC,), vehicles=(TANK,))
    assert vehicle(what, "six-coupled tank", "HO") is TANK
    assert vehicle(what, "bogie diesel", "O") == standard_set("O")[1]
    assert known_names(what) == (*STANDARD_VEHICLES, "six-coupled tank")


def test_its_own_goes_before_a_standard_one_of_that_name() -> None:
    own = dataclasses.replace(TANK, name="bogie diesel")
    assert vehicle(Bench(supplies=(DCC,), vehicles=(own,)), "bogie diesel", "HO") is own
    assert vehicle(Bench(supplies=(DCC,), vehicles=(own,)), "bogie diesel", "N") == standard_set("N")[1]


def test_an_unknown_name_is_told_with_the_nearest() -> None:
    with pytest.raises(VehicleUnknown, match="did you mean 'tender engine'"):
        vehicle(Bench(), "tender engin", "HO")
    with pytest.raises(VehicleUnknown, match="six-coupled tank"):
        vehicle(Bench(vehicles=(TANK,)), "six-coupled tank", "N")


@pytest.mark.parametrize(("supplies", "kind"), [((DCC,), "dcc"), ((DC,), "dc"), ((DC, DCC), "dc"), ((), "dcc")])
def test_the_first_supply_says_which_kind(supplies: tuple[Supply, ...], kind: str) -> None:
    assert supply_kind(Bench(supplies=supplies)) == kind


def test_tested_are_the_standard_set_and_whatever_is_named_each_once() -> None:
    train = Train(id="t", vehicles=("six-coupled tank", "bogie diesel", "six-coupled tank"), end="T1.toe", mm=0.0)
    what = Bench(supplies=(DCC,), vehicles=(TANK, SMALL), trains=(train,))
    assert [v.name for v in fleet.tested(what, "HO")] == [*STANDARD_VEHICLES, "six-coupled tank"]
    assert [v.name for v in fleet.tested(what, "N")] == [*STANDARD_VEHICLES, "small tank"]


def test_a_test_table_names_them_all() -> None:
    what = Bench(supplies=(DCC,), vehicles=(TANK,), test=("metal-wheel wagon", "six-coupled tank"))
    assert [v.name for v in fleet.tested(what, "HO")] == ["metal-wheel wagon", "six-coupled tank"]
    assert fleet.tested(Bench(test=()), "HO") == ()


def test_axles_of_a_train_keep_their_vehicles_wheelbases_and_do_not_overlap() -> None:
    what = Bench(supplies=(DCC,))
    train = Train(id="t", vehicles=("bogie diesel", "metal-wheel wagon", "four-wheel shunter"), end="T1.toe", mm=0.0)
    vehicles = train_vehicles(what, train, "HO")
    places = axle_places(vehicles)
    assert places[0] == vehicles[0].axles_mm
    for axles, each in zip(places, vehicles, strict=True):
        assert [axle - axles[0] for axle in axles] == pytest.approx(each.axles_mm)
    for k in range(2):
        gap = places[k + 1][0] - places[k][-1]
        assert gap > overhang(vehicles[k]) + overhang(vehicles[k + 1])


def test_what_a_meter_sees_of_a_vehicle() -> None:
    shunter, _, _, wagon = standard_set("HO")
    # trade.md C6: tens to a few hundred ohm at a DC motor; a decoder's beep does not last; a wagon is nothing
    assert 20.0 <= meter_ohms(shunter, "dc") <= 300.0
    assert 10e3 < meter_ohms(shunter, "dcc") < math.inf
    assert meter_ohms(wagon, "dc") == meter_ohms(wagon, "dcc") == math.inf

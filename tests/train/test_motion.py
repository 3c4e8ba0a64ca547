"""How a train moves: against closed forms, and for the things that are seen at the layout."""

from __future__ import annotations

import dataclasses
import hashlib
import math
import subprocess
import sys
from pathlib import Path

import pytest

from sim.bench.model import Vehicle
from sim.train.fleet import axle_places, overhang
from sim.train.motion import TrainMotion
from sim.train.motor import motor_of
from sim.train.standard import SupplyKind, standard_set

SHUNTER, DIESEL, _, WAGON = standard_set("HO")


def run(
    motion: TrainMotion, seconds: float, volts: float, throttle: float = 1.0, direction: int = 1, **stops: float
) -> None:
    count = len(motion.vehicles)
    for _ in range(round(seconds / 0.01)):
        motion.step(10, [volts] * count, throttle=throttle, direction=direction, **stops)


@pytest.mark.parametrize(("throttle", "least", "most"), [(1.0, 150.0, 250.0), (0.1, 5.0, 25.0), (0.05, 1.0, 15.0)])
def test_speeds_of_the_ho_shunter(throttle: float, least: float, most: float) -> None:
    # crawl 5-15 mm/s, trade.md E5; full speed about 200 mm/s, common practice
    motion = TrainMotion([SHUNTER], "dcc")
    run(motion, 3.0, 15.0, throttle)
    assert least < motion.speed_mm_s < most


def test_it_coasts_millimetres_to_centimetres_when_the_power_goes() -> None:
    ways = []
    for throttle in (0.1, 0.5, 1.0):
        motion = TrainMotion([SHUNTER], "dcc")
        run(motion, 3.0, 15.0, throttle)
        start = motion.places_mm[0]
        run(motion, 2.0, 0.0, throttle)
        assert motion.speed_mm_s == 0.0
        ways.append(motion.places_mm[0] - start)
    crawl, half, full = ways
    assert crawl < 0.5 < 2 < half < 10 < full < 60


def test_energy_of_a_train_counts_its_couplings() -> None:
    motion = TrainMotion([SHUNTER, WAGON, WAGON], "dcc")
    run(motion, 1.5, 15.0)
    energy = motion.energy
    kept = energy.winding + energy.friction + energy.kinetic + energy.couplings
    # couplings damp, so a little of what was supplied is in neither: never more than came in
    assert kept <= energy.supplied
    assert kept == pytest.approx(energy.supplied, rel=1e-3)


@pytest.mark.parametrize("direction", [1, -1])
def test_a_buffer_stop_stops(direction: int) -> None:
    motion = TrainMotion([SHUNTER, WAGON], "dcc")
    rear = axle_places([SHUNTER, WAGON])[1][-1]
    for _ in range(400):
        last = -motion.places_mm[1] + WAGON.axles_mm[-1]
        motion.step(
            10,
            [15.0, 0.0],
            throttle=1.0,
            direction=direction,
            ahead_mm=200.0 - motion.places_mm[0],
            behind_mm=rear + 200.0 - last,
        )
    assert motion.speed_mm_s == pytest.approx(0.0, abs=0.5)
    if direction > 0:
        assert motion.places_mm[0] == pytest.approx(200.0 - overhang(SHUNTER), abs=0.1)
    else:
        assert motion.places_mm[1] - WAGON.axles_mm[-1] == pytest.approx(-rear - 200.0 + overhang(WAGON), abs=0.1)


def test_a_train_set_down_against_a_stop_stays_there() -> None:
    motion = TrainMotion([SHUNTER], "dcc")
    run(motion, 1.0, 0.0, 0.0, ahead_mm=5.0, behind_mm=1000.0)
    assert motion.places_mm[0] == pytest.approx(0.0, abs=1e-6)


def test_least_working_voltage() -> None:
    motion = TrainMotion([SHUNTER], "dcc")
    run(motion, 1.0, 6.9)
    assert motion.places_mm == (0.0,)
    assert motion.alive == (False,)
    run(motion, 1.0, 7.0)
    assert motion.alive == (True,)
    assert motion.speed_mm_s > 0


def test_fewer_volts_run_it_slower() -> None:
    speeds = []
    for volts in (8.0, 11.0, 15.0):
        motion = TrainMotion([SHUNTER], "dcc")
        run(motion, 3.0, volts)
        speeds.append(motion.speed_mm_s)
    assert speeds[0] < speeds[1] < speeds[2]


def test_on_dc_it_starts_at_its_starting_volts_and_follows_their_sign() -> None:
    engine = dataclasses.replace(SHUNTER, works_from_volts=4.0)
    motion = TrainMotion([engine], "dc")
    run(motion, 1.0, 3.9)
    assert motion.places_mm == (0.0,)
    run(motion, 1.0, 4.1)
    assert motion.speed_mm_s > 0
    run(motion, 1.0, 0.0)
    run(motion, 1.0, -12.0)
    assert -250 < motion.speed_mm_s < -100


def test_a_hand_pushes_by_so_many_millimetres_and_leaves_it_at_rest() -> None:
    motion = TrainMotion([SHUNTER, WAGON], "dcc")
    motion.push(7.5)
    run(motion, 0.5, 0.0)
    assert motion.places_mm[0] == pytest.approx(7.5, abs=1e-9)
    assert motion.places_mm[1] == pytest.approx(7.5 - axle_places([SHUNTER, WAGON])[1][0], abs=1e-9)
    assert not motion.moving
    motion.push(-500.0)
    run(motion, 20.0, 0.0, behind_mm=300.0)
    assert motion.moving is False
    assert motion.places_mm[0] > -500.0 + 7.5


@pytest.mark.parametrize("grams", [0.01, 0.5, 5.0, 20_000.0])
def test_wagons_of_any_weight_keep_to_their_couplings(grams: float) -> None:
    motion = TrainMotion([SHUNTER] + [dataclasses.replace(WAGON, grams=grams)] * 4, "dcc")
    for throttle, direction in ((1.0, 1), (0.3, -1), (0.0, 1), (1.0, -1)):
        for _ in range(100):
            motion.step(10, [15.0] * 5, throttle=throttle, direction=direction, behind_mm=2000.0)
            assert max(abs(motion.coupling_mm(k)) for k in range(4)) < 60.0
    speeds = [car.body.velocity.x for car in motion._cars]
    assert max(speeds) - min(speeds) < 100.0


def test_a_heavy_train_is_slower_to_start() -> None:
    light, heavy = TrainMotion([WAGON], "dcc"), TrainMotion([dataclasses.replace(WAGON, grams=720.0)], "dcc")
    engines = [
        TrainMotion([SHUNTER], "dcc"),
        TrainMotion([SHUNTER] + [dataclasses.replace(WAGON, grams=5000.0)] * 3, "dcc"),
    ]
    for motion in engines:
        run(motion, 0.3, 9.0)
    assert engines[0].places_mm[0] > engines[1].places_mm[0]
    assert heavy._cars[0].mass == 10 * light._cars[0].mass


def journey(kind: SupplyKind, vehicles: list[Vehicle]) -> str:
    motion = TrainMotion(vehicles, kind)
    told = hashlib.sha256()
    for k in range(400):
        volts = [15.0 if (k // 37) % 3 else 0.0] * len(vehicles)
        moved = motion.step(
            10, volts, throttle=(k % 50) / 50, direction=1 if k < 250 else -1, ahead_mm=150.0 - motion.places_mm[0]
        )
        told.update(repr((moved, motion.places_mm, motion.energy)).encode())
    return told.hexdigest()


def test_the_same_inputs_give_the_same_run_in_another_process() -> None:
    here = journey("dcc", [DIESEL, WAGON, WAGON])
    code = "from tests.train.test_motion import journey, DIESEL, WAGON\nprint(journey('dcc', [DIESEL, WAGON, WAGON]))"
    root = Path(__file__).parents[2]
    there = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert there.stdout.strip() == here
    assert journey("dcc", [DIESEL, WAGON]) != here


def test_motor_constants_keep_what_they_are_made_from() -> None:
    for scale in ("HO", "N", "O", "S", "16.5"):
        for vehicle in standard_set(scale):
            motor = motor_of(vehicle, "dcc")
            if motor is None:
                assert vehicle.draws_amps == 0
                continue
            # at 12 V across the motor, turning against its drag, it takes what the vehicle draws
            speed = motor.full_emf / motor.volts_per_speed
            amps = (12.0 - motor.volts_per_speed * speed) / motor.ohms
            assert amps == pytest.approx(vehicle.draws_amps)
            assert amps * motor.volts_per_speed * 1e9 == pytest.approx(motor.drag)
            # stall current 0.5-1.5 A in HO, trade.md E2
            if scale == "HO":
                assert 0.5 <= 12.0 / motor.ohms <= 1.5
            assert math.isfinite(motor.flywheel_grams)

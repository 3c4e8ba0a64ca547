"""Engines: the direct-current motor's closed forms, stored energy, and published volts, polarity, weights."""

from __future__ import annotations

import math
from functools import cache, partial

from sim.session.acts import Dial, Direction, Drive, Power, Probe
from sim.session.session import Session
from sim.train.motion import TICK, TrainMotion
from sim.train.standard import overhang_of, standard_set, wagon_ounces
from tests.proof.benches import Desk, four_wheeler
from tests.reference.check import Check, Source, every
from tests.reference.page import verify
from tests.reference.published import entry
from tests.reference.trains import (
    CONSTANT,
    FULL,
    GRAVITY,
    OHMS,
    ROLLS_FROM,
    RUNNING,
    STALL,
    VOLTS,
    driven,
    loaded,
    run,
    wagon,
)  # fmt: skip
from tests.session.benches import bench

MOTOR = Source("textbook direct-current motor, closed form", "memory")
STORE = Source("textbook energy of a capacitor, closed form", "memory")

OUNCE_GRAMS = 28.349523125  # avoirdupois, exact
CORRECTS = 8.0  # the decoder's gain
IDLE, DROP = 0.02, 1.0  # A that a decoder takes, V that it loses

# -- the motor -------------------------------------------------------------------------------------------------


def _speed(volts: float) -> float:
    return driven(volts).speed_mm_s


def _free() -> float:
    motion = loaded("dc")
    motion._cars[0].drag = 0.0
    return run(motion, 3.0, VOLTS).speed_mm_s


def _stalled() -> float:
    motion = loaded("dc")
    for _ in range(600):
        ahead = overhang_of("HO") + 0.2 - motion.places_mm[0]
        motion.step(1, [VOLTS], throttle=1.0, direction=1, ahead_mm=ahead)
    assert abs(motion.speed_mm_s) < 1e-3
    return motion.drive_watts[0] / VOLTS


@cache
def _hauling(wagons: int) -> TrainMotion:
    return driven(VOLTS, 12.0, [wagon(5000.0)] * wagons)


def _hauling_amps(wagons: int) -> float:
    return _hauling(wagons).drive_watts[0] / VOLTS


def _hauling_speed(wagons: int) -> float:
    return _hauling(wagons).speed_mm_s


def _rising(seconds: float) -> float:
    return driven(VOLTS, seconds).speed_mm_s


def _corrected(direction: int) -> float:
    return run(loaded("dcc"), 3.0, 15.0, throttle=0.4, direction=direction).speed_mm_s


def _motor() -> list[Check]:
    near = "1e-10 short of its limit"
    checks = [
        Check(
            f"HO shunter at {volts:g} V: speed (V - IR)/k", MOTOR, (volts - RUNNING * OHMS) / CONSTANT * 1000,
            partial(_speed, volts), "mm/s", 1e-6, near,
        )
        for volts in (4.0, 6.0, 9.0, 12.0, 15.0)
    ]  # fmt: skip
    checks += [
        Check("the same without drag at 12 V: speed V/k", MOTOR, VOLTS / CONSTANT * 1000, _free, "mm/s", 1e-6, near),
        Check(
            "held by a buffer stop at 12 V: current V/R", MOTOR, VOLTS / OHMS, _stalled, "A", 1e-6, "held, not moved"
        ),
    ]
    for wagons in (1, 3):
        amps = RUNNING + wagons * 5.0 * ROLLS_FROM * GRAVITY / CONSTANT
        checks += [
            Check(
                f"hauling {wagons * 5} kg at 12 V: current I + F/k", MOTOR, amps,
                partial(_hauling_amps, wagons), "A", 1e-6, near,
            ),
            Check(
                f"hauling {wagons * 5} kg at 12 V: speed (V - IR)/k", MOTOR, (VOLTS - amps * OHMS) / CONSTANT * 1000,
                partial(_hauling_speed, wagons), "mm/s", 1e-6, near,
            ),
        ]  # fmt: skip
    mass = loaded("dc")._cars[0].mass / 1000
    tau = mass * OHMS / CONSTANT**2
    checks += [
        Check(
            f"starting at 12 V, {seconds:g} s after: 1 - exp(-t k2/mR) of full speed", MOTOR,
            FULL * (1 - math.exp(-seconds / tau)), partial(_rising, seconds), "mm/s",
            FULL * TICK / tau / 2, "half a tick of the steepest rise",
        )
        for seconds in (0.04, 0.08, 0.16)
    ]  # fmt: skip
    emf = 0.4 * (VOLTS - RUNNING * OHMS) - RUNNING * OHMS / (1 + CORRECTS)
    checks += [
        Check(
            f"decoder at throttle 0.4 {way}: gain g leaves IR/(1 + g)", MOTOR, sign * emf / CONSTANT * 1000,
            partial(_corrected, sign), "mm/s", 1e-6, near,
        )
        for sign, way in ((1, "forwards"), (-1, "backwards"))
    ]  # fmt: skip
    return checks


# -- stored energy ---------------------------------------------------------------------------------------------


@cache
def _ridden(joules: float, throttle: float) -> tuple[float, float]:
    """Seconds that the store carries the engine after its volts are gone, and millimetres that it goes in them."""
    motion = run(loaded("dcc", joules=joules), 4.0, 15.0, throttle=throttle)
    start, ticks = motion.places_mm[0], 0
    while True:
        motion.step(1, [0.0], throttle=throttle, direction=1)
        if not motion.alive[0]:
            return ticks * TICK, motion.places_mm[0] - start
        ticks += 1


def _rides(joules: float, throttle: float, which: int) -> float:
    return _ridden(joules, throttle)[which]


def _stores() -> list[Check]:
    checks = []
    for farads in (0.002, 0.01):
        joules = farads * (15.0**2 - 7.0**2) / 2  # from the rails' volts down to those from which a decoder works
        for throttle in (0.3, 0.8):
            emf = throttle * (VOLTS - RUNNING * OHMS) - RUNNING * OHMS / (1 + CORRECTS)
            watts = (emf + RUNNING * OHMS) * RUNNING + 15.0 * IDLE
            name = f"capacitor of {farads * 1000:g} mF, 15 V to 7 V, throttle {throttle:g}"
            checks += [
                Check(
                    f"{name}: rides for C(V2 - v2)/2P", STORE, joules / watts,
                    partial(_rides, joules, throttle, 0), "s", TICK, "one tick",
                ),
                Check(
                    f"{name}: in that time goes", STORE, joules / watts * emf / CONSTANT * 1000,
                    partial(_rides, joules, throttle, 1), "mm", 2 * FULL * TICK, "two ticks' way at full speed",
                ),
            ]  # fmt: skip
    return checks


# -- published figures -----------------------------------------------------------------------------------------


def _works_from(scale: str) -> float:
    """The least volts at which the shunter of a scale moves, to a thousandth."""
    low, high = 0.0, 20.0
    while high - low > 1e-3:
        middle = (low + high) / 2
        motion = run(loaded("dcc", scale=scale), 0.2, middle)
        low, high = (low, middle) if motion.speed_mm_s > 0.0 else (middle, high)
    return high


def _positive(end: str, sign: int) -> str:
    """Which rail of the two under a driven engine a meter finds positive, seen the way that it goes."""
    session = Session(bench(kind="dc", end=end, mm=120.0 if end == "T1.main" else 60.0))
    now = session.step(0.5, (Power(True), Drive("shunter", 0.5), Direction("shunter", sign), Dial("volts")))
    left, right = (rails[0] for rails in now.trains[0].vehicles[0].touching[0])
    if now.trains[0].speed_mm_s < 0.0:
        left, right = right, left
    value = session.step(Session.DT, (Probe(right, left),)).meter.value
    assert value is not None
    assert abs(value) > 3.0
    assert now.trains[0].speed_mm_s != 0.0
    return "right-hand rail" if value > 0.0 else "left-hand rail"


def _rail_volts(kind: str, scale: str, draws: float = 0.001) -> float:
    """What a meter shows between the rails, full throttle, with an engine there that takes so many amperes."""
    own = four_wheeler(20.0, scale=scale, name="light", draws_amps=draws)
    train = '\n[[train]]\nid = "here"\nvehicles = ["light"]\nat = { end = "T1.main", mm = 10 }\n'
    desk = Desk(scale=scale).with_supply(kind=kind, on=True).carrying(own).beside(train)
    acts = (Power(True), Drive("here", 1.0), Dial("volts"), Probe("T1.stock.left", "T1.stock.right"))
    now = Session(desk.bench()).step(0.2, acts)
    assert now.meter.value is not None
    return abs(now.meter.value)


ONE = "the volts of a supply that names none do not go by scale"
OPEN = "12 V are those of the supply that names none with nothing on it; it has half an ohm within"


def _volts() -> list[Check]:
    """Supplies as a bench has them that names no volts."""
    nothing = "a thousandth of an ampere is nothing"
    groups = {"N": "N_and_smaller", "HO": "HO_S_O", "S": "HO_S_O", "O": "HO_S_O"}
    checks = [
        entry(f"dcc.s9_1_2020.station_voltage.{group}").check(
            partial(_rail_volts, "dcc", scale), name=f"digital supply, {scale}: volts between the rails",
            within=0.01, because=nothing, differs=ONE if scale == "N" else "",
        )
        for scale, group in groups.items()
    ]  # fmt: skip
    for scale in ("N", "HO", "S"):
        checks.append(
            entry("dcc.nem_630.gauge_above_6_5_below_32").check(
                partial(_rail_volts, "dc", scale), name=f"DC supply, {scale}: nominal volts at full throttle",
                within=0.01, because=nothing,
            )
        )  # fmt: skip
    checks.append(
        entry("dcc.nem_630.gauge_32_and_more").check(
            partial(_rail_volts, "dc", "O"), name="DC supply, O: nominal volts at full throttle",
            within=0.01, because=nothing, differs=ONE,
        )
    )  # fmt: skip
    least = entry("dcc.s9.full_throttle_voltage")
    for draws, what in ((RUNNING, "an engine of 0.2 A"), (STALL, "an engine of 0.8 A")):
        checks.append(
            least.check(
                partial(_rail_volts, "dc", "HO", draws), field="min", sense="at least",
                name=f"DC supply, HO: volts between the rails at full throttle, {what}", differs=OPEN,
            )
        )  # fmt: skip
    return checks


def _weighs(scale: str) -> float:
    return standard_set(scale)[3].grams / OUNCE_GRAMS


def _inches(scale: str) -> float:
    return (standard_set(scale)[3].axles_mm[-1] + 2 * overhang_of(scale)) / 25.4


def _published() -> list[Check]:
    checks = []
    for scale, group in (("HO", "HO_S_O"), ("S", "HO_S_O"), ("O", "HO_S_O"), ("N", "N_and_smaller")):
        checks.append(
            entry(f"dcc.s9_1_2020.decoder_voltage.{group}").check(
                partial(_works_from, scale), field="min", name=f"{scale} shunter moves from", sense="at most",
                within=1e-3, because="sought to a thousandth",
            )
        )  # fmt: skip
    for path in ("s9.polarity", "nem_631.polarity"):
        figure = entry(f"dcc.{path}")
        checks += [
            Check(
                f"{path.split('.')[0]}: positive rail of an engine looking out of {end[3:]}, running {way}",
                figure.source, str(figure.fields["value"]), partial(_positive, end, sign),
            )
            for end in ("T1.toe", "T1.main")
            for sign, way in ((1, "forwards"), (-1, "backwards"))
        ]  # fmt: skip
    checks += _volts()
    for scale in ("HO", "N", "S", "O"):
        first, more = (
            entry(f"track_wheel.nmra_rp20_1.{scale}.initial"),
            entry(f"track_wheel.nmra_rp20_1.{scale}.per_inch"),
        )
        checks.append(
            Check(
                f"{scale} wagon of {_inches(scale):.3g} in weighs", first.source,
                first.number() + more.number() * _inches(scale), partial(_weighs, scale), "oz",
                0.5 / OUNCE_GRAMS, "weights are whole grams",
            )
        )  # fmt: skip
    for inches in ("6in", "5_5in"):
        example = entry(f"track_wheel.nmra_rp20_1.example_HO_{inches}")
        checks.append(example.check(partial(wagon_ounces, "HO", example.number("length_in"))))
    return checks


CHECKS = (*_motor(), *_stores(), *_published())


@every(CHECKS)
def test_engines(check: Check) -> None:
    verify(check)

"""Motion: trains against the closed forms of mechanics: momentum, energy, rolling to rest, couplings one by one."""

from __future__ import annotations

import itertools
import math
from functools import cache, partial

from sim.train.motion import TICK, TrainMotion
from tests.reference.check import Check, Source, every
from tests.reference.page import verify
from tests.reference.trains import (
    DRAG,
    FULL,
    GRAVITY,
    OHMS,
    ROLLS_FROM,
    RUNNING,
    STALL,
    VOLTS,
    driven,
    loaded,
    rolling,
    run,
    wagon,
)  # fmt: skip

MECHANICS = Source("textbook mechanics, closed form", "memory")
CONTACT = Source("coefficient of restitution of a spring with a dashpot, which pulls no more than it pushes", "memory")

# A coupling in HO: mm of play each way, N/mm beyond it, damping as a share of the critical
PLAY, STIFF, DAMPING = 0.8, 1.0, 0.15

# -- momentum and energy ---------------------------------------------------------------------------------------

HITS = (((5000.0, 100.0), (2000.0, 0.0)), ((2000.0, 80.0), (5000.0, -30.0)), ((72.0, 100.0), (72.0, 0.0)))


def _momentum(each: tuple[tuple[float, float], tuple[float, float]]) -> float:
    motion = run(rolling(*each, resisted=False), 3.0, 0.0)
    return sum(car.mass * float(car.body.velocity.x) for car in motion._cars) / 1000


@cache
def _closings(front: float, behind: float) -> tuple[float, ...]:
    """Speeds at which two wagons drift towards or from one another, each time the coupling between them is easy."""
    found: list[float] = []

    def watch(motion: TrainMotion) -> None:
        ahead, after = (float(car.body.velocity.x) for car in motion._cars)
        if abs(motion.coupling_mm(0)) < PLAY and not (found and math.isclose(found[-1], ahead - after, rel_tol=1e-9)):
            found.append(ahead - after)

    run(rolling((front, 0.0), (behind, 100.0), resisted=False), 2.0, 0.0, watch=watch)
    return tuple(found)


def _rebound() -> float:
    first, second = _closings(5000.0, 5000.0)[:2]
    return -second / first


def _energies_fall() -> str:
    """Two standard wagons: from one meeting to the next all the energy that there is, is in their motion."""
    speeds = _closings(72.0, 72.0)
    falls = all(abs(after) < abs(before) for before, after in itertools.pairwise(speeds))
    return f"{'falls' if falls else 'rises'} at every meeting" if len(speeds) > 5 else "they met too seldom"


def _deepest() -> float:
    found: list[float] = []
    run(
        rolling((5000.0, 0.0), (5000.0, 100.0), resisted=False), 0.3, 0.0,
        watch=lambda motion: found.append(-motion.coupling_mm(0)),
    )  # fmt: skip
    return max(found) - PLAY


PROFILE = ((0.2, 15.0), (0.1, 0.0), (0.3, 9.0), (0.05, 0.0))
"""Seconds and volts of an engine that loses its volts twice."""


def _through(motion: TrainMotion, throttle: float) -> tuple[float, float]:
    """Lets it run so: metres that it went, and joules that its drive took from the rails."""
    found = [0.0, 0.0]
    at = motion.places_mm[0]

    def watch(motion: TrainMotion) -> None:
        nonlocal at
        found[0] += abs(motion.places_mm[0] - at) / 1000
        found[1] += motion.drive_watts[0] * TICK
        at = motion.places_mm[0]

    for seconds, volts in PROFILE:
        run(motion, seconds, volts, throttle=throttle, watch=watch)
    return found[0], found[1]


def _in_motion(motion: TrainMotion) -> float:
    (car,) = motion._cars
    return car.mass / 1000 * (motion.speed_mm_s / 1000) ** 2 / 2


def _force_over_way(throttle: float) -> float:
    """Joules booked as friction less those of the engine's drag over its way."""
    motion = loaded("dcc")
    metres, _ = _through(motion, throttle)
    return motion.energy.friction - DRAG * metres


def _unaccounted() -> float:
    """Volts times amperes of an engine on direct current, less winding's heat, drag over its way, and motion."""
    motion = loaded("dc")
    metres, joules = _through(motion, 1.0)
    return joules - motion.energy.winding - DRAG * metres - _in_motion(motion)


def _second(kind: str) -> float:
    """Joules of a kind in a second of running steadily at 12 V."""
    motion = driven(VOLTS)
    before = motion.energy
    run(motion, 1.0, VOLTS)
    return float(getattr(motion.energy, kind)) - float(getattr(before, kind))


def _balances() -> list[Check]:
    root = math.sqrt(1 - DAMPING**2)
    restitution = math.exp(-DAMPING / root * (math.pi - math.atan(2 * DAMPING * root / (1 - 2 * DAMPING**2))))
    swing = math.sqrt(STIFF * 1e6 / 2500)  # rad/s of two 5 kg wagons on one coupling
    deepest = 100.0 / swing * math.exp(-DAMPING / root * math.atan(root / DAMPING))
    checks = [
        Check(
            f"momentum kept: {a[0]:g} g at {a[1]:g} mm/s coupled to {b[0]:g} g at {b[1]:g} mm/s",
            MECHANICS, (a[0] * a[1] + b[0] * b[1]) / 1000, partial(_momentum, (a, b)), "g m/s",
            1e-6, "summed in floating point",
        )
        for a, b in HITS
    ]  # fmt: skip
    tick = "a tick of 1 ms in a meeting of 157"
    checks += [
        Check("speed kept when a coupling is run into", CONTACT, restitution, _rebound, "1", 0.005, tick),
        Check("the same coupling's greatest pressing", MECHANICS, deepest, _deepest, "mm", 0.05, tick),
        Check(
            "energy of two wagons that bounce on their coupling", MECHANICS, "falls at every meeting", _energies_fall
        ),
    ]
    checks += [
        Check(
            f"engine without volts twice, throttle {throttle:g}: friction less drag times way",
            MECHANICS, 0.0, partial(_force_over_way, throttle), "J",
            DRAG * FULL / 1000 * TICK, "the way of one tick at full speed",
        )
        for throttle in (0.3, 1.0)
    ]  # fmt: skip
    greatest = VOLTS * STALL * TICK
    checks.append(
        Check(
            "engine without volts twice: volts times amps less heat, drag times way and motion",
            MECHANICS, 0.0, _unaccounted, "J", greatest,
            "a tick's current goes by the speed it begins with: a tick's greatest",
        )
    )  # fmt: skip
    heat = {"supplied": VOLTS * RUNNING, "winding": RUNNING**2 * OHMS, "friction": (VOLTS - RUNNING * OHMS) * RUNNING}
    words = {"supplied": "volts times amps", "winding": "heat of the winding", "friction": "work against drag"}
    checks += [
        Check(
            f"a second at full speed: {words[kind]}",
            MECHANICS, joules, partial(_second, kind), "J", 1e-6, "speed still 1e-10 short of its limit",
        )
        for kind, joules in heat.items()
    ]  # fmt: skip
    return checks


# -- rolling to rest -------------------------------------------------------------------------------------------


def _to_rest(motion: TrainMotion) -> tuple[float, float]:
    """Millimetres and seconds until it stands."""
    start, ticks = motion.places_mm[0], 0
    while motion.moving:
        motion.step(1, [0.0] * len(motion.vehicles), throttle=1.0, direction=1)
        ticks += 1
    return motion.places_mm[0] - start, ticks * TICK


def _wagon_rests(speed: float, which: int) -> float:
    return _to_rest(rolling((72.0, speed)))[which]


def _engine_rests(which: int) -> float:
    return _to_rest(driven(VOLTS))[which]


def _coasting() -> list[Check]:
    checks = []
    for speed in (50.0, 100.0, 200.0):
        slowing = ROLLS_FROM * GRAVITY * 1000
        checks += [
            Check(
                f"wagon let go at {speed:g} mm/s: way v2/2a", MECHANICS, speed**2 / (2 * slowing),
                partial(_wagon_rests, speed, 0), "mm", speed * TICK, "one tick's way",
            ),
            Check(
                f"wagon let go at {speed:g} mm/s: time v/a", MECHANICS, speed / slowing,
                partial(_wagon_rests, speed, 1), "s", TICK, "one tick",
            ),
        ]  # fmt: skip
    slowing = DRAG / (loaded("dc")._cars[0].mass / 1000) * 1000  # N over kg, in mm/s2
    return [
        *checks,
        Check(
            "HO shunter, current gone at full speed: way v2/2a", MECHANICS, FULL**2 / (2 * slowing),
            partial(_engine_rests, 0), "mm", FULL * TICK, "one tick's way",
        ),
        Check(
            "HO shunter, current gone at full speed: time v/a", MECHANICS, FULL / slowing,
            partial(_engine_rests, 1), "s", TICK, "one tick",
        ),
    ]  # fmt: skip


# -- a train's couplings ---------------------------------------------------------------------------------------

BEHIND = 4


def _behind(grams: float, number: int) -> float:
    """Newtons that the coupling behind vehicle `number` pulls: the resistance of all that is behind it."""
    return (BEHIND - number) * grams / 1000 * ROLLS_FROM * GRAVITY


@cache
def _started() -> tuple[tuple[int, float], ...]:
    """A shunter creeps off with four wagons: which vehicle starts, and how far its coupling is drawn out then."""
    motion = loaded("dcc", [wagon()] * BEHIND)
    stood = motion.places_mm
    found: list[tuple[int, float]] = []

    def watch(motion: TrainMotion) -> None:
        for k in range(1, BEHIND + 1):
            if motion.places_mm[k] > stood[k] + 1e-9 and k not in (number for number, _ in found):
                found.append((k, motion.coupling_mm(k - 1)))

    run(motion, 1.0, 15.0, throttle=0.1, watch=watch)
    return tuple(found)


@cache
def _drawn(grams: float, direction: int) -> tuple[float, ...]:
    """How far each coupling is drawn out in a train that runs steadily."""
    motion = run(loaded("dcc", [wagon(grams)] * BEHIND), 6.0, 15.0, throttle=0.2, direction=direction)
    return tuple(motion.coupling_mm(k) for k in range(BEHIND))


def _start(number: int) -> float:
    return _started()[number - 1][1]


def _drawn_at(grams: float, direction: int, k: int) -> float:
    return _drawn(grams, direction)[k]


def _couplings() -> list[Check]:
    standard = wagon().grams
    checks = [
        Check(
            "slack of a train taken up: its wagons start", MECHANICS, "1, 2, 3, 4",
            lambda: ", ".join(str(number) for number, _ in _started()),
        )
    ]  # fmt: skip
    checks += [
        Check(
            f"coupling drawn out as wagon {k} starts: play + F/k", MECHANICS,
            PLAY + _behind(standard, BEHIND - 1) / STIFF,
            partial(_start, k), "mm", 0.02, "one tick at 20 mm/s",
        )
        for k in range(1, BEHIND + 1)
    ]  # fmt: skip
    checks += [
        Check(
            f"train of {grams:g} g wagons {how}, coupling {k + 1}: play + pull of all behind over stiffness", MECHANICS,
            sign * (PLAY + _behind(grams, k) / STIFF), partial(_drawn_at, grams, sign, k), "mm", 1e-3,
            "the swing that is left after 6 s",
        )
        for grams, sign, how in ((standard, 1, "drawn"), (200.0, 1, "drawn"), (200.0, -1, "pushed"))
        for k in range(BEHIND)
    ]  # fmt: skip
    return checks


CHECKS = (*_balances(), *_coasting(), *_couplings())


@every(CHECKS)
def test_motion(check: Check) -> None:
    verify(check)

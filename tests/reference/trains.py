"""Trains as the checks of motion need them: driven for a while, or rolling freely."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence

from sim.bench.model import Vehicle
from sim.train.motion import TICK, TrainMotion
from sim.train.standard import SupplyKind, standard_set

__all__ = [
    "CONSTANT", "DRAG", "FULL", "GRAVITY", "OHMS", "ROLLS_FROM", "RUNNING", "STALL", "VOLTS", "driven", "loaded",
    "rolling", "run", "wagon",
]  # fmt: skip

GRAVITY = 9.80665  # m/s2, standard gravity
ROLLS_FROM = 0.02  # the slope on which a wagon starts to roll by itself

# The HO shunter by what is declared of it: at 12 V it runs at 200 mm/s and takes 0.2 A; held still it takes 0.8 A.
VOLTS, RUNNING, STALL, FULL = 12.0, 0.2, 0.8, 200.0
OHMS = VOLTS / STALL
CONSTANT = (VOLTS - RUNNING * OHMS) / (FULL / 1000)  # V s/m, and N/A
DRAG = CONSTANT * RUNNING  # N


def run(
    motion: TrainMotion, seconds: float, volts: float, *, throttle: float = 1.0, direction: int = 1,
    watch: Callable[[TrainMotion], None] | None = None,
) -> TrainMotion:  # fmt: skip
    """Let a train run, the same volts at every vehicle; `watch` sees it after each tick."""
    at = [volts] * len(motion.vehicles)
    ticks = round(seconds / TICK)
    if watch is None:
        motion.step(ticks, at, throttle=throttle, direction=direction)
        return motion
    for _ in range(ticks):
        motion.step(1, at, throttle=throttle, direction=direction)
        watch(motion)
    return motion


def wagon(grams: float | None = None) -> Vehicle:
    """The HO wagon, with another weight if one is given."""
    found = standard_set("HO")[3]
    return found if grams is None else dataclasses.replace(found, grams=grams)


def loaded(kind: SupplyKind, behind: Sequence[Vehicle] = (), *, scale: str = "HO", joules: float = 0.0) -> TrainMotion:
    """The shunter of a scale with wagons behind it, at rest."""
    engine = dataclasses.replace(standard_set(scale, kind)[0], stored_joules=joules)
    return TrainMotion([engine, *behind], kind)


def driven(volts: float, seconds: float = 2.0, behind: Sequence[Vehicle] = (), scale: str = "HO") -> TrainMotion:
    """The shunter on direct current after some seconds from rest."""
    return run(loaded("dc", behind, scale=scale), seconds, volts)


def rolling(*each: tuple[float, float], resisted: bool = True) -> TrainMotion:
    """Wagons of so many grams each, coupled, at these speeds in mm/s; with their rolling resistance or without."""
    motion = TrainMotion([wagon(grams) for grams, _ in each], "dcc")
    for car, (_, speed) in zip(motion._cars, each, strict=True):
        car.body.velocity = (speed, 0.0)
        if not resisted:
            car.drag = 0.0
    return motion

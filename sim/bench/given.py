"""What somebody has called the things on a bench, which is never put into other words."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.words import SETS, Words

__all__ = ["given_names"]


def given_names(bench: Bench) -> tuple[str, ...]:
    """What somebody has called things on a bench of their own, where it could be taken for a word of the trade."""
    level = bench.level
    names = {bench.title, *(piece.id for piece in bench.tracks), *(train.id for train in bench.trains)}
    names |= {supply.id for supply in bench.supplies} | set(bench.bus.taps if bench.bus is not None else ())
    names |= {lamp.id for lamp in bench.lamps} | {polarity.id for polarity in bench.polarities}
    for motor in bench.motors:
        names |= {motor.id, *(letter for c in motor.changeovers for letter in (c.common, c.normal, c.diverging))}
    names |= {vehicle.name for vehicle in bench.vehicles}
    if level is not None:
        names |= {level.brief, level.teaches, *level.hints, *(prompt.say for prompt in level.prompts)}
    return tuple(sorted(name for name in names if any(Words(each).of(name) != name for each in SETS)))

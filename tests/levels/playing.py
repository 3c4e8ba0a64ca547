"""Plays a level's worked solution through the one door that the window uses too, without a window."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator

from sim.bench.edits import MakeWire, RemoveWire, SetPlace, TurnMotor
from sim.bench.level import (
    Level,
    PlaceStep,
    PlugStep,
    PowerStep,
    ProbeStep,
    Step,
    ThrowStep,
    TurnStep,
    UnwireStep,
    WireStep,
)
from sim.bench.model import Bench
from sim.coach.assessment import assess
from sim.coach.job import begin
from sim.coach.marks import Marks, score
from sim.proof import prove
from sim.session.acts import Act, Dial, Do, Plug, Power, Predict, Probe, Throw
from sim.session.session import Session

__all__ = ["level_of", "play", "predictions", "quick", "wait"]


def level_of(bench: Bench) -> Level:
    """The bench's level; ValueError if it has none."""
    if bench.level is None:
        raise ValueError(f"{bench.title} is no level")
    return bench.level


def _acts(bench: Bench, step: Step) -> Iterator[Act]:
    """The step as the player's act; none where there is no such wire to take away."""
    match step:
        case ThrowStep(piece, setting):
            yield Throw(piece, setting)
        case ProbeStep((red, black)):
            yield Probe(red, black)
        case WireStep((a, b)):
            yield Do(MakeWire(a, b))
        case UnwireStep(ends):
            yield from [Do(RemoveWire(k)) for k, wire in enumerate(bench.wires) if set(wire.ends) == set(ends)][:1]
        case PlaceStep(place, to):
            yield Do(SetPlace(place, to))
        case TurnStep(motor):
            yield Do(TurnMotor(motor))
        case PowerStep(on):
            yield Power(on)
        case PlugStep(plugged):
            yield Plug(plugged)


def predictions(bench: Bench) -> Iterator[Predict]:
    """What a learner who knows the rule says of every frog that the level asks about.

    Set for the left leg, trains pass the frog with their right wheels, so it must match the right rail; set for the
    right leg, the left one. A left-hand turnout's main leg is its right leg; every other's is its left leg.
    """
    pieces = {piece.id: piece for piece in bench.tracks}
    for name in level_of(bench).predict:
        left_hand = getattr(pieces[name], "hand", None) == "left"
        yield Predict(name, "normal", "left" if left_hand else "right")
        yield Predict(name, "diverging", "right" if left_hand else "left")


def quick(bench: Bench) -> Bench:
    """The bench with motors so fast that a test need not wait for them; where the points come to rest is the same."""
    motors = tuple(dataclasses.replace(motor, seconds=2 * Session.DT) for motor in bench.motors)
    return dataclasses.replace(bench, motors=motors)


def wait(session: Session) -> None:
    """Let the points come to rest and the meter settle."""
    session.step(Session.DT)
    while session.snapshot().throwing:
        session.step(10 * Session.DT)


def play(bench: Bench, steps: Iterable[Step], foretold: Iterable[Act]) -> tuple[Session, Marks]:
    """Say what the frogs must match, take the steps in order with the meter on ohms, and test every route."""
    session = begin(bench)
    session.step(Session.DT, (*foretold, Dial("ohms")))
    for step in steps:
        session.step(Session.DT, _acts(session.snapshot().bench, step))
        wait(session)
    end = session.snapshot()
    return session, score(end.bench, prove(end.bench), foreseen=assess(end).foreseen, checked=assess(end).checked)

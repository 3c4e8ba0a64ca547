"""A player's acts done to a running bench."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from sim.bench.edits import Edit, EditRefused
from sim.bench.terminals import terminals
from sim.session import sentences as say
from sim.session.acts import (
    Act,
    Dial,
    Direction,
    Do,
    Drive,
    Nudge,
    Plug,
    Power,
    Predict,
    Probe,
    Put,
    Redo,
    Reset,
    Throw,
    Undo,
)  # fmt: skip
from sim.session.frogs import frog_pieces
from sim.session.rolling import Rolling
from sim.session.running import Running
from sim.session.supplies import SupplyState
from sim.wiring.telling import end_words

__all__ = ["ActRefused", "perform"]

_NUDGE_MM = 1000.0  # furthest that a hand pushes at once; our choice
_SETTINGS = ("normal", "diverging")
_DIALS = ("off", "volts", "ohms", "buzzer")


class ActRefused(ValueError):
    """An act that names what is not on the bench, or a value out of range. Nothing has changed."""


def perform(on: Running, act: Act) -> None:
    """Do one act. What cannot be done at the bench is told in the log; what names nothing raises ActRefused.

    A fault that is still shown keeps its words, but not its loop once anything on the loop may have changed.
    """
    bench = on.bench
    match act:
        case Do(edit):
            _edit(on, edit)
        case Undo():
            _undo(on)
        case Redo():
            _redo(on)
        case Throw(piece, setting):
            _throw(on, piece, setting)
        case Power(switched, supply):
            _power(on, switched, _chosen(on, supply))
        case Plug(plugged, supply):
            _plug(on, plugged, _chosen(on, supply))
        case Reset(supply):
            _reset(on, _chosen(on, supply))
        case Drive(train, throttle):
            _drive(on, _train(on, train), throttle)
        case Direction(train, sign):
            _turn(on, _train(on, train), sign)
        case Nudge(train, mm):
            _nudge(on, _train(on, train), mm)
        case Put(train, end, mm):
            _put(on, _train(on, train), end, mm)
        case Probe(red, black):
            _probe(on, red, black)
        case Dial(to):
            if to not in _DIALS:
                raise ActRefused(f"the knob has no place {to!r}, only {', '.join(_DIALS)}")
            on.meter.dial = to
        case Predict():
            _predict(on, act)
    if on.fault is not None and (on.bench is not bench or isinstance(act, Throw | Nudge | Put | Plug)):
        on.fault = dataclasses.replace(on.fault, loop=())
    on.changed = True


def _chosen(on: Running, supply: str | None) -> tuple[SupplyState, ...]:
    if supply is not None and supply not in on.supplies.states:
        raise ActRefused(f"no supply {supply!r}")
    return on.supplies.chosen(supply)


def _train(on: Running, train: str) -> Rolling:
    if train not in on.trains:
        raise ActRefused(f"no train {train!r}")
    return on.trains[train]


# Points and power


def _throw(on: Running, name: str, setting: str | None) -> None:
    if name not in on.points:
        raise ActRefused(f"no points or switch {name!r}")
    if setting is not None and setting not in _SETTINGS:
        raise ActRefused(f"points stand {' or '.join(_SETTINGS)}, not {setting!r}")
    on.throw(name, setting)


def _power(on: Running, switched: bool, states: Sequence[SupplyState]) -> None:
    if switched and on.locks.power(on.play.said):
        on.journal.tell("First say which rail the frog must match in each position.")
        return
    for state in states:
        who = say.supply_words(on.bench, state.model.id)
        if state.on and not switched:
            on.journal.tell(f"{who} off.")
        elif switched and not state.on and not state.plugged:
            on.journal.tell(f"{who} on, but unplugged.")
        state.on = switched
        if switched and state.breaker.open:
            state.breaker = state.breaker.reset()
            on.fault = None


def _plug(on: Running, plugged: bool, states: Sequence[SupplyState]) -> None:
    for state in states:
        if state.plugged != plugged:
            done = "plugged in" if plugged else "unplugged"
            on.journal.tell(f"{say.supply_words(on.bench, state.model.id)} {done}.")
        state.plugged = plugged


def _reset(on: Running, states: Sequence[SupplyState]) -> None:
    for state in states:
        if state.breaker.open:
            state.breaker = state.breaker.reset()
            on.fault = None
            on.journal.tell(f"{say.supply_words(on.bench, state.model.id)}: breaker closed by hand.")


# Trains


def _together(on: Running, train: Rolling) -> Sequence[Rolling]:
    """The trains that a throttle is for: its own, or on DC all, which share the rails' volts."""
    return tuple(on.trains.values()) if train.kind == "dc" else (train,)


def _drive(on: Running, train: Rolling, throttle: float) -> None:
    if not 0.0 <= throttle <= 1.0:
        raise ActRefused(f"a throttle goes from 0 to 1, not to {throttle!r}")
    if train.kind == "dc":
        on.supplies.throttle = throttle
    for each in _together(on, train):
        each.throttle = throttle


def _turn(on: Running, train: Rolling, sign: int) -> None:
    if sign not in (1, -1):
        raise ActRefused(f"a direction is 1 or -1, not {sign!r}")
    if train.kind == "dc":
        on.supplies.direction = sign
    for each in _together(on, train):
        each.direction = sign


def _nudge(on: Running, train: Rolling, mm: float) -> None:
    if not abs(mm) <= _NUDGE_MM:
        raise ActRefused(f"a hand pushes by at most {_NUDGE_MM:.0f} mm, not by {mm!r}")
    if train.derailed is None and mm:
        train.motion.push(mm)
        on.journal.tell(f"The {train.name} is pushed {abs(mm):.0f} mm {'forward' if mm > 0 else 'back'}.")


def _put(on: Running, train: Rolling, end: str, mm: float) -> None:
    if not 0.0 <= mm <= 100_000.0:
        raise ActRefused(f"a train stands from 0 to 100000 mm from an end, not {mm!r}")
    try:
        on.put(train.train.id, end, mm)
    except (KeyError, ValueError) as wrong:
        raise ActRefused(f"a train cannot stand at {end!r}: {wrong}") from wrong
    on.journal.tell(f"The {train.name} is set down {mm:.0f} mm from {end_words(on.bench, end)}.")


# Meter and predictions


def _probe(on: Running, red: str | None, black: str | None) -> None:
    known = terminals(on.bench)
    for tip in (red, black):
        if tip is not None and tip not in known:
            raise ActRefused(f"no terminal {tip!r}")
    on.meter.red, on.meter.black = red, black


def _predict(on: Running, said: Predict) -> None:
    if said.piece not in frog_pieces(on.bench):
        raise ActRefused(f"{said.piece!r} has no frog of metal to say anything of")
    if said.setting not in _SETTINGS or said.side not in ("left", "right"):
        raise ActRefused(f"nothing can be said of {said.setting!r} and {said.side!r}")
    if on.play.powered or on.supplies.any_live:
        on.journal.tell("Too late to say it first: there has been power. To say it, begin the job again (Ctrl+R).")
        return
    on.play.say(said)
    points = say.points_words(on.bench, said.piece, said.setting)
    on.journal.tell(f"{points}: said to match the {said.side} stock rail.")


# Edits


def _edit(on: Running, edit: Edit) -> None:
    before = on.history.bench
    no = on.locks.refusal(before, edit)
    if no:
        on.journal.tell(no)
        return
    try:
        on.follow(on.history.do(edit))
    except ValueError as refused:
        why = refused.words if isinstance(refused, EditRefused) else refused
        on.journal.tell(f"That cannot be done: {why}.")
        return
    on.journal.tell(say.edit_words(before, edit))


def _undo(on: Running) -> None:
    if on.history.can_undo:
        edit, before = on.history.past[-1]
        on.follow(on.history.undo())
        on.journal.tell(f"Taken back: {say.mid_sentence(say.edit_words(before, edit))}")


def _redo(on: Running) -> None:
    if on.history.can_redo:
        edit, _ = on.history.future[-1]
        before = on.history.bench
        on.follow(on.history.redo())
        on.journal.tell(f"Done again: {say.mid_sentence(say.edit_words(before, edit))}")

"""What a job locks on its bench: edits that are no part of it, and power before all that it asks has been said."""

from __future__ import annotations

import dataclasses

import pytest

from sim.bench.edits import AddLamp, MakeWire, RemoveWire, SetPlace, TurnMotor
from sim.bench.level import Allow, Level
from sim.bench.model import Lamp
from sim.coach.job import begin, locks_of
from sim.session.acts import Do, Redo, Undo
from sim.session.locks import UNLOCKED, Locks
from tests.coach.test_readings import after, levelled
from tests.session.benches import bench


def test_power_is_locked_until_both_positions_of_every_frog_that_is_asked_have_been_said() -> None:
    locks = locks_of(levelled(Level(predict=("T1",))))
    assert locks.said_first == (("T1", "normal"), ("T1", "diverging"))
    assert locks.power(())
    assert locks.power({("T1", "normal")})
    assert not locks.power({("T1", "normal"), ("T1", "diverging")})


def test_of_points_without_a_frog_of_metal_nothing_has_to_be_said() -> None:
    dead = tuple(dataclasses.replace(piece, frog="dead") for piece in bench().tracks)  # type: ignore[call-arg]
    assert locks_of(dataclasses.replace(levelled(Level(predict=("T1",))), tracks=dead)).said_first == ()


def test_a_bench_of_ones_own_locks_nothing() -> None:
    assert locks_of(bench()) == UNLOCKED == Locks()
    assert not UNLOCKED.power(())


@pytest.mark.parametrize(
    ("allow", "edit", "done"),
    [
        (Allow(wires=False), MakeWire("M1.k", "T1.frog"), False),
        (Allow(wires=False), RemoveWire(0), False),
        (Allow(wires=True), RemoveWire(0), True),
        (Allow(wire_limit=5), MakeWire("M1.k", "T1.blade.left"), False),
        (Allow(wire_limit=6), MakeWire("M1.k", "T1.blade.left"), True),
        (Allow(gaps=("T1.gap.closure.left",)), SetPlace("T1.gap.closure.left", "closed"), True),
        (Allow(gaps=("T1.gap.closure.left",)), SetPlace("T1.gap.closure.right", "closed"), False),
        (Allow(bonds=True), SetPlace("T1.bond.left", "open"), True),
        (Allow(gaps=True), SetPlace("T1.bond.left", "open"), False),
        (Allow(motor=False), TurnMotor("M1"), False),
        (Allow(motor=True), TurnMotor("M1"), True),
        (Allow(), AddLamp(Lamp("L9")), False),
    ],
)
def test_what_a_level_allows(allow: Allow, edit: object, done: bool) -> None:
    session = begin(levelled(Level(allow=allow)))
    before = session.bench
    shot = after(session, 0.01, Do(edit))  # type: ignore[arg-type]
    assert (shot.bench != before) == done
    assert shot.log[-1].startswith("This job") != done
    assert after(session, 0.01, Undo(), Redo(), Undo()).bench == before


def test_without_a_level_everything_is_allowed() -> None:
    session = begin(bench(vehicles=()))
    assert after(session, 0.01, Do(AddLamp(Lamp("L9")))).bench.lamps == (Lamp("L9"),)

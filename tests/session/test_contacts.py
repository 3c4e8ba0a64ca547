"""A contact of a motor is found when readings on its screws prove it, and not before."""

from __future__ import annotations

import dataclasses

import pytest

from sim.bench.edits import MakeWire, TurnMotor
from sim.bench.level import ProbeStep, ThrowStep, WireStep
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.resources import level_path
from sim.session.acts import Dial, DialName, Do, Plug, Probe, Throw
from sim.session.contacts import Measured, found_contacts
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS
from tests.levels.playing import level_of, quick, wait

NORMAL, DIVERGING = (("T1", "normal"),), (("T1", "diverging"),)


def level(name: str) -> Bench:
    return quick(load(level_path(name), KINDS))


def measure(session: Session, *steps: tuple[str, str] | str, dial: DialName = "ohms") -> Snapshot:
    """Touch screws of M1 two at a time, or throw the points to the setting that is named."""
    session.step(Session.DT, (Dial(dial),))
    for step in steps:
        if isinstance(step, str):
            session.step(Session.DT, (Throw("T1", step),))
        else:
            session.step(Session.DT, (Probe(f"M1.{step[0]}", f"M1.{step[1]}"),))
        wait(session)
    return session.step(Session.DT)


@pytest.mark.parametrize("name", ["right-hand", "unmarked", "three-screws", "wye"])
def test_what_the_worked_solutions_measure_finds_the_contact(name: str) -> None:
    bench = level(name)
    session = Session(bench)
    session.step(Session.DT, (Plug(False), Dial("ohms")))
    assert session.snapshot().found == frozenset()
    for step in level_of(bench).solution:
        if isinstance(step, ProbeStep):
            session.step(Session.DT, (Probe(*step.ends),))
        elif isinstance(step, ThrowStep):
            session.step(Session.DT, (Throw(step.piece, step.setting),))
        wait(session)
    wired = {end for step in level_of(bench).solution if isinstance(step, WireStep) for end in step.ends}
    ((motor, number),) = session.snapshot().found
    assert {f"{motor}.{letter}" for letter in bench.motors[0].changeovers[number].letters} & wired


def test_the_outers_alone_prove_nothing() -> None:
    session = Session(level("right-hand"))
    assert measure(session, ("m", "k"), "diverging", ("k", "m")).found == frozenset()
    assert measure(session, "normal", ("p", "m")).found == frozenset()
    shot = measure(session, "diverging", ("p", "k"))
    assert shot.found == {("M1", 0)}
    assert shot.log[-1] == "The meter has proved a contact of M1: p is its common. Its lid is off."


def test_the_other_contact_stays_under_its_lid() -> None:
    session = Session(level("right-hand"))
    assert measure(session, ("s", "t"), "diverging", ("s", "r")).found == {("M1", 1)}


def test_readings_of_volts_or_under_power_prove_nothing() -> None:
    assert measure(Session(level("right-hand")), ("p", "m"), "diverging", ("p", "k"), dial="volts").found == frozenset()
    session = Session(level("right-hand"))
    session.step(Session.DT, (Plug(True),))
    assert measure(session, ("p", "m"), "diverging", ("p", "k")).found == frozenset()


def test_a_motor_turned_round_is_found_by_what_it_does_now() -> None:
    bench = level("turned-round")  # v is the common; turned, w is made with the points normal, u diverging
    session = Session(dataclasses.replace(bench, wires=()))
    assert measure(session, ("v", "u"), "diverging", ("v", "w")).found == frozenset()
    assert measure(session, ("v", "u"), "normal", ("v", "w")).found == {("M1", 0)}


def test_what_has_been_found_stays_found() -> None:
    session = Session(level("right-hand"))
    measure(session, ("p", "m"), "diverging", ("p", "k"))
    after = session.step(Session.DT, (Do(MakeWire("M1.p", "T1.frog")), Probe(None, None)))
    assert after.found == {("M1", 0)}
    turned = dataclasses.replace(level("turned-round"), wires=())
    session = Session(turned)
    measure(session, ("v", "w"), "diverging", ("v", "u"))
    assert session.step(Session.DT, (Do(TurnMotor("M1")),)).found == {("M1", 0)}


def rows(*of: tuple[str, str, tuple[tuple[str, str], ...], float | None]) -> tuple[Measured, ...]:
    return tuple(Measured(f"M1.{min(a, b)}", f"M1.{max(a, b)}", points, ohms) for a, b, points, ohms in of)


def test_a_lasting_link_is_no_changeover() -> None:
    """Joined in both positions: a link, a winding or a stuck contact, trade.md C1."""
    bench = level("right-hand")
    linked = rows(("p", "m", NORMAL, 0.2), ("p", "k", DIVERGING, 0.2), ("p", "m", DIVERGING, 0.2))
    assert found_contacts(bench, linked) == frozenset()
    assert found_contacts(bench, (*linked, *rows(("m", "k", NORMAL, None)))) == {("M1", 0)}


def test_a_number_that_is_neither_joined_nor_open_proves_nothing() -> None:
    bench = level("right-hand")
    dirty = rows(("p", "m", NORMAL, 0.2), ("p", "k", DIVERGING, 12.0), ("p", "m", DIVERGING, None))
    assert found_contacts(bench, dirty) == frozenset()

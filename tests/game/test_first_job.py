"""The first job, where it named things wrongly: the way of a short, the wire that it asked for, what it is about."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.edits import ChangeWire, Edit, MakeWire
from sim.bench.reading import load
from sim.coach.job import begin
from sim.coach.marks import idle_wires
from sim.game.draw.pages.result import result_of
from sim.proof import prove
from sim.resources import level_path
from sim.session.acts import Direction, Do, Drive, Plug, Power, Put
from sim.session.session import Session
from sim.session.snapshot import FaultView
from sim.track.formations import KINDS
from sim.wiring.loop import told

THREE = (("M1.g", "T1.frog"), ("M1.h", "T1.stock.right"), ("M1.j", "T1.stock.left"))
PAST_THE_LAMP = ("bus.A", "T1.stock.left")


def wired() -> Session:
    session = begin(load(level_path("first-frog"), KINDS))
    session.step(Session.DT, (Plug(False), Drive("shunter", 0.0)))
    for a, b in (*THREE, PAST_THE_LAMP):
        session.step(Session.DT, (Do(MakeWire(a, b)),))
    return session


def moved(session: Session, screw: str, to: str) -> Edit:
    """The wire from a screw to a stock rail, put on the other one."""
    wires = session.bench.wires
    index = next(k for k, wire in enumerate(wires) if wire.ends[0] == screw)
    return ChangeWire(index, replace(wires[index], ends=(screw, to)))


def short(session: Session) -> FaultView:
    on = (Put("shunter", "T1.main", 300.0), Plug(True), Power(True), Direction("shunter", 1), Drive("shunter", 0.35))
    now = session.step(Session.DT, on)
    for _ in range(2000):
        if now.fault is not None:
            return now.fault
        now = session.step(Session.DT)
    raise AssertionError("no short came about")


def test_the_way_of_its_short_names_contact_and_frog() -> None:
    session = wired()
    session.step(Session.DT, (Do(moved(session, "M1.h", "T1.stock.left")),))
    session.step(Session.DT, (Do(moved(session, "M1.j", "T1.stock.right")),))
    lines = told(session.bench, short(session).loop)
    for words in ("left stock rail", "contact g to h of M1", "frog", "right closure rail", "bus B"):
        assert words in lines


def test_a_short_over_one_screw_names_the_screw() -> None:
    """New wires beside the old ones: nothing but a screw joins the two rails."""
    session = wired()
    session.step(Session.DT, (Do(MakeWire("M1.h", "T1.stock.left")),))
    assert "screw h of M1" in told(session.bench, short(session).loop)


def test_the_wire_that_it_asked_for_is_not_called_idle() -> None:
    bench = wired().bench
    assert PAST_THE_LAMP not in [bench.wires[k].ends for k in idle_wires(bench)]


def test_a_wire_beside_another_is_idle_still_and_so_is_a_lamp_that_a_wire_goes_past() -> None:
    bench = MakeWire("bus.A", "T1.stock.left").apply(wired().bench)
    idle = [bench.wires[k].ends for k in idle_wires(bench)]
    assert idle.count(PAST_THE_LAMP) == 1
    assert ("bus.A", "L1.1") in idle


def test_idle_wires_are_told_only_where_the_job_asks_for_a_tidy_bench() -> None:
    session = wired()
    result = result_of(session.bench, prove(session.bench), session.snapshot())
    assert not [note for note in result.notes if note.kind == "tidy"]
    level = session.bench.level
    assert level is not None
    asking = replace(session.bench, level=replace(level, goals=(*level.goals, "tidy")))
    passed = prove(asking)
    assert passed.passed
    result = result_of(asking, passed, session.snapshot())
    assert [note for note in result.notes if note.kind == "tidy"]

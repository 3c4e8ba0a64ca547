"""A caution belongs to the moment at which a builder comes to what it is about."""

from __future__ import annotations

import pytest

from sim.bench.edits import MakeWire, RemoveWire, SetPlace
from sim.coach.cautions import CAUTIONS, cautions_due, new_end
from sim.session.acts import Act, Dial, Direction, Do, Drive, Plug, Power, Probe, Redo, Throw, Undo
from sim.session.session import Session
from tests.session.benches import bench


def due(session: Session, *acts: Act) -> tuple[str, ...]:
    before = session.snapshot()
    return cautions_due(before, session.step(Session.DT, acts))


def test_plugging_in_and_switching_on_call_for_the_mains_side_and_the_ways_back_do_not() -> None:
    session = Session(bench())
    assert due(session, Plug(False)) == ()
    assert due(session, Plug(True)) == ("mains",)
    assert due(session, Plug(True)) == ()
    assert due(session, Power(True)) == ("mains",)
    assert due(session, Power(False)) == ()


def test_ohms_call_for_it_with_the_supply_plugged_in_only() -> None:
    session = Session(bench())
    assert due(session, Dial("ohms"), Probe("M1.k", "M1.m")) == ("ohms",)
    assert due(session, Probe("M1.k", "M1.p")) == ()  # said already, and still so
    apart = Session(bench())
    assert due(apart, Plug(False), Dial("ohms"), Probe("M1.k", "M1.m")) == ()
    assert due(apart, Dial("volts"), Plug(True)) == ("mains",)


def test_a_breaker_that_opens_calls_for_it_once() -> None:
    session = Session(bench(frog="exchanged", supply="on = true"))
    before = session.step(Session.DT, (Direction("shunter", -1), Drive("shunter", 0.4)))
    for _ in range(200):
        now = session.step(0.05)
        if now.fault is not None:
            break
        before = now
    assert now.fault is not None
    assert cautions_due(before, now) == ("short",)
    assert due(session, Throw("T1", "diverging")) == ()


def test_a_wire_made_or_a_gap_bridged_is_soldered_and_what_is_taken_off_is_not() -> None:
    session = Session(bench())
    before = session.snapshot()
    assert due(session, Do(MakeWire("bus.A", "T1.exit.left"))) == ("solder",)
    assert new_end(before.bench, session.snapshot().bench) == "T1.exit.left"
    assert due(session, Undo()) == ()
    assert due(session, Redo()) == ("solder",)
    assert due(session, Do(RemoveWire(0))) == ()
    before = session.snapshot()
    assert due(session, Do(SetPlace("T1.gap.closure.left", "closed"))) == ("solder",)
    assert new_end(before.bench, session.snapshot().bench) == "T1.gap.closure.left"
    assert due(session, Do(SetPlace("T1.gap.closure.left", "cut"))) == ()


def test_a_wire_is_soldered_at_the_end_that_is_a_tab_and_a_screw_is_only_turned() -> None:
    session = Session(bench())
    before = session.snapshot()
    assert due(session, Do(MakeWire("bus.A", "M1.k"))) == ()
    assert new_end(before.bench, session.snapshot().bench) == ""
    before = session.snapshot()
    assert due(session, Do(MakeWire("T1.exit.left", "bus.A"))) == ("solder",)
    assert new_end(before.bench, session.snapshot().bench) == "T1.exit.left"


@pytest.mark.parametrize("name", CAUTIONS)
def test_a_caution_is_read_in_a_breath(name: str) -> None:
    caution = CAUTIONS[name]
    assert caution.text.endswith(".")
    assert len(caution.text) < 150
    assert len(caution.heading.split()) <= 3

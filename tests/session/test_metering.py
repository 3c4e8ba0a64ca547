"""The meter on the running bench: what it shows, and what is kept of its readings."""

from __future__ import annotations

import pytest

from sim.bench.edits import AddLamp, MakeWire
from sim.bench.model import Lamp
from sim.session.acts import Act, Dial, Do, Plug, Probe, Throw, Undo
from sim.session.session import Session
from sim.session.snapshot import Snapshot, Taken
from tests.session.benches import bench, read


def after(session: Session, seconds: float, *acts: Act) -> Snapshot:
    return session.step(seconds, acts)


def test_the_buzzer_sounds_only_on_its_own_place_of_the_knob() -> None:
    session = Session(bench(vehicles=()))
    shot = after(session, 0.01, Plug(False), Dial("buzzer"), Probe("M1.k", "T1.frog"))
    assert shot.meter.beeps
    shot = after(session, 0.01, Dial("ohms"))
    assert not shot.meter.beeps
    assert shot.meter.value == pytest.approx(0.2, abs=0.1)  # the leads, and 0.3 m of wire


def test_the_meter_reads_on_while_the_points_are_thrown() -> None:
    session = Session(bench(vehicles=(), seconds=1.0))
    after(session, 0.01, Plug(False), Dial("ohms"), Probe("T1.frog", "T1.stock.right"))
    closed = [after(session, 0.1, *([Throw("T1")] if k == 0 else [])).meter.value is not None for k in range(10)]
    assert closed[0]
    assert not closed[-1]
    assert closed.index(False) == 4  # it opens after 0.45 of the throw


def test_volts_under_power() -> None:
    session = Session(bench(supply="on = true", vehicles=()))
    shot = after(session, 0.01, Dial("volts"), Probe("T1.stock.left", "T1.stock.right"))
    assert shot.meter.value == pytest.approx(15.0, rel=1e-3)
    assert not shot.meter.caution
    assert shot.play.cautions == 0


def test_an_edit_that_takes_a_terminal_away_lifts_the_tip() -> None:
    session = Session(read('bench = 1\n[supply]\nkind = "dcc"\n'))
    after(session, 0.01, Do(AddLamp(Lamp("L1"))), Dial("ohms"), Probe("L1.1", "L1.2"))
    shot = after(session, 0.01, Undo())
    assert (shot.meter.red, shot.meter.black, shot.meter.value) == (None, None, None)


def test_a_reading_with_the_supply_plugged_in_is_told_as_one_that_does_not_count() -> None:
    session = Session(bench(vehicles=()))
    after(session, 0.01, Plug(True))
    shot = after(session, 0.2, Dial("ohms"), Probe("T1.frog", "T1.stock.right"))
    assert any(line.endswith("The supply is plugged in: it does not count.") for line in shot.log)
    after(session, 0.01, Plug(False))
    shot = after(session, 0.2, Probe("T1.frog", "T1.stock.left"))
    assert not shot.log[-1].endswith("it does not count.")


def test_readings_are_recorded_with_what_they_were_of_and_how_the_points_stood() -> None:
    session = Session(bench(supply="on = true", vehicles=()))
    shot = after(session, 0.01, Dial("volts"), Probe("T1.stock.right", "T1.stock.left"))
    volts = Taken(False, ("T1.stock.left", "T1.stock.right"), (("T1", "normal"),))
    assert shot.meter.taken == {volts}
    shot = after(session, 0.01, Dial("ohms"))
    assert shot.meter.taken == {volts}  # ohms with the supply plugged in are none
    shot = after(session, 0.01, Plug(False))
    assert shot.meter.taken == {volts, volts._replace(ohms=True)}


def test_a_reading_between_two_screws_is_told_once_in_plain_words_in_each_position() -> None:
    session = Session(bench(vehicles=(), seconds=0.3))
    log = after(session, 0.1, Plug(False), Dial("ohms"), Probe("M1.k", "M1.m")).log
    assert log[-1] == "M1.k to M1.m: 0.23 ohm, joined, points normal."
    assert after(session, 1.0).log == log
    after(session, 0.1, Probe("M1.k", "M1.p"))
    assert after(session, 0.1).log[-1] == "M1.k to M1.p: open, points normal."
    log = after(session, 1.0, Throw("T1")).log
    assert log[-2:] == (
        "M1.k to M1.p: 0.23 ohm, joined, points diverging.",
        "The meter has proved a contact of M1: k is its common. Its lid is off.",
    )
    assert after(session, 0.1, Probe(None, None)).log == log
    assert after(session, 0.1, Probe("M1.p", "M1.k")).log == log, "the tips the other way about are the same reading"


def test_a_reading_between_two_screws_is_told_again_once_something_was_wired() -> None:
    session = Session(bench(vehicles=()))
    after(session, 0.1, Plug(False), Dial("ohms"), Probe("M1.k", "M1.m"))
    log = after(session, 0.1, Do(MakeWire("bus.A", "T1.exit.left"))).log
    assert log[-2:] == ("Wire made from bus A to the left exit rail.", "M1.k to M1.m: 0.23 ohm, joined, points normal.")


def test_with_the_supply_plugged_in_no_such_reading_is_told() -> None:
    session = Session(bench(vehicles=()))
    log = after(session, 0.1, Plug(True), Dial("ohms"), Probe("M1.k", "M1.m")).log
    assert not any(line.startswith("M1.k to M1.m") for line in log)

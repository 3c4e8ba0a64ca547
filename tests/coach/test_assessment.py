"""What the coach makes of a record is kept while the record stays, and said in the log where it belongs."""

from __future__ import annotations

import dataclasses

from sim.bench.level import Level
from sim.coach.assessment import assess, told
from sim.coach.job import begin
from sim.session.acts import Dial, Plug, Power, Predict, Probe, Throw
from sim.session.session import Session
from sim.session.snapshot import LogMark, Snapshot
from tests.coach.test_readings import ALL, after, levelled
from tests.session.benches import bench

CAUTION = "Caution: measure ohms only with the supply unplugged."
AGAIN = "Beginning the job again wins the mark back."
COST = f"That costs the mark for checking: ohms measured with the supply plugged in. {AGAIN}"
NO_PREDICTIONS = dataclasses.replace(ALL, predict=())


def cautioned(session: Session, times: int) -> Snapshot:
    """Ohms measured between two screws with the supply plugged in, with the tips lifted in between."""
    for _ in range(times):
        after(session, 0.01, Dial("ohms"), Probe(None, None))
        shot = after(session, 0.01, Probe("M1.k", "M1.m"))
    return shot


def test_while_nothing_is_recorded_the_same_assessment_serves() -> None:
    session = begin(levelled(ALL))
    first = assess(session.snapshot())
    assert assess(after(session, 0.5)) is first
    said = after(session, 0.01, Predict("T1", "normal", "right"))
    assert assess(said) is not first
    assert assess(said).foreseen == 0.5


def test_a_throw_begins_a_new_assessment_of_the_same_record() -> None:
    session = begin(levelled(ALL))
    before = session.snapshot()
    thrown = after(session, 0.3, Throw("T1"))
    assert assess(thrown) is not assess(before)
    assert assess(thrown).patterns == assess(before).patterns


def test_a_lost_mark_is_told_right_after_what_lost_it_and_once() -> None:
    shot = cautioned(begin(levelled(ALL)), times=2)
    assert told(shot)[-3:] == (CAUTION, COST, CAUTION)
    assert COST not in shot.log


def test_where_no_mark_can_be_lost_the_log_has_no_word_of_it_and_repeats_nothing() -> None:
    for what in (bench(vehicles=()), levelled(Level(goals=("safe",)))):
        log = told(cautioned(begin(what), times=2))
        assert log.count(CAUTION) == 1
        assert COST not in log


def test_power_before_the_readings_is_told_before_the_power_itself() -> None:
    shot = after(begin(levelled(NO_PREDICTIONS)), 0.1, Power(True))
    assert told(shot)[-2:] == (
        f"That costs the mark for checking: power after 0 of 4 readings. {AGAIN}",
        "Supply on: 0.00 A.",
    )


def test_what_was_lost_stays_where_it_was_told_when_more_is_measured() -> None:
    session = begin(levelled(NO_PREDICTIONS))
    before = told(after(session, 0.1, Power(True)))
    shot = after(session, 0.1, Power(False), Plug(False), Dial("ohms"), Probe("T1.frog", "T1.stock.left"))
    assert told(shot)[: len(before)] == before


def test_in_a_long_log_a_lost_mark_goes_with_the_sentences_around_it() -> None:
    shot = cautioned(begin(levelled(ALL)), times=1)
    many = tuple(f"Sentence {k}." for k in range(200))
    (mark,) = shot.log_marks
    for first, kept in ((mark.line - 199, True), (mark.line, False), (mark.line + 1, False)):
        long = dataclasses.replace(shot, log=many, log_first=first, log_marks=(LogMark("caution", mark.line),))
        log = told(long)
        assert len(log) == 200
        assert (COST in log) == kept

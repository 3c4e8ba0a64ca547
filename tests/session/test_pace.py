"""Slow motion: finer steps show what happens inside a hundredth of a second, and change nothing of it."""

from __future__ import annotations

from itertools import pairwise

import pytest

from sim.session.acts import Drive, Pace, Power, Throw
from sim.session.hands import ActRefused
from sim.session.session import PARTS, Session, replay
from tests.session.benches import bench


def shorting(parts: int) -> Session:
    """A short is switched on; its breaker opens after its own milliseconds."""
    session = Session(bench(frog="exchanged", end="T1.main", mm=150.0, supply="trip_seconds = 0.03"))
    session.next((Pace(parts), Drive("shunter", 0.2)))
    return session


def test_the_breakers_milliseconds_are_seen_one_by_one() -> None:
    session = shorting(100)
    session.step(Session.DT, (Power(True),))
    since = None
    shots = 0
    for _ in range(60_000):
        shot = session.next()
        supply = shot.supplies[0]
        if abs(supply.amps) >= 3.0 and since is None:
            since = shot.time_s
        if since is not None and not supply.tripped:
            shots += 1
        if supply.tripped:
            assert since is not None
            assert shot.time_s - since == pytest.approx(0.03, abs=0.00021)
            assert shots >= 295  # as many pictures of the current before the breaker has opened
            return
    raise AssertionError("the breaker did not open")


@pytest.mark.parametrize("parts", PARTS)
def test_the_same_second_at_every_pace(parts: int) -> None:
    session = Session(bench(seconds=0.7))
    session.next((Pace(parts),))
    session.step(Session.DT, (Power(True), Drive("shunter", 0.4), Throw("T1")))
    for _ in range(99):
        shot = session.step(Session.DT)
    plain = Session(bench(seconds=0.7))
    plain.step(Session.DT, (Power(True), Drive("shunter", 0.4), Throw("T1")))
    for _ in range(99):
        other = plain.step(Session.DT)
    assert shot.time_s == pytest.approx(other.time_s + Session.DT / parts)
    assert shot.travel == pytest.approx(other.travel)
    assert shot.amps == pytest.approx(other.amps, rel=1e-6)
    # the train has had a step more, which at this speed is less than 2 mm
    assert shot.trains[0].vehicles[0].axles[0][0] == pytest.approx(other.trains[0].vehicles[0].axles[0][0], abs=2.0)
    assert shot.trains[0].speed_mm_s == pytest.approx(other.trains[0].speed_mm_s, rel=0.05)


def test_a_throw_is_seen_on_its_way() -> None:
    session = Session(bench(seconds=1.0))
    session.next((Pace(100), Throw("T1")))
    seen = [session.next().travel["T1"] for _ in range(50)]
    assert all(b - a == pytest.approx(1e-4, rel=1e-6) for a, b in pairwise(seen))


def test_what_was_done_slowly_replays_bit_for_bit() -> None:
    session = shorting(10)
    session.step(Session.DT, (Power(True),))
    session.step(7 * Session.DT / 10)
    session.step(Session.DT / 100, (Pace(100),))
    session.step(150 * Session.DT / 100)
    session.step(20 * Session.DT, (Pace(1), Throw("T1")))
    start = bench(frog="exchanged", end="T1.main", mm=150.0, supply="trip_seconds = 0.03")
    again = replay(start, session.record, session.steps)
    assert again.snapshot() == session.snapshot()
    assert session.snapshot().time_s == pytest.approx(0.001 + 0.01 + 0.007 + 0.0001 + 0.015 + 0.2)


def test_a_step_that_is_no_whole_number_is_refused_and_changes_nothing() -> None:
    session = Session(bench())
    with pytest.raises(ValueError, match="whole number of steps"):
        session.step(Session.DT / 10)
    session.next((Pace(10),))
    with pytest.raises(ValueError, match="whole number of steps"):
        session.step(Session.DT / 100)
    with pytest.raises(ActRefused, match="1, 10, 100"):
        session.next((Pace(7),))
    assert session.step_seconds == pytest.approx(0.001)
    assert session.steps == 1


def waits(session: Session) -> bool:
    return session.waits


def test_a_bench_waits_only_while_something_comes_by_itself() -> None:
    session = Session(bench(seconds=0.5))
    session.step(Session.DT)
    assert not waits(session)
    session.step(Session.DT, (Throw("T1"),))
    assert waits(session)
    session.step(60 * Session.DT)
    assert not waits(session)

"""The breaker's times."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.electric.breaker import Breaker

BY_HAND = Breaker(trip_amps=3.0, trip_seconds=0.03)
RETRIES = Breaker(trip_amps=3.0, trip_seconds=0.03, retry_seconds=2.0)
DT = 0.01


def run(breaker: Breaker, seconds: float, amps: float, dt: float = DT) -> Breaker:
    for _ in range(round(seconds / dt)):
        breaker = breaker.after(dt, amps)
    return breaker


def test_opens_after_its_time_and_no_sooner() -> None:
    assert not run(BY_HAND, 0.02, 40.0).open
    assert run(BY_HAND, 0.03, 40.0).open


@pytest.mark.parametrize("amps", [3.0, -3.0, 41.2])
def test_opens_from_its_amps_on_either_way(amps: float) -> None:
    assert run(BY_HAND, 0.03, amps).open


def test_stands_just_below_its_amps_for_ever() -> None:
    assert not run(BY_HAND, 60.0, 2.999).open


def test_a_pause_starts_it_afresh() -> None:
    breaker = run(BY_HAND, 0.02, 40.0).after(DT, 0.5)
    assert not run(breaker, 0.02, 40.0).open
    assert run(breaker, 0.03, 40.0).open


def test_by_hand_only() -> None:
    open_ = run(BY_HAND, 0.03, 40.0)
    assert run(open_, 600.0, 0.0, dt=1.0).open
    closed = open_.reset()
    assert not closed.open
    assert not run(closed, 0.02, 40.0).open
    assert run(closed, 0.03, 40.0).open  # the fault is still there


def test_retries_after_its_time_and_no_sooner() -> None:
    open_ = run(RETRIES, 0.03, 40.0)
    assert run(open_, 1.99, 0.0).open
    assert not run(open_, 2.0, 0.0).open


def test_keeps_trying_while_the_fault_stays() -> None:
    """40 A for 10 s: each round is 0.03 s closed and 2 s open."""
    breaker, openings = RETRIES, 0
    for _ in range(1000):
        before, breaker = breaker, breaker.after(DT, 40.0)
        openings += breaker.open and not before.open
    assert openings == 1 + int((10.0 - 0.03) / (2.0 + 0.03))


@given(st.integers(1, 500), st.integers(1, 400))
def test_whole_steps_add_up(trip: int, retry: int) -> None:
    """In steps of 0.01 s it opens at the very step that its time says, and closes again so, whatever the rounding."""
    breaker = Breaker(1.0, trip * DT, retry * DT)
    for _ in range(trip - 1):
        breaker = breaker.after(DT, 1.0)
        assert not breaker.open
    breaker = breaker.after(DT, 1.0)
    assert breaker.open
    for _ in range(retry - 1):
        breaker = breaker.after(DT, 0.0)
        assert breaker.open
    assert not breaker.after(DT, 0.0).open


@given(st.floats(0.001, 3.0), st.floats(0.001, 3.0), st.floats(0.01, 8.0))
def test_one_long_step_is_many_short_ones(trip: float, retry: float, total: float) -> None:
    """Up to where it closes again, where a step ends for it."""
    whole = Breaker(1.0, trip, retry).after(total, 2.0)
    parted = Breaker(1.0, trip, retry)
    left = total
    while left > 0.0:
        step = min(left, trip / 7, retry / 7)
        was_open, parted = parted.open, parted.after(step, 2.0)
        left -= step
        if was_open and not parted.open:
            break
    assert whole.open == parted.open or abs(total - trip) < 1e-6 or abs(total - trip - retry) < 1e-6
    if whole.open and parted.open:
        assert whole.seconds == pytest.approx(parted.seconds, abs=1e-6)


def test_when_it_is_due() -> None:
    assert BY_HAND.due(2.0) is None
    assert BY_HAND.due(5.0) == pytest.approx(0.03)
    assert run(BY_HAND, 0.02, 5.0).due(5.0) == pytest.approx(0.01)
    assert run(BY_HAND, 0.03, 5.0).due(5.0) is None
    assert run(RETRIES, 0.53, 5.0).due(5.0) == pytest.approx(1.5)


@given(st.floats(0.0, 5.0), st.just(0.0) | st.floats(0.01, 5.0), st.floats(0.001, 3.0), st.floats(0.0, 10.0))
def test_due_is_when_it_happens(trip: float, retry: float, dt: float, amps: float) -> None:
    breaker = Breaker(2.0, trip, retry).after(dt, amps)
    due = breaker.due(amps)
    if due is None:
        assert breaker.after(1000.0, amps).open == breaker.open
    else:
        assert breaker.after(due, amps).open != breaker.open
        if due > 1e-6:
            assert breaker.after(due - 1e-6, amps).open == breaker.open


def test_without_delay_it_opens_at_once() -> None:
    assert Breaker(1.0, 0.0).after(1e-6, 1.0).open

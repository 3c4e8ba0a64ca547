"""The same moment with a gap closed or cut: as a bench built so would be, and as the test of every route finds it."""

from __future__ import annotations

import pytest

from sim.bench.edits import PlaceTrain, SetPlace, SetPoints
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.proof.prove import prove
from sim.session.acts import Act, Drive, Power, Throw
from sim.session.session import Session
from tests.session.benches import bench

GAPS = ("T1.gap.closure.left", "T1.gap.closure.right", "T1.gap.exit.left", "T1.gap.exit.right")

STRONG = "limit_amps = 1000"  # a supply that gives whatever flows, so that amps can be compared


def started(of: Bench, *acts: Act) -> Session:
    session = Session(of)
    session.step(Session.DT, (Power(True), *acts))
    return session


@pytest.mark.parametrize("place", GAPS)
@pytest.mark.parametrize("at", [("T1.main", 60.0), ("T1.main", 96.0), ("T1.toe", 120.0)])
@pytest.mark.parametrize("vehicle", ["four-wheel shunter", "bogie diesel"])
def test_it_is_as_on_a_bench_built_so(place: str, at: tuple[str, float], vehicle: str) -> None:
    start = bench(vehicles=(vehicle,), end=at[0], mm=at[1], supply="trip_seconds = 5")
    session = started(start, Drive("shunter", 0.2))
    was = session.snapshot()
    cut, closed = session.gap(place)
    for row in (cut, closed):
        built = SetPlace(place, row.state).apply(start) if row.state == "closed" else start
        fresh = started(built, Drive("shunter", 0.2)).snapshot()
        assert row.moment.amps == pytest.approx(fresh.amps, rel=1e-9, abs=1e-12)
        assert dict(row.moment.feeds) == dict(fresh.feeds)
        assert (row.moment.fault is not None) == (abs(fresh.supplies[0].amps) >= 3.0)
    assert session.snapshot() == was


def test_the_running_bench_goes_on_as_if_nobody_had_asked() -> None:
    def run(ask: bool) -> Session:
        session = started(bench(end="T1.main", mm=60.0), Drive("shunter", 0.4))
        for number in range(120):
            session.step(Session.DT, (Throw("T1"),) if number == 60 else ())
            if ask and number % 7 == 0:
                session.gap(GAPS[number % 4])
        return session

    assert run(True).snapshot() == run(False).snapshot()


def test_closed_against_the_points_it_is_the_short_that_the_test_finds() -> None:
    start = SetPoints("T1", "diverging").apply(bench(vehicles=(), supply=STRONG))
    _, closed = started(start).gap("T1.gap.closure.right")
    findings = prove(SetPlace("T1.gap.closure.right", "closed").apply(start)).findings
    short = next(f for f in findings if f.kind == "short" and f.path is None and f.points == {"T1": "diverging"})
    assert closed.moment.fault is not None
    assert closed.moment.fault.amps == pytest.approx(short.amps)
    assert closed.text.startswith("Closed: ")
    assert "would flow; the 3 A breaker opens." in closed.text


def test_under_a_wheel_it_is_the_short_that_the_test_finds_there() -> None:
    plain = bench(frog=None, end="T1.main", mm=60.0, supply=STRONG)
    built = SetPlace("T1.gap.closure.left", "closed").apply(plain)  # an unfed frog gets the left side by its gap
    shorts = [f for f in prove(built).findings if f.kind == "short" and f.vehicle == "four-wheel shunter"]
    short = next(f for f in shorts if f.path == ("T1.toe", "T1.main") and f.direction == "forward")
    assert short.from_mm is not None
    assert short.to_mm is not None
    length = next(r.length_mm for r in prove(built).routes if r.path == short.path)
    carried = []
    for beyond in (0.05, 0.2, 0.5, 4.0, 12.0, 25.0):
        station = short.from_mm + beyond
        assert station < short.to_mm
        there = PlaceTrain("shunter", "T1.main", length - station).apply(plain)
        cut, closed = started(there, Drive("shunter", 0.2)).gap("T1.gap.closure.left")
        assert cut.moment.fault is None
        assert closed.moment.fault is not None
        assert closed.moment.fault.touching
        carried.append(closed.moment.fault.amps)
    assert max(carried) == pytest.approx(short.amps, rel=1e-3)  # the most along the stretch, but for the engine's own


def test_cut_the_engine_draws_what_it_draws() -> None:
    session = started(bench(end="T1.main", mm=60.0), Drive("shunter", 0.2))
    cut, _ = session.gap("T1.gap.closure.right")
    amps = session.snapshot().amps[PartRef("load", "shunter:0")]
    assert abs(amps) > 0.1
    assert cut.moment.engines[0].amps == pytest.approx(abs(amps))
    assert cut.text == f"Cut: the four-wheel shunter draws {abs(amps):.2f} A."


def test_after_the_breaker_has_opened_each_side_still_says_what_it_would_carry() -> None:
    start = SetPlace("T1.gap.closure.left", "closed").apply(bench(end="T1.toe", mm=60.0, supply=STRONG))
    session = started(start, Drive("shunter", 0.0))
    session.step(20 * Session.DT)
    fault = session.snapshot().fault
    assert fault is not None
    cut, closed = session.gap("T1.gap.closure.left")
    assert cut.moment.fault is None
    assert closed.moment.fault is not None
    assert closed.moment.fault.amps == pytest.approx(fault.amps)
    assert "flowed; the 3 A breaker opened." in closed.text
    assert "draws" in cut.text


def test_with_the_supply_off_it_is_told_as_if_it_were_on() -> None:
    session = Session(bench(end="T1.main", mm=60.0, supply="on = false"))
    session.step(Session.DT)
    cut, closed = session.gap("T1.gap.closure.left")
    assert not cut.moment.powered
    assert cut.text.startswith("Cut, were the supply on: ")
    assert closed.moment.fault is not None
    assert session.snapshot().supplies[0].amps == 0.0


def test_without_an_engine_it_is_told_by_the_rails_sides() -> None:
    session = started(bench(frog=None, vehicles=()))
    cut, closed = session.gap("T1.gap.closure.left")
    assert cut.text == "Cut: the left closure rail is on side A, the frog without a feed."
    assert closed.text == "Closed: the left closure rail and the frog are both on side A."


def test_what_is_no_gap_is_refused() -> None:
    session = started(bench())
    with pytest.raises(KeyError):
        session.gap("T1.bond.left")

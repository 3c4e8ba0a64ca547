"""The live run and the test of every route agree: at every position of a slow run, volts and amps are the same."""

from __future__ import annotations

import numpy as np
import pytest

from sim.bench.edits import MakeWire
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.proof.prove import prove
from sim.proof.sweep import Item
from sim.session.acts import Do, Drive, Nudge, Power
from sim.session.session import Session
from sim.train.fleet import vehicle
from tests.proof.runs import Met, Piece
from tests.session.benches import bench

_LEAST_VOLTS = 2e-6  # the test's nodes all lead to its zero by a gigaohm, which leaves a microvolt on what floats
_CENTRED = 1  # of the three ways that a vehicle is pressed: left, centred, right


class _Tested:
    """The test's own answer for one vehicle that runs the main path towards the frog, "toe" behind it."""

    def __init__(self, of: Bench, name: str) -> None:
        one = vehicle(of, name, "HO")
        self.piece = Piece(of, "T1", (Item(name, (one,), (one.axles_mm,)),))
        (self.run,) = [
            run for run in self.piece.sweep.runs if run.track == 0 and run.direction == "forward" and not run.against
        ]

    def at(self, lead_mm: float) -> Met:
        """What is met with the leading axle there, the vehicle centred between the rails."""
        run = self.run
        here = (run.shift == _CENTRED) & (run.from_mm < lead_mm) & (lead_mm < run.to_mm)
        (cell,) = np.flatnonzero(here).tolist()
        (met,) = self.piece.met(run, cell)
        return met


def _running(met: Met) -> tuple[float, float]:
    """Volts at the pick-ups from the batch, and amps of the supply from the whole circuit, the vehicle running."""
    return float(met.outcome.volts[met.row, 0]), solve(met.circuit(running=True)).amps[PartRef("supply", "bus")]


@pytest.mark.parametrize("name", ["four-wheel shunter", "bogie diesel", "tender engine"])
@pytest.mark.parametrize("frog", ["right", None])
def test_slow_run_over_the_frog(name: str, frog: str | None) -> None:
    # The train stands before the frog on the toe side and looks out of the main end.
    start = bench(frog=frog, vehicles=(name,), end="T1.main", mm=220.0)
    tested = _Tested(start, name)
    session = Session(start)
    session.step(Session.DT, (Power(True), Drive("shunter", 0.25)))
    seen: set[int] = set()
    compared = 0
    for _ in range(1500):
        snapshot = session.step(Session.DT)
        train = snapshot.trains[0]
        lead = train.vehicles[0].axles[0][0]
        if lead > 330.0:
            break
        if abs(train.speed_mm_s) < 0.5:  # stalled on a dead place: pushed on by hand, as one does
            snapshot = session.step(Session.DT, (Nudge("shunter", 0.7),))
            train = snapshot.trains[0]
            lead = train.vehicles[0].axles[0][0]
        met = tested.at(lead)
        volts, amps = _running(met)
        assert train.vehicles[0].volts == pytest.approx(volts, rel=1e-9, abs=_LEAST_VOLTS), (lead, met.state)
        assert snapshot.supplies[0].amps == pytest.approx(amps, rel=1e-9, abs=1e-9), (lead, met.state)
        seen.add(met.state)
        compared += 1
    assert lead > 330.0, "the run ended before it was over the frog"
    assert compared > 100
    assert len(seen) >= 8


def test_short_of_the_live_run_is_the_tests() -> None:
    strong = "limit_amps = 1000"  # so that what the supply gives is what would flow
    start = bench(frog="exchanged", vehicles=("four-wheel shunter",), end="T1.main", mm=140.0, supply=strong)
    tested = _Tested(start, "four-wheel shunter")
    session = Session(start)
    session.step(Session.DT, (Power(True), Drive("shunter", 0.1)))
    for _ in range(4000):
        snapshot = session.step(Session.DT)
        if snapshot.supplies[0].tripped:
            break
    assert snapshot.fault is not None
    lead = snapshot.trains[0].vehicles[0].axles[0][0]
    met = tested.at(lead)
    assert met.outcome.level[met.row] == 2
    (supply,) = start.supplies
    assert snapshot.fault.amps == pytest.approx(min(_running(met)[1], supply.most_amps), rel=1e-9)
    lifted = solve(met.circuit(running=False)).amps[PartRef("supply", "bus")]
    assert met.outcome.amps[met.row] == pytest.approx(min(lifted, supply.most_amps), rel=1e-6)


def test_feeds_of_the_live_run_are_the_tests() -> None:
    start = bench(frog=None)
    session = Session(start)
    snapshot = session.step(Session.DT, (Do(MakeWire("M1.k", "T1.frog")), Do(MakeWire("M1.m", "T1.stock.right"))))
    assert dict(snapshot.feeds) == dict(prove(session.bench).positions[0].feeds)

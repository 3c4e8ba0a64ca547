"""The live run and the test of every route agree: at every position of a slow run, volts and amps are the same."""

from __future__ import annotations

import numpy as np
import pytest

from sim.bench.edits import MakeWire
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.proof.judge import Judge
from sim.proof.prove import prove
from sim.proof.settings import filed
from sim.proof.states import contact_states
from sim.proof.subject import Subject
from sim.session.acts import Do, Drive, Nudge, Power
from sim.session.session import Session
from sim.track.layout import Layout
from sim.train.fleet import vehicle
from tests.session.benches import bench

_CENTRED = 1  # of the three ways that a vehicle is pressed: left, centred, right


class _Tested:
    """The test's own answer for one vehicle that runs the main path towards the frog, "toe" behind it."""

    def __init__(self, of: Bench, name: str) -> None:
        self.layout = Layout(of)
        self.vehicle = vehicle(of, name, "HO")
        self.judge = Judge(Subject(of, self.layout), filed(of))
        batch = contact_states(self.layout, self.judge.travel, "T1", 0, (self.vehicle,), ("forward",))
        assert batch is not None
        self.states = batch.runs[0][2]
        (self.outcome,) = self.judge.outcomes(batch)

    def state_at(self, lead_mm: float) -> int:
        """The state with the leading axle there, the vehicle centred between the rails."""
        states = self.states
        here = (states.shift == _CENTRED) & (states.from_mm < lead_mm) & (lead_mm < states.to_mm)
        (cell,) = np.flatnonzero(here)
        return int(states.state[cell])

    def running(self, state: int) -> tuple[float, float]:
        """Volts at the pick-ups from the batch, and amps of the supply from the whole circuit, the vehicle running."""
        standing = self.judge.standing(self.states, state, self.vehicle, running=True)
        return float(self.outcome.volts[state]), self.judge.quiet((standing,)).solution.amps[PartRef("supply", "bus")]


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
        state = tested.state_at(lead)
        volts, amps = tested.running(state)
        assert train.vehicles[0].volts == pytest.approx(volts, rel=1e-9, abs=1e-9), (lead, state)
        assert snapshot.supplies[0].amps == pytest.approx(amps, rel=1e-9, abs=1e-9), (lead, state)
        seen.add(state)
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
    state = tested.state_at(lead)
    assert tested.outcome.fault[state] == 2
    standing = tested.judge.standing(tested.states, state, tested.vehicle, running=True)
    amps = tested.judge.quiet((standing,)).solution.amps[PartRef("supply", "bus")]
    assert snapshot.fault.amps == pytest.approx(amps, rel=1e-9)


def test_feeds_of_the_live_run_are_the_tests() -> None:
    start = bench(frog=None)
    session = Session(start)
    snapshot = session.step(Session.DT, (Do(MakeWire("M1.k", "T1.frog")), Do(MakeWire("M1.m", "T1.stock.right"))))
    assert dict(snapshot.feeds) == dict(prove(session.bench).positions[0].feeds)

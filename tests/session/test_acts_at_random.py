"""Whatever is done to a bench, in whatever order: nothing breaks, no volts are stale, and it replays."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.bench.edits import MakeWire, RemoveWire, SetPlace, TurnMotor
from sim.bench.terminals import terminals
from sim.electric.solve import solve
from sim.session.acts import (
    Act,
    Dial,
    Direction,
    Do,
    Drive,
    Nudge,
    Pace,
    Plug,
    Power,
    Probe,
    Put,
    Redo,
    Reset,
    Throw,
    Undo,
)  # fmt: skip
from sim.session.session import Session, replay
from sim.train.fleet import vehicle
from sim.wiring.switched import circuit
from tests.session.benches import bench

VEHICLES = [
    ("four-wheel shunter",),
    ("bogie diesel", "metal-wheel wagon"),
    ("metal-wheel wagon", "tender engine"),
]
METALS = terminals(bench())

acts: st.SearchStrategy[Act] = st.one_of(
    st.builds(Throw, st.just("T1")),
    st.builds(Power, st.booleans()),
    st.builds(Plug, st.booleans()),
    st.just(Reset()),
    st.builds(Drive, st.just("shunter"), st.sampled_from([0.0, 0.1, 0.5, 1.0])),
    st.builds(Direction, st.just("shunter"), st.sampled_from([-1, 1])),
    st.builds(Nudge, st.just("shunter"), st.floats(-80, 80)),
    st.builds(Put, st.just("shunter"), st.sampled_from(["T1.toe", "T1.main", "T1.diverging"]), st.floats(0, 300)),
    st.builds(Probe, st.none() | st.sampled_from(METALS), st.sampled_from(METALS)),
    st.builds(Dial, st.sampled_from(["off", "volts", "ohms", "buzzer"])),
    st.builds(Do, st.builds(MakeWire, st.sampled_from(METALS), st.sampled_from(METALS))),
    st.builds(Do, st.builds(RemoveWire, st.integers(0, 6))),
    st.builds(Do, st.builds(TurnMotor, st.just("M1"))),
    st.builds(
        Do,
        st.builds(
            SetPlace,
            st.sampled_from(["T1.gap.closure.left", "T1.gap.exit.right"]),
            st.sampled_from(["cut", "closed", "leaking"]),
        ),
    ),
    st.just(Undo()),
    st.just(Redo()),
    st.builds(Pace, st.sampled_from([1, 10])),
)
plays = st.lists(st.tuples(st.integers(1, 40), st.lists(acts, max_size=4)), min_size=1, max_size=12)


@given(vehicles=st.sampled_from(VEHICLES), kind=st.sampled_from(["dcc", "dc"]), play=plays)
@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
def test_any_play(vehicles: tuple[str, ...], kind: str, play: list[tuple[int, list[Act]]]) -> None:
    what = bench(kind=kind, supply="on = true\nretry_seconds = 0.4", vehicles=vehicles, seconds=0.4)
    session = Session(what)
    for steps, todo in play:
        shot = session.step(steps * Session.DT, todo)
        running = session._running
        # nothing stale: what is shown flows in the bench as it stands now
        standing = tuple(one for train in running.trains.values() for one in train.standing())
        fresh = solve(
            circuit(
                running.history.bench,
                running.layout,
                dict(shot.travel),
                volts=running.supplies.volts,
                standing=standing,
            )
        )
        assert shot.amps == pytest.approx(fresh.amps, rel=1e-6, abs=1e-9)
        for view in shot.trains:
            for seen, name in zip(view.vehicles, vehicles, strict=True):
                wheelbase = vehicle(what, name, "HO").axles_mm[-1]
                (ax, ay, _), (bx, by, _) = seen.axles[0], seen.axles[-1]
                # no nearer than the chord of the sharpest curve here, no further than straight
                assert 0.98 * wheelbase - 1.0 <= math.hypot(ax - bx, ay - by) <= 1.02 * wheelbase + 1.0
                assert math.isfinite(seen.volts)
    again = replay(what, session.record, session.steps)
    assert again.snapshot() == session.snapshot()

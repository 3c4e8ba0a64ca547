"""A bench that runs: power on and off, shorts, and the breaker."""

from __future__ import annotations

import itertools

import pytest

from sim.bench.edits import RemoveWire
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.session.acts import Dial, Do, Plug, Power, Probe, Reset
from sim.session.session import Session
from sim.track.layout import Layout
from sim.train.fleet import vehicle
from sim.wiring.standing import standing_at
from sim.wiring.switched import circuit
from sim.wiring.wheels import load_ohms
from tests.session.benches import bench
from tests.session.hands import ON, after, towards_frog, train

# Power


def test_supply_on_is_told_with_its_amps() -> None:
    session = Session(bench(vehicles=()))
    shot = after(session, 0.01, Power(True))
    assert shot.log[-1] == "Supply on: 0.00 A."
    assert shot.supplies[0].volts == pytest.approx(15.0)
    shot = after(session, 0.01, Power(False))
    assert shot.log[-1] == "Supply off."
    assert shot.supplies[0].volts == 0.0


def test_off_but_plugged_in_is_not_unplugged() -> None:
    session = Session(bench(vehicles=()))
    after(session, 0.01, Dial("ohms"), Probe("bus.A", "bus.B"))
    joined = session.snapshot().meter
    after(session, 0.01, Plug(False))
    apart = session.snapshot().meter
    assert joined.value is not None
    assert joined.value < 1.0
    assert apart.value is None
    assert (joined.caution, apart.caution) == (True, False)


def test_a_running_engine_draws_what_its_load_says() -> None:
    session = Session(bench(supply=ON, mm=60.0))
    idle = after(session, 0.1).supplies[0].amps
    running = after(session, 1.0, *towards_frog(0.2)).supplies[0].amps
    assert 0 < idle < 0.05
    assert running == pytest.approx(0.2, rel=0.02)  # draws_amps of the HO shunter


# Shorts


def direct_amps(what: Bench, session: Session) -> float:
    """The supply's amps with the train where it is now, by one direct solve."""
    layout = Layout(what)
    running = session._running.trains["shunter"]
    model = vehicle(what, "four-wheel shunter", "HO")
    travel = dict(session.snapshot().travel)
    standing = standing_at(layout, travel, "shunter:0", model, running.spots[0], load_ohms(model, 15.0))
    return solve(circuit(what, layout, travel, standing=[standing])).amps[PartRef("supply", "bus")]


def test_exchanged_outers_trip_the_breaker_with_the_amps_of_a_direct_solve() -> None:
    what = bench(supply=f"{ON}\nlimit_amps = 1000", frog="exchanged", end="T1.toe", mm=200.0)
    session = Session(what)
    session.step(Session.DT, towards_frog(0.5))
    for _ in range(300):
        shot = session.step(Session.DT)
        if shot.fault is not None:
            break
    assert shot.fault is not None
    assert shot.fault.amps == pytest.approx(direct_amps(what, session), rel=1e-6)
    assert shot.fault.amps > 30.0
    assert shot.supplies[0].tripped
    assert set(shot.fault.touching) == {"T1.frog", "T1.blade.right"}
    assert shot.fault.loop[0].node_a == "bus.A"
    assert shot.fault.loop[-1].node_b == "bus.B"
    assert "the 3 A breaker opened" in shot.log[-1]
    rest = after(session, 1.0)
    assert train(rest).speed_mm_s == 0.0
    assert rest.supplies[0].amps == 0.0
    assert set(rest.amps.values()) == {0.0}


@pytest.mark.parametrize("seconds", [0.0123, 0.03, 0.1])
def test_the_breaker_opens_at_its_very_moment(seconds: float) -> None:
    session = Session(
        bench(supply=f"trip_seconds = {seconds}", vehicles=(), more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n')
    )
    running = session._running
    running.supplies.states["bus"].on = True
    running.changed = True
    running.run(seconds - 1e-6)
    assert not running.supplies.states["bus"].breaker.open
    running.run(2e-6)
    assert running.supplies.states["bus"].breaker.open


def test_events_inside_one_step_come_in_their_order() -> None:
    """A breaker that opens after 3 ms and tries again after 20 ms does so 44 times in a second, however time is cut."""
    what = bench(
        supply="on = true\ntrip_seconds = 0.003\nretry_seconds = 0.02",
        vehicles=(),
        more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n',
    )
    trips = []
    for span in (0.01, 0.1, 1.0):
        running = Session(what)._running
        for _ in range(round(1.0 / span)):
            running.run(span)
        trips.append(running.play.trips)
    # at 0.003 + k 0.023 s: the last of them within the second is k = 43
    assert trips == [44, 44, 44]


def test_no_wheel_goes_far_without_being_looked_at() -> None:
    session = Session(bench(supply=ON, end="T1.toe", mm=60.0))
    shot = after(session, 1.0, *towards_frog(1.0))
    assert abs(train(shot).speed_mm_s) > 150.0
    assert 0.1 < session._running._stride() * abs(train(shot).speed_mm_s) <= 0.5


def test_power_into_a_short_is_counted_and_a_breaker_by_hand_waits_for_one() -> None:
    session = Session(bench(vehicles=(), more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n'))
    shot = after(session, 0.2, Power(True))
    assert shot.supplies[0].tripped
    assert (shot.play.into_short, shot.play.trips) == (1, 1)
    assert after(session, 5.0).play.trips == 1
    shot = after(session, 0.2, Reset())
    assert shot.supplies[0].tripped
    assert shot.play.trips == 2
    # the wire gone, the breaker stays closed
    shot = after(session, 0.2, Do(RemoveWire(len(shot.bench.wires) - 1)), Reset())
    assert not shot.supplies[0].tripped
    assert shot.fault is None


def test_a_breaker_that_retries() -> None:
    session = Session(
        bench(supply="retry_seconds = 0.5", vehicles=(), more='\n[[wire]]\nends = ["bus.A", "T1.stock.right"]\n')
    )
    after(session, 0.01, Power(True))
    tripped = [session.step(Session.DT).supplies[0].tripped for _ in range(260)]
    opened = sum(b and not a for a, b in itertools.pairwise(tripped))
    # every 0.03 + 0.5 s: at 0.03, 0.56, 1.09, 1.62, 2.15 s
    assert opened == 5
    shot = after(session, 0.6, Do(RemoveWire(len(session.bench.wires) - 1)))
    assert not shot.supplies[0].tripped
    assert shot.supplies[0].volts == pytest.approx(15.0)


def test_a_lamp_in_the_feed_keeps_the_breaker_closed() -> None:
    lamp = '\n[[lamp]]\nid = "L1"\n[[wire]]\nends = ["bus.A", "L1.1"]\n[[wire]]\nends = ["L1.2", "T1.stock.right"]\n'
    shot = after(Session(bench(supply=ON, vehicles=(), more=lamp)), 0.5)
    assert not shot.supplies[0].tripped
    # trade.md F: on a short such a lamp glows and limits to about 2 A
    assert 1.0 < shot.supplies[0].amps < 3.0
    assert shot.amps[PartRef("lamp", "L1")] == pytest.approx(shot.supplies[0].amps, rel=1e-6)

"""Points thrown while the bench runs: motors, hands, contacts on their way, and wheels on the blades."""

from __future__ import annotations

import dataclasses

import pytest

from sim.session.acts import Direction, Nudge, Put, Throw
from sim.session.ground import Ground
from sim.session.session import Session
from sim.track.layout import Layout
from sim.track.route import route_contacts
from sim.track.walk import Spot
from sim.track.wheels import wheel
from tests.bench.tables import turnout
from tests.session.benches import bench, read
from tests.session.hands import ON, after, towards_frog, train


def test_a_throw_takes_the_motors_seconds_and_changes_contacts_on_its_way() -> None:
    session = Session(bench(supply=ON, seconds=1.0, vehicles=()))
    shot = after(session, 0.45, Throw("T1"))
    assert shot.travel["T1"] == pytest.approx(0.45)
    assert shot.throwing == {"T1"}
    assert shot.feeds["T1.frog"] == "B"
    shot = after(session, 0.01)
    assert shot.feeds["T1.frog"] == "none"  # break before make, between 0.45 and 0.55
    shot = after(session, 0.09)
    assert shot.feeds["T1.frog"] == "A"
    assert shot.throwing == {"T1"}
    shot = after(session, 0.45)
    assert shot.travel["T1"] == 1.0
    assert shot.throwing == frozenset()
    assert [points.setting for points in shot.bench.point_sets] == ["diverging"]
    assert shot.log[-1] == "Points diverging."


def test_a_throw_can_be_turned_back_half_way() -> None:
    session = Session(bench(seconds=1.0, vehicles=()))
    after(session, 0.3, Throw("T1"))
    shot = after(session, 0.3, Throw("T1"))
    assert shot.travel["T1"] == 0.0
    assert shot.throwing == frozenset()


def test_points_without_a_motor_are_thrown_by_hand() -> None:
    text = 'bench = 1\n[supply]\nkind = "dcc"\n' + turnout(hand="left")
    session = Session(read(text))
    assert after(session, 0.10, Throw("T1", "diverging")).travel["T1"] < 1.0
    assert after(session, 0.05).travel["T1"] == 1.0


def test_a_make_before_break_contact_shorts_only_during_the_throw() -> None:
    good = bench(supply=ON, seconds=1.0, vehicles=())
    contact = dataclasses.replace(good.motors[0].changeovers[0], travel=(0.6, 0.4))
    motor = dataclasses.replace(good.motors[0], changeovers=(contact,))
    session = Session(dataclasses.replace(good, motors=(motor,)))
    shot = after(session, 0.39, Throw("T1"))
    assert not shot.supplies[0].tripped
    shot = after(session, 0.05)
    assert shot.supplies[0].tripped
    assert shot.fault is not None
    assert shot.fault.text.startswith("While the points are thrown: ")


def test_throwing_under_a_train_that_stands_on_the_frog() -> None:
    """One axle on the right closure rail, the other on the frog: the frog changes sides, and the wheels short it."""
    session = Session(bench(supply=ON, end="T1.toe", mm=250.0))
    touching = train(session.snapshot()).vehicles[0].touching
    assert touching[0][0] == ("T1.blade.right",)
    assert touching[1][0] == ("T1.frog",)
    shot = after(session, 2.0, Throw("T1"))
    assert shot.supplies[0].tripped
    assert shot.fault is not None
    assert set(shot.fault.touching) == {"T1.blade.right", "T1.frog"}
    assert train(shot).vehicles[0].touching == touching


@pytest.mark.parametrize("at", [0.5, 0.75])
def test_wheels_on_moving_blades_touch_what_is_under_them_then(at: float) -> None:
    layout = Layout(bench(vehicles=()))
    size = wheel("RP-25 code 110", layout.scale("T1"))
    ground = Ground(layout, {"T1": 0.0}).moved({"T1": at})
    rest = Ground(layout, {"T1": 0.0})
    different = 0
    for s in range(70, 210):
        spot = Spot("T1", 0, float(s), True)
        contacts = route_contacts(layout, {"T1": at}, "T1", 0, 5.0, size, 0.0)
        assert ground.touching(spot, size) == contacts.touching(float(s))
        different += ground.touching(spot, size) != rest.touching(spot, size)
    assert different > 0


def test_an_axle_before_the_blades_goes_where_they_lead_it_then() -> None:
    session = Session(bench(supply=ON, end="T1.toe", mm=20.0, vehicles=("metal-wheel wagon",)))
    after(session, 2.0, Throw("T1", "diverging"))
    shot = after(session, 8.0, Nudge("shunter", -300.0))
    (x, y, _), _ = train(shot).vehicles[0].axles
    assert x > 250.0
    assert y < -3.0  # a right-hand turnout's diverging leg lies to the right


def test_points_half_thrown_are_picked() -> None:
    what = bench(supply=ON, end="T1.toe", mm=40.0, seconds=60.0, vehicles=("metal-wheel wagon",))
    session = Session(what)
    after(session, 30.0, Throw("T1", "diverging"))
    shot = after(session, 2.0, Nudge("shunter", -80.0))
    assert train(shot).derailed
    assert "comes off" in shot.log[-1]
    still = train(shot).vehicles[0].axles
    assert train(after(session, 1.0, Nudge("shunter", -80.0))).vehicles[0].axles == still
    shot = after(session, 0.1, Put("shunter", "T1.main", 20.0))
    assert not train(shot).derailed


def test_trailing_against_the_set_points() -> None:
    """With a dead frog it only derails; with a powered one it shorts first."""
    for frog, shorts in (("right", True), (None, False)):
        session = Session(bench(supply=ON, frog=frog, end="T1.diverging", mm=20.0))
        after(session, 0.01, *towards_frog(1.0))
        for _ in range(300):
            shot = session.step(Session.DT)
            if shot.fault is not None or train(shot).derailed:
                break
        assert (shot.fault is not None) == shorts
        assert train(shot).derailed != shorts
    assert "the points are not set for it" in shot.log[-1]


def test_points_thrown_between_a_trains_axles_part_it() -> None:
    session = Session(bench(supply=ON, end="T1.toe", mm=60.0, vehicles=("bogie diesel",), seconds=0.3))
    # the first bogie's axles beyond the blades' tips (80 mm in), the second's still before them
    before = train(session.snapshot()).vehicles[0].axles
    assert before[1][0] > 80.0
    assert sorted(axle[0] > 80.0 for axle in before)[0] is False
    after(session, 0.5, Direction("shunter", 1), Throw("T1"))
    shot = after(session, 6.0, Nudge("shunter", -200.0))
    assert train(shot).derailed
    assert "were thrown under it" in shot.log[-1]

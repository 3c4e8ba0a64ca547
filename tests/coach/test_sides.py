"""Which rails show their side in a job that hides them: those that the meter, or an engine that ran, has proved."""

from __future__ import annotations

import dataclasses

from sim.bench.edits import MakeWire, RemoveWire
from sim.bench.level import Level
from sim.bench.model import Bench
from sim.coach.sides import seen_sides
from sim.session.acts import Act, Dial, Do, Drive, Plug, Power, Probe, Throw
from sim.session.memory import recall, remember
from sim.session.session import Session
from sim.session.snapshot import Evidence, Snapshot
from tests.session.benches import bench, read


def hidden(one: Bench) -> Bench:
    return dataclasses.replace(one, level=Level(sides="proved"))


def unplugged(one: Bench) -> Session:
    session = Session(hidden(one))
    session.step(0.01, (Plug(False), Dial("buzzer")))
    return session


def after(session: Session, *acts: Act, seconds: float = 0.02) -> Snapshot:
    return session.step(seconds, acts)


def shown(now: Snapshot) -> dict[str, str]:
    return {rail: side for rail, side in seen_sides(now).items() if side}


def test_before_anything_is_measured_no_rail_shows_a_side() -> None:
    assert shown(unplugged(bench(vehicles=())).snapshot()) == {}


def test_other_jobs_show_every_side_from_the_start_unless_the_player_wants_them_bare() -> None:
    now = Session(dataclasses.replace(bench(vehicles=()), level=Level())).snapshot()
    assert seen_sides(now) is now.feeds
    assert set(seen_sides(now, bare=True).values()) == {""}


def test_a_rail_joined_to_a_bus_bar_is_proved_and_no_other() -> None:
    now = after(unplugged(bench(vehicles=())), Probe("bus.A", "T1.stock.left"))
    assert shown(now) == {"T1.stock.left": "A"}


def test_what_is_measured_against_a_proved_rail_is_proved_too_in_whatever_order() -> None:
    session = unplugged(bench(vehicles=()))
    now = after(session, Probe("T1.frog", "T1.stock.right"))
    assert shown(now) == {}  # joined, but to what?
    now = after(session, Probe("T1.stock.right", "bus.B"))
    assert shown(now) == {"T1.frog": "B", "T1.stock.right": "B"}


def test_a_proof_holds_for_the_position_of_the_points_in_which_the_side_depends_on_them() -> None:
    session = unplugged(bench(vehicles=(), seconds=0.1))
    after(session, Probe("T1.stock.right", "bus.B"))
    now = after(session, Probe("T1.frog", "T1.stock.right"))
    assert set(shown(now)) == {"T1.frog", "T1.stock.right"}
    now = after(session, Probe(None, None), Throw("T1"), seconds=0.5)
    assert shown(now) == {"T1.stock.right": "B"}  # fed by a wire, whatever the points do
    now = after(session, Throw("T1"), seconds=0.5)
    assert set(shown(now)) == {"T1.frog", "T1.stock.right"}


def test_a_frog_on_the_same_rail_in_both_positions_is_not_given_away_by_the_first() -> None:
    same = bench(vehicles=(), frog=None, seconds=0.1)
    session = unplugged(same)
    for wire in (("M1.k", "T1.frog"), ("M1.m", "T1.stock.right"), ("M1.p", "T1.stock.right")):
        after(session, Do(MakeWire(*wire)))
    after(session, Probe("bus.B", "T1.stock.right"))
    assert "T1.frog" in shown(after(session, Probe("T1.frog", "T1.stock.right")))
    now = after(session, Probe(None, None), Throw("T1"), seconds=0.5)
    assert now.feeds["T1.frog"] == "B"
    assert "T1.frog" not in shown(now)


def test_what_has_been_wired_since_never_shows_a_side_that_is_not_so() -> None:
    session = unplugged(bench(vehicles=()))
    assert shown(after(session, Probe("bus.A", "T1.stock.left"))) == {"T1.stock.left": "A"}
    after(session, Probe(None, None), Do(RemoveWire(0)))
    now = after(session, Do(MakeWire("bus.B", "T1.stock.left")))
    assert now.feeds["T1.stock.left"] == "B"
    assert shown(now) == {}


def test_open_to_both_sides_proves_that_nothing_feeds_it() -> None:
    session = unplugged(bench(vehicles=(), frog=None))
    assert shown(after(session, Probe("T1.frog", "bus.A"))) == {}
    assert shown(after(session, Probe("T1.frog", "bus.B"))) == {"T1.frog": "none"}


def test_ohms_with_the_supply_plugged_in_prove_nothing() -> None:
    session = Session(hidden(bench(vehicles=())))
    assert shown(after(session, Dial("ohms"), Probe("bus.A", "T1.stock.left"))) == {}


def test_volts_between_two_rails_prove_the_one_by_the_other() -> None:
    session = unplugged(bench(vehicles=()))
    after(session, Probe("bus.A", "T1.stock.left"))
    now = after(session, Dial("volts"), Plug(True), Power(True), Probe("T1.stock.left", "T1.stock.right"))
    assert shown(now) == {"T1.stock.left": "A", "T1.stock.right": "B"}


def test_an_engine_that_runs_proves_the_rails_that_it_collects_from() -> None:
    session = Session(hidden(bench(supply="on = true", end="T1.main", mm=45.0)))
    assert shown(session.snapshot()) == {}
    now = after(session, Drive("shunter", 0.3), seconds=0.5)
    assert now.trains[0].running
    proved = shown(now)
    assert proved
    assert all(now.feeds[rail] == side for rail, side in proved.items())
    under = {node for axle in now.trains[0].vehicles[0].touching for wheels in axle for node in wheels}
    assert under <= set(proved)


def test_an_engine_that_stands_proves_nothing() -> None:
    session = Session(hidden(bench(supply="on = true", end="T1.main", mm=45.0)))
    assert shown(after(session, seconds=0.5)) == {}


def test_a_throw_of_other_points_leaves_a_frog_proved() -> None:
    two = bench(vehicles=(), more='[[track]]\nid = "T2"\nkind = "turnout"\nscale = "HO"\nhand = "left"\nnumber = 6\n')
    session = unplugged(two)
    after(session, Probe("T1.stock.right", "bus.B"))
    assert "T1.frog" in shown(after(session, Probe("T1.frog", "T1.stock.right")))
    assert "T1.frog" in shown(after(session, Probe(None, None), Throw("T2"), seconds=2.0))


def test_what_was_proved_is_remembered_with_a_bench_that_was_left() -> None:
    one = hidden(bench(vehicles=()))
    session = unplugged(bench(vehicles=()))
    now = after(session, Probe("bus.A", "T1.stock.left"))
    assert Evidence("joined", ("T1.stock.left", "bus.A"), (("T1", "normal"),)) in now.evidence
    again = recall(one, remember(session)).snapshot()
    assert again.evidence == now.evidence
    assert shown(again) == {"T1.stock.left": "A"}


def test_the_bench_file_knows_both_words_and_no_other() -> None:
    text = 'bench = 1\n[supply]\nkind = "dcc"\n[level]\nsides = "proved"\n'
    level = read(text).level
    assert level is not None
    assert level.sides == "proved"

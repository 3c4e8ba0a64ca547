"""When a prompt goes on: what counts as over the frog, and what it stands beside."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.edits import ChangeWire, MakeWire, RemoveWire
from sim.bench.model import Bench
from sim.bench.prompt import Joined, Live, Over, Prompt
from sim.coach.prompts import Prompts
from sim.session.acts import Act, Direction, Do, Drive, Nudge, Plug, Power, Throw
from sim.session.session import Session
from tests.proof.benches import Desk
from tests.session.benches import bench as wired_bench

SHUNTER = 'id = "E1"\nvehicles = ["four-wheel shunter"]\nat = { end = "T1.toe", mm = 45 }\n'


def prompted(bench: Bench, *prompts: Prompt) -> Prompts:
    """Prompts of a bench's own, beside one that never comes to an end."""
    found = Prompts(bench)
    found._prompts = (*prompts, Prompt("Done.", "test", Over("T9", "normal")))
    return found


def run(desk: Desk, prompts: Prompts, *acts: Act, seconds: float = 20.0) -> Session:
    """The shunter over the frog, away from the toe, with prompts that follow it all the way."""
    session = Session(desk.bench())
    session.step(Session.DT, acts)
    now = session.step(Session.DT, (Plug(True), Power(True), Direction("E1", -1), Drive("E1", 0.4)))
    for _ in range(round(seconds / Session.DT)):
        now = session.step(Session.DT)
        prompts.follow(now)
    return session


def over(desk: Desk, *acts: Act) -> bool:
    prompts = prompted(desk.bench(), Prompt("Over.", "lever", Over("T1", "normal")))
    run(desk, prompts, *acts)
    assert prompts.now is not None
    return prompts.now.say == "Done."


def desk() -> Desk:
    return Desk(more=f"[[train]]\n{SHUNTER}")


def test_an_engine_that_runs_over_the_frog_has_been_over_it() -> None:
    assert over(desk())


def test_an_engine_that_shorts_on_the_frog_has_not_been_over_it() -> None:
    """For one moment it runs with a wheel on the frog: that is not over it, nor is being pushed off it again."""
    prompts = prompted(desk().exchanged().bench(), Prompt("Over.", "lever", Over("T1", "normal")))
    session = run(desk().exchanged(), prompts)
    assert session.snapshot().fault is not None
    for acts in ((Plug(False),), (Nudge("E1", 60.0),), (Nudge("E1", 60.0),)):
        prompts.follow(session.step(0.5, acts))
    assert prompts.now is not None
    assert prompts.now.say == "Over."


def test_an_engine_that_dies_on_the_frog_or_takes_the_other_road_has_not_been_over_it() -> None:
    assert not over(replace(desk(), number=8).without("frog wire"))
    assert not over(desk(), Throw("T1", "diverging"))


def test_where_power_is_wanted_the_plug_comes_before_the_rocker() -> None:
    prompts = prompted(desk().bench(), Prompt("Power.", "rocker", Live(True)))
    session = Session(desk().bench())
    assert prompts.stands(session.step(Session.DT, (Plug(False),))) == ("Power.", "plug")
    assert prompts.stands(session.step(Session.DT, (Power(False), Plug(True)))) == ("Power.", "rocker")


def test_a_stall_on_both_sides_is_told_as_a_short_and_one_on_none_as_no_power() -> None:
    lamp = '[[lamp]]\nid = "L1"\n'
    shorted = Desk(more=f"{lamp}[[train]]\n{SHUNTER}").exchanged()
    shorted = shorted.wired("left feeder", "L1.2", "T1.stock.left").wired("to the lamp", "bus.A", "L1.1")
    shorted = shorted.wired("left outer", shorted.outer("left"), "T1.stock.left")
    log = run(shorted, prompted(shorted.bench())).snapshot().log
    assert any("its wheels join side A and side B, a short. A lamp in line takes the current." in line for line in log)
    assert not any("no power reaches it" in line for line in log)
    joined = Desk(more=f"{lamp}[[train]]\n{SHUNTER}").wired("left feeder", "L1.2", "T1.stock.left")
    joined = joined.wired("to the lamp", "bus.A", "L1.1").wired("across", "T1.stock.left", "T1.stock.right")
    log = run(joined, prompted(joined.bench())).snapshot().log
    assert any("too few volts reach it, and a lamp in line takes the rest." in line for line in log)
    assert not any("no power reaches it" in line for line in log)
    dead = replace(desk(), number=12).without("frog wire")
    log = run(dead, prompted(dead.bench())).snapshot().log
    assert any("no power reaches it" in line for line in log)


def test_the_breaker_that_opens_once_more_for_the_same_short_says_so_and_a_pulled_plug_ends_the_loop() -> None:
    session = Session(Desk().bench())
    session.step(Session.DT, (Do(MakeWire("bus.A", "bus.B")), Plug(True), Power(True)))
    first = session.step(1.0).fault
    assert first is not None
    assert not first.again
    assert first.loop
    session.step(Session.DT, (Power(True),))
    second = session.step(1.0).fault
    assert second is not None
    assert second.again
    pulled = session.step(Session.DT, (Plug(False),)).fault
    assert pulled is not None
    assert pulled.loop == ()
    assert pulled.text == second.text


def test_what_was_driven_over_already_is_not_asked_for_again() -> None:
    """Driven while another prompt stood there: the prompt that asks for it is passed over."""
    prompts = prompted(desk().bench(), Prompt("Power.", "rocker", Live(False)), Prompt("Over.", "lever", Over("T1")))
    session = run(desk(), prompts)
    assert prompts.now is not None
    assert prompts.now.say == "Power."
    prompts.follow(session.step(Session.DT, (Power(False),)))
    assert prompts.now is not None
    assert prompts.now.say == "Done."


def test_what_was_driven_over_before_a_wire_was_changed_does_not_count() -> None:
    prompts = prompted(desk().bench(), Prompt("Power.", "rocker", Live(False)), Prompt("Over.", "lever", Over("T1")))
    session = run(desk(), prompts)
    prompts.follow(session.step(Session.DT, (Do(RemoveWire(0)),)))
    prompts.follow(session.step(Session.DT, (Power(False),)))
    assert prompts.now is not None
    assert prompts.now.say == "Over."


def test_a_wire_that_is_to_be_moved_has_to_be_off_its_old_terminal() -> None:
    bench = wired_bench(vehicles=())
    index, old = next((k, wire) for k, wire in enumerate(bench.wires) if wire.ends == ("M1.m", "T1.stock.right"))
    (screw, rail), other = old.ends, "T1.stock.left"
    prompts = prompted(bench, Prompt("Move.", "lever", Joined((screw, other), rail)))
    session = Session(bench)
    prompts.follow(session.step(Session.DT, (Do(MakeWire(screw, other)),)))
    assert prompts.now is not None
    assert prompts.now.say == "Move.", "a wire beside the old one is no exchange"
    moved = (Do(RemoveWire(len(bench.wires))), Do(ChangeWire(index, replace(old, ends=(screw, other)))))
    prompts.follow(session.step(Session.DT, moved))
    assert prompts.now.say == "Done."


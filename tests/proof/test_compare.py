"""Two wirings side by side: what only one of them has, and where they differ."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.edits import ChangeWire, Edit, MakeWire, Remove, SetPlace, TurnMotor
from sim.bench.laying import SetJoint
from sim.bench.model import Bench
from sim.proof import prove
from sim.proof.compare import Comparison, Difference, compare
from tests.proof.benches import Desk


def compared(first: Bench, second: Bench) -> Comparison:
    *shares, last = compare(first, second)
    assert shares == sorted(shares, key=float)  # type: ignore[arg-type]
    assert isinstance(last, Comparison)
    return last


def after(bench: Bench, *edits: Edit) -> Bench:
    for edit in edits:
        bench = edit.apply(bench)
    return bench


def test_a_bench_and_itself_have_nothing_apart() -> None:
    bench = Desk().exchanged().bench()
    found = compared(bench, bench)
    assert (found.first.only, found.second.only, found.differences) == ((), (), ())
    assert found.both > 0
    assert found.first == found.second


def test_what_only_the_wrong_wiring_has_is_its_shorts() -> None:
    good, wrong = Desk().bench(), Desk().exchanged().bench()
    found = compared(good, wrong)
    assert found.first.passed
    assert not found.second.passed
    assert found.first.shares == prove(good).shares
    assert found.second.shares == prove(wrong).shares
    assert not [only for only in found.first.only if only.fails]
    assert {only.kind for only in found.second.only if only.fails} == {"short"}
    texts = {finding.text for finding in prove(wrong).findings}
    assert all(only.text in texts for only in found.second.only)
    counted = sum(only.count for only in found.second.only)
    assert counted + found.both >= len({f.text for f in prove(wrong).findings if f.fails})
    back = compared(wrong, good)
    assert (back.first, back.second) == (found.second, found.first)


def test_findings_that_fail_come_first() -> None:
    found = compared(Desk().bench(), Desk().exchanged().built(bonds={"left": "open"}).bench())
    fails = [only.fails for only in found.second.only]
    assert fails == sorted(fails, reverse=True)
    assert set(fails) == {True, False}


def test_exchanged_outers_are_told_as_four_wires() -> None:
    found = compared(Desk().bench(), Desk().exchanged().bench())
    assert {(d.what, d.first, d.second) for d in found.differences} == {
        ("Wire from M1.p to bus A", "0.5 mm², 0.3 m", "none"),
        ("Wire from M1.m to bus B", "0.5 mm², 0.3 m", "none"),
        ("Wire from M1.m to bus A", "none", "0.5 mm², 0.3 m"),
        ("Wire from M1.p to bus B", "none", "0.5 mm², 0.3 m"),
    }


def test_a_wire_of_another_size_is_one_line_and_its_colour_or_the_way_it_was_drawn_is_none() -> None:
    bench = Desk().bench()
    wire = bench.wires[0]
    thick = after(bench, ChangeWire(0, replace(wire, mm2=1.5)))
    assert compared(bench, thick).differences == (
        Difference("Wire from bus A to the left stock rail", "0.5 mm², 0.3 m", "1.5 mm², 0.3 m"),
    )
    turned = replace(wire, ends=(wire.ends[1], wire.ends[0]), colour="rose")
    assert compared(bench, after(bench, ChangeWire(0, turned))).differences == ()


def test_a_second_wire_between_the_same_two_is_a_difference() -> None:
    bench = Desk().bench()
    twice = after(bench, MakeWire(*bench.wires[0].ends))
    assert [(d.first, d.second) for d in compared(bench, twice).differences] == [("none", "0.5 mm², 0.3 m")]


JOINED = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 200\njoins = { a = "T1.toe" }\n'


def test_gaps_joints_motors_and_pieces_that_differ_are_told() -> None:
    bench = Desk().beside(JOINED).bench()
    other = after(
        bench, SetPlace("T1.gap.closure.left", "closed"), SetJoint("P1.a", "right", "insulated"), TurnMotor("M1")
    )
    assert compared(bench, other).differences == (
        Difference("Left closure gap of T1", "cut", "closed"),
        Difference("Joint at P1.a, left and right", "metal and metal", "metal and insulated"),
        Difference("Motor M1", "1 contact", "turned round, 1 contact"),
    )
    gone = compared(bench, after(bench, Remove("P1"))).differences
    assert gone == (Difference("Track P1", "there", "none"),)

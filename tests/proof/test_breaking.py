"""Each thing opened once, against turnouts worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sim.bench.edits import RemoveWire
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.proof import breaking, prove
from sim.proof.breaking import Broken, break_each, breakable, fate_words
from sim.track.layout import Layout
from sim.wiring.feeds import feeds
from sim.wiring.positions import filed_travel
from tests.proof.benches import Desk

NORMAL, DIVERGING = {"T1": "normal"}, {"T1": "diverging"}


def broken(bench: Bench) -> dict[PartRef, Broken]:
    *_, rows = break_each(bench)
    assert isinstance(rows, tuple)
    return {row.ref: row for row in rows}


def lost(row: Broken) -> dict[str, set[str]]:
    """Rails without feed, by how the points stand."""
    return {points["T1"]: set(rails) for points, rails in row.rails}


def wire_named(desk: Desk, name: str) -> PartRef:
    return PartRef("wire", "", (list(desk.wires).index(name),))


def test_where_only_the_touch_of_a_blade_feeds_its_closure_rail_the_touch_kills_it() -> None:
    """Right hand, points diverging: the left blade lies on its stock rail. Its bond is open, so that touch is all.

    The right exit rail hangs on the left closure rail by its jumper. With the points normal the left blade is away,
    and both are dead before anything is opened, so nothing more dies then.
    """
    rows = broken(Desk().built(bonds={"left": "open"}).bench())
    touch = rows[PartRef("blade", "T1", ("left",))]
    assert lost(touch) == {"diverging": {"T1.blade.left", "T1.exit.right"}}
    assert touch.dead > 0
    assert touch.fate == "dies"
    assert rows[PartRef("blade", "T1", ("right",))].fate == "second way", "that one has its bond"
    assert PartRef("bond", "T1", ("left",)) not in rows


def test_where_the_blade_is_bonded_its_touch_has_a_second_way_and_the_bond_has_one_only_while_it_touches() -> None:
    rows = broken(Desk().bench())
    for side in ("left", "right"):
        touch = rows[PartRef("blade", "T1", (side,))]
        assert (touch.rails, touch.dead, touch.short, touch.fate) == ((), 0, 0, "second way")
    assert lost(rows[PartRef("bond", "T1", ("left",))]) == {"normal": {"T1.blade.left", "T1.exit.right"}}
    assert lost(rows[PartRef("bond", "T1", ("right",))]) == {"diverging": {"T1.blade.right", "T1.exit.left"}}


def test_an_arm_of_the_contact_kills_the_frog_in_its_position_and_the_common_in_both() -> None:
    desk = Desk()
    rows = broken(desk.bench())
    assert lost(rows[PartRef("contact", "M1", (0, "normal"))]) == {"normal": {"T1.frog"}}
    assert lost(rows[PartRef("contact", "M1", (0, "diverging"))]) == {"diverging": {"T1.frog"}}
    assert lost(rows[wire_named(desk, "frog wire")]) == {"normal": {"T1.frog"}, "diverging": {"T1.frog"}}
    assert lost(rows[wire_named(desk, "right outer")]) == {"normal": {"T1.frog"}}


def test_a_second_feeder_to_the_same_rail_gives_both_a_second_way() -> None:
    desk = Desk().wired("second left feeder", "bus.A", "T1.stock.left")
    rows = broken(desk.bench())
    for name in ("left feeder", "second left feeder"):
        assert rows[wire_named(desk, name)].fate == "second way"
    assert rows[wire_named(desk, "right feeder")].fate == "dies"


def test_a_wire_to_nowhere_has_nothing_hanging_on_it() -> None:
    desk = Desk().beside('[[lamp]]\nid = "L1"\n').wired("spare", "bus.A", "L1.1")
    row = broken(desk.bench())[wire_named(desk, "spare")]
    assert row.fate == "nothing hangs on it"
    assert fate_words(desk.bench(), row) == "Nothing dies: nothing hangs on it."


def test_what_comes_off_can_only_take_a_short_away() -> None:
    """Outers exchanged: no thing taken off makes a further run short."""
    assert all(row.short == 0 for row in broken(Desk().exchanged().bench()).values())


def test_a_unit_without_its_second_side_leaves_the_frog_dead_where_it_must_turn_over() -> None:
    """The same as the whole test of the bench with that wire off."""
    desk = Desk().without("frog wire", "left outer", "right outer")
    desk = desk.beside('[[polarity]]\nid = "Q1"\n')
    desk = desk.wired("a", "bus.A", "Q1.a").wired("b", "bus.B", "Q1.b").wired("out", "Q1.out", "T1.frog")
    bench = desk.bench()
    rows = broken(bench)
    off = RemoveWire(list(desk.wires).index("b")).apply(bench)
    assert rows[wire_named(desk, "b")].dead == sum(
        one.live and not other.live for one, other in zip(prove(bench).routes, prove(off).routes, strict=True)
    )
    assert rows[wire_named(desk, "b")].dead > 0
    assert rows[wire_named(desk, "out")].dead > 0


JOINED = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 200\njoins = { a = "T1.toe" }\n'


def test_a_joiner_kills_the_rail_beyond_it_unless_that_has_a_wire_too() -> None:
    """P1's end a meets the toe, so P1's left rail, seen from a, is the toe's right one."""
    rows = broken(Desk().beside(JOINED).bench())
    for side in ("left", "right"):
        assert {rail for _, rails in rows[PartRef("joint", "P1", ("a", side))].rails for rail in rails} == {
            f"P1.{side}"
        }
    desk = Desk().beside(JOINED).wired("far feeder", "bus.B", "P1.left")
    rows = broken(desk.bench())
    assert rows[PartRef("joint", "P1", ("a", "left"))].fate == "second way"
    assert rows[PartRef("joint", "P1", ("a", "right"))].fate == "dies"


def test_the_frog_of_one_piece_with_its_rails_has_no_gaps_to_come_off_and_a_bridged_one_has() -> None:
    assert not [ref for ref in breakable(Desk(frog="live").without("frog wire").bench()) if ref.kind == "gap"]
    bridged = Desk().with_place("gaps", "exit.left", "closed").bench()
    assert PartRef("gap", "T1", ("exit.left",)) in breakable(bridged)


def test_everything_that_conducts_anywhere_is_opened_once_and_what_matters_most_comes_first() -> None:
    bench = Desk().bench()
    rows = list(broken(bench).values())
    assert {row.ref for row in rows} == set(breakable(bench))
    assert [row.weight for row in rows] == sorted((row.weight for row in rows), reverse=True)
    assert rows[0].weight > rows[-1].weight


@pytest.mark.parametrize("name", list(Desk().wires))
def test_a_wire_taken_as_broken_is_a_wire_taken_off(name: str) -> None:
    """The same as the whole test of the bench without that wire."""
    desk = Desk().wired("far feeder", "bus.A", "T1.exit.right")
    bench, number = desk.bench(), list(desk.wires).index(name)
    row = broken(bench)[PartRef("wire", "", (number,))]
    off = RemoveWire(number).apply(bench)
    before, after = prove(bench), prove(off)
    assert row.dead == sum(a.live and not b.live for a, b in zip(before.routes, after.routes, strict=True))
    pairs = list(zip(before.routes, after.routes, strict=True))
    assert row.short == sum(a.safe and not b.safe and b.live for a, b in pairs)
    now = feeds(bench, Layout(bench), filed_travel(bench))
    then = feeds(off, Layout(off), filed_travel(off))
    gone = {rail for rail in now if now[rail] != "none" and then[rail] == "none"}
    assert lost(row).get("normal", set()) == gone


def test_too_much_to_run_is_told_by_the_rails_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = Desk().bench()
    whole = broken(bench)
    monkeypatch.setattr(breaking, "MOST_ROUTES", 3)
    short = broken(bench)
    assert {ref: (row.rails, row.fate) for ref, row in short.items()} == {
        ref: (row.rails, row.fate) for ref, row in whole.items()
    }
    assert all(row.routes == 0 for row in short.values())
    assert all(row.routes > 0 for row in whole.values())


def test_the_share_done_only_grows() -> None:
    shares = [step for step in break_each(Desk().bench()) if isinstance(step, float)]
    assert shares == sorted(shares)
    assert 0.0 <= shares[0] < shares[-1] < 1.0


def test_what_came_of_it_is_told_plainly() -> None:
    desk = Desk().built(bonds={"left": "open"})
    bench = desk.bench()
    rows = broken(bench)
    dead = rows[PartRef("contact", "M1", (0, "normal"))].dead
    routes = rows[PartRef("contact", "M1", (0, "normal"))].routes
    assert fate_words(bench, rows[PartRef("contact", "M1", (0, "normal"))]) == (
        f"{dead} of {routes} runs die. No feed for the frog with points normal."
    )
    assert fate_words(bench, rows[PartRef("blade", "T1", ("right",))]) == "Nothing dies: it has a second way."
    assert rows[PartRef("contact", "M1", (0, "normal"))].words == "Contact k to m of M1"
    wires = (replace(bench.wires[0], number="W7"), *bench.wires[1:])
    assert (
        broken(replace(bench, wires=wires))[PartRef("wire", "", (0,))].words
        == "Wire W7 from bus A to the left stock rail"
    )


def test_a_bench_without_track_has_nothing_that_dies() -> None:
    bench = replace(Desk().bench(), tracks=(), motors=(), wires=())
    assert broken(bench) == {}

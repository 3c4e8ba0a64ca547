"""Which side feeds which rail, against a graph made from the bench file's own words by another hand."""

from __future__ import annotations

import networkx
import pytest
from hypothesis import HealthCheck, given, settings

from sim.bench.levers import mover
from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.wiring.feeds import feeds
from sim.wiring.positions import positions
from tests.proof.benches import Desk
from tests.proof.neighbours import bench as two
from tests.proof.neighbours import fed, plain, turnout
from tests.proof.test_currents import COMMON, TWO, far, lamped, on_a_unit
from tests.proof.test_laws import desks

OTHER = {"left": "right", "right": "left"}


def looking_out(bench: Bench, end: str) -> dict[str, str]:
    """The left and right rail at an end of a turnout, as seen by who looks out of it there."""
    name, _, own = end.partition(".")
    left_is_main = bench.piece(name).hand != "left"  # type: ignore[attr-defined]
    if own == "toe":
        return {"left": f"{name}.stock.right", "right": f"{name}.stock.left"}
    if (own == "main") == left_is_main:
        return {"left": f"{name}.stock.left", "right": f"{name}.exit.left"}
    return {"left": f"{name}.exit.right", "right": f"{name}.stock.right"}


def by_the_book(bench: Bench, travel: dict[str, float]) -> dict[str, str]:
    """bench-file.md, `positions`: wires, made contacts, touching blades, bonds, jumpers, closed or leaking gaps,
    joiners, lamps, polarity units at rest (a to out), whatever their resistance; what is open joins nothing.
    """
    graph = networkx.Graph()
    for wire in bench.wires:
        graph.add_edge(*wire.ends)
    for motor in bench.motors:
        for contact in motor.changeovers:
            normal, diverging = contact.normal, contact.diverging
            if motor.turned:
                normal, diverging = diverging, normal
            if contact.condition != "open" and travel[mover(motor)] <= contact.travel[0]:
                graph.add_edge(f"{motor.id}.{contact.common}", f"{motor.id}.{normal}")
            if contact.condition != "open" and travel[mover(motor)] >= contact.travel[1]:
                graph.add_edge(f"{motor.id}.{contact.common}", f"{motor.id}.{diverging}")
    for piece in bench.tracks:
        for place in piece.places():
            if place.state in {"closed", "leaking", "made"}:
                graph.add_edge(place.a, place.b)
        for section in piece.sections():
            graph.add_node(section)
        if piece.kind in {"turnout", "wye"} and piece.blade_condition != "open":  # type: ignore[attr-defined]
            # Set for the left leg trains run on the right blade, so it is closed; the left leg is main but on a left
            # hand.
            left_leg = (travel[piece.id] == 0.0) == (piece.hand != "left")  # type: ignore[attr-defined]
            side = "right" if left_leg else "left"
            graph.add_edge(f"{piece.id}.blade.{side}", f"{piece.id}.stock.{side}")
        for end, meets in piece.joins.items():
            for side, rail in looking_out(bench, meets).items():
                if piece.joint.get(side, "metal") != "insulated":
                    graph.add_edge(f"{piece.id}.{side}" if end == "a" else f"{piece.id}.{OTHER[side]}", rail)
    for lamp in bench.lamps:
        graph.add_edge(f"{lamp.id}.1", f"{lamp.id}.2")
    for unit in bench.polarities:
        graph.add_edge(f"{unit.id}.a", f"{unit.id}.out")
    if bench.bus is not None:
        for tap in bench.bus.taps:
            for side in "AB":
                graph.add_edge(f"bus.{side}", f"{tap}.{side}")
    sides = {side: {f"{supply.id}.{side}" for supply in bench.supplies} for side in "AB"}
    graph.add_nodes_from(sides["A"] | sides["B"])
    found = {}
    for piece in bench.tracks:
        for section in piece.sections():
            group = networkx.node_connected_component(graph, section)
            on = [side for side in "AB" if group & sides[side]]
            found[section] = "both" if len(on) == 2 else on[0] if on else "none"
    return found


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(desks())
def test_feeds_are_what_the_book_says(desk: Desk) -> None:
    bench = desk.bench()
    layout = Layout(bench)
    for travel in positions(bench):
        assert feeds(bench, layout, travel) == by_the_book(bench, travel)


@pytest.mark.parametrize(
    "bench",
    [
        lamped(Desk()).bench(), far(40, 0.25, Desk()).bench(), on_a_unit().bench(),
        parse(TWO.format(volts=15, trip=3, m="B", p="A"), KINDS, name="x"),
        parse(TWO.format(volts=15, trip=3, m="B", p="A") + COMMON, KINDS, name="x"),
    ],
    ids=["lamp", "bus and taps", "unit", "two supplies", "two supplies with a common"],
)  # fmt: skip
def test_feeds_through_everything_a_bench_may_have(bench: Bench) -> None:
    layout = Layout(bench)
    for travel in positions(bench):
        assert feeds(bench, layout, travel) == by_the_book(bench, travel)


def test_feeds_over_joiners_follow_the_rails() -> None:
    """A joiner joins the left rail to the left one as a train runs on; a turnout joined heads-on exchanges them."""
    layouts = {
        "on": turnout("T2", "M2", "isolated", joins='{ toe = "T1.main" }'),
        "heads-on": turnout("T2", "M2", "isolated", joins='{ main = "T1.main" }'),
        "toe to toe": turnout("T2", "M2", "isolated", joins='{ toe = "T1.toe" }'),
    }
    expected = {"on": ("A", "B"), "heads-on": ("B", "A"), "toe to toe": ("B", "A")}
    for name, second in layouts.items():
        bench = two(turnout("T1", "M1", "isolated"), second, fed("T1", "M1", "A", "B"))
        rails = feeds(bench, Layout(bench), {"T1": 0.0, "T2": 0.0})
        assert (rails["T2.stock.left"], rails["T2.stock.right"]) == expected[name], name


@pytest.mark.parametrize(
    ("joint", "expected"), [("metal", ("A", "B")), ("bad", ("A", "B")), ("insulated", ("none", "none"))]
)
def test_feeds_over_each_kind_of_joint(joint: str, expected: tuple[str, str]) -> None:
    bench = Desk().beside(plain("P1", "T1.main", joint=joint, length=900)).bench()
    rails = feeds(bench, Layout(bench), {"T1": 0.0})
    assert (rails["P1.left"], rails["P1.right"]) == expected
    half = Desk().beside(plain("P1", "T1.main", joint=joint, rails="left")).bench()
    rails = feeds(half, Layout(half), {"T1": 0.0})
    assert (rails["P1.left"], rails["P1.right"]) == (expected[0], "B")

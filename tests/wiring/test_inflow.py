"""What flows into a rail flows out of it, and a clip-on ammeter reads what passes: checked against the solver."""

from __future__ import annotations

import pytest

from sim.bench.edits import MakeWire, SetPlace
from sim.electric.parts import PartRef
from sim.session.acts import Do, Drive, Power
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.layout import Layout
from sim.wiring.inflow import inflows, part_ends, passing
from tests.session.benches import bench

PLAIN = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 900\njoins = { a = "T1.main" }\n'


def running(more: str = "", **where: object) -> Snapshot:
    session = Session(bench(vehicles=("bogie diesel",), more=more, **where))  # type: ignore[arg-type]
    session.step(Session.DT, (Power(True), Drive("shunter", 0.2)))
    return session.step(Session.DT)


def flowing(shot: Snapshot) -> dict[str, dict[PartRef, float]]:
    ends = part_ends(shot.bench, Layout(shot.bench))
    return {node: {row.ref: row.amps for row in rows} for node, rows in inflows(ends, shot.amps).items()}


@pytest.mark.parametrize("at", [("T1.toe", 220.0), ("T1.main", 60.0)])
def test_what_flows_into_every_rail_flows_out_of_it(at: tuple[str, float]) -> None:
    shot = running(PLAIN if at[0] == "T1.toe" else "", end=at[0], mm=at[1])
    found = flowing(shot)
    rails = {node for piece in shot.bench.tracks for node in piece.nodes()}
    assert rails <= set(found)
    assert any(abs(amps) > 0.05 for rail in rails for amps in found[rail].values())
    for node, rows in found.items():
        assert sum(rows.values()) == pytest.approx(0.0, abs=1e-9), node


def test_round_a_rail_that_only_a_closed_gap_feeds_it_reads_what_crosses_the_gap() -> None:
    session = Session(bench(frog="right", end="T1.toe", mm=340.0, vehicles=("four-wheel shunter",)))
    session.step(Session.DT, (Do(SetPlace("T1.jumper.right", "open")), Do(SetPlace("T1.gap.exit.right", "closed"))))
    shot = session.step(Session.DT, (Power(True), Drive("shunter", 0.2)))
    rows = flowing(shot)["T1.exit.right"]
    wheels = sum(amps for ref, amps in rows.items() if ref.kind == "wheel")
    gap = rows[PartRef("gap", "T1", ("exit.right",))]
    assert abs(gap) == pytest.approx(abs(shot.amps[PartRef("gap", "T1", ("exit.right",))]))
    # the gap at its near end, 0 mm, the wheels further on: between them all that the wheels take passes
    assert passing([(0.0, gap), (40.0, wheels)], 20.0) == pytest.approx(-wheels)


def test_bond_and_blade_share_what_the_closure_rail_takes() -> None:
    shot = running(end="T1.toe", mm=150.0)  # its wheels stand on the blades and closure rails
    rows = flowing(shot)["T1.blade.right"]  # points normal: the right blade is closed
    tip, bond = rows[PartRef("blade", "T1", ("right",))], rows[PartRef("bond", "T1", ("right",))]
    wheels = sum(amps for ref, amps in rows.items() if ref.kind == "wheel")
    rest = wheels + rows[PartRef("jumper", "T1", ("left",))] + rows[PartRef("gap", "T1", ("closure.right",))]
    assert abs(rest) > 0.01
    assert tip * bond > 0  # both feed it
    # from the tip on: past the blade's contact, then past the bond, then nothing beyond wheels, jumper and gap
    inputs = [(0.0, tip), (100.0, bond), (150.0, rest)]
    assert passing(inputs, 50.0) == pytest.approx(tip)
    assert passing(inputs, 120.0) == pytest.approx(-rest)
    assert passing(inputs, 160.0) == pytest.approx(0.0, abs=1e-9)


def test_plain_rail_in_lengths_passes_on_what_its_joint_brings() -> None:
    shot = running(PLAIN, end="P1.b", mm=400.0)
    found = flowing(shot)
    joint = abs(shot.amps[PartRef("joint", "P1", ("a", "left"))])
    assert joint > 0.05
    assert abs(shot.amps[PartRef("rail", "P1", ("left/0",))]) == pytest.approx(joint)  # no wheel on the first length
    first = found["P1.left/0"]
    joined, onward = first[PartRef("joint", "P1", ("a", "left"))], first[PartRef("rail", "P1", ("left/0",))]
    assert passing([(0.0, joined), (300.0, onward)], 150.0) == pytest.approx(-onward)


def test_a_wire_to_long_plain_rail_is_found_at_the_length_it_is_soldered_to() -> None:
    session = Session(bench(more=PLAIN, end="P1.b", mm=700.0))
    session.step(Session.DT, (Do(MakeWire("bus.A", "P1.left")), Power(True), Drive("shunter", 0.2)))
    shot = session.step(Session.DT)
    number = len(shot.bench.wires) - 1
    rows = flowing(shot)["P1.left/1"]
    assert abs(rows[PartRef("wire", "", (number,))]) == pytest.approx(abs(shot.amps[PartRef("wire", "", (number,))]))
    assert abs(rows[PartRef("wire", "", (number,))]) > 0.01

"""The folded batch that the verdict is made of, state by state against the whole circuit solved on its own."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.proof import prove
from sim.proof.faults import HOT_AMPS
from sim.proof.judge import Judge
from sim.proof.settings import positions
from sim.proof.states import contact_states
from sim.proof.subject import Subject
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.track.route import route_contacts
from sim.track.wheels import play_mm, wheel
from sim.train import fleet
from sim.wiring.wheels import Standing, pickup_nodes
from tests.proof.benches import Desk, four_wheeler
from tests.proof.neighbours import plain, wires
from tests.proof.test_currents import COMMON, TWO, far, lamped

BENCHES: dict[str, Callable[[], Bench]] = {
    "right": lambda: Desk().bench(),
    "exchanged": lambda: Desk("left").exchanged().bench(),
    "unfed": lambda: Desk("wye", 8).without("frog wire").bench(),
    "oxidised and exchanged": lambda: Desk().exchanged().with_contact(condition="oxidised").bench(),
    "live, gapped": lambda: Desk(frog="live").exits_cut().bench(),
    "live, blades tarnished": lambda: Desk(frog="live").exits_cut().exchanged().built(blade_contact="open").bench(),
    "dead": lambda: Desk(frog="dead", number=12).bench(),
    "lamp in line, exchanged": lambda: lamped(Desk().exchanged()).bench(),
    "thin bus": lambda: far(40, 0.25, Desk()).bench(),
    "a leaking gap": lambda: Desk().with_place("gaps", "closure.left", "leaking").bench(),
    "a floating section beyond": lambda: Desk().beside(plain("P1", "T1.main", joint="insulated", length=700)).bench(),
    "a crossed section beyond": lambda: (
        Desk()
        .beside(
            plain("P1", "T1.main", joint="insulated", length=700) + wires(("bus.B", "P1.left"), ("bus.A", "P1.right"))
        )
        .bench()
    ),
    "two supplies": lambda: parse(TWO.format(volts=15, trip=60, m="A", p="B") + COMMON, KINDS, name="two.toml"),
    "two supplies apart": lambda: parse(TWO.format(volts=15, trip=3, m="B", p="A"), KINDS, name="two.toml"),
    "three axles, odd pick-ups": lambda: (
        Desk()
        .exchanged()
        .carrying(four_wheeler(0, axles_mm=[0.0, 11.0, 31.0], pickup={"left": [1, 3], "right": [2]}))
        .bench()
    ),
    "a wagon of one axle": lambda: (
        Desk()
        .exchanged()
        .carrying(four_wheeler(0, axles_mm=[0.0], pickup={"left": [], "right": []}, draws_amps=0.0))
        .bench()
    ),
}


@pytest.mark.parametrize("name", BENCHES)
def test_every_state_is_what_the_whole_circuit_gives(name: str) -> None:
    bench = BENCHES[name]()
    layout = Layout(bench)
    rails = pickup_nodes("test:0")
    seen = 0
    for travel in positions(bench):
        judge = Judge(Subject(bench, layout), travel)
        if judge.quiet().fault is not None:
            continue
        for piece in bench.tracks:
            for index in range(len(layout.geometry(piece.id).tracks)):
                if any(travel[points] != at for points, at in layout.set_for(piece.id, index).items()):
                    continue
                vehicles = fleet.tested(bench, layout.scale(piece.id).name)
                batch = contact_states(layout, travel, piece.id, index, vehicles, ("forward", "backward"))
                assert batch is not None
                for (vehicle, _, states), outcome in zip(batch.runs, judge.outcomes(batch), strict=True):
                    for state in range(states.count):
                        seen += 1
                        lifted = solve(judge.circuit(0, (judge.standing(states, state, vehicle, running=False),)))
                        amps = [abs(lifted.amps[PartRef("supply", supply.id)]) for supply in bench.supplies]
                        told = int(outcome.supply[state])
                        assert outcome.amps[state] == pytest.approx(amps[told], rel=1e-9, abs=1e-9)
                        level = [
                            2 if a >= supply.trip_amps else int(a > HOT_AMPS)
                            for a, supply in zip(amps, bench.supplies, strict=True)
                        ]
                        assert outcome.fault[state] == max(level) == level[told]
                        running = solve(judge.circuit(0, (judge.standing(states, state, vehicle, running=True),)))
                        if vehicle.draws_amps > 0:
                            across = abs(running.volts[rails[0]] - running.volts[rails[1]])
                            assert outcome.volts[state] == pytest.approx(across, rel=1e-9, abs=1e-9)
                        else:
                            assert math.isnan(outcome.volts[state])
                        for rating, rated in zip(judge.subject.ratings, outcome.rated[state], strict=True):
                            stands = [lifted] if outcome.fault[state] == 1 else []
                            stands += [running] if outcome.fault[state] < 2 else []
                            expected = max((abs(one.amps[rating.ref]) for one in stands), default=0.0)
                            assert rated == pytest.approx(expected, rel=1e-9, abs=1e-9)
    assert seen > 20


@pytest.mark.parametrize("name", ["right", "live, gapped", "three axles, odd pick-ups", "a crossed section beyond"])
def test_cells_cover_the_way_without_a_hole(name: str) -> None:
    """Every place of the leading axle from wholly before to wholly beyond lies in a cell of each way of being
    pressed.
    """
    bench = BENCHES[name]()
    layout = Layout(bench)
    travel = next(iter(positions(bench)))
    vehicles = fleet.tested(bench, "HO")
    batch = contact_states(layout, travel, "T1", 0, vehicles, ("forward", "backward"))
    assert batch is not None
    length = layout.geometry("T1").tracks[0].length_mm
    for vehicle, direction, states in batch.runs:
        low, high = (0.0, length + vehicle.axles_mm[-1])
        if direction == "backward":
            low, high = -vehicle.axles_mm[-1], length
        for shift in np.unique(states.shift):
            cells = states.shift == shift
            stretches = sorted(zip(states.from_mm[cells].tolist(), states.to_mm[cells].tolist(), strict=True))
            assert stretches[0][0] <= low
            reached = stretches[0][1]
            for start, end in stretches:
                assert start <= reached + 1e-6
                reached = max(reached, end)
            assert reached >= high


@pytest.mark.parametrize("name", ["right", "live, gapped", "dead", "a crossed section beyond"])
def test_states_are_what_stands_at_places_drawn_by_lot(name: str) -> None:
    """At any place, the state of its cell is what the contact tables say of each axle there."""
    bench = BENCHES[name]()
    layout = Layout(bench)
    lot = np.random.default_rng(20)
    for travel in positions(bench):
        index = int(travel["T1"])
        path = layout.geometry("T1").tracks[index]
        scale = layout.scale("T1")
        for vehicle in fleet.tested(bench, scale.name):
            batch = contact_states(layout, travel, "T1", index, (vehicle,), ("forward", "backward"))
            assert batch is not None
            size = wheel(vehicle.wheel, scale)
            play = play_mm(scale.gauge_mm, size)
            reach = vehicle.axles_mm[-1] + 5
            tables = [route_contacts(layout, travel, "T1", index, reach, size, u) for u in (play, 0.0, -play)]
            for _, direction, states in batch.runs:
                sign = 1 if direction == "forward" else -1
                low, high = (0.0, path.length_mm + vehicle.axles_mm[-1])
                places = (
                    lot.uniform(low, high, 60)
                    if sign > 0
                    else lot.uniform(low - vehicle.axles_mm[-1], path.length_mm, 60)
                )
                for at in places.tolist():
                    expected = set()
                    for table in tables:
                        pairs = [table.touching(at - sign * axle) for axle in vehicle.axles_mm]
                        expected.add(tuple(pair if sign > 0 else pair[::-1] for pair in pairs))
                    cells = (states.from_mm < at) & (at < states.to_mm)
                    found = {
                        tuple(
                            (
                                frozenset(n for n, on in zip(states.nodes, axle[0], strict=True) if on),
                                frozenset(n for n, on in zip(states.nodes, axle[1], strict=True) if on),
                            )
                            for axle in states.touches[state]
                        )
                        for state in np.unique(states.state[cells])
                    }
                    assert found == expected


@pytest.mark.parametrize("name", ["exchanged", "unfed", "live, blades tarnished", "a crossed section beyond"])
def test_findings_against_every_millimetre_tried(name: str) -> None:
    """The shunter put down at places all along each path of T1, pressed all three ways, the whole circuit solved
    each time.

    What fails anywhere is found, and each finding's stretch ends within a step of the outermost place where it fails.
    """
    bench = replace(BENCHES[name](), test=("four-wheel shunter",))
    layout = Layout(bench)
    scale = layout.scale("T1")
    (shunter,) = fleet.tested(bench, scale.name)
    size = wheel(shunter.wheel, scale)
    play = play_mm(scale.gauge_mm, size)
    base, step = shunter.axles_mm[-1], 0.5
    rails = pickup_nodes("test:0")
    verdict = prove(bench)
    for travel in positions(bench):
        index = int(travel["T1"])
        path = layout.geometry("T1").tracks[index]
        judge = Judge(Subject(bench, layout), travel)
        tables = [route_contacts(layout, travel, "T1", index, base + 5, size, u) for u in (play, 0.0, -play)]
        places: dict[str, list[float]] = {"short": [], "dead": []}
        seen: dict[object, str] = {}
        for at in np.arange(0.0, path.length_mm + base, step).tolist():
            for table in tables:
                axles = tuple(table.touching(at - axle) for axle in shunter.axles_mm)
                if axles not in seen:
                    lifted = solve(judge.circuit(0, (Standing("test:0", shunter, axles),)))
                    running = solve(judge.circuit(0, (Standing("test:0", shunter, axles, 15 / shunter.draws_amps),)))
                    across = abs(running.volts[rails[0]] - running.volts[rails[1]])
                    short = abs(lifted.amps[PartRef("supply", "bus")]) >= 3.0
                    seen[axles] = "short" if short else "dead" if across < 7.0 else ""
                if seen[axles]:
                    places[seen[axles]].append(at)
        ends = ("T1.toe", f"T1.{path.ends[1]}")
        for kind, where in places.items():
            found = [f for f in verdict.findings if f.kind == kind and f.path == ends and f.direction == "forward"]
            if kind == "dead" and places["short"]:
                # shut in: not reached
                where = [at for at in where if not min(places["short"]) < at < max(places["short"])]
            assert bool(found) == bool(where), (kind, ends)
            if where:
                spans = [(f.from_mm or 0.0, f.to_mm or 0.0) for f in found]
                assert min(a for a, _ in spans) == pytest.approx(where[0], abs=step if where[0] > 0 else 2)
                assert max(b for _, b in spans) == pytest.approx(
                    where[-1], abs=step if where[-1] < path.length_mm else 8
                )

"""What flows on a running bench: the same as the whole circuit solved, kept factored or not, wherever trains stand."""

from __future__ import annotations

import math
from collections.abc import Mapping
from random import Random

import pytest

from sim.bench.levers import levers
from sim.bench.model import Bench, Train
from sim.bench.table import Table
from sim.electric.parts import PartRef
from sim.electric.solve import Solution, solve
from sim.session.acts import Drive, Power, Put, Throw
from sim.session.electrics import Electrics
from sim.session.session import Session
from sim.track.layout import Layout
from sim.track.walk import advance, spot_at
from sim.train.fleet import axle_places, train_vehicles
from sim.wiring.feeds import feeds
from sim.wiring.standing import standing_at
from sim.wiring.switched import circuit
from sim.wiring.wheels import Standing
from tests.game.large import station
from tests.practice.documents import bench_of
from tests.practice.random_benches import some_bench

_PLACES = (0.0, 0.02, 0.3, 0.5, 0.7, 0.98, 1.0)


def _travel(bench: Bench, random: Random) -> Table[str, float]:
    at = {lever: random.choice(_PLACES) for lever in levers(bench)}
    return Table((mover, place) for lever, place in at.items() for mover in lever.movers)


def _standing(bench: Bench, layout: Layout, travel: Mapping[str, float], random: Random) -> tuple[Standing, ...]:
    found = []
    for number in range(random.randint(0, 2)):
        piece = random.choice(bench.tracks)
        train = Train(f"V{number}", ("four-wheel shunter",), f"{piece.id}.{random.choice(piece.ENDS)}", 60.0)
        lead = spot_at(layout, train.end, random.uniform(20.0, 250.0), travel)
        for k, vehicle in enumerate(train_vehicles(bench, train, "HO")):
            places = axle_places((vehicle,))[0]
            spots = [advance(layout, lead, -place, travel) for place in places]
            ohms = random.choice([28.0, 700.0, 1e7, math.inf])
            found.append(standing_at(layout, travel, f"{train.id}:{k}", vehicle, spots, ohms))
    return tuple(found)


def _alike(found: Solution, true: Solution, within: float) -> None:
    assert dict(found.volts) == pytest.approx(dict(true.volts), abs=within, rel=within)
    assert dict(found.amps) == pytest.approx(dict(true.amps), abs=within, rel=within)
    assert dict(found.watts) == pytest.approx(dict(true.watts), abs=within, rel=within)
    assert found.supplied_watts == pytest.approx(true.supplied_watts, abs=within, rel=within)


@pytest.mark.parametrize("large", [0, 10**6])
@pytest.mark.parametrize("seed", range(12))
def test_a_running_bench_is_solved_as_the_whole_circuit_is(seed: int, large: int) -> None:
    random = Random(seed)
    bench = bench_of(some_bench(random, switches=True, units=True, kinds=("dcc", "dc")))
    layout = Layout(bench)
    electrics = Electrics(bench, layout, large=large)
    live = 0
    for _ in range(12):
        travel = _travel(bench, random)
        volts = {
            supply.id: random.choice([None, 0.0, supply.volts, supply.volts, -0.4 * supply.volts])
            for supply in bench.supplies
        }
        units = {unit.id: random.choice("ab") for unit in bench.polarities}
        standing = _standing(bench, layout, travel, random)
        found = electrics.solved(travel, volts, units, standing)
        true = solve(circuit(bench, layout, travel, volts=volts, units=units, standing=standing))
        _alike(found.solution, true, 1e-6 if large == 0 else 1e-9)
        _alike(solve(found.circuit), true, 1e-9)
        assert dict(electrics.feeds(travel)) == feeds(bench, layout, travel)
        live += any(abs(at) > 1.0 for at in true.volts.values())
    assert live


def test_levers_thrown_one_by_one_leave_no_error_behind() -> None:
    bench = station(30)
    layout = Layout(bench)
    electrics = Electrics(bench, layout, large=0)
    random = Random(1)
    travel = Table({mover: 0.0 for lever in levers(bench) for mover in lever.movers})
    volts = {supply.id: supply.volts for supply in bench.supplies}
    for k in range(60):
        travel = travel.replaced(random.choice(list(travel)), random.choice(_PLACES))
        standing = _standing(bench, layout, travel, random)
        found = electrics.solved(travel, volts, {}, standing)
        if k % 4 == 3:
            true = solve(circuit(bench, layout, travel, volts=volts, standing=standing))
            _alike(found.solution, true, 1e-6)


def test_figures_read_as_a_table_does() -> None:
    bench = station(3)
    layout = Layout(bench)
    travel = Table({mover: 0.0 for lever in levers(bench) for mover in lever.movers})
    volts = {supply.id: supply.volts for supply in bench.supplies}
    few = Electrics(bench, layout, large=0).solved(travel, volts, {}, ()).amps
    again = Electrics(bench, layout, large=0).solved(travel, volts, {}, ()).amps
    assert few == again == Table(few)
    assert hash(few) == hash(again) == hash(Table(few))
    assert PartRef("supply", bench.supplies[0].id) in few
    assert few.get(PartRef("supply", "no such")) is None
    assert len(few) == len(list(few)) == len(dict(few))


def test_a_train_on_a_large_bench_runs_as_on_a_small_one(monkeypatch: pytest.MonkeyPatch) -> None:
    def driven(large: int) -> list[tuple[float, float]]:
        monkeypatch.setattr("sim.session.electrics._LARGE", large)
        session = Session(station(6))
        assert session.running.electrics._with(session.running.supplies.volts).large is None or large == 0
        shown = [session.step(0.01, (Power(True), Put("one", "T1.toe", 200.0), Drive("one", 0.7)))]
        shown += [session.step(0.01, (Throw("T1"),) if k == 40 else ()) for k in range(250)]
        return [(each.trains[0].volts, each.supplies[0].amps) for each in shown]

    for few, many in zip(driven(10**6), driven(0), strict=True):
        assert many == pytest.approx(few, abs=1e-6, rel=1e-6)

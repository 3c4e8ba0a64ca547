"""The reduced batch that the verdict is made of, state by state against the whole circuit solved on its own."""

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
from sim.proof.subject import HOT_AMPS, Subject
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.track.route import route_contacts
from sim.track.wheels import play_mm, wheel
from sim.train import fleet
from sim.wiring.switched import with_standing
from sim.wiring.wheels import Standing, pickup_nodes
from tests.proof.benches import Desk, four_wheeler
from tests.proof.neighbours import CUT, LINK, fed, plain, turnout, wires
from tests.proof.neighbours import bench as joined
from tests.proof.runs import Met, Piece
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
    "a crossover of live frogs": lambda: joined(
        turnout("T1", "M1", "live", gaps=CUT), turnout("T2", "M2", "live", gaps=CUT, joins=LINK),
        fed("T1", "M1", "A", "B"), fed("T2", "M2", "B", "A"),
        wires(("bus.B", "T1.exit.left"), ("bus.A", "T2.exit.left")),
    ),
    "a crossover that is wrong when both are thrown": lambda: joined(
        turnout("T1", "M1", "isolated"), turnout("T2", "M2", "isolated", joins=LINK),
        fed("T1", "M1", "A", "B"), fed("T2", "M2", "B", "A").replace('"M2.k", "T2.frog"', '"M1.k", "T2.frog"'),
    ),
}


_VOLTS = 5e-6  # all that the reduced circuit has leads to its zero by a gigaohm


def close(value: float) -> object:
    return pytest.approx(value, rel=1e-6, abs=_VOLTS)


def compare(bench: Bench, met: Met) -> None:
    """One state solved whole, with its loads lifted out and running."""
    row, outcome = met.row, met.outcome
    (vehicle,) = met.item.vehicles
    lifted = solve(met.circuit(running=False))
    amps = [abs(lifted.amps[PartRef("supply", supply.id)]) for supply in bench.supplies]
    given = [min(a, supply.most_amps) for a, supply in zip(amps, bench.supplies, strict=True)]
    level = [
        2 if a >= supply.trip_amps else int(a > HOT_AMPS) for a, supply in zip(given, bench.supplies, strict=True)
    ]
    told = int(outcome.supply[row])
    assert outcome.level[row] == max(level) == level[told]
    assert outcome.amps[row] == close(given[told])
    running = solve(met.circuit(running=True))
    first, second = pickup_nodes("test:0")
    if vehicle.draws_amps > 0:
        across = abs(running.volts[first] - running.volts[second])
        assert outcome.volts[row, 0] == close(across)
        if across > 1e-3:  # what floats has open volts that are nowhere defined
            assert outcome.idle[row, 0] == close(abs(lifted.volts[first] - lifted.volts[second]))
    else:
        assert math.isnan(outcome.volts[row, 0])
    for solution, into in ((lifted, outcome.injected), (running, outcome.drawn)):
        found = dict.fromkeys(met.piece.meeting.names, 0.0)
        for ref, value in solution.amps.items():
            if ref.kind == "wheel":
                found[str(ref.detail[3])] -= value  # told from the wheel to the rail
        expected = [found[name] for name in met.piece.meeting.names]
        assert into[row] == pytest.approx(np.array(expected), rel=1e-6, abs=1e-5)


MUCH_ALIKE = (
    "oxidised and exchanged", "live, gapped", "a floating section beyond", "two supplies apart", "thin bus",
)  # fmt: skip
"""Those that another bench stands for in a plain run."""


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow) if name in MUCH_ALIKE else name for name in BENCHES]
)
def test_every_state_is_what_the_whole_circuit_gives(name: str) -> None:
    """On every piece, every vehicle, both directions, points set for the run and against it, and with the levers off
    the run in every combination."""
    bench = BENCHES[name]()
    seen = 0
    for track in bench.tracks:
        piece = Piece(bench, track.id)
        done: set[tuple[object, ...]] = set()
        for met in piece.every():
            if met.outcome.blocked:
                continue
            key = (met.run.item, frozenset(met.piece.rails(met.run, met.state)), *met.settings.items())
            if key not in done:
                done.add(key)
                seen += 1
                compare(bench, met)
    assert seen >= 18


@pytest.mark.parametrize("name", ["right", "live, gapped", "three axles, odd pick-ups", "a crossed section beyond"])
def test_cells_cover_the_way_without_a_hole(name: str) -> None:
    """Every place of the leading axle from wholly before to wholly beyond lies in a cell of each way of being
    pressed.
    """
    piece = Piece(BENCHES[name](), "T1")
    for run in piece.sweep.runs:
        length = piece.layout.geometry("T1").tracks[run.track].length_mm
        reach = piece.sweep.items[run.item].reach
        low, high = (0.0, length + reach) if run.direction == "forward" else (-reach, length)
        assert len(np.unique(run.shift)) == 3
        for shift in np.unique(run.shift):
            cells = run.shift == shift
            stretches = sorted(zip(run.from_mm[cells].tolist(), run.to_mm[cells].tolist(), strict=True))
            assert stretches[0][0] <= low
            reached = stretches[0][1]
            for start, end in stretches:
                assert start <= reached + 1e-6
                reached = max(reached, end)
            assert reached >= high


@pytest.mark.parametrize("name", ["exchanged", "unfed", "live, blades tarnished", "a crossed section beyond"])
def test_findings_against_every_millimetre_tried(name: str) -> None:
    """The shunter put down at places all along each path of T1, pressed all three ways, the whole circuit solved
    each time.

    What fails anywhere is found, and each finding's stretch ends within a step of the outermost place where it fails.
    """
    bench = replace(BENCHES[name](), test=("four-wheel shunter",))
    layout = Layout(bench)
    subject = Subject(bench, layout)
    scale = layout.scale("T1")
    (shunter,) = fleet.tested(bench, scale.name)
    size = wheel(shunter.wheel, scale)
    play = play_mm(scale.gauge_mm, size)
    base, step = shunter.axles_mm[-1], 0.5
    rails = pickup_nodes("test:0")
    verdict = prove(bench)
    everywhere: dict[str, int] = {"short": 0, "dead": 0}
    for index, path in enumerate(layout.geometry("T1").tracks):
        travel = layout.set_for("T1", index)
        bare = subject.circuit({subject.lever_of[name]: word for name, word in subject.needs("T1", index).items()})
        tables = [route_contacts(layout, travel, "T1", index, base + 5, size, u) for u in (play, 0.0, -play)]
        places: dict[str, list[float]] = {"short": [], "dead": []}
        seen: dict[object, str] = {}
        for at in np.arange(0.0, path.length_mm + base, step).tolist():
            for table in tables:
                axles = tuple(table.touching(at - axle) for axle in shunter.axles_mm)
                if axles not in seen:
                    lifted = solve(with_standing(bare, (Standing("test:0", shunter, axles),)))
                    load = 15 / shunter.draws_amps
                    running = solve(with_standing(bare, (Standing("test:0", shunter, axles, load),)))
                    across = abs(running.volts[rails[0]] - running.volts[rails[1]])
                    short = abs(lifted.amps[PartRef("supply", "bus")]) >= 3.0
                    seen[axles] = "short" if short else "dead" if across < 7.0 else ""
                if seen[axles]:
                    places[seen[axles]].append(at)
        if places["short"]:  # shut in: not reached
            low, high = min(places["short"]), max(places["short"])
            places["dead"] = [at for at in places["dead"] if not low < at < high]
        ends = ("T1.toe", f"T1.{path.ends[1]}")
        runs = [route for route in verdict.routes if route.path == ends and route.direction == "forward"]
        assert len(runs) == 1
        assert runs[0].safe == (not places["short"] and not places["dead"])
        assert runs[0].live == (not places["dead"])
        for kind, where in places.items():
            everywhere[kind] += bool(where)
            # one finding for each cause: a path on which it is not met first has none of its own
            found = [f for f in verdict.findings if f.kind == kind and f.path == ends and f.direction == "forward"]
            assert where or not found
            if found and len(found) == len({f.touching for f in verdict.findings if f.kind == kind and f.path == ends}):
                # the first stretch of each cause: where the first begins, and none beyond the last place
                first = min(f.from_mm or 0.0 for f in found)
                assert first == pytest.approx(where[0], abs=step if where[0] > 0 else 2)
                last = max(f.to_mm or 0.0 for f in found)
                assert last <= where[-1] + (step if where[-1] < path.length_mm else 8)
    for kind, paths in everywhere.items():
        assert any(f.kind == kind for f in verdict.findings) == bool(paths), kind

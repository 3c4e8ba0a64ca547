"""All runs over a piece: each cell is what the contact tables of the track say there, and asks for the right points."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from sim.bench.model import Bench
from sim.proof.sweep import Item, Run
from sim.track.layout import Layout
from sim.track.route import route_contacts
from sim.track.wheels import play_mm, wheel
from sim.train import fleet
from sim.wiring.wheels import collects
from tests.proof.benches import Desk, four_wheeler
from tests.proof.neighbours import LINK, fed, plain, turnout, wires
from tests.proof.neighbours import bench as joined
from tests.proof.runs import Piece, lone

_CROSSED = wires(("bus.B", "P1.left"), ("bus.A", "P1.right"))

BENCHES: dict[str, Callable[[], Bench]] = {
    "alone": lambda: Desk().bench(),
    "live, left": lambda: Desk("left", frog="live").exits_cut().bench(),
    "dead wye": lambda: Desk("wye", 8, frog="dead").bench(),
    "N": lambda: Desk("right", 5, "N").bench(),
    "track beyond": lambda: Desk().beside(plain("P1", "T1.main", joint="insulated", length=700) + _CROSSED).bench(),
    "short track on all sides": lambda: (
        Desk("left").beside(plain("P0", "T1.toe", length=30) + plain("P1", "T1.main", length=12)).bench()
    ),
    "three axles": lambda: (
        Desk().carrying(four_wheeler(0, axles_mm=[0.0, 11.0, 31.0], pickup={"left": [1, 3], "right": [2]})).bench()
    ),
    "a narrow wheelset": lambda: (
        Desk(frog="live").built(blade_opening_mm=1.6)
        .carrying(four_wheeler(30.0, wheel={"back_to_back_mm": 13.6, "flange_mm": 0.7, "width_mm": 3.4,
                                            "radius_mm": 4.0}))
        .bench()
    ),
    "a crossover": lambda: joined(
        turnout("T1", "M1", "isolated"), turnout("T2", "M2", "isolated", joins=LINK),
        fed("T1", "M1", "A", "B"), fed("T2", "M2", "B", "A"),
    ),
}  # fmt: skip


def settings_under(piece: Piece, run: Run) -> dict[str, float]:
    """The travel of every set of points with all that the run's way passes set for it; its own maybe against it."""
    travel: dict[str, float] = {}
    for need in {need for needs in np.unique(piece.sweep.situations[run.situation, 1]).tolist()
                 for need in piece.sweep.needs[needs]}:  # fmt: skip
        name = piece.meeting.slots[need.slot]
        (at,) = piece.layout.set_for(name, need.track).values()
        assert travel.setdefault(name, 1.0 - at if need.against else at) == (1.0 - at if need.against else at)
    return travel


def told(rails: frozenset[str], collecting: bool) -> frozenset[str]:
    """What a wheel touches, as a run tells it: a wheel that collects nothing joins nothing by standing on one rail."""
    return rails if collecting or len(rails) > 1 else frozenset()


@pytest.mark.parametrize("name", BENCHES)
def test_every_cell_is_what_the_contact_tables_say(name: str) -> None:
    """At places drawn by lot and in the middle of the narrowest cells, pressed each way, in both directions."""
    bench = BENCHES[name]()
    lot = np.random.default_rng(9)
    for track in bench.tracks:
        piece = Piece(bench, track.id)
        layout, scale = piece.layout, piece.layout.scale(track.id)
        for run in piece.sweep.runs:
            (vehicle,) = piece.sweep.items[run.item].vehicles
            travel = {one.id: 0.0 for one in bench.tracks} | settings_under(piece, run)
            size, sign = wheel(vehicle.wheel, scale), 1 if run.direction == "forward" else -1
            play = play_mm(scale.gauge_mm, size)
            shifts = (play, 0.0, -play) if play > 0 else (0.0,)
            reach = vehicle.axles_mm[-1] + 5
            for number, shift in enumerate(shifts):
                table = route_contacts(layout, travel, track.id, run.track, reach, size, shift)
                mine = np.flatnonzero((run.shift == number) & (run.to_mm > run.from_mm))
                narrow = mine[np.argsort((run.to_mm - run.from_mm)[mine])[:12]]
                cells = np.concatenate([narrow, lot.choice(mine, 25)])
                for cell in cells.tolist():
                    low, high = float(run.from_mm[cell]), float(run.to_mm[cell])
                    at = low + (high - low) * float(lot.uniform(0.05, 0.95))
                    pairs = [table.touching(at - sign * axle) for axle in vehicle.axles_mm]
                    expected = [
                        tuple(told(rails, bool(on)) for rails, on in zip(pair[::sign], own, strict=True))
                        for pair, own in zip(pairs, collects(vehicle), strict=True)
                    ]
                    assert list(piece.rails(run, int(run.state[cell]))) == expected, (track.id, run.track, at, shift)


@pytest.mark.parametrize("name", BENCHES)
def test_every_run_there_is(name: str) -> None:
    """Each vehicle on each track, there and back with the points set for it, and back with them against it."""
    bench = BENCHES[name]()
    for track in bench.tracks:
        piece = Piece(bench, track.id)
        geometry = piece.layout.geometry(track.id)
        vehicles = fleet.tested(bench, piece.layout.scale(track.id).name)
        runs = [(run.track, run.item, run.direction, run.against, run.way) for run in piece.sweep.runs]
        assert len(runs) == len(set(runs))
        found = {run[:4] for run in runs}
        expected = {
            (index, item, way, against)
            for index, path in enumerate(geometry.tracks)
            for item in range(len(vehicles))
            for way in ("forward", "backward")
            for against in (False, True)
            if not against or (way == "backward" and path.needs)
        }
        assert found == expected


def test_pick_up_rails_of_one_vehicle_turned_end_for_end_share_its_circuits() -> None:
    """Forward and backward over the same place an even vehicle makes one circuit, its rails exchanged."""
    piece = Piece(Desk().carrying(four_wheeler(40.0)).bench(), "T1")
    forward, backward = (next(r for r in piece.sweep.runs if r.track == 0 and r.direction == way and not r.against)
                         for way in ("forward", "backward"))  # fmt: skip
    mine, its = (set(piece.sweep.situations[run.situation, 0].tolist()) for run in (forward, backward))
    assert mine == its
    assert not forward.turned.any() or not forward.turned.all()


def test_points_hold_from_one_plain_place_to_the_next() -> None:
    """A turnout beyond a long plain piece is not asked for while the vehicle stands on the first alone."""
    text = (turnout("T1", "M1", "isolated"), plain("P1", "T1.main", length=600),
            turnout("T2", "M2", "isolated", joins='{ toe = "P1.b" }'), fed("T1", "M1", "A", "B"))  # fmt: skip
    piece = Piece(joined(*text), "P1")
    needs = {frozenset(piece.meeting.slots[need.slot] for need in needs) for needs in piece.sweep.needs}
    assert needs == {frozenset(), frozenset({"T1"}), frozenset({"T2"})}
    close = Piece(joined(text[0], plain("P1", "T1.main", length=20), *text[2:]), "P1")
    both = {frozenset(close.meeting.slots[need.slot] for need in needs) for needs in close.sweep.needs}
    assert frozenset({"T1", "T2"}) in both  # the shunter's 26 mm stand on both at once
    for run in close.sweep.runs:
        for needs in np.unique(close.sweep.situations[run.situation, 1]).tolist():
            assert {close.meeting.slots[need.slot] for need in close.sweep.needs[needs]} == {"T1", "T2"}


def test_a_train_is_its_vehicles_behind_one_another() -> None:
    """Each vehicle of a train touches what it would alone, so many millimetres behind the leading axle."""
    bench = Desk().bench()
    layout = Layout(bench)
    scale = layout.scale("T1")
    one = next(item for item in lone(bench, scale.name) if item.name == "four-wheel shunter")
    (shunter,) = one.vehicles
    behind = 70.0
    train = Item("two", (shunter, shunter), (shunter.axles_mm, tuple(behind + x for x in shunter.axles_mm)))
    whole, alone = Piece(bench, "T1", (train,)), Piece(bench, "T1", (one,))
    for run in whole.sweep.runs:
        (mine,) = [r for r in alone.sweep.runs if (r.track, r.direction, r.against) == (run.track, run.direction,
                                                                                      run.against)]  # fmt: skip
        sign = 1 if run.direction == "forward" else -1
        compared = 0
        for cell in range(0, len(run.from_mm), 7):
            at = float(run.from_mm[cell] + run.to_mm[cell]) / 2
            axles = list(whole.rails(run, int(run.state[cell])))
            for k in (0, 1):
                place = at - sign * behind * k
                within = (mine.shift == run.shift[cell]) & (mine.from_mm < place) & (place < mine.to_mm)
                for here in np.flatnonzero(within).tolist():
                    compared += 1
                    assert axles[2 * k : 2 * k + 2] == list(alone.rails(mine, int(mine.state[here])))
        assert compared > 20

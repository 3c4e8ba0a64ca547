"""What every formation must keep to, whoever makes it: run over the registry. A new formation adds its pieces here."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.table import Table
from sim.bench.vocabulary import RAILS
from sim.track.contact import contacts
from sim.track.formations import FORMATIONS, End, Formation, Plain
from sim.track.standards import SCALES
from sim.track.wheels import standard_wheel
from tests.track.making import HANDS, leg, shape, turnout

ROOT = Path(__file__).resolve().parents[2]

PIECES: tuple[Formation, ...] = (
    *(turnout(hand, frog=frog) for hand in HANDS for frog in ("isolated", "live", "dead")),
    turnout("left", "N", 5, branch="straight-points"),
    turnout("right", "O", 12, gap_mm=1.5),
    Plain(id="P1", kind="plain", length_mm=240.0),
    Plain(id="P1", kind="plain", length_mm=1000.0, radius_mm=400.0, turns="right", scale="N"),
    End(id="E1", kind="end"),
)


def test_every_formation_is_looked_at() -> None:
    assert {type(piece) for piece in PIECES} == set(FORMATIONS)
    assert {piece.kind for piece in PIECES} == {kind for formation in FORMATIONS for kind in formation.KINDS}


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: f"{piece.kind}-{piece.id}")
def test_a_formation_keeps_to_the_contract(piece: Formation) -> None:
    geometry = shape(piece)
    topology, nodes = geometry.topology, set(geometry.topology.nodes)
    assert list(piece.problems()) == []
    assert tuple(f"{piece.id}.{name}" for name in topology.nodes) == piece.nodes()
    assert {node.split("/")[0] for node in nodes} == set(topology.sections)
    assert set(geometry.end_poses) == set(piece.ENDS)
    assert set(geometry.marks.tabs) == set(topology.sections)
    assert tuple(points.local for points in piece.point_sets) == topology.point_sets
    assert {f"{piece.id}.{frog}" for frog in topology.frogs} == set(piece.frogs)
    moved = [(*(f"{piece.id}.{name}" for name in (b.name, b.blade, b.stock)), b.points) for b in topology.blades]
    told = [(b.name, b.section, b.stock, points.local) for points in piece.point_sets for b in points.blades]
    assert sorted(moved) == sorted(told)
    assert set(geometry.marks.tips) == set(geometry.marks.hinges) == {blade.name for blade in topology.blades}
    for blade in topology.blades:
        assert {blade.blade, blade.stock} <= nodes
    assert all(set(track.needs) <= set(topology.point_sets) for track in geometry.tracks)
    for words in ([rail.words for rail in piece.rails()], [place.words for place in piece.places()]):
        assert len(set(words)) == len(words)
        assert all(words)
    assert set(piece.END_WORDS) <= set(piece.ENDS)
    for place in piece.places():
        assert {place.a, place.b} <= set(piece.nodes())
    for end, rails in topology.ends.items():
        assert end in piece.ENDS
        assert set(rails) <= nodes
    touched: set[str] = set()
    own = standard_wheel(SCALES[piece.scale or "HO"])
    for index, path in enumerate(geometry.tracks):
        for end, station, turn in zip(path.ends, (0.0, path.length_mm), (math.pi, 0.0), strict=True):
            x, y, heading = (float(value[0]) for value in path.pose(np.array([station])))
            pose = geometry.end_poses[end]
            assert (x, y) == pytest.approx((pose.x, pose.y), abs=1e-9)
            assert math.cos(heading + turn - pose.heading) == pytest.approx(1.0)
        table = contacts(geometry, index, own, 0.0, path.travel.get("", 0.0))
        # The rails at both ends are those that the topology names there, sides exchanged at the far end.
        first = table.touching(0.0)
        assert first == tuple(frozenset({node}) for node in topology.ends[path.ends[0]])
        last = table.touching(path.length_mm)
        assert last == tuple(frozenset({node}) for node in reversed(topology.ends[path.ends[1]]))
        touched |= {touch.node for touch in table.left + table.right}
    assert touched == nodes


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_whatever_is_accepted_has_a_sound_shape(data: st.DataObject) -> None:
    scale, hand = data.draw(st.sampled_from(sorted(SCALES))), data.draw(st.sampled_from(HANDS))
    lengths = {
        "gap_mm": st.floats(0.1, 5.0),
        "blade_mm": st.floats(5.0, 400.0),
        "blade_opening_mm": st.floats(0.2, 12.0),
        "leg_mm": st.floats(5.0, 2000.0),
        "gap_at_mm": st.fixed_dictionaries({}, optional={"closure": st.floats(1, 90), "exit": st.floats(1, 90)}).map(
            Table
        ),
        "rail": st.sampled_from(RAILS),
    }
    written = data.draw(st.fixed_dictionaries({}, optional=lengths))
    piece = turnout(hand, scale, data.draw(st.floats(4.0, 12.0)), **written)
    if list(piece.problems()):
        return
    geometry, own = shape(piece), standard_wheel(SCALES[scale])
    for travel in (0.0, 0.5, 1.0):
        for rail in geometry.rails(travel):
            assert np.isfinite(rail.left_edge).all()
            assert np.isfinite(rail.right_edge).all()
        for index in (0, 1):
            for band in geometry.bands(index, travel):
                assert (np.diff(band.s) >= 0).all()
                assert (band.hi - band.lo > -0.01).all()
            # The outer rail is under its wheel from end to end.
            table = contacts(geometry, index, own, 0.0, travel)
            whole = {touch.node for touch in table.left + table.right if touch.at_first and touch.at_last}
            assert whole == {f"stock.{leg(geometry, index)}"}


def test_the_same_piece_gives_the_same_bits_in_another_process() -> None:
    program = "from tests.track.test_conformance import PIECES, digest\nprint(digest(PIECES))\n"
    runs = [
        subprocess.run(
            [sys.executable, "-c", program],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    ]
    assert runs[0] == runs[1] != ""


def digest(pieces: tuple[Formation, ...]) -> str:
    """Every number of every shape and contact table, as text."""
    told = []
    for piece in pieces:
        geometry = shape(piece)
        own = standard_wheel(SCALES[piece.scale or "HO"])
        told += [rail.left_edge.tobytes().hex() + rail.right_edge.tobytes().hex() for rail in geometry.rails(0.4)]
        told += [repr(contacts(geometry, k, own, 0.1, 0.4)) for k in range(len(geometry.tracks))]
        told.append(repr(geometry.marks))
    return "\n".join(told)

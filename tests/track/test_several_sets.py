"""Pieces with several sets of points, as later formations have: each blade goes with its own set."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sim.bench.model import Bench
from sim.bench.point_set import PointSet, full_id, setting_near, travel_of
from sim.bench.table import Table
from sim.track.contact import contacts
from sim.track.formations import Turnout
from sim.track.geometry import Geometry
from sim.track.layout import Layout
from sim.track.rails import RailSection
from sim.track.standards import SCALES, Scale
from sim.track.walk import spot_at
from sim.track.wheels import standard_wheel
from sim.wiring.switched import SwitchedCircuit
from tests.track.making import shape, turnout

NEEDS = (Table({"x": "normal", "y": "normal"}), Table({"y": "diverging"}))


def parted(geometry: Geometry) -> Geometry:
    """A turnout's geometry whose right blade is moved by the set x and whose left one by y."""
    names = {"blade.right": "x", "blade.left": "y"}
    blades = tuple(dataclasses.replace(blade, points=names[blade.blade]) for blade in geometry.topology.blades)
    return dataclasses.replace(
        geometry,
        topology=dataclasses.replace(geometry.topology, blades=blades, point_sets=("x", "y")),
        tracks=tuple(dataclasses.replace(t, needs=needs) for t, needs in zip(geometry.tracks, NEEDS, strict=True)),
        parts=tuple(dataclasses.replace(part, points=names.get(part.node, "")) for part in geometry.parts),
    )


class TwoSets(Turnout):
    """A turnout whose blades are thrown one by one."""

    def geometry(self, scale: Scale, rail: RailSection) -> Geometry:
        return parted(super().geometry(scale, rail))

    @property
    def point_sets(self) -> tuple[PointSet, ...]:
        (points,) = super().point_sets
        left, right = points.blades
        return PointSet(f"{self.id}.x", "normal", (right,)), PointSet(f"{self.id}.y", "diverging", (left,))


def bench() -> Bench:
    piece = turnout()
    return Bench(tracks=(TwoSets(id="S1", kind="turnout", scale="HO", hand="right", number=piece.number),))


def test_names_and_travel() -> None:
    assert [full_id("T1", ""), full_id("S1", "x")] == ["T1", "S1.x"]
    assert [(points.id, points.piece, points.local, points.travel) for points in bench().point_sets] == [
        ("S1.x", "S1", "x", 0.0),
        ("S1.y", "S1", "y", 1.0),
    ]
    assert [setting_near(at) for at in (0.0, 0.49, 0.5, 1.0)] == ["normal", "normal", "diverging", "diverging"]
    assert [travel_of("normal"), travel_of("diverging")] == [0.0, 1.0]
    with pytest.raises(KeyError):
        travel_of("straight")


def test_every_blade_goes_with_its_own_set() -> None:
    one, geometry = shape(turnout()), parted(shape(turnout()))
    normal, diverging = one.rails(0.0), one.rails(1.0)
    for x, y in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)):
        for rail, at_0, at_1 in zip(geometry.rails({"x": x, "y": y}), normal, diverging, strict=True):
            moved = {"blade.right": x, "blade.left": y}.get(rail.node, 0.0)
            assert np.array_equal(rail.left_edge, (at_1 if moved else at_0).left_edge)
    with pytest.raises(ValueError, match="2 sets"):
        geometry.rails(1.0)


def test_contact_tables_are_kept_apart() -> None:
    one, geometry, own = shape(turnout()), parted(shape(turnout())), standard_wheel(SCALES["HO"])
    for at in (0.0, 1.0):
        assert contacts(geometry, 0, own, 0.0, {"x": at, "y": at}) == contacts(one, 0, own, 0.0, at)
    half = contacts(geometry, 0, own, 0.0, {"x": 1.0})
    assert half not in (contacts(one, 0, own, 0.0, 0.0), contacts(one, 0, own, 0.0, 1.0))
    assert contacts(geometry, 0, own, 0.0, {"x": 1.0}) is half


def test_a_train_takes_the_track_whose_needs_are_met() -> None:
    layout = Layout(bench())
    assert layout.travel("S1", {"S1.y": 0.7, "T9": 1.0}) == {"x": 0.0, "y": 0.7}
    assert layout.set_for("S1", 0) == {"S1.x": 0.0, "S1.y": 0.0}
    assert layout.set_for("S1", 1) == {"S1.y": 1.0}
    assert layout.entered("S1", "toe", {}) == (0, 1)
    assert layout.entered("S1", "toe", {"S1.y": 1.0}) == (1, 1)
    assert layout.entered("S1", "toe", {"S1.x": 1.0, "S1.y": 1.0}) == (1, 1)
    assert layout.entered("S1", "toe", {"S1.x": 1.0}) == (0, 1)  # nothing is open: the first one
    assert spot_at(layout, "S1.toe", 300.0, {"S1.y": 1.0}).path == 1


def test_the_circuit_has_a_switch_for_every_blade() -> None:
    one = bench()
    layout = Layout(one)
    switched = SwitchedCircuit(one, layout)
    refs = {place: str(switch.part.ref) for place, switch in switched.switches.items()}
    made = {
        (x, y): {refs[place] for place in switched.made({"S1.x": x, "S1.y": y})} for x in (0.0, 1.0) for y in (0.0, 1.0)
    }
    assert made[0.0, 0.0] == {"blade S1 right"}  # the right blade is closed with the points normal
    assert made[1.0, 0.0] == set()
    assert made[0.0, 1.0] == {"blade S1 right", "blade S1 left"}
    assert made[1.0, 1.0] == {"blade S1 left"}
    assert [blade.name for blade in layout.blades("S1.x")] == ["right"]

"""Plain track, straight or curved."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Self

import numpy as np

from sim.bench.fields import Problem, declared
from sim.bench.piece import Section, told_once
from sim.bench.shapes import Choice, Number
from sim.bench.table import Table
from sim.track.formations.formation import Formation
from sim.track.formations.menu import Bend, BoxItem, MenuLine, Options, stepped, steps_choice
from sim.track.geometry import EndPose, Geometry, Mark, Marks, Rail, Topology, Track
from sim.track.lines import CentreLine, Run
from sim.track.rails import RailSection
from sim.track.standards import SCALES, Scale

__all__ = ["LONGEST_NODE_MM", "Plain"]

LONGEST_NODE_MM = 300.0
"""A rail longer than this is several conductors in a row (model.md section 4), so that its own resistance counts."""

_LENGTHS = (
    20.0, 40.0, 60.0, 80.0, 100.0, 120.0, 150.0, 200.0, 230.0, 260.0, 300.0, 350.0, 400.0, 500.0, 600.0, 800.0,
    1000.0, 1500.0, 2000.0, 3000.0,
)  # fmt: skip
"""Lengths of plain track, mm; our choice."""

_RADII = (200.0, 250.0, 300.0, 360.0, 420.0, 500.0, 600.0, 750.0, 900.0, 1200.0, 1800.0)
"""Radii of curves, mm; our choice."""

_NEW_LENGTH_HO, _NEW_RADIUS_HO = 230.0, 600.0  # mm, just out of the box, in other scales by gauge; our choice
_TURNS = (("left", "left"), ("straight", "straight"), ("right", "right"))

_STEP = 5.0  # mm between the vertices of a curved rail; a chord of a 100 mm curve lies 0.03 mm off, for drawing only


@dataclass(frozen=True, kw_only=True)
class Plain(Formation):
    """A length of plain track with ends a and b. Its left and right rail are those seen from a, looking to b."""

    KINDS = ("plain",)
    ENDS = ("a", "b")
    BOX = (
        BoxItem("plain", "plain", "Plain track", "P", (Bend(),)),
        BoxItem("curve", "curve", "Curve", "P", (Bend(-4, 10),)),
    )

    length_mm: float = declared(Number(5, 10_000, "mm"), "length along the centre line")
    radius_mm: float | None = declared(
        Number(100, 100_000, "mm"),
        "radius of the centre line of a curve",
        default=None,
        needs=("turns",),
        shown="straight",
    )
    turns: str | None = declared(
        Choice("left", "right"),
        "which way the curve turns, seen from a",
        default=None,
        needs=("radius_mm",),
        shown="straight",
    )

    @told_once
    def rails(self) -> tuple[Section, ...]:
        return (
            Section(f"{self.id}.left", "left rail", "rail", "left"),
            Section(f"{self.id}.right", "right rail", "rail", "right"),
        )

    @told_once
    def nodes(self) -> tuple[str, ...]:
        return tuple(f"{self.id}.{node}" for node in _nodes("left", self.length_mm) + _nodes("right", self.length_mm))

    def problems(self) -> Iterable[Problem]:
        yield from super().problems()
        if self.radius_mm is not None and self.length_mm > math.tau * self.radius_mm:
            yield Problem(
                "length_mm",
                f"{self.length_mm:g} mm on a curve of {self.radius_mm:g} mm radius",
                f"at most a full circle, {math.tau * self.radius_mm:.0f} mm",
            )

    @classmethod
    def fresh(cls, item: str, name: str, scale: str) -> Self:
        share = _gauge_share(SCALES[scale])
        length, radius = (round(mm * share / 10) * 10.0 for mm in (_NEW_LENGTH_HO, _NEW_RADIUS_HO))
        if item == "plain":
            return cls(id=name, kind="plain", length_mm=length)
        if item == "curve":
            return cls(id=name, kind="plain", length_mm=length, radius_mm=radius, turns="right")
        raise ValueError(f"no {item!r} in the box")

    @property
    def title(self) -> str:
        return "Curve" if self.radius_mm else "Plain track"

    @property
    def size_words(self) -> str:
        return f"{self.length_mm:.0f} mm"

    def menu(self, scale: Scale) -> tuple[MenuLine, ...]:
        lines: list[MenuLine] = [
            stepped("Length", "length_mm", f"{self.length_mm:g} mm", _LENGTHS, self.length_mm),
            Options("It runs", "turns", self.turns or "straight", _TURNS),
        ]
        if self.radius_mm is not None:
            lines.append(stepped("Radius", "radius_mm", f"{self.radius_mm:g} mm", _RADII, self.radius_mm))
        return tuple(lines)

    def chosen(self, choice: str, scale: Scale) -> Self | None:
        for name, steps, now in (("length_mm", _LENGTHS, self.length_mm), ("radius_mm", _RADII, self.radius_mm)):
            new = None if now is None else steps_choice(choice, name, steps, now)
            if new is not None:
                return self.reshaped(**{name: new})
        key, _, value = choice.partition(":")
        if key != "turns" or value == (self.turns or "straight"):
            return None
        if value == "straight":
            return self.reshaped(radius_mm=None, turns=None)
        usual = _NEW_RADIUS_HO * _gauge_share(scale)
        return self.reshaped(radius_mm=self.radius_mm or min(_RADII, key=lambda r: abs(r - usual)), turns=value)

    def reshaped(self, **changes: Any) -> Self:
        if "radius_mm" in changes:
            turns = (self.turns or "right") if changes["radius_mm"] is not None else None
            changes = {"turns": turns, **changes}
        return super().reshaped(**changes)

    def geometry(self, scale: Scale, rail: RailSection) -> Geometry:
        curvature = 0.0
        if self.radius_mm is not None:
            curvature = (1 if self.turns == "left" else -1) / self.radius_mm
        return _geometry(scale.gauge_mm, rail.head_mm, self.length_mm, curvature)


def _gauge_share(scale: Scale) -> float:
    return scale.gauge_mm / SCALES["HO"].gauge_mm


def _nodes(side: str, length_mm: float) -> tuple[str, ...]:
    count = math.ceil(length_mm / LONGEST_NODE_MM - 1e-9)
    return (side,) if count <= 1 else tuple(f"{side}/{k}" for k in range(count))


@lru_cache(maxsize=1024)
def _geometry(gauge_mm: float, head_mm: float, length_mm: float, curvature: float) -> Geometry:
    line = CentreLine.of([Run(length_mm, curvature)])
    half = gauge_mm / 2
    offsets = {"left": (half, half + head_mm), "right": (-half - head_mm, -half)}
    nodes = {side: _nodes(side, length_mm) for side in offsets}
    parts = []
    for side, (low, high) in offsets.items():
        cuts = np.linspace(0.0, length_mm, len(nodes[side]) + 1)
        for k, node in enumerate(nodes[side]):
            stations = line.stations(float(cuts[k]), float(cuts[k + 1]), _STEP if curvature else length_mm)
            parts.append(Rail.beside(node, "rail", 0, line, stations, low, high))
    tabs = {}
    for side, (low, high) in offsets.items():
        # The tab is on the middle one of several lengths, or in the middle of the only one.
        count = len(nodes[side])
        station = length_mm * (count // 2 + 0.5) / count
        x, y = line.beside(np.array([station]), (low + high) / 2)[0]
        tabs[side] = Mark(float(x), float(y), float(line.pose(np.array([station]))[2][0]), (station,))
    left, right = nodes["left"], nodes["right"]
    topology = Topology(("left", "right"), left + right, (), {"a": (left[0], right[0]), "b": (right[-1], left[-1])})
    x, y, heading = (float(value[0]) for value in line.pose(np.array([length_mm])))
    poses = {"a": EndPose(0.0, 0.0, math.pi), "b": EndPose(x, y, heading)}
    return Geometry(
        gauge_mm,
        head_mm,
        0.0,
        (Track(("a", "b"), Table(), line),),
        topology,
        poses,
        lambda: Marks(tabs, {}, {}, {}, ()),
        tuple(parts),
    )

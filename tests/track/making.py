"""Pieces, layouts and second ways to their shapes, for the tests of sim/track."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from hypothesis import strategies as st

from sim.bench.model import Bench
from sim.bench.table import Table
from sim.track.contact import contact_length_mm
from sim.track.formations import Plain, Turnout
from sim.track.formations.formation import Formation
from sim.track.geometry import Geometry
from sim.track.layout import Layout
from sim.track.lines import Floats
from sim.track.rails import rail_section
from sim.track.standards import SCALES, Scale
from sim.track.wheels import Wheel, play_mm, standard_wheel

HANDS = ("right", "left", "wye")
NUMBERS = (4, 5, 6, 8, 10, 12)
GIVE = 0.02  # mm, model.md section 3


def turnout(hand: str = "right", scale: str = "HO", number: float = 6, **more: Any) -> Turnout:
    """A turnout, or a wye."""
    if hand == "wye":
        return Turnout(id="T1", kind="wye", scale=scale, number=number, **more)
    return Turnout(id="T1", kind="turnout", scale=scale, hand=hand, number=number, **more)


def shape(piece: Formation, scale: str | None = None) -> Geometry:
    """The geometry of a piece by itself."""
    row = SCALES[scale or piece.scale or "HO"]
    return piece.geometry(row, rail_section(piece.rail or row.rail))


def least(scale: Scale) -> float:
    """G - B - T: from a gauge line to the back of its own wheel, the wheelset pressed to the other side."""
    return scale.gauge_mm - scale.back_to_back_mm - scale.flange_mm


def head(scale: Scale) -> float:
    """Width of a rail head of the scale's own rail."""
    return rail_section(scale.rail).head_mm


def shifts(scale: Scale, wheel: Wheel | None = None) -> tuple[float, float, float]:
    """A wheelset pressed right, centred, and pressed left."""
    play = play_mm(scale.gauge_mm, wheel or standard_wheel(scale))
    return -play, 0.0, play


def leg(geometry: Geometry, path_index: int) -> str:
    """Which leg, left or right, a path of a turnout runs over: its outer rail is that side's stock rail."""
    return "left" if "stock.left" in geometry.topology.ends[geometry.tracks[path_index].ends[1]] else "right"


def other(side: str) -> str:
    """The other side."""
    return "right" if side == "left" else "left"


def polygons(geometry: Geometry, travel: float) -> dict[str, list[shapely.Geometry]]:
    """The metal rails as polygons in the piece's frame, by node; what the contact tables are compared with."""
    found: dict[str, list[shapely.Geometry]] = {}
    for rail in geometry.rails(travel):
        if rail.metal:
            outline = shapely.Polygon(np.concatenate([rail.left_edge, rail.right_edge[::-1]]))
            found.setdefault(rail.node, []).append(shapely.make_valid(outline))
    return found


def across(pose: tuple[float, float, float], low: float, high: float) -> shapely.Geometry:
    """The line across the track from offset low to high, positive to the left."""
    x, y, heading = pose
    normal = np.array([-np.sin(heading), np.cos(heading)])
    return shapely.LineString([(x, y) + low * normal, (x, y) + high * normal])


def zones(wheel: Wheel, shift: float) -> dict[str, tuple[tuple[float, float], tuple[float, float]]]:
    """Offsets covered by flange and tread of the left and of the right wheel."""
    back = wheel.back_to_back_mm / 2
    root, face = back + wheel.flange_mm, back + wheel.width_mm
    return {
        "left": ((back + shift, root + shift), (root + shift, face + shift)),
        "right": ((-root + shift, -back + shift), (-face + shift, -root + shift)),
    }


def touched(
    poses: Sequence[tuple[float, float, float]],
    metal: Mapping[str, Sequence[shapely.Geometry]],
    wheel: Wheel,
    shift: float,
) -> tuple[set[str], set[str]]:
    """The second way: rails under a zone by more than the give, in any of these poses; left and right wheel."""
    found: tuple[set[str], set[str]] = (set(), set())
    for side, parts in enumerate(zones(wheel, shift).values()):
        for pose, (low, high) in itertools.product(poses, parts):
            line = across(pose, low, high)
            for node, rails in metal.items():
                if node not in found[side] and any(line.intersection(rail).length > GIVE for rail in rails):
                    found[side].add(node)
    return found


def poses_about(geometry: Geometry, path_index: int, station: float, half: float) -> list[tuple[float, float, float]]:
    """Poses of a path every 0.02 mm or so from ``half`` before to ``half`` beyond a station."""
    stations = np.linspace(station - half, station + half, max(3, int(half / 0.01)))
    return list(zip(*(values.tolist() for values in geometry.tracks[path_index].pose(stations)), strict=True))


def half_contact(geometry: Geometry, wheel: Wheel) -> float:
    """How far before and behind its axle a wheel touches."""
    return contact_length_mm(wheel, geometry.gap_mm)


def edges(geometry: Geometry, travel: float, node: str, side: str) -> Floats:
    """One edge of all the pieces of a rail, first vertex first."""
    parts = [rail for rail in geometry.rails(travel) if rail.node == node]
    return np.concatenate([rail.left_edge if side == "left" else rail.right_edge for rail in parts])


@dataclass(frozen=True)
class Step:
    """A piece of a chain, and the ends by which the chain enters and leaves it."""

    piece: Formation
    enters: str
    leaves: str


@st.composite
def chains(draw: st.DrawFn, scale: str = "HO") -> tuple[list[Step], dict[str, float]]:
    """Two to four pieces joined one after the other, and travels with which every turnout is set for the chain."""
    steps: list[Step] = []
    settings: dict[str, float] = {}
    for k in range(draw(st.integers(2, 4))):
        name = f"K{k}"
        kind = draw(st.sampled_from(("plain", "turnout", "turnout")))
        joins: Table[str, str] = Table()
        piece: Formation
        if kind == "plain":
            curved = draw(st.booleans())
            enters, leaves = draw(st.sampled_from((("a", "b"), ("b", "a"))))
            if steps:
                joins = Table({enters: f"{steps[-1].piece.id}.{steps[-1].leaves}"})
            piece = Plain(
                id=name,
                kind="plain",
                scale=scale,
                joins=joins,
                length_mm=draw(st.sampled_from((40.0, 320.0, 700.0))),
                radius_mm=600.0 if curved else None,
                turns=draw(st.sampled_from(("left", "right"))) if curved else None,
            )
        else:
            hand = draw(st.sampled_from(HANDS))
            branch = draw(st.sampled_from(("main", "diverging")))
            enters, leaves = draw(st.sampled_from((("toe", branch), (branch, "toe"))))
            settings[name] = 0.0 if branch == "main" else 1.0
            if steps:
                joins = Table({enters: f"{steps[-1].piece.id}.{steps[-1].leaves}"})
            more: dict[str, Any] = {"kind": "wye"} if hand == "wye" else {"kind": "turnout", "hand": hand}
            piece = Turnout(
                id=name,
                scale=scale,
                number=draw(st.sampled_from((4.0, 6.0))),
                frog=draw(st.sampled_from(("isolated", "live"))),
                joins=joins,
                **more,
            )
        steps.append(Step(piece, enters, leaves))
    return steps, settings


def layout_of(steps: Sequence[Step]) -> Layout:
    """The layout of a chain."""
    return Layout(Bench(tracks=tuple(step.piece for step in steps)))


def path_of(layout: Layout, step: Step) -> tuple[int, int]:
    """Index of the path that a chain takes through a piece, and +1 if from its first end, else -1."""
    for k, path in enumerate(layout.geometry(step.piece.id).tracks):
        if path.ends == (step.enters, step.leaves):
            return k, 1
        if path.ends == (step.leaves, step.enters):
            return k, -1
    raise LookupError(f"no path from {step.enters} to {step.leaves}")


def every_default() -> Iterator[tuple[str, str, int]]:
    """Every hand, scale and frog number."""
    return itertools.product(HANDS, SCALES, NUMBERS)

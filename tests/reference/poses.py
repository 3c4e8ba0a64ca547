"""Random poses of wheelsets on generated track, and which rails they touch by the contact tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bench.table import Table
from sim.bench.vocabulary import WHEELS
from sim.track.contact import Touch, contact_length_mm, contacts
from sim.track.formations import Plain, Turnout
from sim.track.formations.formation import Formation
from sim.track.geometry import Geometry
from sim.track.lines import Floats
from sim.track.rails import rail_section
from sim.track.standards import SCALES
from sim.track.wheels import Wheel, play_mm, standard_wheel, wheel

__all__ = ["FORMATIONS", "Hits", "Poses", "drawn"]

Hits = NDArray[np.bool_]
"""What touches what: (wheel: left, right; rail; pose)."""

FORMATIONS = ("turnout", "straight points", "wye", "plain")
SEED = 65
PIECES, TABLES, STATIONS = 5, 20, 100
TRAVELS = (0.0, 0.35, 1.0)
TOE_MM = 25.0


@dataclass(frozen=True)
class Poses:
    """A wheelset on a path at many stations, the blades at some travel, pressed aside by some of its play."""

    geometry: Geometry
    path: int
    wheel: Wheel
    shift: float
    travel: float
    stations: Floats

    @property
    def rails(self) -> tuple[str, ...]:
        """The rails that can be touched, by name: an order for the middle axis of hits."""
        return self.geometry.topology.nodes

    @property
    def half_mm(self) -> float:
        """How far before and behind its axle a wheel touches."""
        return contact_length_mm(self.wheel, self.geometry.gap_mm)

    @property
    def zones(self) -> Floats:
        """Offsets between which tread and flange of the left and of the right wheel lie: (4, 2)."""
        back, root, face = np.cumsum([self.wheel.back_to_back_mm / 2, self.wheel.flange_mm, self.wheel.tread_mm])
        return np.array([(root, face), (back, root), (-face, -root), (-root, -back)]) + self.shift

    def corners(self, along: float, narrower: float) -> Floats:
        """The zones as rectangles, (4, n, 4, 2): so long before and behind the axle, and narrower."""
        x, y, heading = self.geometry.tracks[self.path].pose(self.stations)
        ahead = np.stack([np.cos(heading), np.sin(heading)], axis=-1)
        aside = np.stack([-np.sin(heading), np.cos(heading)], axis=-1)
        low, high = self.zones[:, 0] + narrower, self.zones[:, 1] - narrower
        sides = np.stack([low, high, high, low], axis=-1)  # (4, 4)
        ends = along * np.array([-1.0, -1.0, 1.0, 1.0])
        middle = np.stack([x, y], axis=-1)[None, :, None, :]
        found: Floats = (
            middle + ends[:, None] * ahead[None, :, None, :] + sides[:, None, :, None] * aside[None, :, None, :]
        )
        return found

    def tabled(self) -> Hits:
        """By the contact table."""
        table = contacts(self.geometry, self.path, self.wheel, self.shift, self.travel)
        return np.stack([self._on(table.left), self._on(table.right)])

    def _on(self, touches: tuple[Touch, ...]) -> Hits:
        found = np.zeros((len(self.rails), len(self.stations)), dtype=bool)
        for touch in touches:
            found[self.rails.index(touch.node)] |= (self.stations >= touch.from_mm) & (self.stations <= touch.to_mm)
        return found


def _turnout(scale: str, rng: np.random.Generator) -> Formation:
    return _points(scale, rng, "turnout", "arc", float(rng.uniform(4, 12)))


def _straight_points(scale: str, rng: np.random.Generator) -> Formation:
    return _points(scale, rng, "turnout", "straight-points", float(rng.integers(4, 8)))


def _wye(scale: str, rng: np.random.Generator) -> Formation:
    return _points(scale, rng, "wye", "arc", float(rng.uniform(4, 12)))


def _points(scale: str, rng: np.random.Generator, kind: str, branch: str, number: float) -> Formation:
    gaps = {"closure": float(rng.uniform(2, 25)), "exit": float(rng.uniform(8, 60))} if rng.random() < 0.5 else {}
    return Turnout(
        id="T1",
        kind=kind,
        scale=scale,
        hand=None if kind == "wye" else str(rng.choice(["left", "right"])),
        number=number,
        branch=branch,
        frog=str(rng.choice(["isolated", "live", "dead"])),
        gap_at_mm=Table(gaps),
        gap_mm=float(rng.choice([0.4, 0.6, 1.5, 2.0])),
        toe_mm=TOE_MM,
        leg_mm=170.0 if scale == "O" else 90.0,
    )


def _plain(scale: str, rng: np.random.Generator) -> Formation:
    radius = float(rng.uniform(400, 1500))
    return Plain(id="P1", kind="plain", length_mm=700.0, radius_mm=radius, turns=str(rng.choice(["left", "right"])))


PIECE: dict[str, Callable[[str, np.random.Generator], Formation]] = {
    "turnout": _turnout,
    "straight points": _straight_points,
    "wye": _wye,
    "plain": _plain,
}


def drawn(formation: str, scale: str) -> Iterator[Poses]:
    """10,000 poses on five pieces, the same ones every time: 100 stations on each of a hundred paths and wheels."""
    row = SCALES[scale]
    rng = np.random.default_rng([SEED, FORMATIONS.index(formation), list(SCALES).index(scale)])
    for _ in range(PIECES):
        geometry = PIECE[formation](scale, rng).geometry(row, rail_section(row.rail))
        for _ in range(TABLES):
            path = int(rng.integers(len(geometry.tracks)))
            name = str(rng.choice(["", *WHEELS]))
            own = wheel(name, row) if name else standard_wheel(row)
            yield Poses(
                geometry,
                path,
                own,
                float(rng.uniform(-1, 1)) * play_mm(row.gauge_mm, own),
                float(rng.choice(TRAVELS)) if geometry.topology.blades else 0.0,
                rng.uniform(-2.0, geometry.tracks[path].length_mm + 2.0, STATIONS),
            )

"""Still arrowheads along wires and rails, their size by the current that the session found."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from sim.electric.parts import PartRef
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.marks import MOST_ARROW, arrow, arrow_of, arrow_step
from sim.game.draw.railway.track import plain_length
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point
from sim.game.whereabouts.cabling import cable_ways
from sim.game.whereabouts.dressing import rounded_path
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.ways import Ways, split_at
from sim.session.snapshot import Snapshot
from sim.wiring.inflow import inflows, passing
from sim.wiring.names import section_of

__all__ = ["arrows", "arrows_along", "passing_at", "rail_arrows", "rail_heads", "rail_inputs"]

_LEAST_AMPS = 0.02
_FELT_AMPS = 1e-4  # of one part; less, all parts of a rail together are not seen
_EVERY = 42.0
_BEND = 0.3  # radians between the ways before and after a place: from here on it is a bend


class _Stand(NamedTuple):
    """A place for an arrowhead: px along its line, where, and the way of the line there, radians."""

    along: float
    x: float
    y: float
    turn: float


def arrows_along(
    path: Sequence[Point],
    amps: float,
    stage: Stage,
    *,
    every: float = _EVERY,
    stagger: float = 0.5,
    short: bool = False,
) -> Iterator[Sprite]:
    """Arrowheads every so many px along a polyline, none in a bend; a negative current points backwards."""
    for stand in _stands(tuple(path), stage.unit, every, stagger):
        yield _arrow(stand, amps, stage, short)


def _arrow(stand: _Stand, amps: float, stage: Stage, short: bool = False) -> Sprite:
    turn = stand.turn + (math.pi if amps < 0 else 0.0)
    return arrow(stand.x, stand.y, turn, amps, stage.unit, stage.theme, short)


@lru_cache(maxsize=256)
def _stands(path: tuple[Point, ...], unit: float, every: float, stagger: float) -> tuple[_Stand, ...]:
    """Where arrowheads stand along a line: as far from its one end as from the other with a `stagger` of 0.5."""
    if len(path) < 2:
        return ()
    rows, along = _measured(path)
    total, step = float(along[-1]), every * unit
    near = 7.0 * unit
    count = int((total - 12 * unit) // step) + 1 if total > 26 * unit else 0
    start = (total - (count - 1) * step) / 2 + (stagger - 0.5) * 0.4 * step
    at = start + step * np.arange(count)
    at = at[(near <= at) & (at <= total - near)]
    x, y = (np.interp(at[:, None] + [-near, 0.0, near], along, rows[:, k]) for k in (0, 1))
    one = np.arctan2(y[:, 1] - y[:, 0], x[:, 1] - x[:, 0])
    two = np.arctan2(y[:, 2] - y[:, 1], x[:, 2] - x[:, 1])
    turn = np.arctan2(y[:, 2] - y[:, 0], x[:, 2] - x[:, 0])
    straight = np.abs(np.remainder(one - two + math.pi, 2 * math.pi) - math.pi) <= _BEND
    found = np.stack([at, x[:, 1], y[:, 1], turn], axis=1)[straight]
    return tuple(_Stand(*row) for row in found.tolist())


def _measured(path: Sequence[Point] | Floats) -> tuple[Floats, Floats]:
    """A polyline as an array (n, 2), and how far along it each of its points is."""
    rows = np.asarray(path, dtype=np.float64)
    return rows, np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])


def arrows(stage: Stage, snapshot: Snapshot) -> list[Sprite]:
    """All arrowheads of the bench as it stands."""
    if not any(supply.on and supply.plugged and not supply.tripped for supply in snapshot.supplies):
        return []
    amps = {ref: value for ref, value in snapshot.amps.items() if abs(value) >= _LEAST_AMPS}
    if not amps:
        return []
    ways = Ways.now(stage, snapshot)
    out: list[Sprite] = []
    flows: dict[str, list[tuple[Point, float]]] = defaultdict(list)
    for index, wire in enumerate(stage.bench.wires):
        value = amps.get(PartRef("wire", "", (index,)), 0.0)
        if not value:
            continue
        path = stage.paths[index]
        out += _on_wire(stage, index, arrow_step(value, stage.unit), value < 0)
        flows[wire.ends[0]].append((path[0], -value))
        flows[wire.ends[1]].append((path[-1], value))
    for terminal, corners in cable_ways(stage, snapshot):
        total = sum(value for _, value in flows.get(terminal, ()))
        if abs(total) >= _LEAST_AMPS:
            out += arrows_along(_cable(corners, stage.unit), total, stage)
    feeding = rail_inputs(ways, {ref: value for ref, value in snapshot.amps.items() if abs(value) >= _FELT_AMPS})
    for node, lines in ways.lines.items():
        if node in feeding and len(lines) == 1:  # a frog is one piece of metal with no way along it
            ticked = snapshot.feeds.get(section_of(node)) == "B" and not stage.below
            reached = sorted((ways.reach(node, point), value) for point, value in feeding[node])
            for s, after, value in _stretches(reached, stage.unit):
                step = arrow_step(value, stage.unit)
                out += _on_rail(lines[0].tobytes(), s, after, step, value < 0, ticked, stage)
    return out


@kept
def _on_wire(stage: Stage, index: int, length: float, back: bool) -> tuple[Sprite, ...]:
    """Arrowheads of a length, px, along a wire, where it does not run behind something."""
    stands = _stands(stage.paths[index], stage.unit, _EVERY, 0.25 + 0.5 * (index % 2))
    return tuple(_in_sight((_headed(stand, length, back, stage) for stand in stands), stage))


@kept
def _on_rail(
    line: bytes, s: float, after: float, length: float, back: bool, ticked: bool, stage: Stage
) -> tuple[Sprite, ...]:
    """Arrowheads of a length, px, along a stretch of a rail, each where `ticked` on a length without ticks."""
    out = []
    for stand in _along_stretch(line, s, after, stage.unit):
        if ticked:
            out.append(_tickless(stand, stage))
        out.append(_headed(stand, length, back, stage))
    return tuple(out)


def _headed(stand: _Stand, length: float, back: bool, stage: Stage) -> Sprite:
    turn = stand.turn + (math.pi if back else 0.0)
    return arrow_of(stand.x, stand.y, turn, length, stage.unit, stage.theme)


@lru_cache(maxsize=16)
def _cable(corners: tuple[Point, ...], unit: float) -> tuple[Point, ...]:
    return tuple(rounded_path(corners, unit))


def _in_sight(sprites: Iterator[Sprite], stage: Stage) -> Iterator[Sprite]:
    """Arrowheads on a wire, without those where it runs behind something."""
    fixtures = stage.fixtures
    boxes = [place.housing.union(place.face) for place in fixtures.blocks]
    boxes += [place.rect for place in (*fixtures.lamps, *fixtures.polarities)]
    return (sprite for sprite in sprites if not any(box.collidepoint(sprite.rect.center) for box in boxes))


def rail_inputs(ways: Ways, amps: Mapping[PartRef, float]) -> dict[str, list[tuple[Point, float]]]:
    """What flows into every rail through wires, gaps, bonds, jumpers, blades, joiners and wheels, and where, px."""
    out: dict[str, list[tuple[Point, float]]] = {}
    for node, rows in inflows(ways.stage.ends, amps).items():
        if node in ways.lines:
            placed = ((ways.anchor(row.ref, node), row.amps) for row in rows if row.amps)
            out[node] = [(point, value) for point, value in placed if point is not None]
    return out


def passing_at(line: Floats, inputs: Sequence[tuple[Point, float]], point: Point) -> float:
    """Amps that pass the place of a rail nearest to a point, towards the end of its line."""
    return passing(((split_at(line, place), value) for place, value in inputs), split_at(line, point))


class Head(NamedTuple):
    """An arrowhead on a rail: where it stands, and the amps that it tells of."""

    stand: _Stand
    amps: float


_CLEAR_PX = 8.0  # of an arrowhead in which there is no tick


@kept
def _tickless(stand: _Stand, stage: Stage) -> Sprite:
    """The length of a rail on side B that an arrowhead stands on, without ticks; long enough for any arrowhead."""
    px = stage.world.scale * _share(stage)
    long = (MOST_ARROW + 2 * _CLEAR_PX) * stage.unit
    x, y = math.floor(stand.x * 2) / 2, math.floor(stand.y * 2) / 2
    left, top = math.floor(x), math.floor(y)
    turn = math.radians(round(math.degrees(stand.turn) * 2) / 2)
    width = round(stage.theme.rail_head_mm * px, 2)
    sprite = plain_length(x - left, y - top, turn, long, width, round(px, 3), stage.unit, stage.theme)
    return sprite.moved(left, top)


def _share(stage: Stage) -> float:
    layout = stage.plan.layout
    return layout.scale(next(iter(layout.pieces))).gauge_mm / 16.5


def rail_arrows(line: Floats, inputs: Sequence[tuple[Point, float]], stage: Stage) -> Iterator[Sprite]:
    """Arrowheads along one rail, from what flows into it at each place."""
    return (_arrow(head.stand, head.amps, stage) for head in rail_heads(line, inputs, stage))


def rail_heads(line: Floats, inputs: Sequence[tuple[Point, float]], stage: Stage) -> Iterator[Head]:
    """Where arrowheads stand along one rail, from what flows into it at each place.

    They stand still while a wheel rolls by, though each moment it takes the current off at another place.
    """
    rows = sorted((split_at(line, point), value) for point, value in inputs)
    for s, after, value in _stretches(rows, stage.unit):
        for stand in _along_stretch(line.tobytes(), s, after, stage.unit):
            yield Head(stand, value)


def _stretches(rows: Sequence[tuple[float, float]], unit: float) -> Iterator[tuple[float, float, float]]:
    """From where to where along a rail a current is shown, px, and its amps; rows: what flows in where, in order."""
    carried = 0.0
    for (s, value), (after, _) in pairwise(rows):
        carried += value
        if abs(carried) >= _LEAST_AMPS and after - s >= 2 * _NEAR * unit:
            yield s, after, carried


def _along_stretch(line: bytes, s: float, after: float, unit: float) -> Sequence[_Stand]:
    """Where arrowheads stand between two places of a rail: one of its own where none of the rail's is there."""
    near = _NEAR * unit
    within = [stand for stand in _along_rail(line, unit) if s + near <= stand.along <= after - near]
    return within or [_between(np.frombuffer(line, dtype=np.float64).reshape(-1, 2), (s + after) / 2, near)]


_NEAR = 12.0  # layout px: so far from where current comes in or goes off there is no arrowhead


@lru_cache(maxsize=1024)
def _along_rail(line: bytes, unit: float) -> tuple[_Stand, ...]:
    """Where arrowheads stand along a rail, from the bytes of its line: the quickest to look up."""
    rows = np.frombuffer(line, dtype=np.float64).reshape(-1, 2)
    return _stands(tuple((x, y) for x, y in rows.tolist()), unit, _EVERY, 0.5)


def _between(line: Floats, s: float, near: float) -> _Stand:
    """A place of its own for the arrowhead of a stretch too short for the others."""
    rows, along = _measured(line)
    x, y = (np.interp([s - near / 2, s, s + near / 2], along, rows[:, k]).tolist() for k in (0, 1))
    return _Stand(s, x[1], y[1], math.atan2(y[2] - y[0], x[2] - x[0]))

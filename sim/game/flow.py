"""Still arrowheads along wires and rails, their size by the current that the session found."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np

from sim.game.cabling import cable_ways
from sim.game.draw.ink import Point, Sprite
from sim.game.draw.marks import arrow
from sim.game.dressing import rounded_path
from sim.game.plan import Floats
from sim.game.stage import Stage
from sim.game.ways import Ways, split_at
from sim.session.snapshot import Snapshot
from sim.wiring.inflow import inflows, passing

__all__ = ["arrows", "arrows_along", "passing_at", "rail_arrows", "rail_inputs"]

_LEAST_AMPS = 0.02
_EVERY = 42.0


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
    rows = np.asarray(path, dtype=np.float64)
    if len(rows) < 2:
        return
    unit = stage.unit
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
    total, step = float(along[-1]), every * unit
    near = 7.0 * unit
    count = int((total - 12 * unit) // step) + 1 if total > 26 * unit else 0
    start = (total - (count - 1) * step) / 2 + (stagger - 0.5) * 0.4 * step
    for k in range(count):
        at = start + k * step
        if not near <= at <= total - near:
            continue
        before, after = _at(rows, along, at - near), _at(rows, along, at + near)
        x, y = _at(rows, along, at)
        one, two = math.atan2(y - before[1], x - before[0]), math.atan2(after[1] - y, after[0] - x)
        if abs(math.remainder(one - two, 2 * math.pi)) > 0.3:
            continue
        turn = math.atan2(after[1] - before[1], after[0] - before[0]) + (math.pi if amps < 0 else 0.0)
        yield arrow(x, y, turn, amps, unit, stage.theme, short)


def _at(rows: Floats, along: Floats, s: float) -> Point:
    return float(np.interp(s, along, rows[:, 0])), float(np.interp(s, along, rows[:, 1]))


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
        value = amps.get(f"wire:{index}", 0.0)
        if not value:
            continue
        path = stage.paths[index]
        out += _in_sight(arrows_along(path, value, stage, stagger=0.25 + 0.5 * (index % 2)), stage)
        flows[wire.ends[0]].append((path[0], -value))
        flows[wire.ends[1]].append((path[-1], value))
    for terminal, corners in cable_ways(stage, snapshot):
        total = sum(value for _, value in flows.get(terminal, ()))
        if abs(total) >= _LEAST_AMPS:
            out += arrows_along(rounded_path(corners, stage.unit), total, stage)
    feeding = rail_inputs(ways, snapshot.amps)
    for node, lines in ways.lines.items():
        if node in feeding and len(lines) == 1:  # a frog is one piece of metal with no way along it
            out += rail_arrows(lines[0], feeding[node], stage)
    return out


def _in_sight(sprites: Iterator[Sprite], stage: Stage) -> Iterator[Sprite]:
    """Arrowheads on a wire, without those where it runs behind something."""
    fixtures = stage.fixtures
    boxes = [place.housing.union(place.face) for place in fixtures.blocks]
    boxes += [place.rect for place in (*fixtures.lamps, *fixtures.relays)]
    return (sprite for sprite in sprites if not any(box.collidepoint(sprite.rect.center) for box in boxes))


def rail_inputs(ways: Ways, amps: Mapping[str, float]) -> dict[str, list[tuple[Point, float]]]:
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


def rail_arrows(line: Floats, inputs: Sequence[tuple[Point, float]], stage: Stage) -> Iterator[Sprite]:
    """Arrowheads along one rail, from what flows into it at each place."""
    rows = sorted((split_at(line, point), value) for point, value in inputs)
    steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    carried = 0.0
    for (s, value), (after, _) in pairwise(rows):
        carried += value
        if abs(carried) < _LEAST_AMPS or after - s < 24 * stage.unit:
            continue
        inside = (steps > s + 1) & (steps < after - 1)
        part = [_at(line, steps, s), *[(float(x), float(y)) for x, y in line[inside].tolist()], _at(line, steps, after)]
        yield from arrows_along(part, carried, stage)

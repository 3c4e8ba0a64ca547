"""Where a clip-on ammeter can go round something, and what it reads there: a wire, a rail, or the whole of a frog."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point
from sim.game.picture.flow import passing_at, rail_inputs
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Clip
from sim.game.whereabouts.ways import Ways, split_at
from sim.session.snapshot import Snapshot
from sim.wiring.names import part_words, section_of, section_words

__all__ = [
    "Round", "around", "clip_at", "clip_of_rail", "clip_of_wire", "clipped_to", "currents", "followed", "reading",
]  # fmt: skip

_WIRE_HALF = 3.0
_RAIL_HALF_MM = 1.1


class Round(NamedTuple):
    """Where an ammeter's ring is: its middle (px), the bearing of what it goes round (radians, y down), half its width.

    name: what it goes round, in words
    """

    at: Point
    bearing: float
    half: float
    name: str


def _rows(path: tuple[Point, ...]) -> Floats:
    return np.asarray(path, dtype=np.float64)


def _nearest(line: Floats, point: Point) -> tuple[float, Point, float]:
    """How far a point is from a line, the place on it nearest to the point, and the bearing there."""
    run = line[1:] - line[:-1]
    length = np.maximum(np.sum(run * run, axis=1), 1e-12)
    share = np.clip(np.sum((np.array(point) - line[:-1]) * run, axis=1) / length, 0, 1)
    places = line[:-1] + run * share[:, None]
    apart = np.hypot(*(places - np.array(point)).T)
    k = int(np.argmin(apart))
    return (
        float(apart[k]),
        (float(places[k, 0]), float(places[k, 1])),
        math.atan2(float(run[k, 1]), float(run[k, 0])),
    )


def _length(line: Floats) -> float:
    return float(np.sum(np.hypot(*np.diff(line, axis=0).T)))


def _hidden(stage: Stage, point: Point) -> bool:
    """Whether a wire runs behind a terminal block, lamp or polarity unit there."""
    fixtures = stage.fixtures
    boxes = [place.housing.union(place.face) for place in fixtures.blocks]
    boxes += [place.rect for place in (*fixtures.lamps, *fixtures.polarities)]
    boxes += [bar.rect for bar in fixtures.bars]
    return any(box.collidepoint(point) for box in boxes)


def clip_at(stage: Stage, snapshot: Snapshot, point: Point, reach: float) -> Clip | None:
    """The ammeter round the wire or rail nearest to a point, if one is within reach (px)."""
    best: tuple[float, Clip] | None = None
    for run, path in zip(stage.runs, stage.paths, strict=True):
        rows = _rows(path)
        apart, place, _ = _nearest(rows, point)
        if apart <= reach and (best is None or apart < best[0]) and not _hidden(stage, place):
            best = (apart, _on_wire(stage, run.index, split_at(rows, place) / max(_length(rows), 1e-9)))
    for node, lines in Ways.now(stage, snapshot).lines.items():
        for line in lines:
            apart, place, _ = _nearest(line, point)
            if apart <= reach and (best is None or apart < best[0]):
                best = (apart, Clip("rail", node, stage.world.to_bench(place)))
    return best[1] if best is not None else None


def _on_wire(stage: Stage, index: int, share: float) -> Clip:
    return Clip("wire", str(index), (round(share, 4), 0.0), stage.bench.wires[index].ends)


def clip_of_wire(stage: Stage, index: int) -> Clip:
    """The ammeter round a wire, at the middle of its longest straight stretch."""
    rows = _rows(stage.paths[index])
    steps = np.hypot(*np.diff(rows, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    k = int(np.argmax(steps))
    return _on_wire(stage, index, float(along[k] + steps[k] / 2) / max(float(along[-1]), 1e-9))


def clip_of_rail(stage: Stage, snapshot: Snapshot, section: str) -> Clip | None:
    """The ammeter round a rail beside its tab, on the side of it where more flows; None for a section without rail."""
    spots = stage.fixtures.spots.get(section, ())
    if not spots:
        return None
    spot, away = spots[0], 26.0 * stage.unit
    found = []
    for side in (1, -1):
        clip = clip_at(stage, snapshot, (spot.probe_x + side * away, spot.probe_y), 14 * stage.unit)
        if clip is not None and clip.kind == "rail" and section_of(clip.name) == section:
            found.append(clip)
    found.append(
        Clip(
            "rail",
            _node_at(stage, section, spot.probe_x, spot.probe_y),
            stage.world.to_bench((spot.probe_x, spot.probe_y)),
        )
    )
    return max(found, key=lambda clip: round(abs(reading(stage, snapshot, clip) or 0.0), 6))


def _node_at(stage: Stage, section: str, x: float, y: float) -> str:
    nodes = [node for node in stage.lines if section_of(node) == section]
    return min(nodes, key=lambda node: min(_nearest(line, (x, y))[0] for line in stage.lines[node]), default=section)


def clipped_to(stage: Stage, clip: Clip) -> int | None:
    """The number of the wire that it goes round, also after others have been taken off; None when it is gone."""
    return _wire_of(stage.bench, clip)


def _wire_of(bench: Bench, clip: Clip) -> int | None:
    wires, index = bench.wires, int(clip.name)
    if index < len(wires) and wires[index].ends == clip.ends:
        return index
    return next((k for k, wire in enumerate(wires) if wire.ends == clip.ends), None)


def followed(clip: Clip, before: Bench, now: Bench) -> Clip:
    """The same clip once an end of its wire has been moved, so that it stays round it."""
    if clip.kind != "wire" or len(before.wires) != len(now.wires):
        return clip
    index = _wire_of(before, clip)
    return clip if index is None else clip._replace(name=str(index), ends=now.wires[index].ends)


def around(stage: Stage, snapshot: Snapshot, clip: Clip) -> Round | None:
    """Where its ring is on the screen; None when what it went round is no longer there."""
    if clip.kind == "wire":
        index = clipped_to(stage, clip)
        if index is None:
            return None
        rows = _rows(stage.paths[index])
        steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
        at = clip.at[0] * float(steps[-1])
        point = (float(np.interp(at, steps, rows[:, 0])), float(np.interp(at, steps, rows[:, 1])))
        _, place, bearing = _nearest(rows, point)
        return Round(place, bearing, _WIRE_HALF * stage.unit, part_words(stage.bench, PartRef("wire", "", (index,))))
    lines = Ways.now(stage, snapshot).lines.get(clip.name)
    if not lines:
        return None
    point = stage.world.to_screen(clip.at)
    _, place, bearing = min((_nearest(line, point) for line in lines), key=lambda row: row[0])
    half = max(3.0 * stage.unit, _RAIL_HALF_MM * stage.world.scale)
    return Round(place, bearing, half, section_words(stage.bench, section_of(clip.name)))


def currents(snapshot: Snapshot) -> dict[PartRef, float]:
    """Amps through every part: as they are, or, while a short is shown, as they were when its breaker opened."""
    fault = snapshot.fault
    return dict(fault.flowed if fault is not None and fault.loop else snapshot.amps)


def reading(stage: Stage, snapshot: Snapshot, clip: Clip) -> float | None:
    """Amps that the ammeter reads, never negative; round a frog all that flows into it. None when it hangs loose."""
    amps = currents(snapshot)
    if clip.kind == "wire":
        index = clipped_to(stage, clip)
        return None if index is None else abs(amps.get(PartRef("wire", "", (index,)), 0.0))
    ways = Ways.now(stage, snapshot)
    lines = ways.lines.get(clip.name)
    if not lines:
        return None
    inputs = rail_inputs(ways, amps).get(clip.name, [])
    if len(lines) > 1:  # one piece of metal of several rails: the ring can only go round all of it
        return sum(value for _, value in inputs if value > 0)
    return abs(passing_at(lines[0], inputs, stage.world.to_screen(clip.at)))

"""Where on the screen the current of a part runs: along a wire, through a contact, over a gap, along a rail."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache

import numpy as np

from sim.bench.point_set import full_id
from sim.bench.table import Table
from sim.electric.parts import PartRef
from sim.game.draw.pen.kept import kept
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point
from sim.game.whereabouts.cabling import cable_ways
from sim.game.whereabouts.dressing import rounded_path
from sim.game.whereabouts.joinery import bond_way, jumper_way, meeting
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot
from sim.wiring.loop import LoopStep
from sim.wiring.names import place_name, section_of

__all__ = ["Ways", "chained", "split_at"]

Axles = tuple[tuple[float, float, float], ...]


class Ways:
    """The ways of the current on one stage at one moment.

    Args:
        axles: of every vehicle, "train:index", its axles on the bench (x mm, y mm, heading), leading first.
        travel: blade travel by set of points.
    """

    def __init__(
        self, stage: Stage, snapshot: Snapshot, axles: Mapping[str, Axles], travel: Mapping[str, float]
    ) -> None:
        self.stage = stage
        self.snapshot = snapshot
        self.axles = axles
        self.travel = travel

    @classmethod
    def now(cls, stage: Stage, snapshot: Snapshot) -> Ways:
        """The ways as the bench stands."""
        axles = {
            f"{train.id}:{k}": vehicle.axles for train in snapshot.trains for k, vehicle in enumerate(train.vehicles)
        }
        return cls(stage, snapshot, axles, snapshot.travel)

    @cached_property
    def lines(self) -> Mapping[str, tuple[Floats, ...]]:
        """Middle lines of the rails of every node, px, blades as they lie; what follows end to end is one line."""
        return _lines(self.stage, self._thrown)

    def reach(self, node: str, point: Point) -> float:
        """How far along a rail's first line, px, the place nearest to a point is."""
        found = self._reached.get((node, point))
        if found is None:
            if len(self._reached) > _MOST_REACHED:
                self._reached.clear()
            found = self._reached[node, point] = split_at(self.lines[node][0], point)
        return found

    @cached_property
    def _thrown(self) -> Table[str, float]:
        return Table({points: float(at >= 0.5) for points, at in self.travel.items()})

    @cached_property
    def _reached(self) -> dict[tuple[str, Point], float]:
        return _reaches(self.stage, self._thrown)

    # Where a part touches a node

    def anchor(self, ref: PartRef, node: str) -> Point | None:
        """Where a part touches one of its two nodes; None for a part that has no place."""
        kind = ref.kind
        if kind == "wire":
            index = int(ref.detail[0])
            path = self.stage.paths[index]
            return path[0] if self.stage.bench.wires[index].ends[0] in (node, section_of(node)) else path[-1]
        if kind in {"gap", "bond", "jumper"}:
            return self._place_end(ref, node)
        if kind == "contact":
            return self._screw_top(node)
        if kind == "blade":
            return self._blade_tip(f"{ref.owner}.{ref.detail[0]}")
        if kind == "joint":
            return self._joint(ref)
        if kind == "rail":
            return self._between(f"{ref.owner}.{ref.detail[0]}")
        if kind in {"wheel", "pickup", "load"}:
            return self._wheel(ref)
        if kind == "supply":
            return self._bar(node)
        if kind in {"lamp", "unit"} and node in self.stage.fixtures.spots:
            spot = self.stage.fixtures.spots[node][0]
            return spot.probe_x, spot.probe_y
        if kind == "bus":
            return self._bar(node)
        return None

    def _place_end(self, ref: PartRef, node: str) -> Point | None:
        mark = next((mark for mark in self.stage.places if mark.place.name == place_name(ref)), None)
        if mark is None:
            return None
        if ref.kind == "gap":
            lines = self.lines.get(node, ())
            ends = [tuple(line[k]) for line in lines for k in (0, -1)]
            return min(
                ((float(x), float(y)) for x, y in ends),
                key=lambda p: math.hypot(p[0] - mark.x, p[1] - mark.y),
                default=(mark.x, mark.y),
            )
        way = bond_way(self.stage, mark) if ref.kind == "bond" else jumper_way(self.stage, mark)
        if not way:
            return mark.x, mark.y
        # a bond is drawn from stock rail (b) to blade (a), a jumper from exit rail (a) to closure rail (b)
        first = mark.place.b if ref.kind == "bond" else mark.place.a
        return way[0] if node == first else way[-1]

    def _screw_top(self, terminal: str) -> Point | None:
        for block in self.stage.fixtures.blocks:
            motor, _, letter = terminal.partition(".")
            if block.motor == motor and letter in block.letters:
                return block.xs[block.letters.index(letter)], float(block.face.y)
        return None

    def _blade_tip(self, name: str) -> Point | None:
        piece, _, local = name.partition(".")
        laid = self.stage.plan.by_id[piece]
        blade = next((each for each in laid.geometry.topology.blades if each.name == local), None)
        lines = self.lines.get(f"{piece}.{blade.blade}", ()) if blade is not None else ()
        if not lines:
            return None
        mark = laid.mark(laid.geometry.marks.tips[local])
        x, y = self.stage.world.to_screen((mark.x, mark.y))
        return min(
            ((float(line[k, 0]), float(line[k, 1])) for line in lines for k in (0, -1)),
            key=lambda p: math.hypot(p[0] - x, p[1] - y),
        )

    def _joint(self, ref: PartRef) -> Point | None:
        end, side = ref.detail
        for joint in self.stage.plan.layout.joints:
            if joint.end == f"{ref.owner}.{end}":
                for each in joint.sides:
                    if each.side == side:
                        meet = meeting(self.stage, each.one, each.other)
                        return meet[0] if meet else None
        return None

    def _between(self, node: str) -> Point | None:
        """Where a length of plain rail goes over into the next."""
        head, _, number = node.rpartition("/")
        after = f"{head}/{int(number) + 1}"
        meet = meeting(self.stage, node, after)
        return meet[0] if meet else None

    def _wheel(self, ref: PartRef) -> Point | None:
        axles = self.axles.get(ref.owner)
        if axles is None:
            return None
        if ref.kind == "load":
            return self.stage.world.to_screen(
                (sum(a[0] for a in axles) / len(axles), sum(a[1] for a in axles) / len(axles))
            )
        axle, _, side = ref.detail[:3]
        x, y, heading = axles[int(axle) - 1]
        layout = self.stage.plan.layout
        half = layout.scale(next(iter(layout.pieces))).gauge_mm / 2 + 0.6
        sign = 1.0 if side == "left" else -1.0
        return self.stage.world.to_screen((x - math.sin(heading) * half * sign, y + math.cos(heading) * half * sign))

    def _bar(self, terminal: str) -> Point | None:
        bar = next((bar for bar in self.stage.fixtures.bars if bar.terminal == terminal), None)
        return (float(bar.rect.x + 4 if self.stage.below else bar.rect.right - 4), bar.y) if bar is not None else None

    # Through a part, and along a node

    def through(self, ref: PartRef, a: str, b: str) -> list[Point]:
        """The way through a part from its node `a` to its node `b`."""
        if ref.kind == "wire":
            index = int(ref.detail[0])
            path = list(self.stage.paths[index])
            return path if self.stage.bench.wires[index].ends[0] == a else path[::-1]
        start, end = self.anchor(ref, a), self.anchor(ref, b)
        if start is None or end is None:
            return [point for point in (start, end) if point is not None]
        if ref.kind == "contact":
            top = min(start[1], end[1]) - 44 * self.stage.unit
            return rounded_path([start, (start[0], top), (end[0], top), end], self.stage.unit)
        if ref.kind in {"bond", "jumper"}:
            mark = next(mark for mark in self.stage.places if mark.place.name == place_name(ref))
            way = list(bond_way(self.stage, mark) if ref.kind == "bond" else jumper_way(self.stage, mark))
            return way if way and math.dist(way[0], start) < math.dist(way[-1], start) else way[::-1]
        return [start, end]

    def along(self, node: str, start: Point, end: Point) -> list[Point]:
        """The way along a node between two places on it: down a screw, along a bar, along a rail."""
        lines = self.lines.get(node)
        if not lines:
            return [start, end]
        one, a = _nearest(lines, start)
        other, b = _nearest(lines, end)
        if one == other:
            return [start, *_part(lines[one], a, b), end]
        pairs = [(k, m, float(np.hypot(*(lines[one][k] - lines[other][m])))) for k in (0, -1) for m in (0, -1)]
        k, m, _ = min(pairs, key=lambda row: row[2])
        first = _part(lines[one], a, 0.0 if k == 0 else float(len(lines[one]) - 1))
        second = _part(lines[other], 0.0 if m == 0 else float(len(lines[other]) - 1), b)
        return [start, *first, *second, end]

    def loop(self, steps: Sequence[LoopStep]) -> list[Point]:
        """The whole way of a current, from the supply's panel and back to it."""
        out: list[Point] = []
        ways = {
            terminal: list(rounded_path(corners, self.stage.unit))
            for terminal, corners in cable_ways(self.stage, self.snapshot)
        }
        if steps and steps[0].node_a in ways:
            out += ways[steps[0].node_a][::-1]
        for step in steps:
            way = self.through(step.ref, step.node_a, step.node_b)
            if not way:
                continue
            if out:
                out += self.along(step.node_a, out[-1], way[0])[1:-1]
            out += way
        if steps and steps[-1].node_b in ways:
            back = ways[steps[-1].node_b]
            if out:
                out += self.along(steps[-1].node_b, out[-1], back[0])[1:-1]
            out += back
        return _without_repeats(out)


_MOST_REACHED = 20_000


@lru_cache(maxsize=8)
def _reaches(stage: Stage, thrown: Table[str, float]) -> dict[tuple[str, Point], float]:
    """What `reach` has found already: most of what feeds a rail never moves."""
    del stage, thrown
    return {}


@lru_cache(maxsize=8)
def _lines(stage: Stage, thrown: Table[str, float]) -> Mapping[str, tuple[Floats, ...]]:
    """Middle lines of all rails, px; `thrown`: of each set of points, 1 where it lies diverging, else 0."""
    out: dict[str, tuple[Floats, ...]] = {}
    for laid in stage.plan.laid:
        sets = [full_id(laid.id, name) for name in laid.geometry.topology.point_sets]
        out |= _lines_of(stage, laid.id, tuple((points, thrown.get(points, 0.0)) for points in sets))
    return out


@kept
def _lines_of(stage: Stage, piece: str, thrown: tuple[tuple[str, float], ...]) -> dict[str, tuple[Floats, ...]]:
    """The same of one piece."""
    out: dict[str, list[Floats]] = {}
    world = stage.world
    for view in stage.views(piece, dict(thrown)):
        if view.node:
            rows = view.middle
            xs, ys = world.left + rows[:, 0] * world.across, world.base - rows[:, 1] * world.scale
            out.setdefault(view.node, []).append(np.stack([xs, ys], axis=1))
    return {node: tuple(chained(rows, 3 * world.scale)) for node, rows in out.items()}


def _without_repeats(points: list[Point]) -> list[Point]:
    out: list[Point] = []
    for point in points:
        if not out or math.dist(out[-1], point) > 0.6:
            out.append(point)
    return out


def _nearest(lines: Sequence[Floats], point: Point) -> tuple[int, float]:
    """Which line is nearest to a point, and where on it: a vertex number with a fraction."""
    best: tuple[float, int, float] | None = None
    for number, line in enumerate(lines):
        run = line[1:] - line[:-1]
        length = np.maximum(np.sum(run * run, axis=1), 1e-12)
        share = np.clip(np.sum((np.array(point) - line[:-1]) * run, axis=1) / length, 0, 1)
        away = np.hypot(*(line[:-1] + run * share[:, None] - np.array(point)).T)
        k = int(np.argmin(away))
        if best is None or float(away[k]) < best[0]:
            best = (float(away[k]), number, k + float(share[k]))
    if best is None:
        raise ValueError("no lines")
    return best[1], best[2]


def _point_at(line: Floats, at: float) -> Point:
    k = min(int(at), len(line) - 2)
    x, y = line[k] + (line[k + 1] - line[k]) * (at - k)
    return float(x), float(y)


def _part(line: Floats, a: float, b: float) -> list[Point]:
    """The part of a line from place a to place b (vertex numbers with fractions), backwards if b comes first."""
    low, high = min(a, b), max(a, b)
    inner = [(float(x), float(y)) for x, y in line[math.floor(low) + 1 : math.ceil(high)].tolist()]
    out = [_point_at(line, low), *inner, _point_at(line, high)]
    return out if a <= b else out[::-1]


def chained(lines: Sequence[Floats], near: float) -> list[Floats]:
    """Lines that follow each other end to end as one."""
    out = [line if line[0, 0] <= line[-1, 0] else line[::-1] for line in lines]
    merged = True
    while merged:
        merged = False
        for i, a in enumerate(out):
            for j, b in enumerate(out):
                if i != j and np.hypot(*(a[-1] - b[0])) < near and _bend(a, b) < 0.35:
                    out[i] = np.concatenate([a, b])
                    del out[j]
                    merged = True
                    break
            if merged:
                break
    return out


def _bend(a: Floats, b: Floats) -> float:
    """The angle between the end of one line and the beginning of the next, radians."""
    u, v = a[-1] - a[-2], b[1] - b[0]
    return abs(math.remainder(math.atan2(u[1], u[0]) - math.atan2(v[1], v[0]), 2 * math.pi))


def split_at(line: Floats, point: Point) -> float:
    """How far along a line (px) the place nearest to a point is."""
    _, at = _nearest([line], point)
    steps = np.hypot(*np.diff(line, axis=0).T)
    k = min(int(at), len(steps) - 1)
    return float(np.sum(steps[:k]) + steps[k] * (at - k))

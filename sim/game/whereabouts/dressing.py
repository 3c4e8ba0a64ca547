"""How wires are dressed along the board: right angles, lanes side by side, rounded corners, ties and staples.

A wire leaves its screw straight down, turns into a lane, and comes straight to its tab. Lanes between the fixtures and
the track are ordered so that as few wires cross as can be; a rail that nothing lies below is reached from below, round
the right end of the track. Places are device pixels.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from sim.bench.model import Bench
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point, Rooms
from sim.game.whereabouts.detours import Detours
from sim.game.whereabouts.fixtures import Fixtures, Spot

__all__ = ["Run", "Tie", "dress", "rounded_path", "ties"]

_PITCH = 8.0
_RADIUS = 10.0
_MOTOR_FIRST = 49.0  # first lane under the blocks
_FEEDER_LAST = 44.0  # last lane above the track


@dataclass(frozen=True)
class Run:
    """A dressed wire: its index on the bench, its corners from first end to second, the spots it ends at, its kind.

    kind: "feeder" between a bar and a rail, "motor" with an end at a motor, lamp or polarity unit
    """

    index: int
    corners: tuple[Point, ...]
    a: Spot
    b: Spot
    kind: str


@dataclass(frozen=True)
class Tie:
    """A lacing tie (`single`: a staple) across wires: its middle, its reach across, whether they run upright."""

    x: float
    y: float
    reach: float
    upright: bool
    single: bool


@dataclass
class _Lane:
    """A level stretch of a wire that still needs its height: from x1 (first end) to x2; which ends go up."""

    wire: int
    x1: float
    x2: float
    up1: bool
    up2: bool
    group: str
    y: float = 0.0

    @property
    def low(self) -> float:
        return min(self.x1, self.x2)

    @property
    def high(self) -> float:
        return max(self.x1, self.x2)


@dataclass
class _Draft:
    """A wire on its way: spots moved to the screw or side it got, the column it comes down, its lanes."""

    index: int
    a: Spot
    b: Spot
    kind: str
    columns: dict[int, float] = field(default_factory=dict)
    jogs: dict[int, float] = field(default_factory=dict)


def _moved(spot: Spot, dx: float) -> Spot:
    return Spot(spot.terminal, spot.x + dx, spot.y, spot.leaves, spot.probe_x, spot.probe_y, spot.radius, spot.fixture)


def _drafts(bench: Bench, fixtures: Fixtures, unit: float) -> list[_Draft]:
    """Every wire with the screws it gets: on a bar those of its own, on a single screw or tab side by side."""
    at: dict[str, list[tuple[float, int, int]]] = defaultdict(list)
    motor_like = {place.motor for place in fixtures.blocks} | {
        place.id for place in (*fixtures.lamps, *fixtures.polarities)
    }
    for index, wire in enumerate(bench.wires):
        for end in (0, 1):
            other = fixtures.spots[wire.ends[1 - end]][0]
            key = math.inf if other.leaves == "down" and other.fixture == "tab" else other.x
            if other.fixture in motor_like:
                key = other.x - 1e6
            at[wire.ends[end]].append((key, index, end))
    chosen: dict[tuple[int, int], Spot] = {}
    for terminal, wanted in at.items():
        places = fixtures.spots[terminal]
        wanted.sort()
        if len(places) == 1:
            for k, (_, index, end) in enumerate(wanted):
                chosen[index, end] = _moved(places[0], (k - (len(wanted) - 1) / 2) * _PITCH * unit)
            continue
        lefts = [row for row in wanted if row[0] < -1e5]
        rights = [row for row in wanted if row[0] >= -1e5]
        for k, (_, index, end) in enumerate(lefts):
            chosen[index, end] = places[min(k, len(places) - 1)]
        for k, (_, index, end) in enumerate(reversed(rights)):
            chosen[index, end] = places[max(0, len(places) - 1 - k)]
    drafts = []
    for index in range(len(bench.wires)):
        a, b = chosen[index, 0], chosen[index, 1]
        motor = bool({a.fixture, b.fixture} & motor_like)
        drafts.append(_Draft(index, a, b, "motor" if motor else "feeder"))
    return drafts


def _crossings(lanes: Sequence[_Lane], near: float) -> Floats:
    """How many crossings come about when one lane (row) lies over another (column): (n, n)."""
    low, high = np.array([lane.low for lane in lanes]), np.array([lane.high for lane in lanes])
    count = np.zeros((len(lanes), len(lanes)))
    for mine in (0, 1):
        x, up = _end_arrays(lanes, mine)
        # what goes down from the upper crosses the lower, what goes up from the lower crosses the upper
        count += (low[None, :] + 1 < x[:, None]) & (x[:, None] < high[None, :] - 1) & ~up[:, None]
        count += (low[:, None] + 1 < x[None, :]) & (x[None, :] < high[:, None] - 1) & up[None, :]
        for other in (0, 1):
            xo, upo = _end_arrays(lanes, other)
            count += 3.0 * ((np.abs(x[:, None] - xo[None, :]) < near) & ~up[:, None] & upo[None, :])
    return count


def _end_arrays(lanes: Sequence[_Lane], end: int) -> tuple[Floats, np.ndarray[tuple[int, ...], np.dtype[np.bool_]]]:
    """Where the lanes' first (0) or second (1) ends are, and which of them go up."""
    return (
        np.array([lane.x2 if end else lane.x1 for lane in lanes], dtype=np.float64),
        np.array([lane.up2 if end else lane.up1 for lane in lanes], dtype=np.bool_),
    )


def _ordered(lanes: list[_Lane], near: float) -> list[_Lane]:
    """Lanes from top to bottom with few crossings: neighbours change places as long as that helps."""
    lanes = sorted(lanes, key=lambda lane: (lane.low, lane.wire))
    if not lanes:
        return []
    table = _crossings(lanes, near)
    cost = table.tolist()
    order = list(range(len(lanes)))
    best = math.inf
    for _ in range(len(order) + 1):
        for k in range(len(order) - 1):
            i, j = order[k], order[k + 1]
            if cost[j][i] < cost[i][j]:
                order[k], order[k + 1] = j, i
        total = float(np.triu(table[np.ix_(order, order)], 1).sum())
        if total >= best:
            break
        best = total
    return [lanes[k] for k in order]


def _levels(order: list[_Lane], margin: float) -> list[int]:
    """The level of each lane, 0 the uppermost: lanes that do not meet side by side share one."""
    low, high = (np.array([getattr(lane, end) for lane in order], dtype=np.float64) for end in ("low", "high"))
    levels = np.zeros(len(order), dtype=np.intp)
    for k in range(len(order)):
        beside = (low[:k] - margin < high[k]) & (low[k] - margin < high[:k])
        levels[k] = np.max(levels[:k][beside], initial=-1) + 1
    return [int(level) for level in levels]


def _gather(drafts: list[_Draft], fixtures: Fixtures, unit: float) -> None:
    """Feeders of one bar come together into a loom below it: the rightmost stays, the others move up to it."""
    for bar in fixtures.bars:
        own = []
        for draft in drafts:
            for end, spot in ((0, draft.a), (1, draft.b)):
                other = draft.b if end == 0 else draft.a
                if spot.terminal == bar.terminal and draft.kind == "feeder" and other.leaves == "up":
                    own.append((spot.x, draft, end))
        own.sort(key=lambda row: row[0])
        for k, (_, draft, end) in enumerate(own[:-1]):
            behind = len(own) - 1 - k
            draft.columns[end] = own[-1][0] - behind * _PITCH * unit
            draft.jogs[end] = bar.rect.bottom + (40 + _PITCH * behind) * unit


def _is_low(spot: Spot) -> bool:
    return spot.fixture == "tab" and spot.leaves == "down"


def _round_fixtures(
    drafts: list[_Draft], right: dict[int, tuple[float, float, float]], fixtures: Fixtures, rooms: Rooms
) -> None:
    """Wires from a bar come down beside what stands under it: where a way is blocked they go round."""
    unit = rooms.unit
    solids = [bar.rect for bar in fixtures.bars]
    solids += [place.housing.union(place.face) for place in fixtures.blocks]
    solids += [box.rect for box in (*fixtures.lamps, *fixtures.polarities)]
    ways = Detours(solids, rooms.sheet.right + 6 * unit, rooms.mat.right - 8 * unit, fixtures.foot + 8 * unit, unit)
    feet = {bar.terminal: float(bar.rect.bottom) for bar in fixtures.bars}
    blocked = []
    for draft in sorted(drafts, key=lambda draft: draft.index not in right):  # whose column is fixed comes first
        for end, spot in ((0, draft.a), (1, draft.b)):
            if spot.terminal not in feet:
                continue
            top = feet[spot.terminal]
            if draft.index in right:
                draft.columns[end], _, draft.jogs[end] = right[draft.index]
            jog, column = draft.jogs.get(end), draft.columns.get(end)
            if jog is not None and ways.free(spot.x, top, jog, column):
                ways.take(spot.x, top, jog, column)
            elif draft.index not in right and ways.free(spot.x, top):
                draft.jogs.pop(end, None)
                draft.columns.pop(end, None)
                ways.take(spot.x, top)
            else:
                blocked.append((spot.x, draft, end, top))
    for x, draft, end, top in sorted(blocked, key=lambda row: (row[1].index not in right, row[3], -row[0], row[2])):
        way = ways.round(x, top, fixtures.track_right + 9 * unit if draft.index in right else -math.inf)
        if way is not None:
            draft.jogs[end], draft.columns[end] = way
            ways.take(x, top, *way)
        if draft.index in right:
            right[draft.index] = draft.columns[end], right[draft.index][1], draft.jogs[end]
        elif way is None:
            draft.jogs.pop(end, None)
            draft.columns.pop(end, None)


def dress(bench: Bench, fixtures: Fixtures, rooms: Rooms) -> tuple[Run, ...]:
    """Dress every wire of a bench."""
    unit = rooms.unit
    drafts = _drafts(bench, fixtures, unit)
    _gather(drafts, fixtures, unit)
    right = _right_columns([draft for draft in drafts if _is_low(draft.a) or _is_low(draft.b)], fixtures, rooms)
    _round_fixtures(drafts, right, fixtures, rooms)
    lanes: dict[int, _Lane] = {}
    for draft in drafts:
        low_a, low_b = _is_low(draft.a), _is_low(draft.b)
        if low_a and low_b:
            continue
        if low_a or low_b:
            upper = draft.b if low_a else draft.a
            if upper.fixture.endswith((".A", ".B")):
                continue
            x = upper.x
            lanes[draft.index] = _Lane(
                draft.index, x, fixtures.track_right + 20 * unit, upper.leaves == "down", False, draft.kind
            )
            continue
        x1 = draft.columns.get(0, draft.a.x)
        x2 = draft.columns.get(1, draft.b.x)
        lanes[draft.index] = _Lane(draft.index, x1, x2, draft.a.leaves == "down", draft.b.leaves == "down", draft.kind)
    _set_heights(list(lanes.values()), fixtures, unit)
    return tuple(_run(draft, lanes.get(draft.index), right, fixtures, unit) for draft in drafts)


def _set_heights(lanes: list[_Lane], fixtures: Fixtures, unit: float) -> None:
    near, margin = 6 * unit, 14 * unit
    groups = {name: _ordered([lane for lane in lanes if lane.group == name], near) for name in ("motor", "feeder")}
    levels = {name: _levels(order, margin) for name, order in groups.items()}
    counts = {name: max(found, default=-1) + 1 for name, found in levels.items()}
    room_top, room_foot = fixtures.foot + 20 * unit, fixtures.track_top - 14 * unit
    pitch = _PITCH * unit
    total = counts["motor"] + counts["feeder"] + 1
    if total * pitch > room_foot - room_top:
        pitch = max(2.0, (room_foot - room_top) / total)
    first = min(fixtures.foot + _MOTOR_FIRST * unit, max(room_top, room_foot - total * pitch))
    last = fixtures.track_top - _FEEDER_LAST * unit
    start = max(first + counts["motor"] * pitch + 16 * unit, last - (counts["feeder"] - 1) * pitch)
    start = max(first + (counts["motor"] + 1) * pitch, min(start, room_foot - (counts["feeder"] - 1) * pitch))
    for name, top in (("motor", first), ("feeder", start)):
        for lane, level in zip(groups[name], levels[name], strict=True):
            lane.y = top + level * pitch


def _right_columns(below: list[_Draft], fixtures: Fixtures, rooms: Rooms) -> dict[int, tuple[float, float, float]]:
    """For wires round the right end: their column's x, their lane's y below the track, the jog under their bar."""
    unit = rooms.unit
    out = {}
    most = rooms.mat.right - 8 * unit
    ordered = sorted(below, key=lambda draft: min(draft.a.x, draft.b.x), reverse=True)
    for k, draft in enumerate(ordered):
        upper = draft.a if draft.a.fixture != "tab" or draft.a.leaves == "up" else draft.b
        bar = next((bar for bar in fixtures.bars if bar.terminal == upper.terminal), None)
        jog = (bar.rect.bottom if bar else fixtures.foot) + (20 + _PITCH * (len(ordered) - 1 - k)) * unit
        column = min(most, fixtures.track_right + (9 + _PITCH * k) * unit)
        out[draft.index] = (column, fixtures.track_foot + (11 + _PITCH * k) * unit, jog)
    return out


def _run(
    draft: _Draft, lane: _Lane | None, right: dict[int, tuple[float, float, float]], fixtures: Fixtures, unit: float
) -> Run:
    a, b = draft.a, draft.b
    start, end = (a.x, a.y), (b.x, b.y)
    if draft.index in right:
        column, floor, jog = right[draft.index]
        low_a = a.fixture == "tab" and a.leaves == "down"
        low_b = b.fixture == "tab" and b.leaves == "down"
        if low_a and low_b:
            corners = [start, (a.x, floor), (b.x, floor), end]
        else:
            upper, lower = (b, a) if low_a else (a, b)
            y = lane.y if lane is not None else jog
            corners = [
                (upper.x, upper.y),
                (upper.x, y),
                (column, y),
                (column, floor),
                (lower.x, floor),
                (lower.x, lower.y),
            ]
            if low_a:
                corners.reverse()
    else:
        y = lane.y if lane is not None else fixtures.foot
        corners = [start]
        for number in (0, 1):
            spot = a if number == 0 else b
            piece: list[Point] = []
            if number in draft.columns:
                piece = [(spot.x, draft.jogs[number]), (draft.columns[number], draft.jogs[number])]
            piece.append((draft.columns.get(number, spot.x), y))
            corners += piece if number == 0 else list(reversed(piece))
        corners.append(end)
    return Run(draft.index, tuple(_cleaned(corners)), a, b, draft.kind)


def _cleaned(corners: Sequence[Point]) -> list[Point]:
    """Without points that repeat or lie on a straight line between their neighbours."""
    out: list[Point] = []
    for point in corners:
        if out and abs(out[-1][0] - point[0]) < 0.5 and abs(out[-1][1] - point[1]) < 0.5:
            continue
        if len(out) >= 2:
            (x0, y0), (x1, y1) = out[-2], out[-1]
            if (
                abs((x1 - x0) * (point[1] - y1) - (y1 - y0) * (point[0] - x1)) < 0.5
                and (x1 - x0) * (point[0] - x1) + (y1 - y0) * (point[1] - y1) >= 0
            ):
                out.pop()
        out.append(point)
    return out


def rounded_path(corners: Sequence[Point], unit: float) -> list[Point]:
    """A polyline with every corner rounded to 10 px, less where a stretch is short."""
    if len(corners) < 3:
        return list(corners)
    out: list[Point] = [corners[0]]
    for before, corner, after in zip(corners, corners[1:], corners[2:], strict=False):
        d1 = math.hypot(corner[0] - before[0], corner[1] - before[1])
        d2 = math.hypot(after[0] - corner[0], after[1] - corner[1])
        r = min(_RADIUS * unit, d1 / 2, d2 / 2)
        if r < 0.5:
            out.append(corner)
            continue
        start = (corner[0] + (before[0] - corner[0]) / d1 * r, corner[1] + (before[1] - corner[1]) / d1 * r)
        end = (corner[0] + (after[0] - corner[0]) / d2 * r, corner[1] + (after[1] - corner[1]) / d2 * r)
        for k in range(9):
            t = k / 8
            # a quarter circle between two right-angled tangents, as a rational curve with weight cos 45
            w = math.sqrt(0.5)
            p, q, s = (1 - t) ** 2, 2 * t * (1 - t) * w, t * t
            n = p + q + s
            out.append(
                ((start[0] * p + corner[0] * q + end[0] * s) / n, (start[1] * p + corner[1] * q + end[1] * s) / n)
            )
    out.append(corners[-1])
    return out


@dataclass(frozen=True)
class _Stretch:
    wire: int
    upright: bool
    at: float
    low: float
    high: float


def _stretches(runs: Sequence[Run], unit: float) -> list[_Stretch]:
    out = []
    for run in runs:
        for (x0, y0), (x1, y1) in zip(run.corners, run.corners[1:], strict=False):
            upright = abs(x1 - x0) < 0.5
            low, high = (min(y0, y1), max(y0, y1)) if upright else (min(x0, x1), max(x0, x1))
            if high - low > 34 * unit:
                out.append(_Stretch(run.index, upright, x0 if upright else y0, low + 12 * unit, high - 12 * unit))
    return out


def ties(runs: Sequence[Run], rooms: Rooms, keep_off: Sequence[Point] = ()) -> tuple[Tie, ...]:
    """Lacing ties where wires run side by side, staples on long single ones; none where something crosses."""
    unit = rooms.unit
    every = _stretches(runs, unit)
    out: list[Tie] = []
    for upright in (True, False):
        rows = sorted((s for s in every if s.upright == upright), key=lambda s: s.at)
        across = [s for s in every if s.upright != upright]
        bundles: list[list[_Stretch]] = []
        for row in rows:
            home = next(
                (
                    b
                    for b in bundles
                    if any(
                        abs(row.at - s.at) < 9.5 * unit
                        and row.low < s.high - 30 * unit
                        and s.low < row.high - 30 * unit
                        for s in b
                    )
                ),
                None,
            )
            if home is None:
                bundles.append([row])
            else:
                home.append(row)
        for bundle in bundles:
            out += _bundle_ties(bundle, across, unit, keep_off)
    return tuple(out)


def _bundle_ties(bundle: list[_Stretch], across: list[_Stretch], unit: float, keep_off: Sequence[Point]) -> list[Tie]:
    low, high = min(s.low for s in bundle), max(s.high for s in bundle)
    upright = bundle[0].upright
    out: list[Tie] = []
    together = len(bundle) > 1
    every = (56 if together else 124) * unit
    length = high - low
    count = int(length // every) if together else int((length + 20 * unit) // every)
    if not count and length > 44 * unit and together:
        count = 1
    for k in range(count):
        along = low + length * (k + 0.5) / count
        here = [s for s in bundle if s.low - 2 <= along <= s.high + 2]
        if not here:
            continue
        middle = sum(s.at for s in here) / len(here)
        if any(abs(s.at - along) < 9 * unit and s.low - 14 * unit < middle < s.high + 14 * unit for s in across):
            continue
        x, y = (middle, along) if upright else (along, middle)
        if any(math.hypot(x - px, y - py) < 16 * unit for px, py in keep_off):
            continue
        spread = max(s.at for s in here) - min(s.at for s in here)
        out.append(Tie(x, y, spread / 2, upright, len(here) == 1))
    return out

"""Where everything that a wire can be screwed or soldered to lies on the screen.

Blocks, bus bars, lamps and polarity units stand in the upper right of the mat; tabs lie along the rails. Places are
device pixels. The layout follows from the bench, the rooms of the window and the track's plan alone.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import pygame

from sim.bench.model import Bench
from sim.game.draw.railway.track import on_screen
from sim.game.paper.plan import Plan
from sim.game.paper.railviews import rail_views
from sim.game.paper.view import Rooms, World

__all__ = ["BarPlace", "BlockPlace", "BoxPlace", "Fixtures", "Spot", "place_fixtures", "row_squeeze"]

_PITCH = 40.0
_BAR_PITCH = 28.0
_WAY = 9.0  # under the bars, for each wire that goes round what stands below them
_WAYS = 24  # at most, on a mat larger than the window's
_HANGS = 200.0  # from the foot of a motor to the track, where the mat has more room than that
_LANES = 100.0  # of that: what does not grow with the number of wires
_LANE = 8.0
_BLOCK_HIGH = 168.0


@dataclass(frozen=True)
class Spot:
    """A place where a wire can end.

    x, y: where a wire is fixed; leaves: which way it runs from there ("down", "up"); probe_x, probe_y: where a meter's
    tip rests; radius: how large the screw or tab is; fixture: what it belongs to ("M1", "bus.A", "tab").
    """

    terminal: str
    x: float
    y: float
    leaves: str
    probe_x: float
    probe_y: float
    radius: float
    fixture: str


@dataclass(frozen=True)
class BlockPlace:
    """A motor: its housing, its cream block, letters with the middle of each, heights of its two rows of screws."""

    motor: str
    housing: pygame.Rect
    face: pygame.Rect
    letters: tuple[str, ...]
    xs: tuple[float, ...]
    upper: float
    lower: float


@dataclass(frozen=True)
class BarPlace:
    """A bus bar: the terminal it is, its side, its holder, the middle of each screw."""

    terminal: str
    side: str
    rect: pygame.Rect
    xs: tuple[float, ...]
    y: float


@dataclass(frozen=True)
class BoxPlace:
    """A lamp or polarity unit: its id, its box, its terminals with the middle of each screw."""

    id: str
    rect: pygame.Rect
    letters: tuple[str, ...]
    xs: tuple[float, ...]
    y: float


@dataclass(frozen=True, eq=False)
class Fixtures:
    """All of them. `spots` holds every place of every terminal: a bar has several, all else one.

    foot: the lowest edge of what stands above the track; lanes may run from there to `track_top`.
    """

    blocks: tuple[BlockPlace, ...]
    bars: tuple[BarPlace, ...]
    lamps: tuple[BoxPlace, ...]
    polarities: tuple[BoxPlace, ...]
    spots: Mapping[str, tuple[Spot, ...]]
    foot: float
    track_top: float
    track_foot: float
    track_right: float
    tracks_low: Mapping[str, bool]


def _sizes(bench: Bench, unit: float) -> list[tuple[str, str, float, float]]:
    """What stands in the first row from left to right: (what, id, width, height)."""
    out: list[tuple[str, str, float, float]] = []
    for motor in bench.motors:
        count = max(1, len(motor.terminals))
        out.append(("block", motor.id, (_PITCH * count + 48) * unit, 158 * unit))
    for lamp in bench.lamps:
        out.append(("lamp", lamp.id, 112 * unit, 102 * unit))
    for polarity in bench.polarities:
        out.append(("polarity", polarity.id, 136 * polarity.poles * unit, 84 * unit))
    return out


def _bar_names(bench: Bench) -> list[tuple[str, str]]:
    """Every bar as (terminal without its side, label): the supplies' own, then the taps of the bus."""
    names = [(supply.id, "" if len(bench.supplies) == 1 else supply.id) for supply in bench.supplies]
    if bench.bus is not None:
        names += [(tap, tap) for tap in bench.bus.taps]
    return names


def _screws(bench: Bench, terminal: str) -> int:
    """How many screws a bar has: it does not grow with every wire, two can share one."""
    wires = sum(terminal in wire.ends for wire in bench.wires)
    sets = len(bench.point_sets)
    least = 3 if sets < 2 or len(_bar_names(bench)) > 1 else 5
    return min(8, max(least, (wires + 1) // 2))


def row_squeeze(bench: Bench, rooms: Rooms) -> float:
    """How much narrower than natural the row of blocks must be to have room, 1 for not at all."""
    row, gap = _sizes(bench, rooms.unit), 16 * rooms.unit
    wanted = sum(size[2] for size in row) + gap * max(0, len(row) - 1)
    return min(1.0, (rooms.fixtures.width - 72 * rooms.unit) / max(1.0, wanted))


def place_fixtures(bench: Bench, rooms: Rooms, world: World, plan: Plan) -> Fixtures:
    """Lay out a bench's fixtures for a window."""
    unit = rooms.unit
    track = _track_box(rooms, world, plan)
    spots: dict[str, list[Spot]] = {}
    room = rooms.fixtures
    row = _sizes(bench, unit)
    gap = 16 * unit
    poles = {polarity.id: polarity.poles for polarity in bench.polarities}
    names = _bar_names(bench)
    lower = _lower(bench, rooms, track)
    bars = _bars(bench, rooms, names, spots, lower)
    bars_left = min((bar.rect.x for bar in bars), default=room.right)
    bars_foot = max((bar.rect.bottom for bar in bars), default=room.y)
    wanted = sum(size[2] for size in row) + gap * max(0, len(row) - 1)
    beside = wanted <= bars_left - 12 * unit - room.x
    round_them = min(_WAYS if rooms.drop else 4, len(bench.motors) + 1)
    under = bars_foot + (20 + _WAY * round_them) * unit
    top = 144 * unit + lower if beside else max(120 * unit, under)
    right = bars_left - 12 * unit if beside else room.right - 72 * unit
    blocks: list[BlockPlace] = []
    lamps: list[BoxPlace] = []
    polarities: list[BoxPlace] = []
    squeeze = min(1.0, (right - room.x) / max(1.0, wanted))
    x = _left_of(room, right - wanted, unit) if beside else float(room.x)
    if not beside and wanted * squeeze < right - room.x:
        x = max(float(room.x), right - wanted * squeeze)
    for what, name, width, height in row:
        width *= squeeze
        box = pygame.Rect(round(x), round(top), round(width), round(height))
        if what == "block":
            motor = next(motor for motor in bench.motors if motor.id == name)
            letters = tuple(sorted(terminal.split(".", 1)[1] for terminal in motor.terminals))
            face = pygame.Rect(round(x + 12 * unit), round(top + 76 * unit), round(width - 24 * unit), round(92 * unit))
            pitch = (face.width - 24 * unit) / max(1, len(letters))
            xs = tuple(face.x + 12 * unit + pitch * (k + 0.5) for k in range(len(letters)))
            place = BlockPlace(name, box, face, letters, xs, face.y + 22 * unit, face.y + 66 * unit)
            blocks.append(place)
            for px, letter in zip(xs, letters, strict=True):
                terminal = f"{name}.{letter}"
                spots[terminal] = [
                    Spot(terminal, px, face.bottom - 1.5 * unit, "down", px, place.upper, 11.6 * unit, name)
                ]
        else:
            box.y = round(top + (30 if beside else 0) * unit)
            letters = ("1", "2") if what == "lamp" else ("a", "out", "b", "c", "out2", "d")[: 3 * poles[name]]
            step = box.width / len(letters)
            xs = tuple(box.x + step * (k + 0.5) for k in range(len(letters)))
            y = box.bottom - 15 * unit
            (lamps if what == "lamp" else polarities).append(BoxPlace(name, box, letters, xs, y))
            for px, letter in zip(xs, letters, strict=True):
                terminal = f"{name}.{letter}"
                spots[terminal] = [Spot(terminal, px, box.bottom - 3 * unit, "down", px, y, 10.4 * unit, name)]
        x += width + gap * squeeze
    foot = max(
        [
            bars_foot if not beside else 0.0,
            *(b.face.bottom for b in blocks),
            *(b.rect.bottom for b in lamps),
            *(b.rect.bottom for b in polarities),
            250 * unit,
        ]
    )
    low: dict[str, bool] = {}
    _tabs(plan, rooms, world, spots, low)
    return Fixtures(
        tuple(blocks), tuple(bars), tuple(lamps), tuple(polarities),
        {name: tuple(places) for name, places in spots.items()}, foot, track.y, track.bottom, track.right, low,
    )  # fmt: skip


def _left_of(room: pygame.Rect, most: float, unit: float) -> float:
    """Where the row of blocks begins: a little right of the sheet, in a wide window nearer to the middle."""
    first = room.x + 62 * unit
    return max(float(room.x), min(most, first + max(0.0, most - first) * 0.5))


def _track_box(rooms: Rooms, world: World, plan: Plan) -> pygame.Rect:
    low, high = plan.box
    a, b = world.to_screen((low[0], high[1])), world.to_screen((high[0], low[1]))
    return pygame.Rect(math.floor(a[0]), math.floor(a[1]), math.ceil(b[0] - a[0]), math.ceil(b[1] - a[1]))


def _lower(bench: Bench, rooms: Rooms, track: pygame.Rect) -> float:
    """How much lower than in the upper corner blocks and bars hang, px: on a tall mat not far above the track.

    The bars stay above the plug of their cables.
    """
    unit = rooms.unit
    hang = max(_HANGS, _LANES + _LANE * len(bench.wires)) * unit
    wanted = track.y - hang - (144 + _BLOCK_HIGH) * unit
    return max(rooms.drop, min(wanted, rooms.supply.y - 240 * unit))


def _bars(
    bench: Bench, rooms: Rooms, names: list[tuple[str, str]], spots: dict[str, list[Spot]], lower: float
) -> list[BarPlace]:
    """The bars from the right edge of the mat leftwards, each pair staggered: A higher and further left.

    lower: how much lower than in the upper corner, px
    """
    unit = rooms.unit
    right = rooms.mat.right - rooms.widths.bars * unit
    top_a, top_b = (142 * unit, 190 * unit) if not rooms.narrow else (102 * unit, 134 * unit)
    top_a, top_b = top_a + lower, top_b + lower
    bars: list[BarPlace] = []
    # One pair of bars keeps clear of the sheet at the left; wires share screws where there are fewer.
    clear = right - rooms.sheet.right - 20 * unit
    most = max(2, int(((clear - 12 * unit) / 2 / unit - 46) // _BAR_PITCH)) if len(names) == 1 else 8
    for number, (name, _) in enumerate(names):
        sides = []
        for side in ("B", "A"):
            terminal = f"{name}.{side}"
            count = min(_screws(bench, terminal), most)
            width = (46 + _BAR_PITCH * count) * unit
            sides.append((side, terminal, count, width))
        row = number % 2 if len(names) > 1 else 0
        y_shift = (number // 2) * 112 * unit + row * 0
        for side, terminal, count, width in sides:
            top = (top_a if side == "A" else top_b) + y_shift
            rect = pygame.Rect(round(right - width), round(top), round(width), round(42 * unit))
            xs = tuple(rect.right - 20 * unit - _BAR_PITCH * unit * (count - 1 - k) for k in range(count))
            bars.append(BarPlace(terminal, side, rect, xs, rect.y + 21 * unit))
            spots[terminal] = [
                Spot(terminal, x, rect.y + 33 * unit, "down", x, rect.y + 21 * unit, 10.8 * unit, terminal) for x in xs
            ]
            right -= width + 12 * unit
        if row == 1:
            right = rooms.mat.right - rooms.widths.bars * unit
    return bars


def _tabs(plan: Plan, rooms: Rooms, world: World, spots: dict[str, list[Spot]], low: dict[str, bool]) -> None:
    """Tabs on every section, moved along their rail so that no two wires have to come down on the same line."""
    unit = rooms.unit
    taken = sorted(spot.x for places in spots.values() for spot in places)
    wanted: list[tuple[str, float, float, np.ndarray[tuple[int, ...], np.dtype[np.float64]], bool]] = []
    lines = []
    gaps: list[tuple[float, float]] = []
    for laid in plan.laid:
        for name, mark in laid.geometry.marks.places.items():
            if name.startswith("gap."):
                place = laid.mark(mark)
                gaps.append(world.to_screen((place.x, place.y)))
        views = rail_views(laid, laid.geometry.stand({}), 1.5)
        for view in views:
            if view.node:
                lines.append((view.node, on_screen(view.middle, world)))
        for name, mark in laid.geometry.marks.tabs.items():
            section = f"{laid.id}.{name}"
            place = laid.mark(mark)
            x, y = world.to_screen((place.x, place.y))
            own = [view for view in views if view.node.split("/")[0] == section]
            if not own:
                continue
            best = own[0]
            if len(own) > 1:
                at = np.array([place.x, place.y])
                best = min(own, key=lambda view: float(np.min(np.hypot(*(view.middle - at).T))))
            line = on_screen(best.middle, world)
            if line[0, 0] > line[-1, 0]:
                line = line[::-1]
            wanted.append((section, x, y, line, name in laid.geometry.topology.frogs))
    gaps.sort()
    beneath = _Spanning(lines)
    for section, x, _y, line, frog in sorted(wanted, key=lambda row: (not row[4], row[1])):
        choices = [x + sign * step * unit for step in range(0, 60, 3) for sign in ((1,) if frog else (1, -1))]
        inside = [c for c in choices if line[0, 0] + 4 * unit < c < line[-1, 0] - 4 * unit] or [x]
        near = gaps[bisect_left(gaps, (min(inside) - 18 * unit,)) : bisect_right(gaps, (max(inside) + 18 * unit,))]
        inside = _clear(line, inside, near, 17 * unit) or inside
        column = _first_apart(taken, inside, unit)
        insort(taken, column)
        y = float(np.interp(column, line[:, 0], line[:, 1]))
        below = beneath.lowest(section, column, y, 3 * unit)
        low[section] = below
        shift = 5.5 * unit * (1 if below else -1)
        spots[section] = [Spot(section, column, y + shift, "down" if below else "up", column, y, 8.5 * unit, "tab")]


def _first_apart(taken: list[float], choices: list[float], unit: float) -> float:
    """The first of some columns that is far from those that are taken; where none is, less far."""
    room = []
    for column in choices:
        room.append(_apart(taken, column))
        if room[-1] >= _WELL_APART[0] * unit:
            return column
    return next(c for least in _WELL_APART[1:] for c, away in zip(choices, room, strict=True) if away >= least * unit)


_WELL_APART = (15, 11, 8, 0)  # layout px


def _apart(columns: list[float], column: float) -> float:
    """How far the nearest of some columns, which are in order, is away."""
    k = bisect_left(columns, column)
    return min((abs(column - other) for other in columns[max(0, k - 1) : k + 1]), default=math.inf)


class _Spanning:
    """The lines of all rails, for asking which lie above and below a place in a column."""

    def __init__(self, lines: list[tuple[str, np.ndarray[tuple[int, ...], np.dtype[np.float64]]]]) -> None:
        self._lines = [_ordered(line) for _, line in lines]
        self._sections = np.array([node.split("/")[0] for node, _ in lines])
        self._left = np.array([xs[0] for xs, _ in self._lines])
        self._right = np.array([xs[-1] for xs, _ in self._lines])
        self._top = np.array([ys.min() for _, ys in self._lines])
        self._foot = np.array([ys.max() for _, ys in self._lines])

    def lowest(self, section: str, column: float, y: float, apart: float) -> bool:
        """Whether in a column no rail of another section lies below a place, and some rail above it, px."""
        here = (self._left <= column) & (column <= self._right)
        other = here & (self._sections != section) & (self._foot > y + apart)
        if np.any(other & (self._top > y + apart)):
            return False
        return not any(at > y + apart for at in self._at(other, column)) and any(
            at < y - apart for at in self._at(here & (self._top < y - apart), column)
        )

    def _at(self, which: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], column: float) -> Iterator[float]:
        return (float(np.interp(column, *self._lines[k])) for k in np.flatnonzero(which).tolist())


def _clear(
    line: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    columns: list[float],
    gaps: list[tuple[float, float]],
    reach: float,
) -> list[float]:
    """The columns in which a tab keeps clear of every gap, so that both can be pointed at."""
    if not gaps:
        return columns
    at, (gap_xs, gap_ys) = np.array(columns), np.array(gaps).T
    ys = np.interp(at, line[:, 0], line[:, 1])
    away = np.hypot(at[:, None] - gap_xs, ys[:, None] - gap_ys)
    return [column for column, far in zip(columns, np.all(away > reach, axis=1).tolist(), strict=True) if far]


def _ordered(
    line: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.float64]], np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
    return (line[:, 0], line[:, 1]) if line[0, 0] <= line[-1, 0] else (line[::-1, 0], line[::-1, 1])

"""Where the small tags stand that say which side a rail is on: beside its rail, and over nothing that is touched."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pygame

from sim.bench.piece import Section
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point
from sim.game.whereabouts.fixtures import Spot
from sim.wiring.names import section_of

__all__ = ["Surroundings", "tag_places"]

_TAG_OVER_TAG, _TAG_BY_TAG = 60, 14
_APART = 10.0  # layout px from a tag to the next: closer, two look like one
_OFF = (1.7, 2.4)  # so much further off a tag stands from its rail where it finds no room close by


@dataclass(frozen=True)
class Surroundings:
    """What tags are laid among, on the screen.

    unit, grain: device pixels of a layout pixel, of words and of what is mounted; scale: of a millimetre
    tag: the side of a tag, layout px
    lines: the middle lines of all rails of every node; frogs: nodes of the rails that meet in frogs
    least: the length, px, from which on a rail has a tag: far off, only those that stand for the others
    rails: every section by its name; spots: where wires end; places: gaps, bonds and jumpers; gaps: the gaps alone
    """

    unit: float
    grain: float
    scale: float
    tag: float
    lines: Mapping[str, tuple[Floats, ...]]
    frogs: frozenset[str]
    rails: Mapping[str, Section]
    spots: tuple[Spot, ...]
    places: tuple[Point, ...]
    gaps: tuple[Point, ...]
    least: float = 0.0


def tag_places(among: Surroundings) -> list[tuple[str, float, float]]:
    """One or two tags for each section, beside its rail on its own side, where nothing else is."""
    unit, size = among.unit, among.tag * among.unit
    away = size / 2 + 0.75 * among.scale + 3.2 * unit
    every = [(section_of(node), line) for node, lines in among.lines.items() for line in lines]
    boxed = _Boxed([(section, line, _box_of(line)) for section, line in every])
    busy = _Points([*((spot.x, spot.y) for spot in among.spots if spot.fixture == "tab"), *among.places])
    columns = sorted(spot.x for spot in among.spots if spot.fixture == "tab" and spot.leaves == "up")
    keep = _kept_free(among)
    taken: list[pygame.Rect] = []
    out: list[tuple[str, float, float]] = []
    sections: dict[str, list[Floats]] = {}
    for section, line in every:
        sections.setdefault(section, []).append(line)
    # the frogs first: they are short, all else has room along its rail
    for section, lines in sorted(sections.items(), key=lambda pair: pair[0] not in among.frogs):
        rail = among.rails.get(section)  # a frog of plastic is none
        up = rail is None or rail.side != "right"
        line = max(lines, key=lambda rows: float(np.sum(np.hypot(*np.diff(rows, axis=0).T))))
        length = float(np.sum(np.hypot(*np.diff(line, axis=0).T)))
        if length < among.least:
            continue
        shares = (0.33, 0.8) if length > 420 * unit and (rail is None or rail.role != "blade") else (0.62,)
        for share in shares:
            place = _tag_place(line, length, share, up, away, size, among, boxed, section, busy, columns, taken, keep)
            if place is not None:
                taken.append(
                    pygame.Rect(round(place[0] - size / 2), round(place[1] - size / 2), round(size), round(size))
                )
                out.append((section, *place))
    return out


def _kept_free(among: Surroundings) -> list[pygame.Rect]:
    """What no tag may lie over: tabs with the last stretch of their wires, gap places, screws; px."""
    out = []
    for spot in among.spots:
        if spot.fixture == "tab":
            reach = max(8.5 * among.grain, 3.6 * among.scale / 2) + 1
            box = _around((spot.x, spot.y), reach)
            stub = 12 * among.grain
            top = box.y - stub if spot.leaves == "up" else box.y
            out.append(pygame.Rect(box.x, round(top), box.width, box.height + round(stub)))
        else:
            out.append(_around((spot.probe_x, spot.probe_y), spot.radius + 1))
    return out + [_around(gap, max(6 * among.unit, 1.4 * among.scale)) for gap in among.gaps]


def _around(point: Point, reach: float) -> pygame.Rect:
    left, top = math.floor(point[0] - reach), math.floor(point[1] - reach)
    return pygame.Rect(left, top, math.ceil(2 * reach), math.ceil(2 * reach))


def _tag_place(
    line: Floats, length: float, share: float, up: bool, away: float, size: float, among: Surroundings,
    every: _Boxed, section: str, busy: _Points, columns: list[float],
    taken: list[pygame.Rect], keep: list[pygame.Rect],
) -> Point | None:  # fmt: skip
    unit, apart = among.unit, 2 * round(_APART * among.unit)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    reach = round(size + among.scale)
    own = _box_of(line).inflate(round(2 * _OFF[-1] * away) + 2 * reach, round(2 * _OFF[-1] * away) + 2 * reach)
    boxes = [(other, rows, box.inflate(2 * reach, 2 * reach)) for other, rows, box in every.near(own)]
    taken = [taken[k] for k in own.inflate(apart, apart).collidelistall(taken)]
    beside = busy.near(own)
    keep = [keep[k] for k in own.collidelistall(keep)]
    edge = round(size + 2 * unit)
    best: tuple[float, Point] | None = None
    ways = [(k, side, 1.0) for k in range(13) for side in (up, not up)]
    ways += [(k, side, off) for off in _OFF for k in range(21) for side in (up, not up)]  # where it is crowded
    last = 1.0
    for k, side, off in ways:
        if off > last and best is not None and best[0] < _TAG_OVER_TAG:
            break
        last = off
        cost = 0.6 * k + (0 if side == up else 5)
        at = share * length + ((k + 1) // 2) * (1 if k % 2 else -1) * 13 * unit
        beyond = 0.0
        if not 10 * unit < at < length - 10 * unit and length > 24 * unit:
            beyond = at - 10 * unit if at <= 10 * unit else at - length + 10 * unit
            if off == 1.0 or section not in among.frogs or abs(beyond) > 30 * unit:
                continue
            at -= beyond
        x, y = float(np.interp(at, along, line[:, 0])), float(np.interp(at, along, line[:, 1]))
        ahead = float(np.interp(at + 2, along, line[:, 0])) - x, float(np.interp(at + 2, along, line[:, 1])) - y
        norm = math.hypot(*ahead) or 1.0
        nx, ny = ahead[1] / norm, -ahead[0] / norm
        if (ny > 0) == side:
            nx, ny = -nx, -ny
        px = x + nx * away * off + ahead[0] / norm * beyond
        py = y + ny * away * off + ahead[1] / norm * beyond
        drawn = pygame.Rect(round(px - edge / 2), round(py - edge / 2), edge, edge)
        if drawn.collidelist(keep) >= 0:
            continue
        rect = pygame.Rect(round(px - size / 2), round(py - size / 2), round(size), round(size))
        cost += _TAG_OVER_TAG * len(rect.inflate(4, 4).collidelistall(taken))
        cost += _TAG_BY_TAG * len(rect.inflate(apart, apart).collidelistall(taken))
        cost += 14 * sum(math.hypot(px - bx, py - by) < size * 0.5 + 10 * unit for bx, by in beside)
        within = size / 2 + 4 * unit
        cost += 3 * (bisect_left(columns, px + within) - bisect_right(columns, px - within))
        if best is not None and cost >= best[0]:
            continue
        near = size * 0.5 + 0.6 * among.scale
        for other, rows, box in boxes:
            if (other != section or rows is not line) and box.collidepoint(px, py):
                gap = float(np.min(np.hypot(rows[:, 0] - px, rows[:, 1] - py)))
                if gap < near:
                    cost += 8 + (near - gap)
        if best is None or cost < best[0]:
            best = (cost, (px, py))
    return best[1] if best and best[0] < _TAG_OVER_TAG else None  # rather none than one over another


class _Boxed:
    """Rails with the boxes of their lines, for asking which lie near a box."""

    def __init__(self, rows: list[tuple[str, Floats, pygame.Rect]]) -> None:
        self._rows, self._boxes = rows, [box for _, _, box in rows]

    def near(self, box: pygame.Rect) -> list[tuple[str, Floats, pygame.Rect]]:
        """Those whose box meets it."""
        return [self._rows[k] for k in box.collidelistall(self._boxes)]


class _Points:
    """Points, for asking which lie in a box."""

    def __init__(self, points: list[Point]) -> None:
        self._points = sorted(points)

    def near(self, box: pygame.Rect) -> list[Point]:
        """Those in it."""
        first, last = (bisect_left(self._points, (float(x), -math.inf)) for x in (box.left, box.right))
        return [point for point in self._points[first:last] if box.collidepoint(point)]


def _box_of(rows: Floats) -> pygame.Rect:
    low, high = np.floor(rows.min(axis=0)).astype(int), np.ceil(rows.max(axis=0)).astype(int)
    return pygame.Rect(int(low[0]), int(low[1]), int(high[0] - low[0]) + 1, int(high[1] - low[1]) + 1)

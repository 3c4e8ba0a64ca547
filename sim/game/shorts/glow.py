"""The moment of a short: the loop glows white-hot with arrowheads along it, the rest lies in the dark."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, cut, toned
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.marks import letter_chip
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway import closer
from sim.game.draw.railway.embers import EMBER, HotWay
from sim.game.paper.view import Point
from sim.game.picture.board import board
from sim.game.picture.flow import arrows_along
from sim.game.picture.hotways import hot_way
from sim.game.picture.nameplates import labels
from sim.game.picture.rolling import trains
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hot
from sim.game.whereabouts.ways import Ways
from sim.session.snapshot import Snapshot
from sim.wiring.loop import LoopStep
from sim.wiring.names import section_of

__all__ = ["rails_ringed", "shorted"]

_HALF = 0.72  # of a vehicle's brightness is left in a short


@lru_cache(maxsize=2)
def _resting(stage: Stage, path: tuple[Point, ...]) -> HotWay:
    """A loop as it glows when nobody has seen it begin."""
    return hot_way(stage, path).glowing()


def shorted(
    stage: Stage,
    snapshot: Snapshot,
    held: str | None,
    steps: Sequence[LoopStep],
    amps: float,
    ways: Ways | None = None,
    *,
    lids_off: bool = False,
    hot: Hot | None = None,
    ghosts: Sequence[Sprite] = (),
) -> list[Sprite]:
    """The bench with one loop glowing.

    held: a train that is in hand and is left out; lids_off: see board; hot: how strongly it glows, as an ember
    without; ghosts: vehicles that are shown beside those on the bench
    """
    ways = ways or Ways.now(stage, snapshot)
    if hot is None:
        hot = Hot(_resting(stage, tuple(ways.loop(steps))), EMBER, 0, True)
    way, level = hot.way, hot.level
    out = [*board(stage, snapshot, lids_off), *way.dark(level), *way.light(level)]
    out += [_half(sprite) for sprite in trains(stage, snapshot, held)]
    out += ghosts
    out += way.zigzag(level, hot.phase)
    out += loop_marks(stage, snapshot, way, steps, ways, amps)
    return out


def _half(sprite: Sprite) -> Sprite:
    """A vehicle's sprite, half in the dark."""
    tone = round(255 * _HALF)
    return sprite if sprite.light else sprite._replace(surface=toned(sprite.surface, (tone, tone, tone, 255)))


def loop_marks(
    stage: Stage, snapshot: Snapshot, way: HotWay, steps: Sequence[LoopStep], ways: Ways, amps: float
) -> list[Sprite]:
    """Arrowheads along a loop, the spark at its wheel, the letters that lie under its light, drawn again."""
    out = list(arrows_along(way.path, abs(amps), stage, every=84.0, short=True))
    if stage.shift is not None:
        panel, mat = stage.rooms.supply, stage.rooms.mat
        out = list(cut(out, pygame.Rect(mat.x, mat.y, panel.x - mat.x, mat.height)))
    out += _letters(stage, way, tuple((section, snapshot.feeds.get(section, "")) for section, _, _ in stage.tags))
    wheel = next((step for step in steps if step.ref.kind == "wheel"), None)
    if wheel is not None:
        place = ways.anchor(wheel.ref, wheel.node_b)
        if place is not None:
            out.append(_spark(round(place[0]), round(place[1]), stage))
    return out


_NEAR_PX = 46.0  # of a tag to a loop that runs through its rail
_LETTER_PX = 24.0


@kept
def _letters(stage: Stage, way: HotWay, feeds: tuple[tuple[str, str], ...]) -> tuple[Sprite, ...]:
    """The letters beside the loop: of rails, screws and bus bars, and the names of turnouts."""
    return tuple(_beside(stage, way, dict(feeds))) if len(way.rows) > 1 else ()


def _beside(stage: Stage, way: HotWay, feeds: Mapping[str, str]) -> Iterator[Sprite]:
    rows, unit, theme = way.rows, stage.unit, stage.theme

    def apart(x: float, y: float) -> float:
        a, run = rows[:-1], rows[1:] - rows[:-1]
        square = np.maximum(np.sum(run * run, axis=1), 1e-12)
        share = np.clip(np.sum((np.array((x, y)) - a) * run, axis=1) / square, 0, 1)
        return float(np.min(np.hypot(*(a + run * share[:, None] - np.array((x, y))).T), initial=math.inf))

    for section, x, y in stage.tags:
        side = feeds.get(section)
        if side and apart(x, y) < _NEAR_PX * unit:
            yield _centred(side_tag(side, unit, theme, stage.tag_px), x, y)
    if stage.size >= 1.0 - 1e-3:
        for block in stage.fixtures.blocks:
            for x, letter in zip(block.xs, block.letters, strict=True):
                y = (block.upper + block.lower) / 2 - 1.2 * unit
                if apart(x, y) < _LETTER_PX * unit:
                    yield _centred(letter_chip(letter, stage.grain, theme), x, y)
        for bar in stage.fixtures.bars:
            x = bar.rect.right - 16 * stage.grain if stage.below else bar.rect.x + 16 * stage.grain
            y = bar.rect.y + 21 * stage.grain
            if apart(x, y) < 3 * _NEAR_PX * unit:
                yield _centred(side_tag(bar.side, stage.grain, theme), x, y)
    for label in labels(stage):
        x, y = label.rect.center
        steps = range(-label.rect.width // 2, label.rect.width // 2 + 1, 12)
        if any(apart(x + dx, y) < _LETTER_PX * unit for dx in steps):
            yield label


def _centred(surface: pygame.Surface, x: float, y: float) -> Sprite:
    return Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2))


def rails_ringed(stage: Stage, snapshot: Snapshot, rails: Sequence[str]) -> list[Sprite]:
    """Two pale lines along both sides of each of these rails, and the letters of their sides."""
    unit, theme = stage.unit, stage.theme
    ways = Ways.now(stage, snapshot)
    lines = [
        [(float(x), float(y)) for x, y in line]
        for node, several in ways.lines.items()
        if section_of(node) in rails
        for line in several
    ]
    if not lines:
        return []
    xs, ys = [x for line in lines for x, _ in line], [y for line in lines for _, y in line]
    edge = 12 * unit
    left, top = math.floor(min(xs) - edge), math.floor(min(ys) - edge)
    area = pygame.Rect(left, top, math.ceil(max(xs) + edge) - left, math.ceil(max(ys) + edge) - top)
    pen, hole = Pen(area, 3), Pen(area, 3)
    for line in lines:
        pen.stroke(line, 14 * unit, theme["ring-dark"])
    for line in lines:
        pen.stroke(line, 11.5 * unit, theme["ring"])
        hole.stroke(line, 7 * unit, (255, 255, 255))
    part = pen.done()
    part.surface.blit(hole.done().surface, (0, 0), special_flags=pygame.BLEND_RGBA_SUB)
    out = [part]
    for section, x, y in stage.tags:
        side = snapshot.feeds.get(section)
        if section in rails and side:
            surface = side_tag(side, unit, theme, stage.tag_px)
            out.append(Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2)))
    return out


@kept
def _spark(x: int, y: int, stage: Stage) -> Sprite:
    unit, theme = stage.unit, stage.theme
    reach = round(26 * unit)
    pen = Pen(pygame.Rect(x - reach, y - reach, 2 * reach, 2 * reach), 3)
    closer.spark(pen, (x, y), unit, theme)
    return pen.done()

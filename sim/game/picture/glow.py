"""The moment of a short: the loop glows white-hot with arrowheads along it, the rest lies in the dark."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pygame

from sim.game.draw.pen.ink import Floats32, Pen, Sprite, blank, blur, cut, seen_through
from sim.game.draw.pen.panel import dim
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway.track import zigzag
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point
from sim.game.picture.board import board
from sim.game.picture.compositor import paint
from sim.game.picture.flow import arrows_along
from sim.game.picture.rolling import trains
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.ways import Ways
from sim.session.snapshot import Snapshot
from sim.wiring.loop import LoopStep
from sim.wiring.names import section_of

__all__ = ["KEEP", "Darkroom", "rails_ringed", "shorted"]

KEEP, _GREY = 0.40, 0.28
_LIT_PX = 30.0


class Darkroom:
    """Keeps the darkened bench and the glow of one loop: they are costly, and a short stands still."""

    def __init__(self) -> None:
        self._key: tuple[object, ...] = ()
        self._sprites: list[Sprite] = []
        self._dimmed: dict[int, tuple[pygame.Surface, Sprite]] = {}

    def below(
        self, stage: Stage, snapshot: Snapshot, path: Sequence[Point], amps: float, lids_off: bool
    ) -> list[Sprite]:
        """The bench in the dark with the loop glowing, vehicles left out."""
        base = board(stage, snapshot, lids_off)
        key = (stage, tuple(path), round(amps, 1), tuple((id(s.surface), s.x, s.y) for s in base))
        if key != self._key:
            self._key = key
            self._sprites = [_darkened(base, path, stage), *_glowing(path, stage)]
        return self._sprites

    def half(self, sprite: Sprite) -> Sprite:
        """A vehicle's sprite, half in the dark."""
        kept = self._dimmed.get(id(sprite.surface))
        if kept is None or kept[0] is not sprite.surface:
            if len(self._dimmed) > 24:
                self._dimmed.clear()
            kept = (sprite.surface, dim(sprite._replace(x=0, y=0), 0.72, 0.1))
            self._dimmed[id(sprite.surface)] = kept
        return kept[1].moved(sprite.x, sprite.y)


def _stroke_mask(path: Sequence[Point], size: tuple[int, int], width: float, share: int) -> Floats32:
    """The loop as a band of that width, 0..1, at 1/share of the window's size, (width, height)."""
    small = blank(size[0] / share, size[1] / share)
    points = [(x / share, y / share) for x, y in path]
    thick = max(1, round(width / share))
    if len(points) > 1:
        pygame.draw.lines(small, (255, 255, 255, 255), False, points, thick)
        for x, y in points:
            pygame.draw.circle(small, (255, 255, 255, 255), (round(x), round(y)), thick / 2)
    mask: Floats32 = pygame.surfarray.array_alpha(small).astype(np.float32) / np.float32(255)
    return mask


def _darkened(base: Sequence[Sprite], path: Sequence[Point], stage: Stage) -> Sprite:
    size = stage.rooms.size
    whole = pygame.Surface(size)
    paint(whole, base)
    mask = blur(_stroke_mask(path, size, _LIT_PX * stage.unit, 4), 7 * stage.unit / 4)
    full = np.kron(mask, np.ones((4, 4), dtype=np.float32))[: size[0], : size[1]]
    full = np.pad(full, ((0, size[0] - full.shape[0]), (0, size[1] - full.shape[1])))
    full = blur(full, 2)[:, :, None]
    pixels = pygame.surfarray.pixels3d(whole)
    colour = pixels.astype(np.float32)
    grey = (colour @ np.array([0.299, 0.587, 0.114], dtype=np.float32))[:, :, None]
    dark = (colour * (1 - _GREY) + grey * _GREY) * KEEP
    pixels[...] = (dark + (colour - dark) * full).astype(np.uint8)
    del pixels
    return Sprite(whole, 0, 0)


def _glowing(path: Sequence[Point], stage: Stage) -> list[Sprite]:
    if len(path) < 2:
        return []
    size, unit, theme = stage.rooms.size, stage.unit, stage.theme
    total = np.zeros((size[0], size[1], 3), dtype=np.float32)
    for role, width, spread, share, strength in (
        ("glow-wide", 9.0, 22.0, 6, 0.62),
        ("glow-mid", 7.0, 9.0, 3, 0.62),
        ("glow-near", 5.0, 3.0, 1, 0.85),
    ):
        mask = blur(_stroke_mask(path, size, width * unit, share), spread * unit / share / 1.5)
        if share > 1:
            mask = np.kron(mask, np.ones((share, share), dtype=np.float32))[: size[0], : size[1]]
            mask = np.pad(mask, ((0, size[0] - mask.shape[0]), (0, size[1] - mask.shape[1])))
            mask = blur(mask, share)
        peak = float(mask.max()) or 1.0
        total += (mask / peak)[:, :, None] * np.array(theme[role], dtype=np.float32) * np.float32(strength)
    if stage.shift is not None:
        shown = _lit_up(stage)
        kept = np.zeros_like(total)
        where = slice(shown.x, shown.right), slice(shown.y, shown.bottom)
        kept[where] = total[where]
        total = kept
    light = pygame.Surface(size)
    pygame.surfarray.blit_array(light, np.clip(total, 0, 255).astype(np.uint8))
    rows = np.asarray(path, dtype=np.float64)
    low, high = rows.min(axis=0) - 8, rows.max(axis=0) + 8
    if stage.shift is None:
        pen = _hot(rows, low, high, path, stage)
    else:
        with seen_through(_lit_up(stage)):
            pen = _hot(rows, low, high, path, stage)
    return [Sprite(light, 0, 0, True), pen.done()]  # the zigzag is the last: it lies over vehicles


def _lit_up(stage: Stage) -> pygame.Rect:
    """Where a loop glows when the camera shows a part of it: on the mat and in the gutter of the supply's cables."""
    mat = stage.rooms.mat
    return pygame.Rect(mat.x, mat.y, stage.rooms.supply.x + 6 - mat.x, mat.height)


def _hot(rows: Floats, low: Floats, high: Floats, path: Sequence[Point], stage: Stage) -> Pen:
    """The loop itself, white-hot."""
    unit, theme = stage.unit, stage.theme
    pen = Pen(
        pygame.Rect(math.floor(low[0]), math.floor(low[1]), math.ceil(high[0] - low[0]), math.ceil(high[1] - low[1])), 2
    )
    pen.stroke(list(path), 3.4 * unit, theme["glow-near"], 0.75)
    zigzag(pen, rows, unit, theme, 2.0 * unit)
    return pen


_ROOM = Darkroom()


def shorted(
    stage: Stage,
    snapshot: Snapshot,
    held: str | None,
    steps: Sequence[LoopStep],
    amps: float,
    ways: Ways | None = None,
    *,
    lids_off: bool = False,
) -> list[Sprite]:
    """The bench with one loop glowing; `held`: a train that is in hand and is left out; `lids_off`: see board."""
    ways = ways or Ways.now(stage, snapshot)
    path = ways.loop(steps)
    below = _ROOM.below(stage, snapshot, path, amps, lids_off)
    out = below[:-1] if len(below) > 1 else list(below)
    out += [_ROOM.half(sprite) for sprite in trains(stage, snapshot, held)]
    if len(below) > 1:
        out.append(below[-1])
    out += loop_marks(stage, snapshot, path, steps, ways, amps)
    return out


def loop_marks(
    stage: Stage, snapshot: Snapshot, path: Sequence[Point], steps: Sequence[LoopStep], ways: Ways, amps: float
) -> list[Sprite]:
    """Arrowheads along a loop, the spark at its wheel, the letters of the rails it runs through."""
    out = list(arrows_along(path, abs(amps), stage, every=84.0, short=True))
    if stage.shift is not None:
        panel, mat = stage.rooms.supply, stage.rooms.mat
        out = list(cut(out, pygame.Rect(mat.x, mat.y, panel.x - mat.x, mat.height)))
    rows = np.asarray(path, dtype=np.float64).reshape(-1, 2)
    for section, x, y in stage.tags:
        side = snapshot.feeds.get(section)
        if side is not None and len(rows) and float(np.min(np.hypot(rows[:, 0] - x, rows[:, 1] - y))) < 46 * stage.unit:
            surface = side_tag(side, stage.unit, stage.theme)
            out.append(Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2)))
    wheel = next((step for step in steps if step.ref.kind == "wheel"), None)
    if wheel is not None:
        place = ways.anchor(wheel.ref, wheel.node_b)
        if place is not None:
            out.append(_spark(round(place[0]), round(place[1]), stage))
    return out


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
        if section in rails and side is not None:
            surface = side_tag(side, unit, theme)
            out.append(Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2)))
    return out


def _spark(x: int, y: int, stage: Stage) -> Sprite:
    unit, theme = stage.unit, stage.theme
    reach = round(26 * unit)
    pen = Pen(pygame.Rect(x - reach, y - reach, 2 * reach, 2 * reach), 3)
    for k in range(11):
        angle = 2 * math.pi * k / 11 + 0.35
        length = (12 + 9 * ((k * 7) % 5) / 4) * unit
        start = (x + math.cos(angle) * 6 * unit, y + math.sin(angle) * 6 * unit)
        end = (x + math.cos(angle) * length, y + math.sin(angle) * length)
        pen.stroke([start, end], 1.7 * unit, theme["short-core"])
    pen.disc((x, y), 7.5 * unit, theme["glow-near"], 0.6)
    pen.disc((x, y), 4.6 * unit, (255, 255, 255))
    return pen.done()

"""The light of a short: a way of the current that glows, the dark round it, the zigzag that crawls along it.

All of it is costly, so it is made in many small steps, between which a picture can be drawn. It is kept in tiles and
lengths: what is far from the way costs nothing, and what crawls is small.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import pygame

from sim.game.draw.pen.ink import Floats32, Pen, Sprite, blur
from sim.game.draw.railway.track import zigzag_points
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point

__all__ = ["EMBER", "KEEP", "LEVELS", "PHASES", "HotWay"]

KEEP = 0.40
"""What is left of the brightness of everything that lies in the dark."""
LEVELS = 6
"""In so many steps a short grows and falls."""
EMBER = 4
"""The level at which it rests when nothing flows any more."""
PHASES = 4
"""In so many steps the zigzag crawls by one tooth."""

_DARK: Colour = (10, 13, 13)
_TILE = 128
_REACH = 72.0  # layout px round the way that its light comes to
_LIT = 30.0
_LENGTH = 110.0  # layout px of a length of the zigzag
_STEP = 3.8
_SWING = 2.0
_DARK_FIRST = 0.35  # the dark comes before the light, and stays when that falls


class HotWay:
    """One way of the current on a picture of a size, px.

    path: from the supply's one side to its other, px
    inside: nothing of it is drawn outside of this box
    """

    def __init__(
        self, path: Sequence[Point], size: tuple[int, int], unit: float, theme: Theme, inside: pygame.Rect | None = None
    ) -> None:
        self.path = tuple(path)
        self.rows = np.asarray(self.path, dtype=np.float64).reshape(-1, 2)
        self._size, self._unit, self._theme = size, unit, theme
        whole = pygame.Rect((0, 0), size)
        self._inside = whole if inside is None else inside.clip(whole)
        self._dark: dict[tuple[int, int], pygame.Surface] = {}
        self._light: dict[tuple[int, int], pygame.Surface] = {}
        self._even = pygame.Surface((_TILE, _TILE), pygame.SRCALPHA)
        self._even.fill(_veil(1 - KEEP))
        self._lengths: list[list[Sprite]] = [[] for _ in range(PHASES)]
        self._shown: dict[tuple[str, int, int], list[Sprite]] = {}
        self._steps: Iterator[int] | None = self._make()
        self.glows = False
        """Whether light, dark and a still zigzag are there; before that it cannot be shown."""

    @property
    def ready(self) -> bool:
        """Whether all of it is made."""
        return self._steps is None

    def made(self, level: int) -> bool:
        """Whether it can be shown at a level at once."""
        return self.glows and (level in (0, LEVELS) or ("light", level, 0) in self._shown)

    def step(self) -> int:
        """Make a little more of it; gives what that cost, in thirds of a millisecond or so, 0 when all is made."""
        cost = next(self._steps, 0) if self._steps is not None else 0
        if not cost:
            self._steps = None
        return cost

    def finish(self) -> HotWay:
        """Make all that is missing, for one who can wait."""
        while self.step():
            pass
        return self

    def glowing(self) -> HotWay:
        """Make what is seen of it while it stands still."""
        while not self.glows and self.step():
            pass
        return self

    # What is shown

    def dark(self, level: int) -> list[Sprite]:
        """The dark over everything, but for what is near the way."""
        return self._at("dark", level, 0)

    def light(self, level: int) -> list[Sprite]:
        """The light that the way throws, to be added."""
        return self._at("light", level, 0)

    def zigzag(self, level: int, phase: int) -> list[Sprite]:
        """The way itself, white-hot."""
        return self._at("zigzag", level, phase % PHASES if self.ready else 0)

    def _at(self, what: str, level: int, phase: int) -> list[Sprite]:
        key = what, min(LEVELS, max(0, level)), phase
        found = self._shown.get(key)
        if found is None:
            share = key[1] / LEVELS
            if not key[1]:
                found = []
            elif what == "dark":
                found = list(self._faded(self._darkness(), share**_DARK_FIRST, light=False))
            elif what == "light":
                found = list(self._faded(self._light, share, light=True))
            else:
                lengths = self._lengths[phase]
                found = lengths if key[1] == LEVELS else [_fainter(each, share) for each in lengths]
            self._shown[key] = found
        return found

    def _darkness(self) -> dict[tuple[int, int], pygame.Surface]:
        wide, high = self._size
        return {
            (x, y): self._dark.get((x, y), self._even) for x in range(0, wide, _TILE) for y in range(0, high, _TILE)
        }

    @staticmethod
    def _faded(
        tiles: dict[tuple[int, int], pygame.Surface], share: float, *, light: bool
    ) -> Iterator[Sprite]:
        """Tiles at a share of their strength; one that stands at several places stays one."""
        made: dict[int, pygame.Surface] = {}
        for (x, y), surface in tiles.items():
            part = surface if share == 1.0 else made.get(id(surface))
            if part is None:
                part = made[id(surface)] = surface.copy()
                tone = round(255 * share)
                if light:
                    part.fill((tone, tone, tone), special_flags=pygame.BLEND_RGB_MULT)
                else:
                    part.fill((tone,) * 4, special_flags=pygame.BLEND_RGBA_MULT)
            yield Sprite(part, x, y, light)

    def _make_level(self, level: int) -> Iterator[int]:
        """The tiles of a level below the highest, some at a time."""
        for what, tiles in (("dark", self._darkness()), ("light", self._light)):
            found: list[Sprite] = []
            share = level / LEVELS if what == "light" else (level / LEVELS) ** _DARK_FIRST
            for sprite in self._faded(tiles, share, light=what == "light"):
                found.append(sprite)
                if len(found) % 8 == 0:
                    yield 3
            self._shown[what, level, 0] = found
        self._at("zigzag", level, 0)
        yield 6

    # How it is made

    def _make(self) -> Iterator[int]:
        if len(self.path) < 2:
            self.glows = True
            return
        unit, theme = self._unit, self._theme
        low = np.maximum(self.rows.min(axis=0) - _REACH * unit, (self._inside.x, self._inside.y))
        high = np.minimum(self.rows.max(axis=0) + _REACH * unit, (self._inside.right, self._inside.bottom))
        x0, y0 = (int(v) // _TILE * _TILE for v in low)
        box = pygame.Rect(x0, y0, *(max(1, -(-int(v) // _TILE) * _TILE) for v in high - (x0, y0)))
        half = box.width // 2, box.height // 2
        glow = pygame.Surface(half)
        wide_light = np.zeros((1, 1), dtype=np.float32)
        for role, width, spread, share, strength in (
            ("glow-wide", 9.0, 22.0, 8, 0.62), ("glow-mid", 7.0, 9.0, 4, 0.62),
        ):  # fmt: skip
            band = self._band(box, width * unit, share)
            yield 6
            soft = blur(band, spread * unit / share / 1.5)
            if role == "glow-wide":
                wide_light = soft
            yield 6
            glow.blit(
                pygame.transform.smoothscale(_tinted(soft, theme[role], strength), half), (0, 0),
                special_flags=pygame.BLEND_RGB_ADD,
            )  # fmt: skip
            yield 6
        near = pygame.Surface(half)
        for width, share_of in ((11.0, 0.12), (8.5, 0.3), (6.5, 0.55), (4.8, 0.85)):
            self._draw(near, box, width * unit, mix((0, 0, 0), theme["glow-near"], share_of))
        yield 6
        glow.blit(near, (0, 0), special_flags=pygame.BLEND_RGB_ADD)
        yield 6
        lit = blur(self._band(box, _LIT * unit, 8), max(1.0, 7 * unit / 8 / 1.5))
        if not theme.lamp:  # on a pale ground light is only seen in the dark
            lit *= np.float32(0.3)
        yield 6
        veil = _veiled(np.clip(lit, 0, 1))
        for x in range(0, box.width, _TILE):
            for y in range(0, box.height, _TILE):
                near_by = lit[x // 8 : (x + _TILE) // 8, y // 8 : (y + _TILE) // 8]
                lit_here = wide_light[x // 8 : (x + _TILE) // 8, y // 8 : (y + _TILE) // 8]
                if float(near_by.max(initial=0.0)) > 0.004:
                    self._dark[box.x + x, box.y + y] = _enlarged(veil, x, y, 8)
                    yield 1
                if float(lit_here.max(initial=0.0)) > 0.002:
                    tile = _enlarged(glow, x, y, 2)
                    where = pygame.Rect(box.x + x, box.y + y, _TILE, _TILE)
                    if not self._inside.contains(where):
                        cover = pygame.Surface((_TILE, _TILE))
                        seen = where.clip(self._inside)
                        cover.blit(tile, seen.move(-where.x, -where.y), seen.move(-where.x, -where.y))
                        tile = cover
                    self._light[where.x, where.y] = tile
                    yield 1
        for phase in range(PHASES):
            for line, along in _lengths(self.rows, _LENGTH * unit):
                sprite = self._hot(line, along, phase)
                if sprite is not None:
                    self._lengths[phase].append(sprite)
                yield 1
            if not phase:
                self.glows = True
                for level in (*range(EMBER, LEVELS), *range(EMBER - 1, 0, -1)):
                    yield from self._make_level(level)

    def _draw(self, onto: pygame.Surface, box: pygame.Rect, width: float, colour: Colour) -> None:
        """The way at half its size."""
        points = [((x - box.x) / 2, (y - box.y) / 2) for x, y in self.path]
        thick = max(1, round(width / 2))
        pygame.draw.lines(onto, colour, False, points, thick)
        if thick > 2:
            for x, y in points:
                pygame.draw.circle(onto, colour, (round(x), round(y)), thick / 2)

    def _band(self, box: pygame.Rect, width: float, share: int) -> Floats32:
        """The way as a band of that width, 0..1, at 1/share of its size, (width, height)."""
        large = pygame.Surface((box.width // 2, box.height // 2))
        self._draw(large, box, width, (255, 255, 255))
        small = pygame.transform.smoothscale(large, (box.width // share, box.height // share))
        out: Floats32 = pygame.surfarray.pixels3d(small)[:, :, 0].astype(np.float32) / np.float32(255)
        return out

    def _hot(self, line: Floats, along: float, phase: int) -> Sprite | None:
        unit, theme = self._unit, self._theme
        low, high = line.min(axis=0) - 5 * unit, line.max(axis=0) + 5 * unit
        area = pygame.Rect(
            math.floor(low[0]), math.floor(low[1]), math.ceil(high[0] - low[0]) + 1, math.ceil(high[1] - low[1]) + 1
        )
        seen = area.clip(self._inside)
        if not seen.width or not seen.height:
            return None
        pen = Pen(seen, 2)
        pen.stroke([(x, y) for x, y in line.tolist()], 3.4 * unit, theme["glow-near"], 0.75)
        tooth = 2 * _STEP * unit
        start = (tooth * phase / PHASES - along) % tooth
        points = zigzag_points(line, _STEP * unit, start, _SWING * unit)
        if len(points) > 1:
            pen.stroke(points, 1.7 * unit, theme["short-core"])
        return pen.done()


def _veil(alpha: float) -> tuple[int, int, int, int]:
    return round(_DARK[0] * alpha), round(_DARK[1] * alpha), round(_DARK[2] * alpha), round(255 * alpha)


def _veiled(lit: Floats32) -> pygame.Surface:
    """The dark where it is not lit (0..1), small."""
    out = pygame.Surface(lit.shape, pygame.SRCALPHA)
    alpha = (1 - lit) * np.float32(1 - KEEP)
    pixels = pygame.surfarray.pixels3d(out)
    pixels[...] = (alpha[:, :, None] * np.array(_DARK, dtype=np.float32)).astype(np.uint8)
    del pixels
    alphas = pygame.surfarray.pixels_alpha(out)
    alphas[...] = np.rint(alpha * 255).astype(np.uint8)
    del alphas
    return out


def _tinted(mask: Floats32, colour: Colour, strength: float) -> pygame.Surface:
    peak = float(mask.max()) or 1.0
    values = (mask * np.float32(strength / peak))[:, :, None] * np.array(colour, dtype=np.float32)
    out = pygame.Surface(mask.shape)
    pygame.surfarray.blit_array(out, np.clip(values, 0, 255).astype(np.uint8))
    return out


def _enlarged(small: pygame.Surface, x: int, y: int, times: int) -> pygame.Surface:
    """A tile of a picture that is so many times smaller, with so much round it that no seam is seen."""
    margin = 2
    edge = _TILE // times + 2 * margin
    want = pygame.Rect(x // times - margin, y // times - margin, edge, edge)
    source = pygame.Surface(want.size, small.get_flags() & pygame.SRCALPHA)
    if small.get_flags() & pygame.SRCALPHA:
        source.fill(_veil(1 - KEEP))
    seen = want.clip(small.get_rect())
    source.fill((0, 0, 0, 0), seen.move(-want.x, -want.y))
    source.blit(small, seen.move(-want.x, -want.y), seen, special_flags=pygame.BLEND_RGBA_ADD)
    large = pygame.transform.smoothscale(source, (want.width * times, want.height * times))
    return large.subsurface((margin * times, margin * times, _TILE, _TILE)).copy()


def _fainter(sprite: Sprite, share: float) -> Sprite:
    part = sprite.surface.copy()
    part.fill((round(255 * share),) * 4, special_flags=pygame.BLEND_RGBA_MULT)
    return sprite._replace(surface=part)


def _lengths(rows: Floats, long: float) -> Iterator[tuple[Floats, float]]:
    """A polyline cut into lengths, each with how far along it begins."""
    steps = np.hypot(*np.diff(rows, axis=0).T)
    keep = np.concatenate([[True], steps > 1e-6])
    rows = rows[keep]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
    count = max(1, math.ceil(along[-1] / long))
    for k in range(count):
        a, b = along[-1] * k / count, along[-1] * (k + 1) / count
        inside = along[(along > a + 1e-6) & (along < b - 1e-6)]
        at = np.concatenate([[a], inside, [b]])
        yield np.stack([np.interp(at, along, rows[:, 0]), np.interp(at, along, rows[:, 1])], axis=1), a

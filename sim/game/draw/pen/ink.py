"""The pen that every part is drawn with: polygons at several times the final size, averaged down once.

Everything the pen makes is *premultiplied*: red, green and blue already carry the alpha. Opaque polygons drawn on a
clear sheet and averaged come out so by themselves, without dark fringes, and `lay` puts such a surface on another.
Coordinates are device pixels of the picture, x to the right, y down; a pen's box says which part of it is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Colour
from sim.game.paper.view import Point

__all__ = [
    "Floats32",
    "Pen",
    "Sprite",
    "blank",
    "blur",
    "circle",
    "cut",
    "lay",
    "merge",
    "noise",
    "plate",
    "rounded",
    "seen_through",
    "shade",
    "sides",
    "tint",
]

Floats32 = np.ndarray[Any, np.dtype[np.float32]]


class Sprite(NamedTuple):
    """A premultiplied surface and where its upper left corner lies, px; `light`: it is added, as light is."""

    surface: pygame.Surface
    x: int
    y: int
    light: bool = False

    @property
    def rect(self) -> pygame.Rect:
        """The box that the sprite covers."""
        return pygame.Rect((self.x, self.y), self.surface.get_size())

    def moved(self, dx: int, dy: int) -> Sprite:
        """The same sprite elsewhere."""
        return Sprite(self.surface, self.x + dx, self.y + dy, self.light)


def blank(width: float, height: float) -> pygame.Surface:
    """A clear surface with alpha."""
    return pygame.Surface((max(1, math.ceil(width)), max(1, math.ceil(height))), pygame.SRCALPHA)


def lay(target: pygame.Surface, surface: pygame.Surface, at: tuple[float, float]) -> None:
    """Put a premultiplied surface on another, its corner at the nearest whole pixel."""
    target.blit(surface, (round(at[0]), round(at[1])), special_flags=pygame.BLEND_PREMULTIPLIED)


def tint(colour: Colour, alpha: float) -> tuple[int, int, int, int]:
    """A colour with an alpha of 0..1, premultiplied."""
    return round(colour[0] * alpha), round(colour[1] * alpha), round(colour[2] * alpha), round(255 * alpha)


def circle(centre: Point, radius: float, steps: int = 0) -> list[Point]:
    """A circle as a polygon."""
    steps = steps or max(12, min(96, int(radius * 3)))
    return [
        (centre[0] + radius * math.cos(2 * math.pi * k / steps), centre[1] + radius * math.sin(2 * math.pi * k / steps))
        for k in range(steps)
    ]


def rounded(rect: tuple[float, float, float, float], radius: float) -> list[Point]:
    """A rectangle (x, y, width, height) with rounded corners as a polygon."""
    x, y, w, h = rect
    r = max(0.0, min(radius, w / 2, h / 2))
    if r < 0.25:
        return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
    steps = max(4, min(20, int(r * 1.5)))
    points = []
    for cx, cy, start in (
        (x + w - r, y + r, -90),
        (x + w - r, y + h - r, 0),
        (x + r, y + h - r, 90),
        (x + r, y + r, 180),
    ):
        for k in range(steps + 1):
            angle = math.radians(start + 90 * k / steps)
            points.append((cx + r * math.cos(angle), cy + r * math.sin(angle)))
    return points


def plate(at: Callable[[float, float], Point], x0: float, y0: float, x1: float, y1: float) -> list[Point]:
    """A rectangle between two corners of a frame of its own; `at` tells where a place of that frame is."""
    return [at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)]


_LARGE, _HUGE = 250_000, 24_000_000  # pixels of a box that is clipped to what is seen, and of a sheet


_SEEN: ContextVar[pygame.Rect | None] = ContextVar("seen", default=None)
"""What can be seen of a mat that is looked at closely: a large box is drawn no further than this."""


@contextmanager
def seen_through(window: pygame.Rect) -> Iterator[None]:
    """Draw no further than a window for a while; places outside come out as nothing."""
    before = _SEEN.set(window)
    try:
        yield
    finally:
        _SEEN.reset(before)


class Pen:
    """Draws one part in the given box of the picture.

    Args:
        box: the part of the picture that is drawn, in device pixels.
        fine: how many times larger it is drawn before it is averaged down.
        own: it is drawn in a frame of its own, so that nothing is known of what will be seen of it.
    """

    def __init__(self, box: pygame.Rect, fine: int = 3, *, own: bool = False) -> None:
        window = None if own else _SEEN.get()
        if window is not None and box.width * box.height > _LARGE:
            box = box.clip(window)
        if box.width * box.height * fine * fine > _HUGE:
            fine = max(1, math.isqrt(_HUGE // max(1, box.width * box.height)))
        self.box = box
        self.fine = fine
        self.sheet = blank(box.width * fine, box.height * fine)

    def _in(self, points: Iterable[Point]) -> list[Point]:
        f, x, y = self.fine, self.box.x, self.box.y
        return [((px - x) * f, (py - y) * f) for px, py in points]

    def polygon(self, points: Iterable[Point], colour: Colour, alpha: float = 1.0) -> None:
        """Fill a polygon."""
        inside = self._in(points)
        if len(inside) < 3:
            return
        if alpha >= 0.999:
            pygame.draw.polygon(self.sheet, colour, inside)
            return
        self._veil(inside, tint(colour, alpha))

    def span(self, left: float, top: float, right: float, foot: float, colour: Colour, alpha: float = 1.0) -> None:
        """Fill an upright rectangle between four edges."""
        self.polygon([(left, top), (right, top), (right, foot), (left, foot)], colour, alpha)

    def _veil(self, inside: list[Point], fill: tuple[int, int, int, int]) -> None:
        xs = [p[0] for p in inside]
        ys = [p[1] for p in inside]
        area = pygame.Rect(
            math.floor(min(xs)), math.floor(min(ys)), math.ceil(max(xs) - min(xs)) + 2, math.ceil(max(ys) - min(ys)) + 2
        )
        area = area.clip(self.sheet.get_rect())
        if area.width <= 0 or area.height <= 0:
            return
        veil = blank(area.width, area.height)
        pygame.draw.polygon(veil, fill, [(px - area.x, py - area.y) for px, py in inside])
        lay(self.sheet, veil, area.topleft)

    def wash(
        self, points: Iterable[Point], colours: Sequence[Colour], alpha: float = 1.0, across: bool = False
    ) -> None:
        """Fill a polygon with colours that run from its top to its foot (from left to right with `across`)."""
        inside = self._in(points)
        xs = [p[0] for p in inside]
        ys = [p[1] for p in inside]
        area = pygame.Rect(
            math.floor(min(xs)), math.floor(min(ys)), math.ceil(max(xs) - min(xs)) + 1, math.ceil(max(ys) - min(ys)) + 1
        )
        seen = area.clip(self.sheet.get_rect())
        if seen.width <= 0 or seen.height <= 0:
            return
        mask = blank(seen.width, seen.height)
        a = round(255 * alpha)
        pygame.draw.polygon(mask, (a, a, a, a), [(px - seen.x, py - seen.y) for px, py in inside])
        length = area.width if across else area.height
        ramp = np.linspace(0, len(colours) - 1, max(1, length))
        first = seen.x - area.x if across else seen.y - area.y
        ramp = ramp[first : first + (seen.width if across else seen.height)]
        length = len(ramp)
        table = np.array(colours, dtype=np.float32)
        low = np.clip(np.floor(ramp).astype(int), 0, max(0, len(colours) - 2))
        share = (ramp - low)[:, None]
        values = table[low] * (1 - share) + table[np.minimum(low + 1, len(colours) - 1)] * share
        band = pygame.Surface((length, 1) if across else (1, length), pygame.SRCALPHA)
        pixels = pygame.surfarray.pixels3d(band)
        pixels[...] = values[:, None, :] if across else values[None, :, :]
        del pixels
        alphas = pygame.surfarray.pixels_alpha(band)
        alphas[...] = 255
        del alphas
        mask.blit(pygame.transform.scale(band, seen.size), (0, 0), special_flags=pygame.BLEND_RGBA_MULT)
        lay(self.sheet, mask, seen.topleft)

    def stroke(
        self, points: Sequence[Point], width: float, colour: Colour, alpha: float = 1.0, closed: bool = False
    ) -> None:
        """Draw a line of the given width along a polyline, as a polygon from its offset curves."""
        left, right = sides(points, width, closed)
        if not left:
            return
        if closed:
            left, right = [*left, left[0]], [*right, right[0]]
        self.polygon([*left, *reversed(right)], colour, alpha)

    def disc(self, centre: Point, radius: float, colour: Colour, alpha: float = 1.0) -> None:
        """Fill a circle."""
        self.polygon(circle(centre, radius), colour, alpha)

    def ring(self, centre: Point, radius: float, width: float, colour: Colour, alpha: float = 1.0) -> None:
        """Draw a circle of the given line width, its middle line at `radius`."""
        outer = circle(centre, radius + width / 2, 64)
        inner = circle(centre, radius - width / 2, 64)
        self.polygon([*outer, outer[0], inner[0], *reversed(inner)], colour, alpha)

    def frame(
        self, rect: tuple[float, float, float, float], radius: float, width: float, colour: Colour, alpha: float = 1.0
    ) -> None:
        """Draw the outline of a rounded rectangle; its outer edge is the rectangle's."""
        x, y, w, h = rect
        outer = rounded(rect, radius)
        inner = rounded((x + width, y + width, w - 2 * width, h - 2 * width), max(0.3, radius - width))
        self.polygon([*outer, outer[0], inner[0], *reversed(inner)], colour, alpha)

    def done(self) -> Sprite:
        """Average down and hand over."""
        surface = self.sheet
        if self.fine > 1:
            surface = pygame.transform.smoothscale(surface, (self.box.width, self.box.height))
        return Sprite(surface, self.box.x, self.box.y)


def sides(points: Sequence[Point], width: float, closed: bool = False) -> tuple[list[Point], list[Point]]:
    """Both edges of a line of the given width along a polyline. Corners are mitred, up to three widths."""
    path = np.asarray(points, dtype=np.float64)
    if len(path) < 2:
        return [], []
    keep = np.ones(len(path), dtype=bool)
    keep[1:] = np.hypot(*(path[1:] - path[:-1]).T) > 1e-6
    path = path[keep]
    if closed and len(path) > 1 and np.hypot(*(path[-1] - path[0])) <= 1e-6:
        path = path[:-1]
    if len(path) < 2:
        return [], []
    step = np.diff(path, axis=0, append=path[:1] if closed else path[-1:])
    if not closed:
        step[-1] = step[-2]
    unit = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    before = np.roll(unit, 1, axis=0)
    if not closed:
        before[0] = unit[0]
    normal = np.stack([-(unit[:, 1] + before[:, 1]), unit[:, 0] + before[:, 0]], axis=1)
    length = np.hypot(normal[:, 0], normal[:, 1])
    normal = normal / np.maximum(length, 1e-9)[:, None]
    stretch = 1.0 / np.clip(length / 2, 1 / 3, 1.0)
    offset = normal * (stretch * width / 2)[:, None]
    left = path + offset
    right = path - offset
    return [(x, y) for x, y in left.tolist()], [(x, y) for x, y in right.tolist()]


def blur(values: Floats32, radius: float) -> Floats32:
    """Soften an array in both directions; three box filters come close to a bell of that spread."""
    size = max(1, round(radius) * 2 + 1)
    if size <= 1:
        return values
    out = values
    half = size // 2
    for axis in (0, 1):
        for _ in range(3):
            width = [(0, 0), (0, 0)]
            width[axis] = (half + 1, half)
            total = np.cumsum(np.pad(out, width), axis=axis, dtype=np.float32)
            n = out.shape[axis]
            out = (total[size : size + n] - total[:n]) if axis == 0 else (total[:, size : size + n] - total[:, :n])
            out = out / np.float32(size)
    return out


def shade(part: Sprite, offset: Point, spread: float, strength: float) -> Sprite:
    """The shadow that a finished part throws: its alpha, softened, black, moved by `offset`.

    It is softened at a fraction of its size, which a shadow does not show.
    """
    step = max(2, round(spread * 0.8))
    pad = (math.ceil(spread * 2.6 / step) + 1) * step
    width, height = part.surface.get_size()
    wide, high = -(-(width + 2 * pad) // step), -(-(height + 2 * pad) // step)
    sheet = blank(wide * step, high * step)
    sheet.blit(part.surface, (pad, pad))
    sheet.fill((0, 0, 0, round(255 * min(1.0, strength))), special_flags=pygame.BLEND_RGBA_MULT)
    small = pygame.transform.smoothscale(sheet, (wide, high))
    alphas = pygame.surfarray.pixels_alpha(small)
    alphas[...] = blur(alphas.astype(np.float32), spread / step / 1.7).astype(np.uint8)
    del alphas
    soft = pygame.transform.smoothscale(small, sheet.get_size())
    return Sprite(soft, part.x - pad + round(offset[0]), part.y - pad + round(offset[1]))


@kept
def toned(surface: pygame.Surface, tone: tuple[int, int, int, int]) -> pygame.Surface:
    """A copy in which every part of the colour is so many 255ths of what it was; one for each surface."""
    copy = surface.copy()
    copy.fill(tone, special_flags=pygame.BLEND_RGBA_MULT)
    return copy


def merge(parts: Sequence[Sprite]) -> Sprite:
    """Several sprites as one, the first undermost."""
    area = parts[0].rect.unionall([part.rect for part in parts[1:]])
    surface = blank(area.width, area.height)
    for part in parts:
        lay(surface, part.surface, (part.x - area.x, part.y - area.y))
    return Sprite(surface, area.x, area.y)


def cut(sprites: Iterable[Sprite], window: pygame.Rect) -> Iterator[Sprite]:
    """Sprites without what of them lies outside of a window; the same surfaces again as long as they stand still."""
    for sprite in sprites:
        seen = sprite.rect.clip(window)
        if seen.size == sprite.surface.get_size():
            yield sprite
        elif seen.width and seen.height:
            yield _cut(sprite, seen.x, seen.y, *seen.size)


@kept
def _cut(sprite: Sprite, x: int, y: int, width: int, height: int) -> Sprite:
    part = sprite.surface.subsurface(pygame.Rect(x - sprite.x, y - sprite.y, width, height))
    return Sprite(part, x, y, sprite.light)


@lru_cache(maxsize=8)
def noise(width: int, height: int, seed: int) -> Floats32:
    """Even noise, (width, height) values of -1..1, the same for the same seed."""
    values: Floats32 = np.random.default_rng(seed).uniform(-1, 1, (width, height)).astype(np.float32)
    return values

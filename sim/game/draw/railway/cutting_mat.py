"""The ground of the picture: the wood of the bench, the cutting mat with its grid, and the lamp over them.

The mat's grid and the numbers along its edges are to the track's true scale.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, blur, lay, noise, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import NO_BOX, Box
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms, World

__all__ = ["ground", "lamp_map", "streaks", "wood"]

Floats = np.ndarray[Any, np.dtype[np.float32]]

_STEPS = ((10.0, 50.0), (50.0, 100.0), (100.0, 500.0), (500.0, 1000.0))
_LEAST_GRID_PX = 16
_NARROW = 928.0  # of the frame: that of a narrow room


def streaks(width: int, height: int, seed: int) -> Floats:
    """Wood grain along x: long soft streaks with finer ones on top, about -1..1, (width, height)."""
    rng = np.random.default_rng(seed)
    coarse = rng.normal(0, 1, (max(2, width // 180 + 2), height)).astype(np.float32)
    fine = rng.normal(0, 1, (max(2, width // 46 + 2), height)).astype(np.float32)
    out = np.zeros((width, height), dtype=np.float32)
    for rows, weight in ((coarse, 0.7), (fine, 0.4)):
        at = np.linspace(0, len(rows) - 1.001, width)
        low = at.astype(int)
        share = (at - low)[:, None].astype(np.float32)
        out += np.float32(weight) * (rows[low] * (1 - share) + rows[low + 1] * share)
    return out


def lamp_map(size: tuple[int, int], rooms: Rooms, theme: Theme) -> Floats:
    """How bright the lamp makes each pixel, (width, height), 1 under it; the corners of the window keep 46 %."""
    width, height = size
    if not theme.lamp:
        return np.ones((width, height), dtype=np.float32)
    x = (np.arange(width, dtype=np.float32)[:, None] - rooms.mat.x - rooms.mat.width * 0.594) / width
    y = (np.arange(height, dtype=np.float32)[None, :] - rooms.mat.y - rooms.mat.height * 0.478) / height
    far = np.sqrt((x * 1.05) ** 2 + (y * 1.12) ** 2)
    return np.clip(1.0 - 0.54 * np.clip((far - 0.1) / 0.68, 0, 1) ** 1.35, 0.46, 1.0).astype(np.float32)


def wood(rooms: Rooms, theme: Theme) -> Floats:
    """The bench's wood over the whole window, (width, height, 3), not yet lit."""
    width, height = rooms.size
    base = np.array(theme["wood"], dtype=np.float32)
    streak = streaks(width, height, 7)
    plank = np.ones((1, height), dtype=np.float32)
    for seam in range(round(180 * rooms.unit), height, round(212 * rooms.unit)):
        plank[0, seam : seam + 2] = 0.45
        plank[0, seam + 2 : seam + 3] = 1.12
    bright = (0.74 + 0.11 * streak) * plank
    return np.clip(base[None, None, :] * bright[:, :, None], 0, 255)


def _mat_colour(rooms: Rooms, theme: Theme) -> Floats:
    """The mat's own colour over its box, (width, height, 3): bright under the lamp, dark in the far corner."""
    width, height = rooms.mat.size
    x = (np.arange(width, dtype=np.float32)[:, None] - width * 0.56) / width
    y = (np.arange(height, dtype=np.float32)[None, :] - height * 0.42) / height
    far = np.clip(np.sqrt(x * x * 1.1 + y * y) / 0.74, 0, 1)
    bright, plain, corner = (np.array(theme[role], dtype=np.float32) for role in ("mat-bright", "mat", "mat-corner"))
    near = np.clip(far / 0.5, 0, 1)[:, :, None]
    out = bright * (1 - near) + plain * near
    rest = np.clip((far - 0.5) / 0.5, 0, 1)[:, :, None] ** 1.2
    out = out * (1 - rest) + corner * rest
    grain = noise(width, height, 3)
    cloud = blur(noise(width // 6 + 1, height // 6 + 1, 4), 4) * 6
    cloud = np.kron(cloud, np.ones((6, 6), dtype=np.float32))[:width, :height]
    return np.clip(out * (1 + theme.grain * (grain + 1.6 * cloud))[:, :, None], 0, 255)


def _grid(
    surface: pygame.Surface, rooms: Rooms, world: World, zero_mm: float, zero: str, kind: Type, slip: pygame.Rect,
    within: pygame.Rect, tools: tuple[Box, ...] = (),
) -> None:  # fmt: skip
    theme, unit = kind.theme, rooms.unit
    frame = rooms.mat.inflate(-round(32 * unit), -round(32 * unit))
    veil = pygame.Surface(rooms.mat.size, pygame.SRCALPHA)
    origin = rooms.mat.topleft
    left_mm = world.to_bench(frame.topleft)[0] - zero_mm
    right_mm = world.to_bench(frame.bottomright)[0] - zero_mm
    top_mm = world.to_bench(frame.topleft)[1]
    foot_mm = world.to_bench(frame.bottomright)[1]
    small, large = next((pair for pair in _STEPS if pair[0] * world.scale >= _LEAST_GRID_PX * unit), _STEPS[-1])

    def line(rect: pygame.Rect, alpha: float) -> None:
        colour = theme["grid"]
        pygame.draw.rect(veil, (*colour, round(255 * alpha)), rect.move(-origin[0], -origin[1]))

    thin = max(1, round(unit))
    for k in range(math.ceil(left_mm / small), math.floor(right_mm / small) + 1):
        mm = k * small
        x = round(world.to_screen((mm + zero_mm, 0))[0])
        strong = abs(mm / large - round(mm / large)) < 1e-6
        line(
            pygame.Rect(x, frame.y, thin if not strong else max(thin, round(1.6 * unit)), frame.height),
            0.45 if strong else 0.25,
        )
    for k in range(math.ceil(foot_mm / small), math.floor(top_mm / small) + 1):
        y = round(world.to_screen((0, k * small))[1])
        strong = k % round(large / small) == 0
        line(
            pygame.Rect(frame.x, y, frame.width, thin if not strong else max(thin, round(1.6 * unit))),
            0.45 if strong else 0.25,
        )
    tick = small / 10 if small / 10 * world.scale >= 2.4 * unit else small / 2
    for k in range(math.ceil(left_mm / tick), math.floor(right_mm / tick) + 1):
        x = round(world.to_screen((k * tick + zero_mm, 0))[0])
        part = round(k * tick / small * 10)
        length = round((9 if part % 10 == 0 else 6.5 if part % 5 == 0 else 4) * unit)
        line(pygame.Rect(x, frame.y - length, thin, length), 0.62)
        line(pygame.Rect(x, frame.bottom, thin, length), 0.62)
    for edge in (
        pygame.Rect(frame.x, frame.y, frame.width, thin),
        pygame.Rect(frame.x, frame.bottom - thin, frame.width, thin),
        pygame.Rect(frame.x, frame.y, thin, frame.height),
        pygame.Rect(frame.right - thin, frame.y, thin, frame.height),
    ):
        line(edge, 0.85)
    surface.blit(veil, origin)
    _numbers(surface, frame, world, zero_mm, zero, kind, (left_mm, right_mm), large, unit, slip, within, tools)


def _numbers(
    surface: pygame.Surface,
    frame: pygame.Rect,
    world: World,
    zero_mm: float,
    zero: str,
    kind: Type,
    span: tuple[float, float],
    large: float,
    unit: float,
    slip: pygame.Rect,
    within: pygame.Rect,
    tools: tuple[Box, ...],
) -> None:
    while large * world.scale < kind.width("0000", "small") + 10 * unit:
        large *= 2  # numbers keep clear of each other
    tips = pygame.Rect(0, 0, 0, 0)  # in a small window the meter's tips rest close under the upper numbers
    if frame.width < _NARROW * unit:
        wide = round(98 * unit)
        tips = pygame.Rect(frame.right - wide, round(frame.y + 24 * unit), wide, round(40 * unit))
    last = math.floor((span[1] - 6 / world.scale) / large)
    for k in range(math.ceil(span[0] / large), last + 1):
        mm = round(k * large)
        text = f"{mm}\u00a0mm" if k == last else f"{zero} 0".strip() if mm == 0 else str(mm)
        label = kind.line(text, "small", kind.theme["printing"])
        x = world.to_screen((mm + zero_mm, 0))[0]
        number = kind.width(text if k != last else str(mm), "small")
        left = x - number / 2 if k != last else min(x - number / 2, frame.right - label.get_width() - 4 * unit)
        if left < frame.x + 3 * unit:
            if k != 0 or x < frame.x:
                continue
            left = x - 1 * unit  # its zero at the mat's edge
        upper = label.get_rect(topleft=(round(left), round(frame.y + 4 * unit)))
        if not tips.colliderect(upper) and (not within.width or within.contains(upper)):
            lay(surface, label, upper.topleft)
        lower = label.get_rect(topleft=(round(left), round(frame.bottom - label.get_height() - 1 * unit)))
        high = round(28 * unit)  # of the slip when it lies folded
        folded = pygame.Rect(slip.x, slip.bottom - high, min(slip.width, round(180 * unit)), high)
        cut = any(paper.colliderect(lower) and not paper.contains(lower) for paper in (slip, folded))
        under = lower.inflate(round(4 * unit), 0).collidelist(tools) >= 0
        if not cut and not under and (not within.width or within.contains(lower)):
            lay(surface, label, lower.topleft)


def _cuts(rooms: Rooms) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """A few old knife cuts on the mat, the same every time."""
    rng = np.random.default_rng(19)
    cuts = []
    for _ in range(9):
        x = rooms.mat.x + rooms.mat.width * rng.uniform(0.08, 0.95)
        y = rooms.mat.y + rooms.mat.height * rng.uniform(0.2, 0.95)
        angle, length = rng.uniform(0, math.pi), rng.uniform(18, 60) * rooms.unit
        end = (round(x + length * math.cos(angle)), round(y + length * math.sin(angle)))
        cuts.append(((round(x), round(y)), end))
    return cuts


@kept
def _plain(rooms: Rooms, theme: Theme) -> pygame.Surface:
    """Wood and mat under the lamp, without grid and numbers."""
    surface = pygame.Surface(rooms.size)
    pixels = pygame.surfarray.pixels3d(surface)
    pixels[...] = (wood(rooms, theme) * lamp_map(rooms.size, rooms, theme)[:, :, None]).astype(np.uint8)
    del pixels
    unit = rooms.unit
    radius = 10 * unit
    shape = Pen(rooms.mat, 2)
    from_corner = (rooms.mat.x, rooms.mat.y, rooms.mat.width, rooms.mat.height)
    shape.polygon(rounded(from_corner, radius), (255, 255, 255))
    mask = shape.done()
    dark = shade(mask, (2 * unit, 6 * unit), 8 * unit, 0.6 * theme.shadow)
    lay(surface, dark.surface, (dark.x, dark.y))
    mat = pygame.Surface(rooms.mat.size, pygame.SRCALPHA)
    pixels = pygame.surfarray.pixels3d(mat)
    pixels[...] = _mat_colour(rooms, theme).astype(np.uint8)
    del pixels
    alphas = pygame.surfarray.pixels_alpha(mat)
    alphas[...] = 255
    del alphas
    mat.blit(mask.surface, (0, 0), special_flags=pygame.BLEND_RGBA_MULT)
    lay(surface, mat, rooms.mat.topleft)
    for start, end in _cuts(rooms):
        pygame.draw.aaline(surface, tuple(round(c * (1 - 0.28 * theme.shadow)) for c in theme["mat"]), start, end)
    edge = Pen(rooms.mat, 3)
    edge.frame(from_corner, radius, 1.2 * unit, theme["grid"], 0.55)
    rim = edge.done()
    lay(surface, rim.surface, (rim.x, rim.y))
    return surface


@kept
def ground(
    rooms: Rooms, world: World, zero_mm: float, theme: Theme, zero: str = "", slip: Box = NO_BOX, within: Box = NO_BOX,
    tools: tuple[Box, ...] = (),
) -> pygame.Surface:  # fmt: skip
    """Wood, mat, grid, numbers and lamp: the whole window's ground, opaque.

    zero_mm: the place on the bench (x, mm) that the numbers count from; zero: what is there, "toe", or "".
    slip: where paper may lie over the lower numbers: none is left that it would cut
    within: only numbers that lie in this box, if it is one; tools: what is parked at the foot, over no number
    """
    surface = _plain(rooms, theme).copy()
    kind = Type(theme, rooms.unit)
    _grid(surface, rooms, world, zero_mm, zero, kind, pygame.Rect(slip), pygame.Rect(within), tools)
    return surface

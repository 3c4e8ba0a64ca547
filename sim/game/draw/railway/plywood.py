"""The underside of the board: plywood with frame timbers, tracing paper taped to it, and a stencil that says so.

Its colours are those of the wood and the paper, the same in every theme; only the lamp dims them.
"""

from __future__ import annotations

import math

import numpy as np
import pygame

from sim.game.draw.pen.icons import icon
from sim.game.draw.pen.ink import Pen, blank, lay, noise, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import NO_BOX, Box, put_screw
from sim.game.draw.railway.cutting_mat import lamp_map, streaks, wood
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point, Rooms, World

__all__ = ["INK", "stencil_width", "underside"]

INK: Colour = (0x2A, 0x1A, 0x0A)  # 5.9:1 on the plywood, 8.8:1 on the tracing paper
_LIT, _DEEP = (0xDC, 0xB8, 0x83), (0xBC, 0x96, 0x61)
_TIMBER_LIT, _TIMBER = (0x9C, 0x73, 0x42), (0x7E, 0x58, 0x2E)
_PAPER: Colour = (0xE4, 0xDA, 0xBE)
_TAPE: Colour = (0xD6, 0xC0, 0x6A)
_TIMBER_PX = 24
_STEPS = (10.0, 50.0, 100.0, 500.0, 1000.0)


def _grain(rect: pygame.Rect, seed: int, strength: float, lit: Colour, deep: Colour) -> pygame.Surface:
    """Wood with its grain along x."""
    high = rect.height // 3 + 1
    wide = np.repeat(streaks(rect.width, high, seed), 3, axis=1)[:, : rect.height]
    wide = 0.75 * (np.roll(wide, 1, axis=1) + wide + np.roll(wide, -1, axis=1)) / 1.5
    share = np.clip(0.5 + strength * (wide + 0.5 * streaks(rect.width, rect.height, seed + 2)), 0.0, 1.0)[:, :, None]
    fine = 1 + 0.025 * noise(rect.width, rect.height, seed + 1)[:, :, None]
    one, two = (np.array(colour, dtype=np.float32) for colour in (lit, deep))
    out = pygame.Surface(rect.size)
    pygame.surfarray.blit_array(out, np.clip((one * (1 - share) + two * share) * fine, 0, 255).astype(np.uint8))
    return out


def _knots(surface: pygame.Surface, rooms: Rooms) -> None:
    """A few flat knots, the same every time."""
    rng = np.random.default_rng(31)
    for _ in range(7):
        x = rooms.mat.x + rooms.mat.width * rng.uniform(0.05, 0.95)
        y = rooms.mat.y + rooms.mat.height * rng.uniform(0.28, 0.9)
        long = rng.uniform(7, 11) * rooms.unit
        area = pygame.Rect(round(x - 2 * long), round(y - long), round(4 * long), round(2 * long))
        pen = Pen(area, 2)
        for k in range(4):
            size = long * (1 - 0.22 * k)
            ring = [
                (x + size * math.cos(t * math.pi / 16), y + 0.46 * size * math.sin(t * math.pi / 16)) for t in range(32)
            ]
            pen.polygon(ring, mix(_DEEP, (90, 56, 26), 0.3 + 0.16 * k), 0.55)
        knot = pen.done()
        lay(surface, knot.surface, (knot.x, knot.y))


def _timbers(surface: pygame.Surface, rooms: Rooms, theme: Theme) -> None:
    """The frame's timber along both long edges, screwed on."""
    unit, mat = rooms.unit, rooms.mat
    high = round(_TIMBER_PX * unit)
    for number, top in enumerate((mat.y, mat.bottom - high)):
        rect = pygame.Rect(mat.x, top, mat.width, high)
        pen = Pen(rect, 1)
        pen.span(rect.x, rect.y, rect.right, rect.bottom, (0, 0, 0))
        shadow = shade(pen.done(), (0, 3 * unit), 4 * unit, 0.45 * theme.shadow)
        surface.set_clip(mat)
        lay(surface, shadow.surface, (shadow.x, shadow.y))
        surface.set_clip(None)
        surface.blit(_grain(rect, 41 + number, 0.5, _TIMBER_LIT, _TIMBER), rect)
        thin = max(1, round(unit))
        surface.fill(mix(_TIMBER_LIT, (255, 240, 210), 0.3), (rect.x, rect.y, rect.width, thin))
        surface.fill(mix(_TIMBER, (0, 0, 0), 0.5), (rect.x, rect.bottom - thin, rect.width, thin))
        count = max(3, round(rect.width / (220 * unit)))
        for k in range(count):
            x = rect.x + rect.width * (k + 0.5) / count
            put_screw(surface, (x, rect.centery), 5 * unit, 0.7 + 1.1 * k + number, theme)


def _paper(surface: pygame.Surface, area: pygame.Rect, mat: pygame.Rect, unit: float, theme: Theme) -> None:
    """Tracing paper: the plywood shows through, the corners are taped."""
    lean = 4 * unit
    corners: list[Point] = [
        (area.x - 0.4 * lean, area.y),
        (area.right + 0.5 * lean, area.y + 0.6 * lean),
        (area.right - 0.2 * lean, area.bottom),
        (area.x + 0.2 * lean, area.bottom - 0.5 * lean),
    ]
    pen = Pen(area.inflate(round(8 * unit), round(8 * unit)), 2)
    pen.polygon(corners, (0, 0, 0))
    shadow = shade(pen.done(), (unit, 2 * unit), 3 * unit, 0.3 * theme.shadow)
    lay(surface, shadow.surface, (shadow.x, shadow.y))
    sheet = Pen(area.inflate(round(8 * unit), round(8 * unit)), 2)
    sheet.polygon(corners, _PAPER, 0.74)
    sheet.stroke(corners, 1.2 * unit, (255, 250, 232), 0.35, True)
    done = sheet.done()
    lay(surface, done.surface, (done.x, done.y))
    surface.set_clip(mat)
    for k, (x, y) in enumerate(corners):
        tilt = math.radians((-38, 38, -38, 38)[k])
        c, s = math.cos(tilt), math.sin(tilt)
        box = pygame.Rect(round(x - 34 * unit), round(y - 30 * unit), round(68 * unit), round(60 * unit))
        tape = Pen(box, 3)
        half = ((-26, -8.5), (26, -8.5), (26, 8.5), (-26, 8.5))
        tape.polygon([(x + (a * c - b * s) * unit, y + (a * s + b * c) * unit) for a, b in half], _TAPE, 0.62)
        strip = tape.done()
        lay(surface, strip.surface, (strip.x, strip.y))
    surface.set_clip(None)


def _numbers(
    surface: pygame.Surface, rooms: Rooms, world: World, zero_mm: float, zero: str, kind: Type, slip: pygame.Rect,
    tools: tuple[Box, ...],
) -> None:  # fmt: skip
    """The scale along the lower edge, counted from the same place as on the other side."""
    unit, mat = rooms.unit, rooms.mat
    step = next((mm for mm in _STEPS if mm * world.scale >= 90 * unit), _STEPS[-1])
    inner = mat.inflate(-round(32 * unit), 0)
    ends = sorted(world.to_bench((x, 0.0))[0] - zero_mm for x in (inner.x, inner.right))
    y = mat.bottom - round((_TIMBER_PX + 21) * unit) - kind.height("small")
    numbers = range(math.ceil(ends[0] / step), math.floor(ends[1] / step) + 1)
    for k in numbers:
        mm = round(k * step)
        text = f"{zero} 0" if mm == 0 and zero else f"{mm}\u00a0mm" if k == numbers[-1] else str(mm)
        label = kind.line(text, "small", INK)
        x = world.to_screen((mm + zero_mm, 0.0))[0] - label.get_width() / 2
        spot = label.get_rect(topleft=(round(x), y))
        cut = (slip.colliderect(spot) and not slip.contains(spot)) or spot.collidelist(tools) >= 0
        if inner.x <= x and x + label.get_width() <= inner.right and not cut:
            lay(surface, label, (x, y))


def stencil_width(zero: str, unit: float, theme: Theme) -> float:
    """How wide the words FROM BELOW are with their frame, px."""
    kind = Type(theme, unit)
    return max(kind.width("FROM BELOW", "stencil"), kind.width(_words(zero), "mark")) + 76 * unit


def _stencil(surface: pygame.Surface, middle: Point, zero: str, unit: float, theme: Theme) -> None:
    """FROM BELOW, in a frame, with the turn-over sign."""
    kind = Type(theme, unit)
    lines = (kind.line("FROM BELOW", "stencil", INK), kind.line(_words(zero), "mark", INK))
    wide = stencil_width(zero, unit, theme)
    high = lines[0].get_height() + lines[1].get_height() + 14 * unit
    rect = pygame.Rect(round(middle[0] - wide / 2), round(middle[1] - high / 2), round(wide), round(high))
    pen = Pen(rect, 3)
    pen.frame((rect.x, rect.y, rect.width, rect.height), 2 * unit, 2.4 * unit, INK)
    frame = pen.done()
    lay(surface, frame.surface, (frame.x, frame.y))
    sign = icon("turn", 1.7 * unit, INK)
    lay(surface, sign, (rect.x + 12 * unit, rect.centery - sign.get_height() / 2))
    top = rect.y + 6 * unit
    for line in lines:
        lay(surface, line, (rect.x + 60 * unit, top))
        top += line.get_height()


def _words(zero: str) -> str:
    return f"mirrored: the {zero} is on the right" if zero else "mirrored: left lies on the right"


@kept
def underside(
    rooms: Rooms,
    world: World,
    zero_mm: float,
    zero: str,
    paper: tuple[int, int, int, int],
    stencil: Point,
    theme: Theme,
    slip: Box = NO_BOX,
    tools: tuple[Box, ...] = (),
) -> pygame.Surface:
    """The whole window's ground from below, opaque.

    zero_mm: the place on the bench that the numbers count from, `zero`: what is there, "toe", on the right; or ""
    paper: the tracing paper's box, px; stencil: the middle of the stencil, px
    slip: where paper may lie over the numbers: none is left that it would cut; tools: what else lies there
    """
    unit, mat = rooms.unit, rooms.mat
    lamp = lamp_map(rooms.size, rooms, theme)[:, :, None]
    surface = pygame.Surface(rooms.size)
    pygame.surfarray.blit_array(surface, wood(rooms, theme).astype(np.uint8))
    shape = Pen(mat, 1)
    shape.polygon(rounded((mat.x, mat.y, mat.width, mat.height), unit), (0, 0, 0))
    dark = shade(shape.done(), (2 * unit, 6 * unit), 8 * unit, 0.6 * theme.shadow)
    lay(surface, dark.surface, (dark.x, dark.y))
    surface.blit(_grain(mat, 23, 0.30, _LIT, _DEEP), mat)
    _knots(surface, rooms)
    _paper(surface, pygame.Rect(paper), mat, unit, theme)
    _timbers(surface, rooms, theme)
    pixels = pygame.surfarray.pixels3d(surface)
    soft = np.ones_like(lamp)
    soft[mat.x : mat.right, mat.y : mat.bottom] = 0.30
    # the lamp falls flatter on pale wood, so that ink keeps its contrast in the corners
    pixels[...] = (pixels * (1 - soft * (1 - lamp))).astype(np.uint8)
    del pixels
    words = blank(*rooms.size)
    _numbers(words, rooms, world, zero_mm, zero, Type(theme, unit), pygame.Rect(slip), tools)
    _stencil(words, stencil, zero, unit, theme)
    lay(surface, words, (0, 0))
    return surface

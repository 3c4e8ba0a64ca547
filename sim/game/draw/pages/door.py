"""The front door beside the list: the mat under the lamp, the words about the chosen job, the large button."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, blank, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import NO_BOX, Box, put
from sim.game.draw.railway.cutting_mat import ground
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Rooms, World

__all__ = ["Told", "begin_button", "begin_least", "job_words", "lit_ground", "takes_words"]

_POOL: Colour = (0x3A, 0x6B, 0x58)
_POOL_SHARE = 0.55
_DARK: Colour = (0x6D, 0x7A, 0x74)


@kept
def lit_ground(
    rooms: Rooms, world: World, zero_mm: float, theme: Theme, lamp: tuple[int, int], reach: int, within: Box
) -> pygame.Surface:
    """Wood and mat; at night a pool of the lamp's light over the engine, and the far corners of the mat darker.

    within: where the mat's numbers may stand
    """
    surface = ground(rooms, world, zero_mm, theme, "", NO_BOX, within).copy()
    if theme.lamp:
        dark, pool = _light(rooms.mat.size, (lamp[0] - rooms.mat.x, lamp[1] - rooms.mat.y), reach)
        surface.blit(dark, rooms.mat, special_flags=pygame.BLEND_RGB_MULT)
        surface.blit(pool, rooms.mat, special_flags=pygame.BLEND_RGB_ADD)
    return surface


@kept
def _light(size: tuple[int, int], lamp: tuple[int, int], reach: int) -> tuple[pygame.Surface, pygame.Surface]:
    """What the mat is multiplied with, and what is added to it."""
    x = np.arange(size[0], dtype=np.float32)[:, None] - lamp[0]
    y = np.arange(size[1], dtype=np.float32)[None, :] - lamp[1]
    far = np.sqrt(x * x + y * y) / reach
    away = np.clip((far - 1) / 1.6, 0, 1)[:, :, None]
    near = (np.clip(1 - far, 0, 1) ** 1.6)[:, :, None] * _POOL_SHARE
    out = []
    for values in (255 - away * (255 - np.array(_DARK, dtype=np.float32)), near * np.array(_POOL, dtype=np.float32)):
        surface = pygame.Surface(size)
        pygame.surfarray.blit_array(surface, values.astype(np.uint8))
        out.append(surface)
    return out[0], out[1]


class Told(NamedTuple):
    """What stands beside the list about the chosen job: where it stands, its title, its brief, its task."""

    eyebrow: str
    title: str
    brief: str
    task: str


@lru_cache(maxsize=8)
def job_words(box: Box, unit: float, theme: Theme, told: Told) -> Sprite:
    """The words about the chosen job, their last line at the foot of the box."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    parts: list[tuple[str, str, Colour, float]] = []  # each line: words, role, colour, room above it
    large = "result" if kind.width(told.title, "result") <= rect.width else "title"
    titles = kind.wrap(told.title, large, rect.width)
    parts.append((told.eyebrow, "eyebrow", theme["printing"], 0.0))
    parts += [(line, large, theme["label"], 4 * unit if k == 0 else 0.0) for k, line in enumerate(titles)]
    briefs = kind.wrap(told.brief, "goal", rect.width)
    parts += [(line, "goal", theme["label"], 8 * unit if k == 0 else unit) for k, line in enumerate(briefs)]
    if told.task:
        tasks = kind.wrap(told.task, "goal", rect.width)
        parts += [(line, "goal", theme["printing"], 8 * unit if k == 0 else unit) for k, line in enumerate(tasks)]
    if not told.eyebrow:
        del parts[0]
    high = sum(above + kind.height(role) for _, role, _, above in parts)
    surface = blank(rect.width, high)
    y = 0.0
    for words, role, colour, above in parts:
        y += above
        spaced = words.upper() if role == "eyebrow" else words
        put(surface, (0, y), kind.fit(spaced, role, rect.width), role, colour, kind)
        y += kind.height(role)
    return Sprite(surface, rect.x, rect.bottom - surface.get_height())


def takes_words(minutes: int | None) -> str:
    """How long a job takes, in words; nothing where its file does not say."""
    if minutes is None:
        return ""
    return f"about {minutes}\u00a0minute{'' if minutes == 1 else 's'}"


def begin_least(kind: Type, words: str) -> float:
    """How wide the large button must be for its words."""
    return kind.width(words, "title") + 84 * kind.scale


@lru_cache(maxsize=8)
def begin_button(box: Box, unit: float, theme: Theme, words: str, under: bool) -> Sprite:
    """The large green button, with a halo round it at night; `under`: the pointer is on it."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    x, y, w, h = rect
    radius = 10 * unit
    pen = Pen(rect, 3)
    top, middle, foot = (_BRIGHT, _MIDDLE, _FOOT) if theme.lamp else (
        theme["button-top"], mix(theme["button-top"], theme["button-foot"], 0.5), theme["button-foot"],
    )  # fmt: skip
    if under:
        top, middle, foot = (mix(each, (0, 0, 0), 0.14) for each in (top, middle, foot))
    pen.polygon(rounded((x, y, w, h), radius), mix(foot, (0, 0, 0), 0.5))
    inner = (x + unit, y + unit, w - 2 * unit, h - 2 * unit)
    pen.wash(rounded(inner, radius - unit), (top, middle, foot))
    pen.span(x + radius, y + 1.6 * unit, x + w - radius, y + 3.0 * unit, (214, 246, 226), 0.75)
    wide = kind.width(words, "title") + 34 * unit
    left = rect.centerx - wide / 2
    tip = left + wide
    arm = 9 * unit
    pen.polygon(
        [(tip - 1.5 * arm, rect.centery - arm), (tip, rect.centery), (tip - 1.5 * arm, rect.centery + arm)],
        theme["button-text"],
    )
    part = pen.done()
    label = kind.line(words, "title", theme["button-text"])
    lay(part.surface, label, (left - part.x, rect.centery - label.get_height() / 2 - part.y))
    layers = [shade(part, (3 * unit, 6 * unit), 7 * unit, 0.6 * theme.shadow), part]
    if theme.lamp:
        layers.insert(1, _halo(rect, unit))
    return merge(layers)


_BRIGHT: Colour = (0x45, 0x99, 0x6F)
_MIDDLE: Colour = (0x29, 0x74, 0x4F)
_FOOT: Colour = (0x1B, 0x56, 0x38)


def _halo(rect: pygame.Rect, unit: float) -> Sprite:
    """A soft green light round the button."""
    reach = round(16 * unit)
    area = rect.inflate(2 * reach, 2 * reach)
    pen = Pen(area, 1)
    pen.polygon(rounded((rect.x, rect.y, rect.width, rect.height), 10 * unit), (255, 255, 255))
    glow = shade(pen.done(), (0, 0), 8 * unit, 0.75)
    tinted = pygame.Surface(glow.surface.get_size(), pygame.SRCALPHA)
    alphas = pygame.surfarray.array_alpha(glow.surface).astype(np.float32) / 255
    pixels = pygame.surfarray.pixels3d(tinted)
    pixels[...] = (alphas[:, :, None] * np.array(_BRIGHT, dtype=np.float32)).astype(np.uint8)
    del pixels
    share = pygame.surfarray.pixels_alpha(tinted)
    share[...] = (alphas * 255).astype(np.uint8)
    del share
    return Sprite(tinted, glow.x, glow.y)

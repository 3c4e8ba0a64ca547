"""The front door beside the list: the mat under the lamp, the words about the chosen job, the large button."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import NO_BOX, Box
from sim.game.draw.railway.cutting_mat import ground
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Rooms, World

__all__ = ["BEGIN", "Told", "begin_corner", "job_words", "lit_ground"]

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


@kept
def job_words(box: Box, unit: float, theme: Theme, told: Told) -> Arrangement[str]:
    """The words about the chosen job, their last line at the foot of the box."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, (x, y, width, height) = sheet.kind, box
    large = "result" if kind.width(told.title, "result") <= width else "title"
    small = mix(theme["printing"], theme["label"], 0.2)  # it stands where the lamp's light begins to end
    parts = [(kind.fit(told.eyebrow.upper(), "eyebrow", width), "eyebrow", small, 0.0)]
    if not told.eyebrow:
        parts.clear()
    for text, role, colour, above, between in (
        (told.title, large, theme["label"], 4 * unit, 0.0),
        (told.brief, "goal", theme["label"], 8 * unit, unit),
        (told.task, "goal", theme["printing"], 8 * unit, unit),
    ):
        lines = kind.wrap(text, role, width) if text else ()
        parts += [(line, role, colour, between if k else above) for k, line in enumerate(lines)]
    high = math.ceil(sum(above + kind.height(role) for _, role, _, above in parts))
    sheet.box = pygame.Rect(x, y + height - high, width, high)
    top = float(sheet.box.y)
    for words, role, colour, above in parts:
        sheet.words((x, top + above), words, role, colour)
        top += above + kind.height(role)
    return sheet


BEGIN = "begin"
_ENTER = "or press Enter"
_APART = 24.0


@kept
def begin_corner(
    box: Box, room: int, unit: float, theme: Theme, words: str, minutes: int | None, under: bool
) -> Arrangement[str]:
    """The large button, as wide as its words need; beside it how long the job takes, and the key that begins it.

    room: the width of both together, at most; under: the pointer is on the button
    """
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, (x, y, width, height) = sheet.kind, box
    beside = [(_takes_words(minutes), "body", theme["label"])] if minutes is not None else []
    beside.append((_ENTER, "mark", theme["printing"]))
    taken = max(kind.width(line, role) for line, role, _ in beside) + _APART * unit
    wide = round(max(kind.width(words, "title") + 84 * unit, min(width, room - taken)))
    place = pygame.Rect(x, y, wide, height)
    sheet.box = pygame.Rect(x, y, math.ceil(wide + taken), height)
    sheet.spot(BEGIN, place)
    sheet.draw(_begin_button, place, kind, words, under)
    top = place.centery - sum(kind.height(role) for _, role, _ in beside) / 2
    for line, role, colour in beside:
        sheet.words((place.right + round(_APART * unit), top), line, role, colour)
        top += kind.height(role)
    return sheet


def _takes_words(minutes: int) -> str:
    return f"about {minutes}\u00a0minute{'' if minutes == 1 else 's'}"


def _begin_button(rect: pygame.Rect, kind: Type, words: str, under: bool) -> Sprite:
    """The large green button, with a halo round it at night."""
    x, y, w, h = rect
    unit, theme = kind.scale, kind.theme
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

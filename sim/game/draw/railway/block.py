"""A motor on the mat: its case, its lever and its terminal block."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, noise, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put, put_screw
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point

__all__ = ["Arm", "black_case", "block", "lever", "screw_angle", "small_block"]


class Arm(NamedTuple):
    """A changeover's arm under the lid: the places of common and outers among the letters, and its throw 0..1.

    at: 0 resting on the normal outer, 1 on the diverging one, between them lifted.
    """

    common: int
    normal: int
    diverging: int
    at: float


def screw_angle(seed: str) -> float:
    """How far a screw's slot is turned: by chance, but always the same for the same screw."""
    value = sum((k + 1) * ord(letter) for k, letter in enumerate(seed)) * 2654435761 % 2**32
    return math.pi * value / 2**32


def _grained(part: Sprite, strength: float, seed: int) -> None:
    grain = noise(*part.surface.get_size(), seed)
    pixels = pygame.surfarray.pixels3d(part.surface)
    pixels[...] = np.clip(pixels * (1 + strength * grain[:, :, None]), 0, 255).astype(np.uint8)
    del pixels
    alphas = pygame.surfarray.array_alpha(part.surface)
    pixels = pygame.surfarray.pixels3d(part.surface)
    np.minimum(pixels, alphas[:, :, None], out=pixels)
    del pixels


def black_case(box: pygame.Rect, unit: float, theme: Theme, radius: float) -> Sprite:
    pen = Pen(box, 3)
    x, y, w, h = box
    base = theme["housing"]
    pen.polygon(rounded((x, y, w, h), radius), mix(base, (255, 240, 220), 0.28))
    pen.wash(
        rounded((x + unit, y + 1.2 * unit, w - 2 * unit, h - 2 * unit), radius - unit),
        (mix(base, (255, 245, 230), 0.12), base, mix(base, (0, 0, 0), 0.2)),
    )
    part = pen.done()
    _grained(part, 0.05, 23)
    return part


@kept
def lever(foot: Point, travel: float, unit: float, theme: Theme) -> Sprite:
    """A hand lever at the left of its lid: it leans to the left with the points normal, to the right diverging."""
    lean = math.radians(-90 - 22 + 44 * travel)
    tip = (foot[0] + 38 * unit * math.cos(lean), foot[1] + 38 * unit * math.sin(lean))
    reach = 46 * unit
    pen = Pen(pygame.Rect(round(foot[0] - reach), round(foot[1] - reach), round(2 * reach), round(reach + 8 * unit)), 4)
    pen.polygon(rounded((foot[0] - 11 * unit, foot[1] - 5 * unit, 22 * unit, 11 * unit), 4 * unit), theme["brass-dark"])
    pen.polygon(rounded((foot[0] - 10 * unit, foot[1] - 4 * unit, 20 * unit, 8 * unit), 3 * unit), theme["brass"])
    pen.stroke([foot, tip], 7 * unit, mix(theme["nickel-dark"], (0, 0, 0), 0.5))
    pen.stroke([foot, tip], 4.6 * unit, theme["nickel"])
    pen.disc(tip, 8 * unit, mix(theme["trip-red"], (0, 0, 0), 0.5))
    pen.disc(tip, 6.8 * unit, theme["trip-red"])
    pen.disc((tip[0] - 2 * unit, tip[1] - 2.4 * unit), 2.4 * unit, mix(theme["trip-red"], (255, 255, 255), 0.5))
    part = pen.done()
    return merge([shade(part, (3 * unit, 5 * unit), 3 * unit, 0.5 * theme.shadow), part])


@kept
def _case(housing: Box, unit: float, theme: Theme, name: str) -> Sprite:
    """A motor's housing with its four screws and its shadow."""
    back = pygame.Rect(housing)
    part = black_case(back, unit, theme, 9 * unit)
    for px, py in (
        (11, 12),
        (back.width / unit - 11, 12),
        (11, back.height / unit - 12),
        (back.width / unit - 11, back.height / unit - 12),
    ):
        put_screw(part.surface, (px * unit, py * unit), 4.4 * unit, screw_angle(f"{name}{px}{py}"), theme)
    return merge([shade(part, (4 * unit, 7 * unit), 7 * unit, 0.62 * theme.shadow), part])


@kept
def _front(
    face: Box, unit: float, theme: Theme, name: str, letters: tuple[str, ...], xs: tuple[float, ...], upper: float,
    lower: float,
) -> Sprite:  # fmt: skip
    """A motor's cream block with its screws, letters and shadow."""
    kind = Type(theme, unit)
    cream = _cream(pygame.Rect(face), unit, theme, xs)
    whole = merge([shade(cream, (2 * unit, 4 * unit), 4 * unit, 0.5 * theme.shadow), cream])
    surface, dx, dy = whole.surface, whole.x, whole.y
    ink = mix(theme["ink"], (0, 0, 0), 0.15)
    for x, letter in zip(xs, letters, strict=True):
        for row, y in (("u", upper), ("l", lower)):
            put_screw(surface, (x - dx, y - dy), 11.6 * unit, screw_angle(f"{name}.{letter}.{row}"), theme)
        label = kind.line(kind.fit(letter, "letter", 34 * unit), "letter", ink)
        lay(
            surface,
            label,
            (x - label.get_width() / 2 - dx, (upper + lower) / 2 - label.get_height() / 2 - 1.2 * unit - dy),
        )
    return whole


@kept
def block(
    housing: Box, face: Box, unit: float, theme: Theme, name: str, drives: tuple[str, ...],
    letters: tuple[str, ...], xs: tuple[float, ...], upper: float, lower: float, arms: tuple[Arm, ...],
    what: str = "Motor",
) -> Sprite:  # fmt: skip
    """A motor: its dark housing with the lid, and the cream block with two brass screws over and under each letter.

    drives: what is written on the lid, the longest first: the first that has room is taken
    xs: middle of each terminal, px; upper, lower: height of the two rows of screws; arms: those to be seen, none
    under a lid; what: the word for it
    """
    kind = Type(theme, unit)
    back, front = pygame.Rect(housing), pygame.Rect(face)
    plate = Pen(back.union(front), 3)
    lid = (back.x + 28 * unit, back.y + 14 * unit, back.width - 56 * unit, 46 * unit)
    if arms:
        top = back.y + 4 * unit + kind.height("mark-bold")  # under the name
        _window(plate, (back.x + 20 * unit, top, back.width - 40 * unit, front.y - 12 * unit - top), unit)
        for arm in arms:
            _arm(plate, arm, xs, front.y, top, unit, theme)
    else:
        dark = theme["housing"]
        plate.polygon(
            rounded((lid[0] - unit, lid[1] - unit, lid[2] + 2 * unit, lid[3] + 3 * unit), 6 * unit),
            mix(dark, (0, 0, 0), 0.6),
        )
        plate.wash(
            rounded(lid, 5 * unit),
            (mix(dark, (255, 245, 230), 0.17), mix(dark, (255, 245, 230), 0.12), mix(dark, (255, 245, 230), 0.04)),
        )
        plate.span(lid[0] + 4 * unit, lid[1], lid[0] + lid[2] - 4 * unit, lid[1] + 1.2 * unit, (255, 250, 240), 0.25)
    cream = _front(face, unit, theme, name, letters, xs, upper, lower)
    whole = merge([_case(housing, unit, theme, name), plate.done(), cream])
    surface, dx, dy = whole.surface, whole.x, whole.y
    title = mix(theme["block-lit"], theme["housing"], 0.08)
    if arms:
        words = _titled(kind, what, name, back.width - 46 * unit)
        put(surface, (back.centerx - dx, back.y + 2 * unit - dy), words, "mark-bold", title, kind, "middle")
    else:
        right = lid[0] + lid[2] - 10 * unit - dx
        width = lid[2] - 16 * unit
        put(
            surface,
            (right, lid[1] + 4 * unit - dy),
            _titled(kind, what, name, width),
            "mark-bold",
            title,
            kind,
            "right",
        )
        put(
            surface,
            (right, lid[1] + 22 * unit - dy),
            kind.fit(
                next((words for words in drives if kind.width(words, "mark") <= width), drives[-1]), "mark", width
            ),
            "mark",
            mix(theme["block"], theme["housing"], 0.22),
            kind,
            "right",
        )
    return whole


def _titled(kind: Type, what: str, name: str, width: float) -> str:
    """What is written on a motor: the word for it and its name, or of a long name alone both ends."""
    whole = f"{what} {name}"
    return whole if kind.width(whole, "mark-bold") <= width else kind.squeezed(name, "mark-bold", width)


def _window(pen: Pen, rect: tuple[float, float, float, float], unit: float) -> None:
    x, y, w, h = rect
    pen.polygon(rounded((x - unit, y - unit, w + 2 * unit, h + 3 * unit), 6 * unit), (92, 86, 78), 0.8)
    pen.wash(rounded(rect, 5 * unit), ((10, 9, 8), (18, 16, 14)))
    pen.polygon(
        [(x + w * 0.18, y), (x + w * 0.34, y), (x + w * 0.22, y + h), (x + w * 0.06, y + h)], (255, 255, 255), 0.05
    )
    pen.polygon(
        [(x + w * 0.38, y), (x + w * 0.41, y), (x + w * 0.29, y + h), (x + w * 0.26, y + h)], (255, 255, 255), 0.05
    )


def _arm(pen: Pen, arm: Arm, xs: tuple[float, ...], foot: float, top: float, unit: float, theme: Theme) -> None:
    brass, dark, lit = theme["brass"], theme["brass-dark"], theme["brass-lit"]
    for place in (arm.common, arm.normal, arm.diverging):
        x = xs[place]
        height = top + (30 if place == arm.common else 20) * unit
        pen.stroke([(x, foot), (x, height)], 3.4 * unit, dark)
        pen.stroke([(x - 0.4 * unit, foot), (x - 0.4 * unit, height)], 1.8 * unit, brass)
        pen.disc((x, height), 3.2 * unit, dark)
        pen.disc((x - 0.4 * unit, height - 0.4 * unit), 2.3 * unit, lit)
    ends = {0.0: xs[arm.normal], 1.0: xs[arm.diverging]}
    target = ends.get(
        arm.at,
        (xs[arm.normal] + xs[arm.diverging]) / 2 if arm.common not in (arm.normal, arm.diverging) else xs[arm.normal],
    )
    x = xs[arm.common]
    lifted = 0.0 if arm.at in (0.0, 1.0) else 7 * unit
    way = 1 if target >= x else -1
    path = [
        (x, top + 30 * unit),
        (x, top + 15 * unit),
        (x + way * 4 * unit, top + 9 * unit),
        (x + way * 12 * unit, top + 8 * unit),
        (target - way * 6 * unit, top + 12 * unit - lifted),
        (target + way * 2 * unit, top + 18 * unit - lifted),
    ]
    pen.stroke([(px + unit, py + 2 * unit) for px, py in path], 3.4 * unit, (0, 0, 0), 0.4)
    pen.stroke(path, 3.6 * unit, dark)
    pen.stroke(path, 2.4 * unit, brass)
    pen.stroke([(px - 0.3 * unit, py - 0.5 * unit) for px, py in path], 0.9 * unit, lit)


def _cream(front: pygame.Rect, unit: float, theme: Theme, xs: tuple[float, ...]) -> Sprite:
    pen = Pen(front.inflate(2, 2), 3)
    x, y, w, h = front
    body, lit, dark = theme["block"], theme["block-lit"], theme["block-dark"]
    pen.polygon(rounded((x - 0.5 * unit, y - 0.5 * unit, w + unit, h + unit), 3 * unit), mix(dark, (0, 0, 0), 0.45))
    pen.wash(
        rounded((x + 0.5 * unit, y + 0.5 * unit, w - unit, h - unit), 2.6 * unit),
        (mix(body, lit, 0.6), body, body, mix(body, dark, 0.5)),
    )
    pen.span(x + 2 * unit, y + 0.6 * unit, x + w - 2 * unit, y + 2.2 * unit, (255, 255, 255), 0.7)
    pitch = xs[1] - xs[0] if len(xs) > 1 else 40 * unit
    for k in range(len(xs) + 1 if xs else 0):
        rib = xs[0] - pitch / 2 + k * pitch
        top, foot = y + 3.5 * unit, y + h - 2.5 * unit
        pen.span(rib + 1.4 * unit, top, rib + 3.8 * unit, foot, dark, 0.75)
        pen.span(rib - 1.8 * unit, top, rib + 1.6 * unit, foot, mix(lit, (255, 255, 255), 0.3))
        pen.span(rib - 2.8 * unit, top, rib - 1.8 * unit, foot, dark, 0.4)
    for px in xs:
        pen.polygon(rounded((px - 6 * unit, y + h - 6.5 * unit, 12 * unit, 7 * unit), 1.6 * unit), (14, 11, 9))
    part = pen.done()
    _grained(part, 0.022, 29)
    return part


@kept
def small_block(
    housing: Box, face: Box, unit: float, theme: Theme, xs: tuple[float, ...], upper: float, lower: float
) -> Sprite:
    """A motor seen from afar: housing, cream block and screws, without letters."""
    back, front = pygame.Rect(housing), pygame.Rect(face)
    pen = Pen(back.union(front).inflate(2, 2), 4)
    pen.polygon(rounded((back.x, back.y, back.width, back.height), 9 * unit), theme["housing"])
    lid = (back.x + 0.12 * back.width, back.y + 0.08 * back.height, 0.76 * back.width, 0.26 * back.height)
    pen.polygon(rounded(lid, 4 * unit), mix(theme["housing"], (255, 245, 230), 0.14))
    pen.polygon(rounded((front.x, front.y, front.width, front.height), 3 * unit), theme["block"])
    for x in xs:
        for y in (upper, lower):
            pen.disc((x, y), 11.6 * unit, theme["brass-dark"])
            pen.disc((x, y), 9.4 * unit, theme["brass"])
    part = pen.done()
    return merge([shade(part, (2, 3), 2, 0.5 * theme.shadow), part])

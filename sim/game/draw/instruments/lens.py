"""The magnifier: a glass in a brass rim with a wooden grip, the lines from it to its place, and its paper label."""

from __future__ import annotations

import math

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, blank, circle, lay, merge, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point

__all__ = ["RADIUS", "beams", "glass", "handle_end", "rim", "small_lens"]

RADIUS = 88.0
"""Of the glass, layout px."""

_TURN = math.radians(146)  # which way the grip points, y down: to the lower left


def handle_end(at: Point, radius: float, unit: float, mirrored: bool) -> Point:
    """Where the grip of a glass of that radius (px) ends."""
    turn = math.pi - _TURN if mirrored else _TURN
    reach = radius + 82 * unit
    return at[0] + math.cos(turn) * reach, at[1] + math.sin(turn) * reach


def _lens(at: Point, radius: float, long: float, unit: float, theme: Theme, mirrored: bool) -> Sprite:
    """Rim and grip round a glass that is left clear."""
    turn = math.pi - _TURN if mirrored else _TURN
    c, s = math.cos(turn), math.sin(turn)

    def place(along: float, across: float) -> Point:
        return at[0] + c * along - s * across, at[1] + s * along + c * across

    reach = math.ceil(radius + long + 12 * unit)
    pen = Pen(pygame.Rect(round(at[0]) - reach, round(at[1]) - reach, 2 * reach, 2 * reach), 3)
    w = max(2.4 * unit, min(5.2 * unit, radius * 0.17))
    wood, brass = (92, 50, 26), theme["brass"]
    start, neck = radius + w * 0.5, radius + w * 0.5 + long * 0.2
    pen.polygon(
        [place(start, -1.1 * w), place(neck, -0.9 * w), place(neck, 0.9 * w), place(start, 1.1 * w)],
        theme["brass-dark"],
    )
    pen.polygon(
        [place(start, -0.7 * w), place(neck, -0.5 * w), place(neck, 0.2 * w), place(start, 0.3 * w)], theme["brass-lit"]
    )
    end = radius + long
    grip = [
        place(neck, -0.95 * w), place(neck + 0.2 * long, -1.35 * w), place(end - 0.1 * long, -1.25 * w),
        place(end, -0.6 * w), place(end, 0.6 * w), place(end - 0.1 * long, 1.25 * w),
        place(neck + 0.2 * long, 1.35 * w), place(neck, 0.95 * w),
    ]  # fmt: skip
    pen.polygon(grip, mix(wood, (0, 0, 0), 0.55))
    inner = [
        place(neck + unit, -0.6 * w), place(neck + 0.2 * long, -0.95 * w), place(end - 0.1 * long, -0.85 * w),
        place(end - 1.6 * unit, 0), place(end - 0.1 * long, 0.85 * w), place(neck + 0.2 * long, 0.95 * w),
        place(neck + unit, 0.6 * w),
    ]  # fmt: skip
    pen.polygon(inner, wood)
    up = -1 if c > 0 else 1
    pen.polygon(
        [place(neck + 0.1 * long, 0.2 * w * up), place(end - 0.12 * long, 0.25 * w * up),
         place(end - 0.12 * long, 0.6 * w * up), place(neck + 0.2 * long, 0.7 * w * up)],
        mix(wood, (255, 210, 160), 0.35),
    )  # fmt: skip
    pen.ring(at, radius + 0.3 * w, 1.9 * w, mix(theme["brass-dark"], (0, 0, 0), 0.45))
    pen.ring(at, radius + 0.3 * w, 1.3 * w, brass)
    pen.ring(at, radius + 0.62 * w, 0.34 * w, theme["brass-lit"])
    pen.ring(at, radius - 0.2 * w, 0.3 * w, theme["brass-dark"])
    part = pen.done()
    box = part.surface.get_bounding_rect()
    part = Sprite(part.surface.subsurface(box).copy(), part.x + box.x, part.y + box.y)
    return merge([shade(part, (5 * unit, 8 * unit), 7 * unit, 0.5 * theme.shadow), part])


@kept
def rim(at: Point, radius: float, unit: float, theme: Theme, mirrored: bool) -> Sprite:
    """Rim and grip of the lens in use."""
    return _lens(at, radius, 82 * unit, unit, theme, mirrored)


@kept
def small_lens(box: Box, unit: float, theme: Theme, mirrored: bool) -> Sprite:
    """The lens where it is parked, small as if it lay further off."""
    x, y, w, h = box
    radius = min(h * 0.46, 16 * unit)
    at = (x + radius + 6 * unit if mirrored else x + w - radius - 6 * unit, y + h * 0.42)
    pen = Pen(pygame.Rect(box).inflate(8, 8), 3)
    pen.disc(at, radius, mix(theme["mat"], (255, 255, 255), 0.16), 0.75)
    pen.polygon([*circle((at[0] - radius * 0.3, at[1] - radius * 0.35), radius * 0.36, 20)], (255, 255, 255), 0.3)
    return merge([pen.done(), _lens(at, radius, 42 * unit, unit, theme, mirrored)])


def glass(picture: pygame.Surface, at: Point, unit: float) -> Sprite:
    """What the glass shows, round, with a little light on it; kept as long as the picture is the same."""
    edge = picture.get_width()
    return Sprite(_masked(picture, edge, unit), round(at[0] - edge / 2), round(at[1] - edge / 2))


@kept
def _masked(picture: pygame.Surface, edge: int, unit: float) -> pygame.Surface:
    surface = blank(edge, edge)
    surface.blit(picture, (0, 0))
    lay(surface, _sheen(edge, unit), (0, 0))
    surface.blit(_round(edge), (0, 0), special_flags=pygame.BLEND_RGBA_MULT)
    return surface


@kept
def _round(edge: int) -> pygame.Surface:
    pen = Pen(pygame.Rect(0, 0, edge, edge), 3)
    pen.polygon(circle((edge / 2, edge / 2), edge / 2, 120), (255, 255, 255))
    return pen.done().surface


@kept
def _sheen(edge: int, unit: float) -> pygame.Surface:
    pen = Pen(pygame.Rect(0, 0, edge, edge), 3)
    middle = (edge / 2, edge / 2)
    for k in range(5):
        pen.ring(middle, edge / 2 - (1.5 + 3.0 * k) * unit, 3.2 * unit, (0, 0, 0), 0.20 - 0.04 * k)
    arc = [
        (middle[0] + math.cos(math.radians(a)) * edge * 0.43, middle[1] + math.sin(math.radians(a)) * edge * 0.43)
        for a in range(200, 262, 4)
    ]
    pen.stroke(arc, 4.0 * unit, (255, 255, 255), 0.22)
    return pen.done().surface


@kept
def beams(place: Point, at: Point, radius: float, unit: float, theme: Theme) -> Sprite | None:
    """Two thin lines from the place to the edges of the glass that shows it; None when the glass lies on it."""
    away = math.dist(place, at)
    if away <= radius + 6 * unit:
        return None
    turn = math.atan2(at[1] - place[1], at[0] - place[0])
    spread = math.asin(min(1.0, radius / away))
    long = math.sqrt(max(0.0, away * away - radius * radius))
    ends = [
        (place[0] + math.cos(turn + side * spread) * long, place[1] + math.sin(turn + side * spread) * long)
        for side in (1, -1)
    ]
    xs, ys = [place[0], *(x for x, _ in ends)], [place[1], *(y for _, y in ends)]
    box = pygame.Rect(
        math.floor(min(xs)) - 12,
        math.floor(min(ys)) - 12,
        math.ceil(max(xs) - min(xs)) + 24,
        math.ceil(max(ys) - min(ys)) + 24,
    )
    pen = Pen(box, 3)
    for end in ends:
        pen.stroke([place, end], 3.4 * unit, theme["ring-dark"], 0.5)
        pen.stroke([place, end], 1.4 * unit, theme["ring"], 0.85)
    pen.ring(place, 7 * unit, 4.2 * unit, theme["ring-dark"], 0.7)
    pen.ring(place, 7 * unit, 1.8 * unit, theme["ring"])
    return pen.done()

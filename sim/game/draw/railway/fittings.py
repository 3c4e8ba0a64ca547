"""Small metal on the track: solder, tabs, bonds and jumpers, joiners, buffer stops."""

from __future__ import annotations

import math

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, circle, merge, plate, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.railway.track import area_of
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = ["blob", "bond_wire", "buffer_stop", "joiner", "tab"]


@kept
def blob(x: float, y: float, radius: float, theme: Theme) -> Sprite:
    """A blob of solder."""
    area = pygame.Rect(
        math.floor(x - radius - 3), math.floor(y - radius - 3), math.ceil(2 * radius + 6), math.ceil(2 * radius + 6)
    )
    pen = Pen(area, 4)
    base = theme["solder"]
    pen.disc((x, y), radius, mix(base, (0, 0, 0), 0.55))
    pen.disc((x, y), radius * 0.86, mix(base, (0, 0, 0), 0.12))
    pen.disc((x - radius * 0.16, y - radius * 0.18), radius * 0.6, base)
    pen.disc((x - radius * 0.28, y - radius * 0.3), radius * 0.26, (255, 255, 255))
    return pen.done()


@kept
def tab(x: float, y: float, unit: float, theme: Theme, soldered: bool, px: float) -> Sprite:
    """A copper tab at a rail, with solder on it when a wire is there."""
    wide, high = max(12.0 * unit, 3.6 * px), max(8.0 * unit, 2.6 * px)
    area = pygame.Rect(math.floor(x - wide), math.floor(y - wide), math.ceil(2 * wide), math.ceil(2 * wide))
    pen = Pen(area, 4)
    copper, dark = theme["copper"], theme["copper-dark"]
    rim = 1.1 * unit
    for inset, colour in ((0.0, dark), (0.7 * rim, theme["copper-lit"]), (1.5 * rim, copper)):
        edge = (x - wide / 2 + inset, y - high / 2 + inset, wide - 2 * inset, high - 2 * inset)
        pen.polygon(rounded(edge, 1.6 * unit), colour)
    part = pen.done()
    if soldered:
        return merge([part, blob(x, y, 4.4 * unit, theme)])
    return part


@kept
def bond_wire(points: tuple[Point, ...], unit: float, theme: Theme, made: bool, dim: bool = False) -> Sprite:
    """A short bare copper wire through the given points (px), soldered at both ends; open: only its cut stumps.

    dim: it lies there, but nobody looks at it
    """
    path = np.array(points)
    pen = Pen(area_of(path, 7 * unit), 4)
    runs = (
        [list(points)]
        if made
        else [list(points[: max(2, len(points) // 3)]), list(points[-max(2, len(points) // 3) :])]
    )
    if dim:
        for run in runs:
            pen.stroke(run, 2.2 * unit, mix(theme["timber"], theme["timber-dark"], 0.75))
            pen.stroke(run, 1.2 * unit, mix(theme["copper"], theme["timber"], 0.62))
        return pen.done()
    for run in runs:
        pen.stroke(run, 3.0 * unit, theme["copper-dark"])
        pen.stroke(run, 2.0 * unit, theme["copper"])
        pen.stroke([(x - 0.3 * unit, y - 0.4 * unit) for x, y in run], 0.7 * unit, theme["copper-lit"])
    for x, y in (points[0], points[-1]):
        pen.polygon(circle((x, y), 2.2 * unit), mix(theme["solder"], (0, 0, 0), 0.5))
        pen.polygon(circle((x - 0.2 * unit, y - 0.2 * unit), 1.7 * unit), theme["tab-lit"])
    return pen.done()


@kept
def joiner(a: Point, b: Point, unit: float, theme: Theme, state: str, px: float) -> Sprite:
    """What holds two rail ends together, from a to b (px): metal, bad (dull), insulated (pale, with a fin)."""
    path = np.array([a, b])
    pen = Pen(area_of(path, 3 * px + 2 * unit), 4)
    colours: dict[str, tuple[Colour, Colour]] = {
        "metal": (theme["rail-under"], theme["nickel-dark"]),
        "bad": (theme["rail-under"], (122, 84, 52)),
        "insulated": ((40, 38, 34), (232, 228, 214)),
    }
    dark, light = colours[state]
    pen.stroke([a, b], max(2.6 * px, 4 * unit), dark)
    pen.stroke([a, b], max(1.9 * px, 2.8 * unit), light)
    if state == "insulated":
        x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        dx, dy = (b[0] - a[0]), (b[1] - a[1])
        length = math.hypot(dx, dy) or 1.0
        nx, ny = -dy / length * 1.9 * px, dx / length * 1.9 * px
        pen.stroke([(x - nx, y - ny), (x + nx, y + ny)], max(0.8 * px, 1.6 * unit), (250, 247, 236))
    return pen.done()


@kept
def buffer_stop(x: float, y: float, heading: float, px: float, unit: float, theme: Theme) -> Sprite:
    """A timber buffer stop; `heading` points out of it, along the track that ends there (screen, y down)."""
    area = pygame.Rect(math.floor(x - 14 * px), math.floor(y - 14 * px), math.ceil(28 * px), math.ceil(28 * px))
    pen = Pen(area, 3)
    c, s = math.cos(heading), math.sin(heading)

    def at(along: float, across: float) -> Point:
        return x + (along * c - across * s) * px, y + (along * s + across * c) * px

    for across in (-8.25, 8.25):
        pen.polygon(plate(at, -7, across - 1.3, 0, across + 1.3), theme["timber-dark"])
    pen.polygon(plate(at, -1.8, -12.5, 1.8, 12.5), theme["timber-dark"])
    pen.polygon(plate(at, -1.4, -12.1, 1.4, 12.1), (150, 52, 40))
    for k in (-9.0, -3.0, 3.0, 9.0):
        pen.polygon(plate(at, -1.4, k - 1.5, 1.4, k + 1.5), (233, 226, 208))
    part = pen.done()
    return merge([shade(part, (3 * unit, 5 * unit), 4 * unit, 0.55 * theme.shadow), part])

"""The clip-on ammeter: a tilted ring with a grip, and its reading on a paper tag that hangs on a thread."""

from __future__ import annotations

import math

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point

__all__ = ["amps_text", "clampmeter", "grip_end", "tag", "tag_size", "thread"]

_LONG, _SHORT = 13.0, 7.8  # half the ring's width across what it goes round, and along it, layout px
_GRIP = 35.0


def amps_text(amps: float | None) -> str:
    """The reading on the tag: "0.42 A", "41 A"; a dash while it hangs loose."""
    if amps is None:
        return "– A"
    return f"{amps:.0f}\u00a0A" if amps >= 9.995 else f"{amps:.2f}\u00a0A"


def grip_end(at: Point, angle: float, unit: float) -> Point:
    """Where the grip ends that points to `angle` (radians, y down) from a ring at a place."""
    reach = (_LONG + _GRIP - 1.5) * unit
    return at[0] + math.cos(angle) * reach, at[1] + math.sin(angle) * reach


@kept
def clampmeter(at: Point, angle: float, half: float, unit: float, theme: Theme) -> Sprite:
    """Ring and grip, the grip pointing to `angle` (radians, y down).

    at: the ring's middle, px; half: half the width of what it goes round, which lies over the ring's far half and under
    its near one; 0 for nothing
    """
    ux, uy = math.cos(angle), math.sin(angle)
    # along what it goes round, towards whoever looks: the near half of the ring is on that side
    vx, vy = (-uy, ux) if ux > 0 or (abs(ux) < 1e-6 and uy < 0) else (uy, -ux)

    def place(u: float, v: float) -> Point:
        return at[0] + ux * u * unit + vx * v * unit, at[1] + uy * u * unit + vy * v * unit

    reach = math.ceil((_LONG + _GRIP + 8) * unit)
    pen = Pen(pygame.Rect(round(at[0]) - reach, round(at[1]) - reach, 2 * reach, 2 * reach), 4)
    lit, body = mix(theme["enamel-top"], (255, 255, 255), 0.28), theme["enamel"]
    dark = mix(theme["enamel-foot"], (0, 0, 0), 0.45)
    if sum(theme["enamel"]) > 380:  # pale enamel: the ring must stand out
        lit, body, dark = theme["engraved-quiet"], theme["engraved"], (10, 16, 22)

    def oval(grow: float) -> list[Point]:
        steps = 48
        return [
            place(
                (_LONG + grow) * math.cos(2 * math.pi * k / steps), (_SHORT + grow) * math.sin(2 * math.pi * k / steps)
            )
            for k in range(steps)
        ]

    def band(outer: float, inner: float, colour: tuple[int, int, int]) -> None:
        first, second = oval(outer), oval(inner)
        pen.polygon([*first, first[0], second[0], *reversed(second)], colour)

    band(2.6, -2.6, dark)
    band(1.5, -1.5, lit)
    band(1.2, 0.2, mix(lit, (255, 255, 255), 0.45))
    if half:
        wide = half / unit + 0.6
        gone = [place(-wide, -_SHORT - 4), place(wide, -_SHORT - 4), place(wide, -2.0), place(-wide, -2.0)]
        pygame.draw.polygon(pen.sheet, (0, 0, 0, 0), pen._in(gone))
    grip = [
        place(_LONG - 1, -3.2), place(_LONG + 4, -5.6), place(_LONG + 29, -5.2), place(_LONG + 34, -3.0),
        place(_LONG + 34, 3.0), place(_LONG + 29, 5.2), place(_LONG + 4, 5.6), place(_LONG - 1, 3.2),
    ]  # fmt: skip
    pen.polygon(grip, dark)
    pen.polygon(
        [place(_LONG, -2.2), place(_LONG + 4.4, -4.5), place(_LONG + 28.5, -4.1), place(_LONG + 32.6, -2.3),
         place(_LONG + 32.6, 2.3), place(_LONG + 28.5, 4.1), place(_LONG + 4.4, 4.5), place(_LONG, 2.2)],
        body,
    )  # fmt: skip
    top = -1.0 if vy >= 0 else 1.0
    pen.polygon(
        [place(_LONG + 4.4, 4.3 * top), place(_LONG + 28.5, 3.9 * top), place(_LONG + 29, 1.7 * top),
         place(_LONG + 4.4, 1.9 * top)],
        mix(lit, (255, 255, 255), 0.22), 0.8,
    )  # fmt: skip
    for k in range(3):
        pen.stroke([place(_LONG + 11 + 4.5 * k, -4.2), place(_LONG + 11 + 4.5 * k, 4.2)], 1.5 * unit, dark)
    pen.disc(place(_LONG + 30.6, 0), 1.5 * unit, theme["brass"])
    part = pen.done()
    box = part.surface.get_bounding_rect()
    part = Sprite(part.surface.subsurface(box).copy(), part.x + box.x, part.y + box.y)
    return merge([shade(part, (3 * unit, 5 * unit), 4 * unit, 0.5 * theme.shadow), part])


@kept
def thread(a: Point, b: Point, unit: float, theme: Theme) -> Sprite:
    """The thread from the grip to the tag's hole, hanging through a little."""
    sag = 0.16 * math.dist(a, b)
    path = [
        (
            a[0] + (b[0] - a[0]) * k / 10,
            a[1] + (b[1] - a[1]) * k / 10 + sag * 4 * (k / 10) * (1 - k / 10),
        )
        for k in range(11)
    ]
    left, top = min(x for x, _ in path) - 4, min(y for _, y in path) - 4
    wide, high = max(x for x, _ in path) - left + 8, max(y for _, y in path) - top + 8
    pen = Pen(pygame.Rect(math.floor(left), math.floor(top), math.ceil(wide), math.ceil(high)), 4)
    pen.stroke(path, 2.6 * unit, theme["cord-dark"])
    pen.stroke(path, 1.4 * unit, theme["cord"])
    return pen.done()


def tag_size(kind: Type) -> tuple[int, int]:
    """Width and height of the tag: room for the longest reading."""
    return round(kind.width("00.00\u00a0A", "reading-small") + 34 * kind.scale), round(
        max(26 * kind.scale, kind.height("reading-small") + 8 * kind.scale)
    )


@kept
def tag(box: Box, hole_left: bool, text: str, unit: float, theme: Theme) -> Sprite:
    """The paper tag with its reading; its hole is in its pointed end, at the left or the right."""
    x, y, w, h = box
    cut = 9 * unit
    shape = [(x, y), (x + w - cut, y), (x + w, y + h * 0.3), (x + w, y + h * 0.7), (x + w - cut, y + h), (x, y + h)]
    if hole_left:
        shape = [(2 * x + w - px, py) for px, py in shape]
    pen = Pen(pygame.Rect(x - 2, y - 2, w + 4, h + 4), 4)
    pen.polygon(shape, mix(theme["ink-second"], theme["paper"], 0.2))
    middle = (x + w / 2, y + h / 2)
    shrink = [(px + (middle[0] - px) * 2.2 * unit / w, py + (middle[1] - py) * 2.2 * unit / h) for px, py in shape]
    pen.polygon(shrink, theme["paper"])
    hole = (x + 8 * unit if hole_left else x + w - 8 * unit, y + h / 2)
    pen.ring(hole, 3.0 * unit, 1.6 * unit, theme["brass-dark"])
    pen.disc(hole, 2.0 * unit, theme["ink"])
    part = pen.done()
    kind = Type(theme, unit)
    label = kind.line(text, "reading-small", theme["ink"])
    room = w - 20 * unit
    left = x + (16 * unit if hole_left else 4 * unit) + (room - label.get_width()) / 2
    lay(part.surface, label, (left - part.x, y + (h - label.get_height()) / 2 - part.y))
    return merge([shade(part, (2 * unit, 4 * unit), 4 * unit, 0.45 * theme.shadow), part])

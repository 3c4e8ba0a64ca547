"""The small tags that say which side a rail is on: A on amber, B on ticked violet, a dash in a hollow outline, both."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.ink import Pen, lay, rounded
from sim.game.draw.pen.kept import kept
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["side_tag"]


def side_tag(side: str, unit: float, theme: Theme, size_px: float = 0.0) -> pygame.Surface:
    """The tag for "A", "B", "none" or "both", its side `size_px` layout pixels (0: the theme's own size)."""
    return _sized(side, unit, theme, float(size_px or theme.tag_px))


@kept
def _sized(side: str, unit: float, theme: Theme, size_px: float) -> pygame.Surface:
    size = size_px * unit
    edge = round(size + 2 * unit)
    pen = Pen(pygame.Rect(0, 0, edge, edge), 4)
    at = (edge - size) / 2
    square = (at, at, size, size)
    radius = 4 * unit
    if side == "none":
        return _unfed(pen, edge, size, unit, theme)
    dark = theme["side-a-letter"] if side == "A" else theme["side-b-edge"] if side == "B" else theme["ring-dark"]
    pen.polygon(rounded((0, 0, edge, edge), radius + 0.6 * unit), dark)
    kind = Type(theme, unit)
    letter, colour = "", dark
    if side == "A":
        pen.wash(
            rounded((at + 0.4, at + 0.4, size - 0.8, size - 0.8), radius),
            (theme["side-a-light"], theme["side-a"], theme["side-a"]),
        )
        letter = "A"
    elif side == "B":
        pen.polygon(rounded((at + 0.4, at + 0.4, size - 0.8, size - 0.8), radius), theme["side-b"])
        for share in (0.27, 0.73):
            x = at + size * share
            for top in (at, at + size - 4.2 * unit):
                pen.span(x - 0.8 * unit, top, x + 0.8 * unit, top + 4.2 * unit, theme["side-b-tick"])
        letter, colour = "B", theme["side-b-letter"]
    else:
        pen.polygon(rounded(square, radius), theme["glow-wide"])
        mid = edge / 2
        zig = [
            (at + 3 * unit, mid),
            (at + size * 0.36, mid - 4 * unit),
            (at + size * 0.62, mid + 4 * unit),
            (at + size - 3 * unit, mid),
        ]
        pen.stroke(zig, 2.4 * unit, theme["short-core"])
    surface = pen.done().surface
    if letter:
        label = kind.line(letter, "tag", colour)
        trim = label.get_bounding_rect()
        lay(surface, label, ((edge - trim.width) / 2 - trim.x, (edge - trim.height) / 2 - trim.y))
    return surface


_SMALLER = 0.8


def _unfed(pen: Pen, edge: int, size: float, unit: float, theme: Theme) -> pygame.Surface:
    """A tag without a side: smaller than those with one, a dash in an outline, so that the track stays what is seen."""
    small = size * _SMALLER
    at = (edge - small) / 2
    square = (at, at, small, small)
    pen.polygon(rounded(square, 3.4 * unit), theme["tag-none-inside"], 0.92)
    pen.frame(square, 3.4 * unit, 1.4 * unit, theme["tag-none-line"])
    dash = small * 0.2
    pen.polygon(rounded((edge / 2 - dash, edge / 2 - 1.0 * unit, 2 * dash, 2.0 * unit), unit), theme["tag-none-line"])
    return pen.done().surface

"""The program's emblem: two rails, one amber and one violet, that cross at a frog, on a piece of the green mat."""

from __future__ import annotations

import math

import pygame

from sim.game.draw.pen.ink import Pen, blank, rounded
from sim.game.look.theme import Colour
from sim.game.paper.view import Point

__all__ = ["emblem"]

# Of its own, as it lies on any desktop and follows no theme of the window.
_MAT: Colour = (20, 62, 50)
_MAT_LIT: Colour = (32, 88, 70)
_EDGE: Colour = (8, 26, 22)
_AMBER: Colour = (255, 178, 46)
_VIOLET: Colour = (160, 122, 255)
_FROG: Colour = (240, 236, 222)
_SLEEPER: Colour = (96, 66, 42)
_DETAILED = 40  # px from which on sleepers are drawn: on fewer they only blur the rails


def emblem(size: int) -> pygame.Surface:
    """A square picture of `size` px a side with an alpha of its own, not premultiplied; 16 px and more read well."""
    fine = 8 if size < 64 else 4
    pen = Pen(pygame.Rect(0, 0, size, size), fine)
    s = float(size)
    rim = max(0.5, s / 48)
    pen.polygon(rounded((0, 0, s, s), 0.2 * s), _EDGE)
    pen.wash(rounded((rim, rim, s - 2 * rim, s - 2 * rim), 0.2 * s - rim), (_MAT_LIT, _MAT))
    detailed = size >= _DETAILED
    width = s * (0.13 if detailed else 0.17)
    slot = s * (0.05 if detailed else 0.07)
    nose, middle, slope = 0.43 * s, 0.5 * s, math.tan(math.radians(30))

    def along(x: float, sign: float) -> Point:
        return x, middle + sign * slope * (x - nose)

    if detailed:
        for k in range(4):
            x = s * (0.14 + 0.24 * k)
            pen.polygon(rounded((x - 0.05 * s, 0.1 * s, 0.1 * s, 0.8 * s), 0.02 * s), _SLEEPER)
    near, back = nose - 0.6 * width - slot, nose + 0.3 * s
    for sign, colour in ((1.0, _AMBER), (-1.0, _VIOLET)):
        for run in ([along(-0.1 * s, sign), along(near, sign)], [along(back + slot, sign), along(1.1 * s, sign)]):
            pen.stroke(run, width + 2 * rim, _EDGE)
            pen.stroke(run, width, colour)
    for grow, colour in ((2 * rim, _EDGE), (0.0, _FROG)):
        for sign in (1.0, -1.0):
            pen.stroke([along(nose - 0.25 * width, sign), along(back, sign)], width + grow, colour)
        tip = (nose - 0.9 * width - grow / 2, middle)
        pen.polygon([tip, along(nose + width, 1.0), along(nose + width, -1.0)], colour)
    _trim(pen.sheet, 0.2 * s * fine)
    return _plain(pen.done().surface)


def _trim(sheet: pygame.Surface, radius: float) -> None:
    """Take away what reaches beyond the tile's round corners."""
    mask = blank(*sheet.get_size())
    width, height = sheet.get_size()
    pygame.draw.polygon(mask, (255, 255, 255, 255), rounded((0, 0, width, height), radius))
    sheet.blit(mask, (0, 0), special_flags=pygame.BLEND_RGBA_MULT)


def _plain(premultiplied: pygame.Surface) -> pygame.Surface:
    """The same picture with red, green and blue as they are without their alpha, which is what a desktop wants."""
    out = blank(*premultiplied.get_size())
    alpha = pygame.surfarray.array_alpha(premultiplied)
    colours = pygame.surfarray.array3d(premultiplied).astype(float)
    share = (alpha.astype(float) / 255)[:, :, None]
    colours = (colours / share.clip(1 / 255)).clip(0, 255)
    pixels = pygame.surfarray.pixels3d(out)
    pixels[...] = colours.round().astype("uint8")
    del pixels
    alphas = pygame.surfarray.pixels_alpha(out)
    alphas[...] = alpha
    del alphas
    return out

"""What the instruments are made of: enamelled panels, brass screws, engraved words, wells and rockers."""

from __future__ import annotations

import math

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, blank, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = ["NO_BOX", "Box", "box_of", "dim", "panel", "put", "rocker", "screw", "well"]

Box = tuple[int, int, int, int]
NO_BOX: Box = (0, 0, 0, 0)


def box_of(rect: pygame.Rect) -> Box:
    """A rectangle as a value, for what keeps its drawings."""
    return rect.x, rect.y, rect.width, rect.height


def put(
    target: pygame.Surface, at: Point, text: str, role: str, colour: Colour, kind: Type, anchor: str = "left"
) -> int:
    """Write one line with its upper left (or upper middle, or upper right) corner at a place; gives its width."""
    label = kind.line(text, role, colour)
    shift = {"left": 0.0, "middle": 0.5, "right": 1.0}[anchor]
    lay(target, label, (at[0] - label.get_width() * shift, at[1]))
    return label.get_width()


@kept
def screw(radius: float, angle: float, theme: Theme, dark: bool = False) -> pygame.Surface:
    """A brass screw from above, its slot turned by `angle` (radians), in a square surface with a 2 px rim."""
    size = math.ceil(radius * 2 + 4)
    centre = (size / 2, size / 2)
    pen = Pen(pygame.Rect(0, 0, size, size), 4)
    brass, lit, deep = theme["brass"], theme["brass-lit"], theme["brass-dark"]
    pen.disc(centre, radius + 1.1, mix(deep, (0, 0, 0), 0.55))
    pen.disc(centre, radius, deep)
    pen.disc((centre[0] - radius * 0.04, centre[1] - radius * 0.05), radius * 0.9, mix(brass, deep, 0.3))
    for k in range(7):
        share = k / 6
        r = radius * (0.86 - 0.5 * share)
        shift = radius * 0.2 * share
        pen.disc((centre[0] - shift, centre[1] - shift), r, mix(brass, lit, 0.9 * share * share))
    dx, dy = math.cos(angle) * radius * 0.76, math.sin(angle) * radius * 0.76
    nx, ny = -math.sin(angle), math.cos(angle)
    slot = [(centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy)]
    lower = [(x + nx * 0.12 * radius + 0.05 * radius, y + ny * 0.12 * radius + 0.08 * radius) for x, y in slot]
    pen.stroke(lower, radius * 0.2, lit, 0.7)
    pen.stroke(slot, max(1.3, radius * 0.23), mix(deep, (0, 0, 0), 0.5 if not dark else 0.7))
    return pen.done().surface


def put_screw(target: pygame.Surface, centre: Point, radius: float, angle: float, theme: Theme) -> None:
    """Set a screw with its middle at a place."""
    sprite = screw(round(radius, 2), round(angle, 2), theme)
    lay(target, sprite, (centre[0] - sprite.get_width() / 2, centre[1] - sprite.get_height() / 2))


def well(
    pen: Pen, rect: tuple[float, float, float, float], radius: float, unit: float, colours: tuple[Colour, ...]
) -> None:
    """A sunk place with a dark rim and a lit lower lip."""
    x, y, w, h = rect
    pen.polygon(
        rounded((x - 1.2 * unit, y - 1.2 * unit, w + 2.4 * unit, h + 3.0 * unit), radius + 1.2 * unit),
        (190, 205, 215),
        0.16,
    )
    pen.polygon(
        rounded((x - 1.4 * unit, y - 1.4 * unit, w + 2.8 * unit, h + 2.8 * unit), radius + 1.4 * unit), (6, 9, 12)
    )
    pen.wash(rounded(rect, radius), colours)


def gloss(pen: Pen, rect: tuple[float, float, float, float], radius: float, strength: float) -> None:
    """The lamp's slanting reflection over the left part of something shiny."""
    x, y, w, h = rect
    top, foot = x + w * 0.53, x + w * 0.27
    inner = rounded((x, y, w, h), radius)
    cut = [(min(px, top + (foot - top) * (py - y) / h), py) for px, py in inner]
    pen.polygon(cut, (255, 255, 255), strength)


@kept
def panel(box: Box, unit: float, theme: Theme, title: str, aside: str = "") -> Sprite:
    """An enamelled panel with its shadow, two screws, an engraved title and a reading at the right of it."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    x, y, w, h = rect.x, rect.y, rect.width, rect.height
    pen = Pen(rect, 3)
    radius = 10 * unit
    dark = mix(theme["enamel-foot"], (0, 0, 0), 0.45)
    pen.polygon(rounded((x, y, w, h), radius), dark)
    body = (x + 1 * unit, y + 1 * unit, w - 2 * unit, h - 2.5 * unit)
    top, mid, foot = theme["enamel-top"], theme["enamel"], theme["enamel-foot"]
    pen.wash(rounded(body, radius - 1), (top, mix(top, mid, 0.7), mid, mid, mix(mid, foot, 0.5), foot))
    gloss(pen, body, radius - 1, 0.045)
    pen.frame((x + 1 * unit, y + 1 * unit, w - 2 * unit, h - 2 * unit), radius - 1, 1.1 * unit, (215, 228, 236), 0.16)
    pen.frame((x + 6 * unit, y + 6 * unit, w - 12 * unit, h - 12 * unit), 6 * unit, 1.1 * unit, (220, 230, 236), 0.2)
    for k, (side, share) in enumerate(((1, 0.23), (1, 0.74), (0, 0.58))):
        chip = (x + (w - 1.4 * unit if side else 1.4 * unit), y + h * share)
        pen.disc(chip, (1.5 + 0.4 * k) * unit, theme["chip"])
    part = pen.done()
    put_screw(part.surface, (15 * unit, 15 * unit), 4.6 * unit, 0.6, theme)
    put_screw(part.surface, (w - 15 * unit, 15 * unit), 4.6 * unit, -0.75, theme)
    foot_y = 13 * unit
    label = kind.line(title.upper(), "engraved", theme["engraved-under"])
    lay(part.surface, label, (32 * unit, foot_y - max(1, round(unit))))
    put(part.surface, (32 * unit, foot_y), title.upper(), "engraved", theme["engraved"], kind)
    if aside:
        width = kind.width(aside, "reading-small")
        put(
            part.surface,
            (w - 26 * unit - width, foot_y - 2 * unit),
            aside,
            "reading-small",
            mix(theme["engraved"], mid, 0.1),
            kind,
        )
    shadow = shade(part, (4 * unit, 7 * unit), 7 * unit, 0.62 * theme.shadow)
    return merge([shadow, part])


def rocker(
    pen: Pen, rect: tuple[float, float, float, float], down: str, unit: float, face: Colour, sunk: Colour
) -> None:
    """A rocker in its well; `down` ("upper", "lower", "left", "right") names the half that is pressed in, in shadow."""
    x, y, w, h = rect
    well(pen, rect, 5 * unit, unit, ((4, 6, 8), (10, 13, 15)))
    m = 2.4 * unit
    upright = down in {"upper", "lower"}
    halves = (
        ((x + m, y + m, w - 2 * m, h / 2 - m), (x + m, y + h / 2, w - 2 * m, h / 2 - m))
        if upright
        else ((x + m, y + m, w / 2 - m, h - 2 * m), (x + w / 2, y + m, w / 2 - m, h - 2 * m))
    )
    pressed = 0 if down in {"upper", "left"} else 1
    for k, half in enumerate(halves):
        if k == pressed:
            pen.wash(
                rounded(half, 3 * unit),
                (mix(sunk, (0, 0, 0), 0.25), sunk) if upright else (sunk, mix(sunk, (0, 0, 0), 0.2)),
            )
        else:
            pen.wash(rounded(half, 3 * unit), (mix(face, (255, 255, 255), 0.28), face, mix(face, (60, 50, 40), 0.22)))
            hx, hy, hw, _ = half
            pen.span(hx + 2 * unit, hy, hx + hw - 2 * unit, hy + 1.3 * unit, (255, 255, 255), 0.75)


def dim(sprite: Sprite, keep: float, grey: float) -> Sprite:
    """A sprite darkened to `keep` of its brightness and robbed of `grey` of its colour; its alpha stays."""
    surface = sprite.surface.copy()
    if grey > 0:
        plain = pygame.transform.grayscale(surface)
        size = surface.get_size()
        veil = blank(*size)
        surface.fill((round(255 * (1 - grey)),) * 3 + (255,), special_flags=pygame.BLEND_RGBA_MULT)
        plain.fill((round(255 * grey),) * 3 + (0,), special_flags=pygame.BLEND_RGBA_MULT)
        veil.blit(surface, (0, 0), special_flags=pygame.BLEND_RGBA_ADD)
        veil.blit(plain, (0, 0), special_flags=pygame.BLEND_RGBA_ADD)
        surface = veil
    level = round(255 * keep)
    surface.fill((level, level, level, 255), special_flags=pygame.BLEND_RGBA_MULT)
    return Sprite(surface, sprite.x, sprite.y)

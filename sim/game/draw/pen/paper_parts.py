"""Paper: sheets on a clip, slips, tags, buttons, check boxes, pencil marks and speech bubbles."""

from __future__ import annotations

import math

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, blank, blur, lay, merge, noise, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = [
    "arrow_button",
    "bubble",
    "button",
    "check_box",
    "clip",
    "hover_frame",
    "number_ring",
    "paper",
    "pencil_tick",
    "rule_colour",
]


def _texture(width: int, height: int, base: Colour, grain: float, seed: int) -> pygame.Surface:
    """Opaque paper: soft clouds, a fine grain, a little lighter at the upper left."""
    grey = noise(width, height, seed) * 1.1
    small = blur(noise(width // 5 + 2, height // 5 + 2, seed + 1), 2.2) * 9
    cloud = np.kron(small, np.ones((5, 5), dtype=np.float32))[:width, :height]
    x = np.linspace(0, 1, width, dtype=np.float32)[:, None]
    y = np.linspace(0, 1, height, dtype=np.float32)[None, :]
    light = 1.015 - 0.05 * (0.35 * x + 0.65 * y)
    shade_map = light + grain * (0.7 * grey + 0.55 * blur(cloud, 2))
    surface = blank(width, height)
    pixels = pygame.surfarray.pixels3d(surface)
    pixels[...] = np.clip(np.array(base, dtype=np.float32) * shade_map[:, :, None], 0, 255).astype(np.uint8)
    del pixels
    alphas = pygame.surfarray.pixels_alpha(surface)
    alphas[...] = 255
    del alphas
    return surface


def _sheet(box: pygame.Rect, turn: float, colour: Colour, theme: Theme, unit: float, seed: int) -> Sprite:
    """One sheet of paper, turned by `turn` radians about its upper left corner."""
    x, y, w, h = box
    corners = rounded((x, y, w, h), 3 * unit)
    if turn:
        c, s = math.cos(turn), math.sin(turn)
        corners = [(x + (px - x) * c - (py - y) * s, y + (px - x) * s + (py - y) * c) for px, py in corners]
    area = box.inflate(16, 16) if turn else box
    pen = Pen(area, 3)
    pen.polygon(corners, (255, 255, 255))
    mask = pen.done()
    texture = _texture(area.width, area.height, colour, theme.grain * 1.3, seed)
    texture.blit(mask.surface, (0, 0), special_flags=pygame.BLEND_RGBA_MULT)
    return Sprite(texture, area.x, area.y)


@kept
def paper(box: Box, unit: float, theme: Theme, under: bool = True, seed: int = 11) -> Sprite:
    """A sheet with its shadow, a lit upper edge, and the corner of a second sheet under it."""
    rect = pygame.Rect(box)
    top = _sheet(rect, 0.0, theme["paper"], theme, unit, seed)
    edge = Pen(rect, 3)
    x, y, w, h = rect
    edge.span(x + 2 * unit, y, x + w - 2 * unit, y + 1.2 * unit, (255, 255, 255), 0.55)
    foot = y + h
    edge.span(
        x + 2 * unit, foot - 1.4 * unit, x + w - 2 * unit, foot, mix(theme["paper-under"], (60, 40, 10), 0.35), 0.9
    )
    layers: list[Sprite] = []
    if under:
        second = _sheet(
            rect.move(round(1 * unit), 0),
            math.radians(1.1 * 300 / max(300, rect.width / unit)),
            theme["paper-under"],
            theme,
            unit,
            seed + 5,
        )
        layers += [shade(second, (3 * unit, 6 * unit), 8 * unit, 0.6 * theme.shadow), second]
    layers += [shade(top, (2 * unit, 4 * unit), 5 * unit if under else 6 * unit, 0.42 * theme.shadow), top, edge.done()]
    return merge(layers)


@kept
def clip(middle: int, top: int, unit: float, theme: Theme, small: bool = False) -> Sprite:
    """The clip that holds a sheet: a folded steel jaw with two wire loops; `top` is the jaw's upper edge."""
    width, height = (44 * unit, 20 * unit) if small else (80 * unit, 22 * unit)
    area = pygame.Rect(
        round(middle - width / 2 - 4), round(top - 14 * unit), round(width + 8), round(height + 16 * unit)
    )
    pen = Pen(area, 4)
    for side in (-1, 1):
        centre = (middle + side * width * (0.2 if not small else 0.24), top + 1 * unit)
        loop = [
            (centre[0] + 8.4 * unit * math.cos(math.radians(a)), centre[1] + 10 * unit * math.sin(math.radians(a)))
            for a in range(172, 370, 9)
        ]
        pen.stroke([(x + 0.8 * unit, y + 1.0 * unit) for x, y in loop], 2.6 * unit, (20, 18, 16), 0.5)
        pen.stroke(loop, 2.4 * unit, (128, 126, 120))
        pen.stroke([(x - 0.3 * unit, y - 0.4 * unit) for x, y in loop], 1.2 * unit, (246, 243, 232))
    jaw = (middle - width / 2, top, width, height)
    pen.polygon(rounded(jaw, 4 * unit), (8, 9, 11))
    inner = (jaw[0] + unit, jaw[1] + unit, jaw[2] - 2 * unit, jaw[3] - 2 * unit)
    pen.wash(rounded(inner, 3 * unit), ((48, 53, 61), (38, 42, 50), (24, 27, 33), (14, 16, 20)))
    pen.span(
        jaw[0] + 3 * unit, jaw[1] + 1.2 * unit, jaw[0] + width - 3 * unit, jaw[1] + 2.4 * unit, (170, 180, 190), 0.75
    )
    part = pen.done()
    return merge([shade(part, (2 * unit, 6 * unit), 5 * unit, 0.55 * theme.shadow), part])


@kept
def button(box: Box, unit: float, theme: Theme, text: str, look: str = "plain", able: bool = True) -> Sprite:
    """A button: "main" (green, white text), "plain" (an outline on paper) or "chosen" (inked in)."""
    rect = pygame.Rect(box)
    kind = Type(theme, unit)
    x, y, w, h = rect
    pen = Pen(rect, 3)
    radius = 7 * unit
    layers: list[Sprite] = []
    text_colour = theme["ink"]
    if look == "main" and able:
        pen.polygon(rounded((x, y, w, h), radius), mix(theme["button-foot"], (0, 0, 0), 0.45))
        pen.wash(
            rounded((x + unit, y + unit, w - 2 * unit, h - 2 * unit), radius - unit),
            (theme["button-top"], theme["button-foot"]),
        )
        pen.span(x + 5 * unit, y + 1.2 * unit, x + w - 5 * unit, y + 2.4 * unit, (210, 240, 222), 0.55)
        text_colour = theme["button-text"]
    elif look == "chosen":
        pen.polygon(rounded((x, y, w, h), radius), mix(theme["ink"], theme["paper"], 0.06 if able else 0.45))
        text_colour = theme["paper"]
    else:
        line = mix(theme["ink-second"], theme["paper"], 0.0 if able else 0.45)
        pen.polygon(rounded((x, y, w, h), radius), (255, 255, 255), 0.13)
        pen.frame((x, y, w, h), radius, 1.3 * unit, line)
        if not able:
            text_colour = mix(theme["ink-second"], theme["paper"], 0.18)
    part = pen.done()
    if look == "main" and able:
        layers.append(shade(part, (1.5 * unit, 3 * unit), 3 * unit, 0.45 * theme.shadow))
    layers.append(part)
    whole = merge(layers)
    role = "button" if kind.height("button") <= h - 4 * unit else "small-bold"
    label = kind.line(kind.fit(text, role, w - 8 * unit), role, text_colour)
    lay(
        whole.surface,
        label,
        (rect.centerx - label.get_width() / 2 - whole.x, rect.centery - label.get_height() / 2 - 0.5 * unit - whole.y),
    )
    return whole


@kept
def hover_frame(box: Box, radius: float, unit: float, theme: Theme) -> Sprite:
    """The inked edge of a button, or of anything on paper, that the pointer is on."""
    rect = pygame.Rect(box).inflate(round(4 * unit), round(4 * unit))
    pen = Pen(rect, 3)
    pen.frame((rect.x, rect.y, rect.width, rect.height), radius + 2 * unit, 2.4 * unit, theme["ink-green"])
    return pen.done()


@kept
def arrow_button(box: Box, unit: float, theme: Theme, up: bool, able: bool) -> Sprite:
    """A plain button with a roof on it, or an upturned one, that turns a list back or on."""
    part = button(box, unit, theme, "", "plain", able)
    whole = Sprite(part.surface.copy(), part.x, part.y)
    pen = Pen(pygame.Rect(box), 3)
    (cx, cy), turn = pygame.Rect(box).center, -1 if up else 1
    colour = theme["ink"] if able else mix(theme["ink-second"], theme["paper"], 0.45)
    line = [(cx - 6 * unit, cy - 3 * turn * unit), (cx, cy + 3 * turn * unit), (cx + 6 * unit, cy - 3 * turn * unit)]
    pen.stroke(line, 2.2 * unit, colour)
    mark = pen.done()
    lay(whole.surface, mark.surface, (mark.x - whole.x, mark.y - whole.y))
    return whole


def pencil_tick(pen: Pen, x: float, y: float, size: float, colour: Colour, width: float) -> None:
    """A tick by hand: a short stroke down and a long one up, thinner at its end."""
    down = [(x, y + size * 0.55), (x + size * 0.13, y + size * 0.78), (x + size * 0.28, y + size * 0.96)]
    up = [
        (x + size * 0.28, y + size * 0.96),
        (x + size * 0.44, y + size * 0.6),
        (x + size * 0.66, y + size * 0.28),
        (x + size * 0.94, y),
    ]
    pen.stroke(down, width * 1.1, colour)
    pen.stroke(up, width, colour)
    for point, share in ((down[0], 1.1), (down[-1], 1.12), (up[-1], 0.9), (down[1], 1.1)):
        pen.disc(point, width * share / 2, colour)


@kept
def check_box(size: int, unit: float, theme: Theme, done: bool) -> pygame.Surface:
    """A drawn box, ticked or not, in a surface half as large again (the tick reaches out of the box)."""
    reach = round(size * 1.5)
    pen = Pen(pygame.Rect(0, 0, reach, reach), 4)
    y = reach - size - 1
    pen.frame((1, y, size, size), 3 * unit, 1.6 * unit, theme["ink-second"])
    if done:
        pencil_tick(pen, 2.5 * unit, y - size * 0.34, size * 1.28, theme["ink-green"], 3.0 * unit)
    return pen.done().surface


@kept
def number_ring(number: int, unit: float, theme: Theme, role: str) -> pygame.Surface:
    """A number ringed by hand in pencil; `role` is the colour's role."""
    size = round(24 * unit)
    pen = Pen(pygame.Rect(0, 0, size, size), 4)
    colour = theme[role]
    loop = []
    for k in range(49):
        angle = math.radians(-70 + 372 * k / 48)
        radius = (9.6 + 0.7 * math.sin(angle * 2 + 0.6)) * unit
        loop.append((size / 2 + radius * math.cos(angle), size / 2 + radius * math.sin(angle)))
    pen.stroke(loop, 2.0 * unit, colour)
    sprite = pen.done().surface
    kind = Type(theme, unit)
    label = kind.line(str(number), "small-bold", colour)
    lay(sprite, label, ((size - label.get_width()) / 2, (size - label.get_height()) / 2 - 0.5 * unit))
    return sprite


def rule_colour(theme: Theme) -> Colour:
    """The colour of a pencilled line."""
    return mix(theme["paper"], theme["ink-second"], 0.42)


@kept
def bubble(tip: tuple[int, int], box: Box, unit: float, theme: Theme, lines: tuple[str, ...]) -> Sprite:
    """A paper label with a beak that points at `tip`; up to a few lines of text."""
    rect = pygame.Rect(box)
    kind = Type(theme, unit)
    x, y, w, h = rect
    area = rect.union(pygame.Rect(tip[0] - 2, tip[1] - 2, 4, 4)).inflate(4, 4)
    pen = Pen(area, 3)
    fill = theme["label-paper"]
    cx, cy = rect.center
    dx, dy = tip[0] - cx, tip[1] - cy
    half = 9 * unit
    if abs(dx) / w > abs(dy) / h:
        edge = x + unit if dx < 0 else x + w - unit
        base = min(max(tip[1], y + half + 5 * unit), y + h - half - 5 * unit)
        beak: list[Point] = [(edge, base - half), (edge, base + half), (float(tip[0]), float(tip[1]))]
    else:
        edge = y + unit if dy < 0 else y + h - unit
        base = min(max(tip[0], x + half + 5 * unit), x + w - half - 5 * unit)
        beak = [(base - half, edge), (base + half, edge), (float(tip[0]), float(tip[1]))]
    pen.polygon(beak, fill)
    pen.polygon(rounded((x, y, w, h), 5 * unit), fill)
    part = pen.done()
    whole = merge([shade(part, (3 * unit, 5 * unit), 5 * unit, 0.55 * theme.shadow), part])
    left = 11 * unit
    step = kind.height("body") - 1
    top = rect.centery - step * len(lines) / 2
    for k, text in enumerate(lines):
        lay(whole.surface, kind.line(text, "body", theme["ink"]), (x + left - whole.x, top + k * step - whole.y))
    return whole

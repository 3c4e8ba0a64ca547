"""What else is screwed to the mat for wires to end on: bus bars, lamps in line, automatic polarity units."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put, put_screw
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway.block import black_case, screw_angle
from sim.game.draw.railway.plywood import INK
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point

__all__ = ["bar", "lamp_box", "polarity_box", "small_bar"]


@kept
def bar(
    box: Box, unit: float, theme: Theme, side: str, xs: tuple[float, ...], name: str, turned: bool = False
) -> Sprite:
    """A bus bar: a brass strip with screws in a dark holder, the side's tag at its left, a name under it.

    turned: seen from below, its tag at its right.
    """
    rect = pygame.Rect(box)
    part = black_case(rect, unit, theme, 6 * unit)
    pen = Pen(rect, 3)
    brass, lit, dark = theme["brass"], theme["brass-lit"], theme["brass-dark"]
    left, right = xs[0] - (12 if turned else 22) * unit, xs[-1] + (22 if turned else 12) * unit
    strip = (left, rect.y + 9 * unit, right - left, 24 * unit)
    pen.polygon(
        rounded((strip[0] - unit, strip[1] - unit, strip[2] + 2 * unit, strip[3] + 2.4 * unit), 3 * unit), (10, 8, 6)
    )
    pen.wash(
        rounded(strip, 2.4 * unit),
        (mix(lit, brass, 0.35), brass, mix(brass, dark, 0.25), mix(brass, dark, 0.55), mix(brass, dark, 0.2)),
    )
    pen.span(strip[0] + 2 * unit, strip[1] + 0.6 * unit, right - 2 * unit, strip[1] + 2 * unit, (255, 250, 225), 0.8)
    whole = merge([shade(part, (3 * unit, 5.5 * unit), 5 * unit, 0.6 * theme.shadow), part, pen.done()])
    mark = side_tag(side, unit, theme)
    tag = rect.right - 16 * unit if turned else rect.x + 16 * unit
    lay(
        whole.surface,
        mark,
        (tag - mark.get_width() / 2 - whole.x, rect.y + 21 * unit - mark.get_height() / 2 - whole.y),
    )
    for k, x in enumerate(xs):
        put_screw(
            whole.surface,
            (x - whole.x, rect.y + 21 * unit - whole.y),
            10.8 * unit,
            screw_angle(f"{name}{side}{k}"),
            theme,
        )
    if name:
        kind = Type(theme, unit)
        put(
            whole.surface,
            (
                left - whole.x,
                rect.bottom + 2 * unit - whole.y if rect.height < 50 * unit else rect.bottom - 17 * unit - whole.y,
            ),
            name,
            "small",
            INK if turned else mix(theme["block"], theme["housing"], 0.15),
            kind,
        )
    return whole


@kept
def lamp_box(box: Box, unit: float, theme: Theme, name: str, words: str, xs: tuple[float, float], glow: int) -> Sprite:
    """A lamp in line on a wooden foot with two screws; `glow` 0..10 is how bright it burns."""
    rect = pygame.Rect(box)
    part = black_case(rect, unit, theme, 7 * unit)
    pen = Pen(rect.inflate(round(30 * unit), round(30 * unit)), 3)
    cx, cy = rect.centerx, rect.y + 46 * unit
    heat = glow / 10
    for k in range(8):
        pen.disc((cx, cy), (30 - 2.0 * k) * unit, (255, 190, 90), 0.05 * heat)
    pen.disc((cx, cy), 19 * unit, (20, 17, 14))
    pen.disc((cx, cy), 17 * unit, mix(theme["brass"], theme["brass-dark"], 0.3))
    pen.disc((cx, cy), 14.5 * unit, mix((52, 54, 54), (255, 214, 130), heat))
    pen.disc((cx - 3 * unit, cy - 4 * unit), 8 * unit, mix((84, 88, 90), (255, 236, 180), heat))
    filament: list[Point] = [(cx - 8 * unit + k * 2 * unit, cy + (2 if k % 2 else -2) * unit) for k in range(9)]
    pen.stroke(filament, 1.4 * unit, mix((150, 130, 110), (255, 252, 235), heat))
    whole = merge([shade(part, (3 * unit, 5.5 * unit), 5 * unit, 0.6 * theme.shadow), part, pen.done()])
    for k, x in enumerate(xs):
        put_screw(
            whole.surface,
            (x - whole.x, rect.bottom - 15 * unit - whole.y),
            10.4 * unit,
            screw_angle(f"{name}{k}"),
            theme,
        )
    kind = Type(theme, unit)
    at = (rect.centerx - whole.x, rect.y + 4 * unit - whole.y)
    both, room = f"{name}  {words}", rect.width - 8 * unit
    label = both if kind.width(both, "small") <= room else kind.fit(name, "small", room)
    put(whole.surface, at, label, "small", mix(theme["block"], theme["housing"], 0.15), kind, "middle")
    return whole


@kept
def polarity_box(
    box: Box, unit: float, theme: Theme, name: str, xs: tuple[float, ...], letters: tuple[str, ...], turned: bool
) -> Sprite:
    """An automatic polarity unit: a sealed box with three screws, and a small window that shows which way it lies."""
    rect = pygame.Rect(box)
    part = black_case(rect, unit, theme, 7 * unit)
    pen = Pen(rect, 3)
    pen.wash(
        rounded((rect.x + 10 * unit, rect.y + 9 * unit, rect.width - 20 * unit, 26 * unit), 4 * unit),
        (mix(theme["enamel-top"], (0, 0, 0), 0.1), theme["enamel-foot"]),
    )
    x = rect.right - 40 * unit + (12 * unit if turned else 0)
    pen.polygon(rounded((rect.right - 43 * unit, rect.y + 15 * unit, 28 * unit, 14 * unit), 4 * unit), (8, 8, 8))
    pen.polygon(
        rounded((x, rect.y + 17 * unit, 10 * unit, 10 * unit), 3 * unit), theme["side-b"] if turned else theme["side-a"]
    )
    whole = merge([shade(part, (3 * unit, 5.5 * unit), 5 * unit, 0.6 * theme.shadow), part, pen.done()])
    kind = Type(theme, unit)
    put(
        whole.surface,
        (rect.x + 18 * unit - whole.x, rect.y + 12 * unit - whole.y),
        kind.fit(f"Unit {name}", "mark-bold", rect.width - 68 * unit),
        "mark-bold",
        theme["engraved"],
        kind,
    )
    for px, letter in zip(xs, letters, strict=True):
        put_screw(
            whole.surface,
            (px - whole.x, rect.bottom - 15 * unit - whole.y),
            10.4 * unit,
            screw_angle(f"{name}.{letter}"),
            theme,
        )
        put(
            whole.surface,
            (px - whole.x, rect.bottom - 46 * unit - whole.y),
            letter,
            "small-bold",
            theme["block"],
            kind,
            "middle",
        )
    return whole


@kept
def small_bar(box: Box, unit: float, theme: Theme, xs: tuple[float, ...]) -> Sprite:
    """A bus bar, lamp or polarity unit seen from afar: its box and its screws."""
    rect = pygame.Rect(box)
    pen = Pen(rect.inflate(2, 2), 4)
    pen.polygon(rounded((rect.x, rect.y, rect.width, rect.height), 6 * unit), theme["housing"])
    for x in xs:
        pen.disc((x, rect.y + rect.height / 2), 10.8 * unit, theme["brass"])
    part = pen.done()
    return merge([shade(part, (2, 3), 2, 0.5 * theme.shadow), part])

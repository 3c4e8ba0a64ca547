"""Track and wheels looked at closely: rails as broad as they are, slots as wide as they are, treads and flanges apart.

Everything is drawn anew from its shape at the larger scale.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from sim.game.draw.pen.ink import Pen
from sim.game.draw.railway.track import Tube, zigzag
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.plan import Sleeper
from sim.game.paper.railviews import RailView
from sim.game.paper.view import Point, World

__all__ = ["WheelBoxes", "near_rail", "near_sleeper", "near_solder", "near_wheel", "outline"]

_FOOT_MM = 0.42
_CORE_MM = 0.2
_TICK_EVERY_MM = 3.1


def near_sleeper(pen: Pen, sleeper: Sleeper, wide_mm: float, world: World, theme: Theme, number: int) -> None:
    """A sleeper: timber with its grain and a lit upper edge."""
    (ax, ay), (bx, by) = world.to_screen(sleeper.a), world.to_screen(sleeper.b)
    length = math.hypot(bx - ax, by - ay) or 1.0
    nx, ny = -(by - ay) / length * wide_mm * world.scale / 2, (bx - ax) / length * wide_mm * world.scale / 2
    if nx < 0:
        nx, ny = -nx, -ny

    def strip(low: float, high: float) -> list[Point]:
        return [
            (ax + nx * low, ay + ny * low), (bx + nx * low, by + ny * low),
            (bx + nx * high, by + ny * high), (ax + nx * high, ay + ny * high),
        ]  # fmt: skip

    tone = theme["timber"] if number % 2 else theme["timber-two"]
    pen.polygon(strip(-1.12, 1.12), theme["timber-dark"])
    pen.polygon(strip(-1, 1), tone)
    pen.polygon(strip(-1, -0.86), theme["timber-lit"])
    for k, share in enumerate((-0.5, -0.12, 0.3, 0.66)):
        pen.polygon(strip(share, share + 0.05 + 0.02 * ((k + number) % 3)), mix(tone, theme["timber-dark"], 0.45))


def near_rail(pen: Pen, view: RailView, world: World, unit: float, theme: Theme, side: str) -> None:
    """A rail on the side "A", "B", "none" or "both", or bare ("")."""
    tube = Tube(view, world)
    px = world.scale
    pen.polygon(tube.outline(_FOOT_MM * px, 0), theme["rail-foot"])
    pen.polygon(tube.outline(_FOOT_MM * 0.4 * px, 0), theme["rail-under"])
    if not view.metal:
        pen.polygon(tube.outline(0, 0), (78, 76, 72))
        return
    if view.part == "check":
        pen.polygon(tube.outline(0, 0), mix(theme["nickel-dark"], theme["nickel"], 0.25))
        return
    if side == "none":
        pen.polygon(tube.outline(0, 0), theme["none-line"])
        pen.polygon(tube.outline(-_CORE_MM * 0.8 * px, -_CORE_MM * px), theme["none-inside"])
        return
    pen.polygon(tube.outline(0, 0), theme["nickel"])
    pen.polygon(tube.strip(0, 0.1 * px, False), theme["nickel-dark"])
    pen.polygon(tube.strip(0, 0.1 * px, True), theme["nickel-lit"])
    core = tube.outline(-_CORE_MM * px, -_CORE_MM * px)
    if side == "":
        return
    if side == "A":
        pen.polygon(core, theme["side-a"])
        pen.polygon(tube.strip(-_CORE_MM * px, 0.36 * px, True), theme["side-a-light"])
    elif side == "B":
        pen.polygon(core, theme["side-b"])
        _ticks(pen, tube, theme, px)
    else:
        pen.polygon(core, theme["glow-wide"])
        zigzag(pen, tube.middle, unit, theme, max(1.5 * unit, float(tube.half.mean()) * 0.6))


def _ticks(pen: Pen, tube: Tube, theme: Theme, px: float) -> None:
    """Cross ticks every 3.1 mm of the rail."""
    steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(tube.middle, axis=0).T))])
    at = np.arange(0.5 * _TICK_EVERY_MM * px, steps[-1], _TICK_EVERY_MM * px)
    xs, ys = (np.interp(at, steps, tube.middle[:, k]) for k in (0, 1))
    nx, ny = (np.interp(at, steps, tube.normal[:, k]) for k in (0, 1))
    half = np.interp(at, steps, tube.half)
    wide = 0.34 * px / 2
    for x, y, a, b, h in zip(xs.tolist(), ys.tolist(), nx.tolist(), ny.tolist(), half.tolist(), strict=True):
        reach = h + 0.12 * px
        corners = ((reach, wide), (reach, -wide), (-reach, -wide), (-reach, wide))
        pen.polygon([(x + a * u + b * v, y + b * u - a * v) for u, v in corners], theme["side-b-tick"])


def near_solder(pen: Pen, at: Point, bearing: float, gap_mm: float, head_mm: float, px: float, theme: Theme) -> None:
    """Solder in a slot that is bridged: a blob from rail end to rail end, a little over the heads."""
    c, s = math.cos(bearing), math.sin(bearing)
    a, b = (gap_mm / 2 + 0.55) * px, (head_mm / 2 + 0.32) * px

    def oval(share: float, up: float = 0.0) -> list[Point]:
        points = []
        for k in range(28):
            u, v = share * a * math.cos(2 * math.pi * k / 28), share * b * math.sin(2 * math.pi * k / 28)
            points.append((at[0] + u * c - v * s, at[1] + u * s + v * c - up))
        return points

    pen.polygon(oval(1.08), mix(theme["solder"], (0, 0, 0), 0.6))
    pen.polygon(oval(1.0), theme["solder"])
    pen.polygon(oval(0.5, 0.14 * px), mix(theme["solder"], (255, 255, 255), 0.6))


class WheelBoxes:
    """A wheel seen from above, in px: corners of its tread, of its flange, and of what of it can touch a rail."""

    def __init__(
        self, axle: tuple[float, float, float], side: int, zones: tuple[float, float, float], radius: float,
        touch: float, world: World,
    ) -> None:  # fmt: skip
        """Lay it out.

        Args:
            axle: x, y (mm on the bench) and heading of its axle; side: 1 for the left wheel, -1 for the right.
            zones: from the middle of the track: the flange's back, its root, the tread's outer edge, mm.
            radius: of the tread, mm; touch: how far before and behind the axle it touches a rail, mm.
        """
        x, y, heading = axle
        c, s = math.cos(heading), math.sin(heading)

        def box(along: float, inner: float, outer: float) -> list[Point]:
            return [
                world.to_screen((x + a * c - side * b * s, y + a * s + side * b * c))
                for a, b in ((-along, inner), (along, inner), (along, outer), (-along, outer))
            ]

        back, root, face = zones
        self.tread, self.flange = box(radius, root, face), box(radius, back, root)
        self.tread_touch, self.flange_touch = box(touch, root, face), box(touch, back, root)
        self.axle = [world.to_screen((x - back * s * e, y + back * c * e)) for e in (1, -1)]


def near_wheel(pen: Pen, boxes: WheelBoxes, unit: float, theme: Theme, hot: bool) -> None:
    """A wheel as glass: the tread pale, the flange darker, and the strip of it that touches marked."""
    steel: Colour = mix(theme["wheel"], (255, 255, 255), 0.5)
    line: Colour = (24, 22, 20)
    pen.polygon(boxes.tread, steel, 0.30)
    pen.polygon(boxes.flange, mix(theme["wheel"], (10, 14, 20), 0.35), 0.62)
    mark = theme["glow-near"] if hot else theme["ring"]
    pen.polygon(boxes.tread_touch, mark, 0.55)
    pen.polygon(boxes.flange_touch, mark, 0.34)
    for shape in (boxes.tread, boxes.flange):
        pen.stroke(shape, 3.0 * unit, line, 0.75, closed=True)
        pen.stroke(shape, 1.4 * unit, steel, closed=True)


def spark(pen: Pen, at: Point, unit: float, theme: Theme) -> None:
    """The spark of a short, where a wheel lets its current over."""
    x, y = at
    for k in range(11):
        angle = 2 * math.pi * k / 11 + 0.35
        length = (12 + 9 * ((k * 7) % 5) / 4) * unit
        start = (x + math.cos(angle) * 6 * unit, y + math.sin(angle) * 6 * unit)
        end = (x + math.cos(angle) * length, y + math.sin(angle) * length)
        pen.stroke([start, end], 1.7 * unit, theme["short-core"])
    pen.disc((x, y), 7.5 * unit, theme["glow-near"], 0.6)
    pen.disc((x, y), 4.6 * unit, (255, 255, 255))


def outline(pen: Pen, points: Sequence[Point], unit: float, theme: Theme) -> None:
    """A vehicle's body as an outline of smoked glass."""
    pen.polygon(points, (16, 20, 26), 0.22)
    pen.stroke(list(points), 2.0 * unit, theme["vehicle-rim"], 0.7, closed=True)

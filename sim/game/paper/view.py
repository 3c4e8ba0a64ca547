"""Where things are on the screen: the rooms of the window, and the one transform between bench and picture.

Everything outside this module speaks device pixels or bench millimetres; only here are the two brought together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import pygame

__all__ = ["LEAST_SIZE", "MOST_SCALE", "Point", "Rooms", "Widths", "World", "fitting_scale", "largest_scale", "rooms"]

LEAST_SIZE = (1024, 720)
MOST_SCALE = 3.0
_EASY_SIZE = (1200, 770)  # layout px that a window of one's own size is divided as: roomy, and no part of it a void

Point = tuple[float, float]
"""A place: device pixels on the screen, or millimetres on the bench."""


@dataclass(frozen=True)
class World:
    """The transform between bench millimetres and device pixels, and back.

    The bench's y axis points left of the first piece's heading, which is up on the screen::

        bench   y ^            screen   o---> x      x = left + x_mm * scale
                  |                     |            y = base - y_mm * scale
                  o---> x               v y

    Seen from below (`below`) the board is turned over about an upright line: x = left - x_mm * scale.
    """

    left: float
    base: float
    scale: float
    below: bool = False

    @property
    def across(self) -> float:
        """Device pixels to the right of one mm along the bench: negative from below."""
        return -self.scale if self.below else self.scale

    def to_screen(self, point: Point) -> Point:
        """Device pixels of a place on the bench, in mm."""
        return self.left + point[0] * self.across, self.base - point[1] * self.scale

    def to_bench(self, point: Point) -> Point:
        """The place on the bench, in mm, of a device pixel."""
        return (point[0] - self.left) / self.across, (self.base - point[1]) / self.scale

    @classmethod
    def fitting(cls, area: pygame.Rect, low: Point, high: Point, most: float) -> World:
        """The transform that shows the bench box low..high (mm) inside `area`, at most at `most` px per mm.

        The box is centred from left to right and stands on the middle of the area.
        """
        width, height = max(1.0, high[0] - low[0]), max(1.0, high[1] - low[1])
        scale = min(area.width / width, area.height / height, most)
        left = area.centerx - scale * (low[0] + high[0]) / 2
        base = area.centery + scale * (low[1] + high[1]) / 2
        return cls(left, base, scale)


@dataclass(frozen=True)
class Widths:
    """What a theme gives more or less room, layout px.

    side: the instruments; sheet: the job sheet; slip: the frog's slip; bars: from the bus bars to the mat's right edge
    line: from one line of small text to the next
    """

    side: float = 232.0
    sheet: float = 304.0
    slip: float = 396.0
    bars: float = 36.0
    line: float = 17.0


_NIGHT = Widths()


@dataclass(frozen=True, eq=False)
class Rooms:
    """The window's parts, in device pixels, for a window size and an interface scale.

    unit: device pixels of one layout pixel; the layout is that of 1280 x 800 at 100 %.
    drop: how much lower than usual blocks and bars begin, on a mat that is larger than the window's, px
    """

    size: tuple[int, int]
    unit: float
    widths: Widths
    top: pygame.Rect
    mat: pygame.Rect
    meter: pygame.Rect
    supply: pygame.Rect
    throttle: pygame.Rect
    sheet: pygame.Rect
    folded: pygame.Rect
    result: pygame.Rect
    fixtures: pygame.Rect
    track: pygame.Rect
    drop: float = 0.0

    def px(self, length: float) -> int:
        """Device pixels of a length of the layout, rounded."""
        return round(length * self.unit)

    @property
    def narrow(self) -> bool:
        """True when the mat is too narrow for the bus bars to stand beside a terminal block."""
        return self.mat.width < 960 * self.unit


def largest_scale(size: tuple[int, int]) -> float:
    """The largest scale of the interface at which a window still holds all of it."""
    return max(1.0, min(size[0] / LEAST_SIZE[0], size[1] / LEAST_SIZE[1], MOST_SCALE))


def fitting_scale(size: tuple[int, int]) -> float:
    """The scale that follows from the window: 1.4 for 1080 px of height, 1.85 for 1440; in steps of 5 per cent."""
    share = min(size[0] / _EASY_SIZE[0], size[1] / _EASY_SIZE[1])
    return min(MOST_SCALE, max(1.0, math.floor(share * 20 + 1e-9) / 20))


@lru_cache(maxsize=8)
def rooms(size: tuple[int, int], scale: float | None = None, widths: Widths = _NIGHT) -> Rooms:
    """Divide a window. The scale asked for is taken as far as the window is large enough for it.

    scale: None for the one that follows from the window; widths: those of the theme.

    The same arguments give the same object, so that rooms can key caches.
    """
    width, height = max(size[0], LEAST_SIZE[0]), max(size[1], LEAST_SIZE[1])
    unit = fitting_scale((width, height)) if scale is None else max(1.0, min(scale, largest_scale((width, height))))

    def box(x: float, y: float, w: float, h: float) -> pygame.Rect:
        left, top = round(x * unit), round(y * unit)
        return pygame.Rect(left, top, round((x + w) * unit) - left, round((y + h) * unit) - top)

    wide, high = width / unit, height / unit
    mat_width, mat_height = wide - widths.side - 48, high - 64
    side = wide - widths.side - 16
    spare = min(0.0, mat_height - 736)
    extra = max(0.0, mat_height - 736)
    meter_h = 256 + spare * 0.5 + extra * 0.4
    supply_h = 224 + spare * 0.25 + extra * 0.2
    throttle_h = mat_height - meter_h - supply_h - 32
    track_h = min(272 + extra * 0.45, mat_height * 0.42)
    track_top = 48 + mat_height - 42 - track_h
    sheet_h = min(418.0 + min(extra, 96) * 0.5, track_top + 58 - 72)
    return Rooms(
        size=(width, height),
        unit=unit,
        widths=widths,
        top=box(0, 0, wide, 40),
        mat=box(16, 48, mat_width, mat_height),
        meter=box(side, 48, widths.side, meter_h),
        supply=box(side, 64 + meter_h, widths.side, supply_h),
        throttle=box(side, 80 + meter_h + supply_h, widths.side, throttle_h),
        sheet=box(32, 72, widths.sheet, sheet_h),
        folded=box(32, 60, 236, 32),
        result=box(32, 64, mat_width - 32, 420),
        fixtures=box(widths.sheet + 42, 92, mat_width - widths.sheet - 38, track_top - 92),
        track=box(32, track_top, mat_width - 32, track_h),
    )

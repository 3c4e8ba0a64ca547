"""Where the tools that can be laid on the bench are parked: side by side at the mat's foot, where it is bare.

Beside the frog's slip, if there is one, else in the lower right corner; never on a wire, which would be a reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

import pygame

from sim.game.paper.plan import sleepers
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.turning import turned_rect

__all__ = ["park", "parked"]

_PLACES = {"lens": (18.0, 86.0), "clip": (112.0, 70.0)}  # from the right edge of their place, width; layout px
_HIGH, _FOOT = 34.0, 56.0
_REACH = 13.0  # layout px that a handle reaches over its place, up and down
_WIDE = sum(_PLACES["clip"])  # of the place of both, with what is left free at its right
_STEP = 8.0
_CLEAR = 9.0  # layout px from a wire's middle


def park(stage: Stage, tool: str) -> pygame.Rect:
    """The place of "lens" or "clip"; from below mirrored, as all that lies on the board."""
    unit, mat = stage.unit, stage.rooms.mat
    from_right, width = _PLACES[tool]
    foot = mat.bottom - _FOOT * unit
    rect = pygame.Rect(
        round(_right(stage.above or stage) - (from_right + width) * unit),
        round(foot - _HIGH * unit),
        round(width * unit),
        round(_HIGH * unit),
    )
    return turned_rect(rect, stage.rooms) if stage.below else rect


def parked(stage: Stage) -> tuple[tuple[int, int, int, int], ...]:
    """The boxes that the parked tools cover, handles and all, px."""
    reach = round(2 * _REACH * stage.unit)
    boxes = (park(stage, tool).inflate(0, reach) for tool in _PLACES)
    return tuple((box.x, box.y, box.width, box.height) for box in boxes)


def _right(above: Stage) -> float:
    """The right edge of the place of both tools, px: they stay there whatever the camera shows."""
    whole = above.whole
    return _bare(whole if whole is not None and whole.rooms is above.rooms else above)


@lru_cache(maxsize=4)
def _bare(stage: Stage) -> float:
    """The first right edge, from the slip on, at which the tools lie on bare mat; the mat's own where there is none."""
    unit, mat = stage.unit, stage.rooms.mat
    if not stage.slip.width or stage.whole is not None:
        return float(mat.right)
    busy = tuple(_busy(stage))
    top, high = mat.bottom - (_FOOT + _HIGH + _REACH) * unit, round((_HIGH + 2 * _REACH) * unit)
    right = stage.slip.right + (_WIDE + 24) * unit
    while right < mat.right:
        box = pygame.Rect(round(right - _WIDE * unit), round(top), round((_WIDE - 18) * unit), high)
        if box.collidelist(busy) < 0:
            return right
        right += _STEP * unit
    return float(mat.right)


def _busy(stage: Stage) -> Iterator[pygame.Rect]:
    """The boxes of wires, tags and sleepers, px."""
    unit = stage.unit
    clear, tag = round(_CLEAR * unit), round(stage.tag_px * unit)
    for run in stage.runs:
        for (x0, y0), (x1, y1) in pairwise(run.corners):
            box = pygame.Rect(round(min(x0, x1)), round(min(y0, y1)), round(abs(x1 - x0)), round(abs(y1 - y0)))
            yield box.inflate(2 * clear, 2 * clear)
    for _, x, y in stage.tags:
        yield pygame.Rect(round(x), round(y), 1, 1).inflate(tag, tag)
    for laid in stage.plan.laid:
        for sleeper in sleepers(laid):
            (x0, y0), (x1, y1) = stage.world.to_screen(sleeper.a), stage.world.to_screen(sleeper.b)
            yield pygame.Rect(round(min(x0, x1)), round(min(y0, y1)), round(abs(x1 - x0)) + 1, round(abs(y1 - y0)) + 1)

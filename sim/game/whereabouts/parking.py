"""Where the tools that can be laid on the bench are parked: in the mat's lower corner, under the end of the track."""

from __future__ import annotations

import pygame

from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.turning import turned_rect

__all__ = ["park", "parked"]

_PLACES = {"lens": (18.0, 86.0), "clip": (112.0, 70.0)}  # from the mat's right edge, width; layout px
_HIGH, _FOOT = 34.0, 40.0


def park(stage: Stage, tool: str) -> pygame.Rect:
    """The place of "lens" or "clip"; at the lower right, from below at the lower left."""
    unit, mat = stage.unit, stage.rooms.mat
    from_right, width = _PLACES[tool]
    foot = mat.bottom - _FOOT * unit
    rect = pygame.Rect(
        round(mat.right - (from_right + width) * unit),
        round(foot - _HIGH * unit),
        round(width * unit),
        round(_HIGH * unit),
    )
    return turned_rect(rect, stage.rooms) if stage.below else rect


def parked(stage: Stage) -> tuple[tuple[int, int, int, int], ...]:
    """The boxes that the parked tools cover, handles and all, px."""
    reach = round(36 * stage.unit)
    boxes = (park(stage, tool).inflate(0, reach) for tool in _PLACES)
    return tuple((box.x, box.y, box.width, box.height) for box in boxes)

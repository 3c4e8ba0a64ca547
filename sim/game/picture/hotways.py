"""What burns in a short, and the way of its current as something that glows."""

from __future__ import annotations

import pygame

from sim.game.draw.railway.embers import HotWay
from sim.game.paper.view import Point
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import FaultView, Snapshot

__all__ = ["burns", "hot_way"]


def burns(snapshot: Snapshot) -> FaultView | None:
    """What glows: too much current that flows, or what opened a breaker; None without a loop."""
    if snapshot.overload is not None and snapshot.overload.loop:
        return snapshot.overload
    return snapshot.fault if snapshot.fault is not None and snapshot.fault.loop else None


def hot_way(stage: Stage, path: tuple[Point, ...]) -> HotWay:
    """A way of the current on a stage, none of it made yet."""
    inside = None
    if stage.shift is not None:  # on the mat and in the gutter of the supply's cables
        mat = stage.rooms.mat
        inside = pygame.Rect(mat.x, mat.y, stage.rooms.supply.x + 6 - mat.x, mat.height)
    return HotWay(path, stage.rooms.size, stage.unit, stage.theme, inside)

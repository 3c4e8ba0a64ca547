"""What of the bench is seen: what is on the mat, how far blades have come, what tells many names apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pygame

from sim.game.paper.plan import Laid
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot

__all__ = ["box_on_screen", "drawn_travel", "in_view", "on_mat", "told_apart", "travel_of"]


def in_view(stage: Stage, laid: Laid) -> bool:
    """Whether something of a piece is on the mat as the camera shows it."""
    return stage.shift is None or bool(box_on_screen(stage, laid).inflate(20, 20).colliderect(stage.rooms.mat))


def box_on_screen(stage: Stage, laid: Laid) -> pygame.Rect:
    """The box of a piece of track, px."""
    left, top, right, foot = laid.bounds
    (x0, y0), (x1, y1) = stage.world.to_screen((left, top)), stage.world.to_screen((right, foot))
    return pygame.Rect(round(min(x0, x1)), round(y0), round(abs(x1 - x0)) + 1, round(y1 - y0) + 1)


def on_mat(stage: Stage, rect: pygame.Rect) -> bool:
    """Whether something of a box on the screen is on the mat."""
    return stage.shift is None or bool(rect.inflate(40, 40).colliderect(stage.rooms.mat))


def travel_of(snapshot: Snapshot, points: str) -> float:
    """Blade travel of a set of points in the steps in which it is drawn, so that pictures of it can be kept."""
    return round(snapshot.travel.get(points, 0.0) * 48) / 48


def drawn_travel(snapshot: Snapshot) -> dict[str, float]:
    """The same of every set of points."""
    return {points: travel_of(snapshot, points) for points in snapshot.travel}


def told_apart(names: Sequence[str], fits: Callable[[str], bool]) -> list[str]:
    """The names, or where one is too long the ends that tell them apart, from the beginning of a word or number."""
    if len(names) < 2 or all(map(fits, names)):
        return list(names)
    first, last = min(names), max(names)  # what these two share at their beginnings all of them share
    alike = next((k for k, (a, b) in enumerate(zip(first, last, strict=False)) if a != b), len(first))
    while alike and first[alike - 1].isalnum():
        alike -= 1
    return [name[alike:] or name for name in names]

"""The supply's two cables from its panel to the bus bars, and the plug."""

from __future__ import annotations

from collections.abc import Iterator

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway import wires
from sim.game.paper.view import Point
from sim.game.whereabouts.dressing import rounded_path
from sim.game.whereabouts.fixtures import BarPlace
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot

__all__ = ["cable_ways", "cables", "plug_rect"]


def cable_ways(stage: Stage, snapshot: Snapshot) -> list[tuple[str, tuple[Point, ...]]]:
    """The supply's cables as (terminal, corners from the bar to the plug, in its socket or pulled)."""
    unit, rooms = stage.unit, stage.rooms
    out = []
    foot = _foot(stage, snapshot)
    for bar in stage.fixtures.bars:
        column = rooms.mat.right + (12 if bar.side == "A" else 4) * unit
        if stage.below:
            out.append((bar.terminal, _round_the_edge(stage, bar, foot)))
            continue
        start = (float(bar.rect.right - 3 * unit), bar.y)
        corners = [start, (column, bar.y), (column, foot)]
        out.append((bar.terminal, tuple((round(x, 1), round(y, 1)) for x, y in corners)))
    return out


def _foot(stage: Stage, snapshot: Snapshot) -> float:
    """Where the cables go into the plug."""
    plugged = all(supply.plugged for supply in snapshot.supplies)
    return stage.rooms.supply.y + (_IN_TOP + 3 if plugged else 22) * stage.unit


_IN_TOP = 30.0  # of the plug in its socket, under the panel's upper edge


def _round_the_edge(stage: Stage, bar: BarPlace, foot: float) -> tuple[Point, ...]:
    """A cable from below: out of its bar to the left, up, along the upper edge of the board and down at its right."""
    unit, rooms = stage.unit, stage.rooms
    first = bar.side == "A"
    top = min(place.rect.y for place in stage.fixtures.bars)
    level = min(112 * unit, top - 12 * unit) - (0 if first else 8 * unit)
    riser = max(bar.rect.x - (20 if first else 18) * unit, rooms.mat.x + 10 * unit)
    column = rooms.mat.right + (4 if first else 12) * unit
    corners = [(float(bar.rect.x + 3 * unit), bar.y), (riser, bar.y), (riser, level), (column, level)]
    corners.append((column, foot))
    return tuple((round(x, 1), round(y, 1)) for x, y in corners)


def plug_rect(stage: Stage) -> pygame.Rect:
    """Where the plug is, or the place for it: what is clicked to plug in or pull out."""
    unit, panel = stage.unit, stage.rooms.supply
    return pygame.Rect(
        round(stage.rooms.mat.right - 8 * unit), round(panel.y + 12 * unit), round(30 * unit), round(92 * unit)
    )


def cables(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    """The supply's two cables to its bars, and the plug."""
    unit, theme, panel = stage.unit, stage.theme, stage.rooms.supply
    if not snapshot.supplies:
        return
    plugged = all(supply.plugged for supply in snapshot.supplies)
    for _, corners in cable_ways(stage, snapshot):
        path = tuple((round(x, 1), round(y, 1)) for x, y in rounded_path(corners, unit))
        yield wires.wire(path, 8 * unit, theme["cable"], unit, theme, (5 * unit, 0.0))
    if plugged:
        yield wires.plug_in(stage.rooms.mat.right + 5 * unit, panel.y + _IN_TOP * unit, unit, theme)
        return
    yield wires.cable_plug(stage.rooms.mat.right + 8 * unit, panel.y + 19 * unit, unit, theme)

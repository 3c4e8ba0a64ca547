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
    """The supply's cables as (terminal, corners from the bar to the panel or the pulled plug)."""
    unit, rooms = stage.unit, stage.rooms
    out = []
    plugged = all(supply.plugged for supply in snapshot.supplies)
    panel = rooms.supply
    for bar in stage.fixtures.bars:
        column = rooms.mat.right + (12 if bar.side == "A" else 4) * unit
        if stage.below:
            out.append((bar.terminal, _round_the_edge(stage, bar, plugged)))
            continue
        start = (float(bar.rect.right - 3 * unit), bar.y)
        if plugged:
            y = panel.y + (37 if bar.side == "A" else 61) * unit
            corners = [start, (column, bar.y), (column, y), (float(panel.x + 2 * unit), y)]
        else:
            corners = [start, (column, bar.y), (column, panel.y + 22 * unit)]
        out.append((bar.terminal, tuple((round(x, 1), round(y, 1)) for x, y in corners)))
    return out


def _round_the_edge(stage: Stage, bar: BarPlace, plugged: bool) -> tuple[Point, ...]:
    """A cable from below: out of its bar to the left, up, along the upper edge of the board and down at its right."""
    unit, rooms = stage.unit, stage.rooms
    first = bar.side == "A"
    top = min(place.rect.y for place in stage.fixtures.bars)
    level = min(112 * unit, top - 12 * unit) - (0 if first else 8 * unit)
    riser = max(bar.rect.x - (20 if first else 18) * unit, rooms.mat.x + 10 * unit)
    column = rooms.mat.right + (4 if first else 12) * unit
    corners = [(float(bar.rect.x + 3 * unit), bar.y), (riser, bar.y), (riser, level), (column, level)]
    if plugged:
        y = rooms.supply.y + (37 if first else 61) * unit
        corners += [(column, y), (float(rooms.supply.x + 2 * unit), y)]
    else:
        corners.append((column, rooms.supply.y + 22 * unit))
    return tuple((round(x, 1), round(y, 1)) for x, y in corners)


def plug_rect(stage: Stage) -> pygame.Rect:
    """Where the plug is, or the place for it: what is clicked to plug in or pull out."""
    unit, panel = stage.unit, stage.rooms.supply
    return pygame.Rect(
        round(stage.rooms.mat.right - 4 * unit), round(panel.y + 12 * unit), round(26 * unit), round(92 * unit)
    )


def cables(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    """The supply's two cables to its bars, and the plug when it is pulled."""
    unit, theme, panel = stage.unit, stage.theme, stage.rooms.supply
    if not snapshot.supplies:
        return
    plugged = all(supply.plugged for supply in snapshot.supplies)
    for _, corners in cable_ways(stage, snapshot):
        path = tuple((round(x, 1), round(y, 1)) for x, y in rounded_path(corners, unit))
        yield wires.wire(path, 8 * unit, theme["cable"], unit, theme, (5 * unit, 0.0))
    if plugged:
        return
    yield wires.cable_plug(stage.rooms.mat.right + 8 * unit, panel.y + 19 * unit, unit, theme)

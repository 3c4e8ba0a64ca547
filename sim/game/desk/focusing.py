"""Which thing the keyboard acts on, and which it goes to next."""

from __future__ import annotations

from sim.game.desk.hit import focus_order, nearest_towards
from sim.game.items.common.thing import Sight
from sim.game.whereabouts.area import Area

__all__ = ["focused", "next_of", "towards"]


def focused(sight: Sight) -> Area | None:
    """What has the focus."""
    return next((area for area in focus_order(*sight) if area.target == sight.view.focus), None)


def next_of(sight: Sight, by: int) -> Area | None:
    """So many things further in reading order; None on a bench with nothing to go to."""
    order = focus_order(*sight)
    if not order:
        return None
    now = next((k for k, area in enumerate(order) if area.target == sight.view.focus), None)
    return order[(0 if by > 0 else -1) if now is None else (now + by) % len(order)]


def towards(sight: Sight, way: tuple[int, int]) -> Area | None:
    """The nearest thing in a direction; the first of all while nothing has the focus."""
    here = focused(sight)
    return next_of(sight, 1) if here is None else nearest_towards(focus_order(*sight), here, way)

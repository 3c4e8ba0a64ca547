"""Instruments in the dark of a short."""

from __future__ import annotations

from collections.abc import Iterator

from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import dim
from sim.game.draw.railway.embers import EMBER
from sim.game.items.common.thing import Sight
from sim.game.picture.hotways import burns

__all__ = ["dimmed"]


def dimmed(sight: Sight, *parts: Sprite) -> Iterator[Sprite]:
    """Parts of an instrument as they are, or dimmed while a short burns."""
    hot = sight.view.hot
    dark = burns(sight.snapshot) is not None and (hot is None or hot.level >= EMBER)
    yield from map(_dark, parts) if dark else parts


@kept
def _dark(part: Sprite) -> Sprite:
    return dim(part, 0.42, 0.0)

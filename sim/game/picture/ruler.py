"""Where a place of the track is, in the measure of the mat's ruler and of the findings: mm from a path's first end."""

from __future__ import annotations

from sim.game.whereabouts.stage import Stage
from sim.wiring.telling import end_words

__all__ = ["where_words"]


def where_words(stage: Stage, place: str) -> str:
    """ "268 mm from the toe" for a gap, bond or jumper ("T1.gap.closure.left"); "" for one beside no path."""
    piece, _, local = place.partition(".")
    geometry = stage.plan.by_id[piece].geometry
    for station, path in zip(geometry.marks.places[local].stations, geometry.tracks, strict=True):
        if station is not None:
            return f"{station:.0f}\u00a0mm from {end_words(stage.bench, f'{piece}.{path.ends[0]}')}"
    return ""

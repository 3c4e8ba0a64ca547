"""The settings in which a bench is tested, and the circuits that a throw runs through."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from sim.bench.model import Bench
from sim.track.layout import Layout

__all__ = ["Travel", "filed", "points_of", "positions", "throw_travels", "with_setting"]

Travel = Mapping[str, float]
_AT = {"normal": 0.0, "diverging": 1.0}


def filed(bench: Bench) -> dict[str, float]:
    """Blade travel of every piece with blades, as the file has it: 0.0 normal, 1.0 diverging."""
    return {points.id: points.travel for points in bench.point_sets}


def with_setting(travel: Travel, piece: str, setting: str) -> dict[str, float]:
    """The same with one piece set otherwise."""
    return {**travel, piece: _AT[setting]}


def points_of(travel: Travel, moving: str | None = None) -> dict[str, str]:
    """Travel in words: piece to "normal", "diverging", or "throwing" for the one that moves."""
    return {
        piece: "throwing" if piece == moving else "normal" if at == 0.0 else "diverging"
        for piece, at in sorted(travel.items())
    }


def positions(bench: Bench) -> Iterator[dict[str, float]]:
    """The bench as filed, then each other setting of each piece with blades, the rest as filed."""
    start = filed(bench)
    yield start
    for piece in sorted(start):
        yield {**start, piece: 1.0 - start[piece]}


def throw_travels(bench: Bench, layout: Layout, piece: str) -> tuple[float, ...]:
    """Places of a throw, one in each stretch of it in which nothing changes over; 0 and 1 are not among them."""
    changes = {0.0, 1.0}
    for blade in layout.geometry(piece).topology.blades:
        changes.add(abs(blade.closed_at - layout.touch(piece)))
    for motor in bench.motors:
        if motor.drives == piece:
            for contact in motor.changeovers:
                changes.update(contact.travel)
    edges = sorted(change for change in changes if 0.0 <= change <= 1.0)
    return tuple((a + b) / 2 for a, b in itertools.pairwise(edges) if b - a > 1e-12)

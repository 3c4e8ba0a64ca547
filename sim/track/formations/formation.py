"""What every formation adds to a piece of track: its geometry."""

from __future__ import annotations

from dataclasses import dataclass

from sim.bench.piece import Piece
from sim.track.geometry import Geometry
from sim.track.rails import RailSection
from sim.track.standards import Scale

__all__ = ["Formation"]


@dataclass(frozen=True, kw_only=True)
class Formation(Piece):
    """A piece of track that knows its own shape. A new formation is a subclass, and one line in the registry."""

    def geometry(self, scale: Scale, rail: RailSection) -> Geometry:
        """Its geometry in that scale and rail; the same object for pieces of the same shape."""
        raise NotImplementedError(f"{type(self).__name__} has no geometry")

    @property
    def blade_condition(self) -> str:
        """How well its closed blades conduct; a word of CONDITIONS."""
        return "good"

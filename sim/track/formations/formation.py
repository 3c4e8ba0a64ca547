"""What every formation adds to a piece of track: its geometry, its words, and what can be chosen for it."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any, ClassVar, Self

from sim.bench.piece import Piece
from sim.track.formations.menu import BoxItem, MenuLine
from sim.track.geometry import Geometry
from sim.track.rails import RailSection
from sim.track.standards import Scale

__all__ = ["Formation", "formation_of"]


@dataclass(frozen=True, kw_only=True)
class Formation(Piece):
    """A piece of track that knows its own shape. A new formation is a subclass, and one line in the registry.

    ``BOX``: what of it can be taken out of the box.
    """

    BOX: ClassVar[tuple[BoxItem, ...]] = ()

    @classmethod
    def fresh(cls, item: str, name: str, scale: str) -> Self:
        """A piece just out of the box: ``item``, of ``BOX``, called ``name``. Raises ValueError for another item."""
        raise ValueError(f"no {item!r} in the box")

    def geometry(self, scale: Scale, rail: RailSection) -> Geometry:
        """Its geometry in that scale and rail; the same object for pieces of the same shape."""
        raise NotImplementedError(f"{type(self).__name__} has no geometry")

    @property
    def blade_condition(self) -> str:
        """How well its closed blades conduct; a word of CONDITIONS."""
        return "good"

    @property
    def title(self) -> str:
        """What it is, in a word or two, as a title: "Turnout"."""
        return self.kind[:1].upper() + self.kind[1:]

    @property
    def size_words(self) -> str:
        """Its size in a few words: "No. 6, right-hand"; empty where there is none to tell."""
        return ""

    @property
    def build_words(self) -> str:
        """What it is and how it is built: "right-hand turnout number 6, frog isolated"."""
        return self.kind

    def menu(self, scale: Scale) -> tuple[MenuLine, ...]:
        """What can be chosen for it when it is laid in that scale."""
        return ()

    def chosen(self, choice: str, scale: Scale) -> Self | None:
        """The same piece with a choice of its menu taken; None for one that changes nothing."""
        return None

    def reshaped(self, **changes: Any) -> Self:
        """The same piece with other measures; what no longer has a meaning on it is left out."""
        return dataclasses.replace(self, **changes)


def formation_of(piece: Piece) -> Formation:
    """The piece as the formation that it is. Raises TypeError for a piece that is none, so has no shape."""
    if not isinstance(piece, Formation):
        raise TypeError(f"{piece.id} is a {type(piece).__name__}, which has no geometry")
    return piece

"""The formations that a bench can have. A new one is a module here and a line in the registry."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from sim.bench.piece import Piece
from sim.track.formations.end import End
from sim.track.formations.formation import Formation, formation_of
from sim.track.formations.plain import Plain
from sim.track.formations.turnout import Turnout

__all__ = ["FORMATIONS", "KINDS", "End", "Formation", "Plain", "Turnout", "formation_of"]

FORMATIONS: tuple[type[Formation], ...] = (Turnout, Plain, End)
"""The registry."""

KINDS: Mapping[str, type[Piece]] = MappingProxyType({kind: cls for cls in FORMATIONS for kind in cls.KINDS})
"""The class that serves each kind word of a bench file."""

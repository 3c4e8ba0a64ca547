"""What a job locks on its bench, and the bench set up so."""

from __future__ import annotations

from sim.bench.level import SETTINGS
from sim.bench.model import Bench
from sim.session.frogs import frog_pieces
from sim.session.locks import UNLOCKED, Locks
from sim.session.session import Session

__all__ = ["begin", "locks_of"]


def locks_of(bench: Bench) -> Locks:
    """The locks of the bench's job: edits that are no part of it, and power until all that it asks has been said."""
    if bench.level is None:
        return UNLOCKED
    frogs = frog_pieces(bench)
    asked = tuple((piece, setting) for piece in bench.level.predict if piece in frogs for setting in SETTINGS)
    return Locks(bench.level.allow, asked)


def begin(bench: Bench) -> Session:
    """The bench running, with what its job locks. Raises ValueError for a train that cannot stand where it is filed."""
    return Session(bench, locks_of(bench))

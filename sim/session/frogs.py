"""Which pieces have a frog to be wired and measured, and how a reading on it is read."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.session.acts import Side

__all__ = ["CLOSED_OHMS", "OPEN_OHMS", "frog_pieces", "frog_wired", "pair_of"]

CLOSED_OHMS = 2.0  # practice.toml continuity.short: at most 2 ohm is a short
OPEN_OHMS = 10e3  # trade.md C3: open is above roughly 10 kilohm

_SIDES: tuple[Side, Side] = ("left", "right")


def frog_pieces(bench: Bench) -> tuple[str, ...]:
    """Pieces with blades and a frog of metal, in the file's order."""
    return tuple(p.id for p in bench.tracks if p.setting is not None and f"{p.id}.frog" in p.sections())


def frog_wired(bench: Bench) -> bool:
    """Whether anything has been wired to a frog: from then on power before the readings counts."""
    frogs = {f"{piece}.frog" for piece in frog_pieces(bench)}
    return any(end in frogs for wire in bench.wires for end in wire.ends)


def pair_of(bench: Bench, red: str, black: str) -> tuple[str, Side] | None:
    """The piece and stock rail that a pair of probe tips measures its frog against, whichever tip is where."""
    for piece in frog_pieces(bench):
        for side in _SIDES:
            if {red, black} == {f"{piece}.frog", f"{piece}.stock.{side}"}:
                return piece, side
    return None

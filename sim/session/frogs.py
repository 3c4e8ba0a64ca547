"""Which pieces have a frog to be wired and measured, and how a reading on it is read."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.session.acts import Side

__all__ = ["CLOSED_OHMS", "OPEN_OHMS", "SIDES", "frog_pieces", "frog_wired", "pair_at", "pair_of"]

CLOSED_OHMS = 2.0  # practice.toml continuity.short: at most 2 ohm is a short
OPEN_OHMS = 10e3  # trade.md C3: open is above roughly 10 kilohm

SIDES: tuple[Side, Side] = ("left", "right")


def frog_pieces(bench: Bench) -> tuple[str, ...]:
    """Pieces with blades and a frog of metal, in the file's order."""
    return tuple(piece.id for piece in bench.tracks if piece.point_sets and piece.frogs)


def frog_wired(bench: Bench) -> bool:
    """Whether anything has been wired to a frog: from then on power before the readings counts."""
    frogs = {frog for piece in frog_pieces(bench) for frog in bench.piece(piece).frogs}
    return any(end in frogs for wire in bench.wires for end in wire.ends)


def pair_at(bench: Bench, piece: str, side: Side) -> tuple[str, str] | None:
    """The frog of a piece and its stock rail of that side, the two that one reading is taken between."""
    one = bench.piece(piece)
    rail = one.stock_rail(side)
    return (one.frogs[0], rail) if one.frogs and rail is not None else None


def pair_of(bench: Bench, red: str, black: str) -> tuple[str, Side] | None:
    """The piece and stock rail that a pair of probe tips measures its frog against, whichever tip is where."""
    for piece in frog_pieces(bench):
        for side in SIDES:
            pair = pair_at(bench, piece, side)
            if pair is not None and {red, black} == set(pair):
                return piece, side
    return None

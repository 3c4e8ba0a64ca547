"""What is said and measured of each frog: the rule it must meet, predictions, and the four readings.

The rule needs no left and right to be known: a turnout's frog matches the stock rail that the closed blade leans on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sim.bench.model import Bench
from sim.session.acts import Side
from sim.session.snapshot import ReadingView
from sim.track.layout import Layout

__all__ = [
    "CLOSED_OHMS",
    "CORRECT",
    "OPEN_OHMS",
    "SIDES",
    "all_right",
    "frog_pieces",
    "frog_wired",
    "must_match",
    "pair_at",
    "pair_of",
    "pattern",
]

CLOSED_OHMS = 2.0  # practice.toml continuity.short: at most 2 ohm is a short
OPEN_OHMS = 10e3  # trade.md C3: open is above roughly 10 kilohm

CORRECT = "Correct in both positions."

_SETTINGS = ("normal", "diverging")
SIDES: tuple[Side, Side] = ("left", "right")


def frog_pieces(bench: Bench) -> tuple[str, ...]:
    """Pieces with blades and a frog of metal, in the file's order."""
    return tuple(piece.id for piece in bench.tracks if piece.point_sets and piece.frogs)


def frog_wired(bench: Bench) -> bool:
    """Whether anything has been wired to a frog: from then on power before the readings counts."""
    frogs = {frog for piece in frog_pieces(bench) for frog in bench.piece(piece).frogs}
    return any(end in frogs for wire in bench.wires for end in wire.ends)


def must_match(layout: Layout, piece: str, setting: str) -> Side | None:
    """The stock rail that the frog must match in that setting; None for a piece without a frog of metal."""
    tracks = layout.geometry(piece).tracks
    for frog in layout.frogs(piece):
        for index, track in enumerate(tracks):
            side = frog.must_match(index)
            if side is not None and all(needed == setting for needed in track.needs.values()):
                return side
    return None


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


def all_right(bench: Bench, layout: Layout, readings: Iterable[ReadingView]) -> bool:
    """Whether all four readings of every frog are there, taken unplugged and before power, and right."""
    pieces = frog_pieces(bench)
    found = {(r.piece, r.setting, r.side): r for r in readings if r.unplugged and r.before_power}
    for piece in pieces:
        for setting in _SETTINGS:
            matched = must_match(layout, piece, setting)
            for side in SIDES:
                reading = found.get((piece, setting, side))
                if reading is None or not (reading.closed if side == matched else reading.open):
                    return False
    return bool(pieces)


def _mark(reading: ReadingView | None) -> str | None:
    if reading is None:
        return None
    return "c" if reading.closed else "o" if reading.open else "?"


def pattern(layout: Layout, piece: str, readings: Iterable[ReadingView]) -> str:
    """What the readings of one frog mean so far, in words: trade.md C3's verdicts, told by the closed blade.

    A reading against the rail that the closed blade leans on is *mine*, against the other rail *other*.
    """
    found: Mapping[tuple[str, str], ReadingView] = {(r.setting, r.side): r for r in readings if r.piece == piece}
    left: list[str] = []
    marks: list[str] = []
    for setting in _SETTINGS:
        mine = must_match(layout, piece, setting)
        for side in ("left", "right") if mine == "left" else ("right", "left"):
            mark = _mark(found.get((setting, side)))
            marks.append(mark or "-")
            if mark is None:
                left.append(f"{side} stock rail, points {setting}")
    if left:
        return f"Still to take: frog to {left[0]}."
    return _NAMED.get("".join(marks), _mixed("".join(marks)))


# mine and other with the points normal, then diverging; the rail called "mine" changes between the two.
_NAMED: Mapping[str, str] = {
    "coco": CORRECT,
    "ococ": "The two outer wires are exchanged.",
    "oooo": "The frog is joined to neither rail: its wire, the common, or both outers are open.",
    "cooo": "Right with the points normal; open with them diverging: that outer or its wire is off.",
    "ooco": "Right with the points diverging; open with them normal: that outer or its wire is off.",
    "cooc": "Joined to the same rail in both positions: a stuck contact, outers on one rail, or a bridged gap.",
    "occo": "Joined to the same rail in both positions: a stuck contact, outers on one rail, or a bridged gap.",
    "cccc": "Joined to both rails always: measure rail to rail first, they are joined elsewhere.",
    "ccco": "The contact is right, but the frog is joined to a rail besides: an uncut gap or a whisker.",
    "cocc": "The contact is right, but the frog is joined to a rail besides: an uncut gap or a whisker.",
}


def _mixed(marks: str) -> str:
    if "?" in marks:
        return "A reading is neither closed nor open: dirty contact, lamp, engine on the rails, or a leak."
    return "No single fault gives these four readings: measure again, then look for two."

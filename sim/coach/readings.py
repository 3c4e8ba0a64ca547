"""What is measured of each frog: the rule it must meet, its four readings and what they mean, and how many count.

The rule needs no left and right to be known: a turnout's frog matches the stock rail that the closed blade leans on.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from sim.bench.level import SETTINGS
from sim.bench.model import Bench
from sim.session.acts import Side
from sim.session.frogs import SIDES, frog_pieces, pair_of
from sim.session.snapshot import ReadingView, Taken
from sim.track.layout import Layout

__all__ = ["CORRECT", "all_right", "must_match", "pattern", "readings_taken"]

CORRECT = "Correct in both positions."


def must_match(layout: Layout, piece: str, setting: str) -> Side | None:
    """The stock rail that the frog must match in that setting; None for a piece without a frog of metal."""
    tracks = layout.geometry(piece).tracks
    for frog in layout.frogs(piece):
        for index, track in enumerate(tracks):
            side = frog.must_match(index)
            if side is not None and all(needed == setting for needed in track.needs.values()):
                return side
    return None


def all_right(bench: Bench, layout: Layout, readings: Iterable[ReadingView]) -> bool:
    """Whether all four readings of every frog are there, taken unplugged and before power, and right."""
    pieces = frog_pieces(bench)
    found = {(r.piece, r.setting, r.side): r for r in readings if r.unplugged and r.before_power}
    for piece in pieces:
        for setting in SETTINGS:
            matched = must_match(layout, piece, setting)
            for side in SIDES:
                reading = found.get((piece, setting, side))
                if reading is None or not (reading.closed if side == matched else reading.open):
                    return False
    return bool(pieces)


def readings_taken(bench: Bench, readings: Iterable[ReadingView], taken: Collection[Taken], wanted: int) -> int:
    """How many readings count towards those that a level wants.

    Where there are frogs, the readings of them that stand, and of all others in ohms, each pair of terminals in each
    position of the points once, as many as are wanted besides the frogs'. Else all, also volts under power.
    """
    frogs = len(frog_pieces(bench))
    if not frogs:
        return len(taken)
    standing = sum(reading.unplugged for reading in readings)
    others = sum(each.ohms and pair_of(bench, *each.ends) is None for each in taken)
    return standing + (min(others, max(0, wanted - 4 * frogs)) if wanted else others)


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
    for setting in SETTINGS:
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
    "cooc": "Same rail in both positions: a stuck contact, outers on one rail, or a bridged gap.",
    "occo": "Same rail in both positions: a stuck contact, outers on one rail, or a bridged gap.",
    "cccc": "Joined to both rails always: measure rail to rail first, they are joined elsewhere.",
    "ccco": "The contact is right, but the frog is joined to a rail besides: an uncut gap or a whisker.",
    "cocc": "The contact is right, but the frog is joined to a rail besides: an uncut gap or a whisker.",
}


def _mixed(marks: str) -> str:
    if "?" in marks:
        return "A reading is neither closed nor open: dirty contact, lamp, engine on the rails, or a leak."
    return "No single fault gives these four readings: measure again, then look for two."

"""What is to be mended after a short: the wiring, or only where the train stands and how the points lie."""

from __future__ import annotations

from sim.bench.point_set import setting_near
from sim.coach.readings import must_match
from sim.session.frogs import frog_pieces
from sim.session.snapshot import Snapshot
from sim.track.layout import Layout

__all__ = ["mending"]

_WIRING = "Mend the wiring; moving the engine cures nothing."
_JOINED = "Put right what joins them: while it does, the breaker opens again."
_STANDS = "Move the engine clear, or throw the points if they lie against it."


def mending(now: Snapshot) -> str:
    """What to do about a short whose loop still stands, in a sentence; "" where none does.

    Where wheels close the loop and no frog is on a wrong side as the points lie, the wiring is not to blame.
    """
    fault = now.fault
    if fault is None or not fault.loop:
        return ""
    if not any(step.ref.kind == "wheel" for step in fault.loop):
        return _JOINED
    touched = {rail.partition(".")[0] for rail in fault.touching}
    layout = Layout(now.bench)
    wrong = any(_wrong(now, layout, piece) for piece in frog_pieces(now.bench) if piece in touched)
    return _WIRING if wrong else _STANDS


def _wrong(now: Snapshot, layout: Layout, piece: str) -> bool:
    """Whether a frog is fed from another side than the rail that it must match with the points as they lie."""
    side = must_match(layout, piece, setting_near(now.travel.get(piece, 0.0)))
    rail = None if side is None else now.bench.piece(piece).stock_rail(side)
    fed = {now.feeds.get(frog, "none") for frog in now.bench.piece(piece).frogs}
    return rail is not None and not fed <= {now.feeds.get(rail, "none"), "none"}

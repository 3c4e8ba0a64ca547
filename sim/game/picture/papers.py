"""Which paper lies beside the mat and on it: the job sheet or the drawer, folded or open."""

from __future__ import annotations

from sim.coach.mending import mending
from sim.game.whereabouts.viewstate import ViewState
from sim.session.snapshot import Snapshot

__all__ = ["RESET_WORDS", "drawer_lies_open", "fault_words", "folded_away", "sheet_lies_open", "short_told"]

RESET_WORDS = "Reset: press the rocker on the supply."


def short_told(snapshot: Snapshot) -> bool:
    """Whether the job sheet is that of a short: until the breaker is closed again, or the plug is pulled for work."""
    fault = snapshot.fault
    return fault is not None and (bool(fault.loop) or any(supply.plugged for supply in snapshot.supplies))


def fault_words(snapshot: Snapshot) -> str:
    """What a fault was; while what opened the breaker still stands, also what is to be mended; "" without one."""
    fault = snapshot.fault
    return "" if fault is None else " ".join(filter(None, (fault.text, mending(snapshot))))


def drawer_lies_open(snapshot: Snapshot, view: ViewState) -> bool:
    """Whether the drawer of pieces lies where the job sheet does: on a bench without a job, unless there is a short."""
    return snapshot.bench.level is None and not short_told(snapshot) and not view.folded and view.broken is None


def sheet_lies_open(snapshot: Snapshot, view: ViewState) -> bool:
    """Whether the job sheet itself is seen, open or folded."""
    return snapshot.bench.level is not None or short_told(snapshot) or view.folded


def folded_away(snapshot: Snapshot, view: ViewState) -> bool:
    """Whether the job sheet lies folded: a short unfolds it, but from below, where it would cover the terminals."""
    return view.folded and (not short_told(snapshot) or view.below)

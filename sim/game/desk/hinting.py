"""The hint that lies open on the job sheet: told further each time it is asked for, gone once its step is done."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace

from sim.bench.model import Bench
from sim.coach.hints import Hint, Spot, next_hint
from sim.game.whereabouts.viewstate import HintView, Note, Pointed, Target, ViewState
from sim.session.snapshot import Snapshot

__all__ = ["Hints"]

_LAST = 3
_NOTHING = "Nothing more to wire or to measure. Test every route."
_NO_JOB = Note((220.0, 160.0), ("A hint belongs to a job.", "This is a bench of your own."))


class Hints:
    """Hints for one bench, from how it was filed. A hint costs no marks."""

    def __init__(self, filed: Bench) -> None:
        self._filed = filed
        self._hint: Hint | None = None
        self._key: Hashable = None
        self._stage = 0

    def ask(self, now: Snapshot, view: ViewState) -> ViewState:
        """Tell the next hint, or the one that lies open further; gives the view with it."""
        if self._filed.level is None:
            return replace(view, said=_NO_JOB)
        hint = next_hint(self._filed, now)
        self._stage = min(_LAST, self._stage + 1) if hint is not None and self._open_for(hint) else 1
        self._hint, self._key = hint, _key(now)
        if hint is None:
            return _hinted(view, HintView(_LAST, _NOTHING), None)
        return self._told(hint, view)

    def follow(self, now: Snapshot, view: ViewState) -> ViewState:
        """What becomes of the open hint at this moment, in the view."""
        if view.hint is None:
            self._stage = 0
            return view
        key = _key(now)
        if key == self._key or self._filed.level is None:
            return view
        self._key = key
        hint = next_hint(self._filed, now)
        if hint is not None and self._open_for(hint):
            return view
        self._hint, self._stage = None, 0
        return _hinted(view, None, None)

    def _open_for(self, hint: Hint) -> bool:
        return self._hint is not None and (hint.change, hint.at) == (self._hint.change, self._hint.at)

    def _told(self, hint: Hint, view: ViewState) -> ViewState:
        text = (hint.question, hint.place, hint.change)[self._stage - 1]
        pointed = None if self._stage == 1 else Pointed(tuple(_target(spot) for spot in hint.at), ())
        return _hinted(view, HintView(self._stage, text), pointed)


def _hinted(view: ViewState, hint: HintView | None, pointed: Pointed | None) -> ViewState:
    return replace(view, hint=hint, pointed=pointed)


def _key(now: Snapshot) -> Hashable:
    """What a hint depends on, cheap to compare."""
    return (
        id(now.bench), now.predictions, now.readings, len(now.meter.taken), now.meter.dial, now.play.powered,
        tuple((supply.on, supply.plugged) for supply in now.supplies),
        tuple(at >= 0.5 for at in now.travel.values()),
    )  # fmt: skip


def _target(spot: Spot) -> Target:
    """The thing on the screen that stands for a spot."""
    kind, name = spot
    if kind == "points":
        return Target("lever", name)
    if kind == "meter":
        return Target("dial", name)
    if kind in ("rocker", "plug"):
        return Target(kind, "supply")
    if kind == "say":
        return Target("predict", name.partition("/")[2])
    return Target(kind, name)

"""How long the pointer or the focus has been on a thing, and how long a few words have stood on the bench."""

from __future__ import annotations

from dataclasses import replace

from sim.game.whereabouts.viewstate import Note, Target, ViewState

__all__ = ["REST_S", "SAID_S", "Lingering"]

REST_S = 0.6  # before a thing says its name: long enough not to stand in the way of a hand that passes
SAID_S = 2.0  # that a few words stand


def _spot(view: ViewState) -> Target | None:
    """The place on the mat that the pointer is at, where it is on no thing; None before it has come."""
    x, y = view.pointer
    return Target("spot", f"{x:.0f} {y:.0f}") if x >= 0 else None


class Lingering:
    """Counts the time; gives the view with what that comes to."""

    def __init__(self) -> None:
        self._on: Target | None = None
        self._on_for = 0.0
        self._spent = False
        self._news = False
        self._held = False
        self._said: Note | None = None
        self._said_for = 0.0

    def acted(self, view: ViewState) -> ViewState:
        """Something is done: what is said goes, and a thing does not say its name again until it has been left."""
        self._spent = True
        return replace(view, said=None, rested=None)

    def go_on(self, view: ViewState, seconds: float, *, news: bool = False) -> ViewState:
        """Let time pass. `news`: a fault stands; when one begins, what is rested on is as good as acted on."""
        after = view
        held, self._held = self._held, view.hand is not None
        on = None if self._held else view.focus or view.hover or _spot(view)
        if on != self._on:
            self._on, self._on_for, self._spent = on, 0.0, held  # what is let go of has been acted on
            after = replace(after, rested=None)
        elif self._waits(view):
            self._on_for += seconds
            if self._on_for >= REST_S:
                after = replace(after, rested=on)
        if news and not self._news:
            after = self.acted(after)
        self._news = news
        if view.said is not self._said:
            self._said, self._said_for = view.said, 0.0
        elif view.said is not None:
            self._said_for += seconds
            if self._said_for >= SAID_S:
                after = replace(after, said=None)
        return after

    def _waits(self, view: ViewState) -> bool:
        return self._on is not None and not self._spent and view.rested != self._on

    def pending(self, view: ViewState) -> bool:
        """Whether something will change by itself."""
        return self._waits(view) or view.said is not None

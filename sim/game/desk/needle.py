"""How the ammeter's needle moves: it follows what is to be read, and slams against its stop when a breaker opens."""

from __future__ import annotations

from dataclasses import replace

from sim.game.items.panels.supply_panel import needle_target
from sim.game.whereabouts.viewstate import ViewState
from sim.session.snapshot import Snapshot

__all__ = ["Needle"]

_SLAM_S = 0.5
_STOP_DEGREES = 24.0
_NEAR_DEGREES = 0.3  # so near what is to be read it stands still
_SHARE, _SLAM_SHARE = 9.0, 26.0  # of its way in a second


class Needle:
    """One needle. Each breaker that opens is counted: one that was closed and opened again between two pictures too."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._trips = snapshot.play.trips
        self._since_trip: float | None = None

    def turned(self, view: ViewState, seconds: float, snapshot: Snapshot, *, calm: bool) -> ViewState:
        """The view after some time; `calm`: it jumps."""
        if snapshot.play.trips != self._trips:
            self._trips, self._since_trip = snapshot.play.trips, 0.0
        elif self._since_trip is not None:
            self._since_trip += seconds
        slams = self._slams(_SLAM_S)
        target = _STOP_DEGREES if slams else needle_target(snapshot.bench, snapshot, view)
        gap = target - view.needle
        if not gap:
            return view
        if abs(gap) < _NEAR_DEGREES or calm:
            return replace(view, needle=target)
        return replace(view, needle=view.needle + gap * min(1.0, seconds * (_SLAM_SHARE if slams else _SHARE)))

    def _slams(self, seconds: float) -> bool:
        return self._since_trip is not None and self._since_trip < seconds

    def moves(self, view: ViewState, snapshot: Snapshot) -> bool:
        """Whether it does, or will in a moment."""
        far = abs(needle_target(snapshot.bench, snapshot, view) - view.needle) > _NEAR_DEGREES
        return far or self._slams(_SLAM_S + 0.5)

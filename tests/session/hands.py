"""Hands on a running bench: acts, then some time; and the train of the turnout of `bench`, driven."""

from __future__ import annotations

from sim.session.acts import Act, Direction, Drive
from sim.session.session import Session
from sim.session.snapshot import Snapshot, TrainView

__all__ = ["ON", "after", "towards_frog", "train"]

ON = "on = true"


def after(session: Session, seconds: float, *acts: Act) -> Snapshot:
    """The snapshot after acts and some time."""
    shot = session.step(Session.DT, acts)
    rest = round(seconds / Session.DT) - 1
    return session.step(rest * Session.DT) if rest > 0 else shot


def train(shot: Snapshot) -> TrainView:
    return shot.trains[0]


def towards_frog(throttle: float) -> tuple[Act, ...]:
    """Drive away from the end that the train looks out of."""
    return (Direction("shunter", -1), Drive("shunter", throttle))

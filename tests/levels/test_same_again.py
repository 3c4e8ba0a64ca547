"""The same acts at the same times give the same bench, to the last bit, on every level."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.job import locks_of
from sim.resources import level_names, level_path
from sim.session.acts import Dial, Direction, Drive, Plug, Power, Throw
from sim.session.session import Session, replay
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS
from tests.levels.playing import level_of, play, predictions, quick
from tests.levels.test_levels import each_level


def shown(bench: Bench, throttle: float = 0.7) -> tuple[Session, list[Snapshot]]:
    """Play the solution, then run every train over the turnout with power on, throw, and run back."""
    session, _ = play(bench, level_of(bench).solution, predictions(bench))
    seen = [session.step(Session.DT, (Dial("off"), Plug(True), Power(True)))]
    blades = [points.id for points in bench.point_sets]
    for sign in (-1, 1):
        for train in bench.trains:
            session.step(Session.DT, (Direction(train.id, sign), Drive(train.id, throttle)))
        seen += [session.step(0.4) for _ in range(4)]
        seen.append(session.step(Session.DT, [Throw(piece) for piece in blades]))
    return session, seen


@each_level
def test_two_benches_treated_alike_are_alike(name: str) -> None:
    bench = quick(load(level_path(name), KINDS))
    one, seen = shown(bench)
    other, seen_again = shown(bench)
    assert seen == seen_again
    assert one.record == other.record
    again = replay(bench, one.record, one.steps, locks_of(bench))
    assert again.snapshot() == one.snapshot()
    assert again.record == one.record


def test_another_hand_on_the_throttle_is_seen() -> None:
    """Equal snapshots say something, since a small difference in what was done shows."""
    bench = quick(load(level_path(level_names()[0]), KINDS))
    assert shown(bench)[1] != shown(bench, throttle=0.69)[1]

"""A play that is recorded ends the same when it is played again, in any process."""

from __future__ import annotations

import dataclasses
import json
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from sim.bench.edits import MakeWire, SetPlace
from sim.session.acts import Act, Dial, Direction, Do, Drive, Nudge, Power, Probe, Put, Redo, Reset, Throw, Undo
from sim.session.session import Session, replay
from tests.session.benches import bench
from tests.session.hands import towards_frog


def play(session: Session) -> None:
    """A play with everything in it: a drive, throws under way, edits, a short, a reset, the meter."""
    script: dict[int, list[Act]] = {
        0: [Power(True), *towards_frog(0.7)],
        120: [Throw("T1")],
        140: [Do(MakeWire("bus.A", "T1.frog", colour="green"))],
        200: [Dial("volts"), Probe("T1.frog", "T1.stock.left")],
        260: [Direction("shunter", 1)],
        330: [Throw("T1"), Nudge("shunter", 3.0)],
        420: [Undo(), Reset()],
        500: [Put("shunter", "T1.toe", 33.0), Drive("shunter", 0.9), Power(True)],
        620: [Redo()],
        700: [Do(SetPlace("T1.gap.exit.left", "closed")), Throw("T1")],
    }
    for number in range(900):
        session.step(Session.DT, script.get(number, []))


def told(session: Session) -> str:
    """A snapshot to the last bit, its sets in order."""

    def plain(value: object) -> object:
        if isinstance(value, frozenset):
            return sorted(value)
        if isinstance(value, float):
            return value.hex()
        return repr(value)

    shot = dataclasses.asdict(dataclasses.replace(session.snapshot(), bench=None))  # type: ignore[arg-type]
    return json.dumps(_walk(shot, plain), sort_keys=True)


def _walk(value: object, plain: Callable[[object], object]) -> object:
    if isinstance(value, Mapping):
        return {str(k): _walk(v, plain) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_walk(v, plain) for v in value]
    return plain(value)


def played() -> Session:
    session = Session(bench(frog="exchanged", end="T1.toe", mm=60.0))
    play(session)
    return session


def test_a_replay_ends_in_the_same_snapshot_in_another_process() -> None:
    session = played()
    again = replay(bench(frog="exchanged", end="T1.toe", mm=60.0), session.record, session.steps)
    assert again.snapshot() == session.snapshot()
    assert again.record == session.record
    code = "from tests.session.test_same_again import played, told\nprint(told(played()))"
    root = Path(__file__).parents[2]
    there = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert there.stdout.strip() == told(session)
    # the play was worth it: something tripped, something moved
    assert session.snapshot().play.trips > 0


def test_a_replay_with_one_act_left_out_ends_elsewhere() -> None:
    session = played()
    record = tuple(entry for entry in session.record if not isinstance(entry[1], Direction))
    again = replay(bench(frog="exchanged", end="T1.toe", mm=60.0), record, session.steps)
    assert told(again) != told(session)

"""A train driven over a bench by the session, and where along its path its wheels short.

The breaker is made so slow that it never opens: the train is driven while it has the volts, and pushed on by hand where
it has not, so that it meets every place of its path.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sim.session.acts import Act, Drive, Nudge, Power
from sim.session.session import Session
from tests.practice.documents import Document, bench_of, supplies, with_settings

__all__ = ["BRISK", "SLOW", "Passed", "Run", "Seen", "driven", "ready", "spans"]

_PUSH_MM = 0.2
_STANDS = 1.0  # mm/s
SLOW, BRISK = 0.12, 0.4
_LONGEST = 20_000  # steps
_JUMP_MM = 3.0  # further than that no train comes in a step: the drawing of a loop that does not close


@dataclass(frozen=True)
class Run:
    """A vehicle set on a path of a piece, its leading axle towards the path's last end if `forward`.

    from_mm, to_mm: where its leading axle begins and ends, along the path from its first end; they may lie beyond it.
    throttle: SLOW for steps of 0.2 mm, BRISK for some of about 1 mm.
    """

    path: tuple[str, str]
    forward: bool
    length_mm: float
    from_mm: float
    to_mm: float
    throttle: float = SLOW


@dataclass(frozen=True)
class Seen:
    """The train at one step: its leading axle along the path, and the amps that its supply gives."""

    at_mm: float
    amps: float
    touching: frozenset[str]
    derailed: bool


@dataclass(frozen=True)
class Passed:
    """A place where a supply gave more than its breaker lets pass: from, to and the rails under the wheels there."""

    from_mm: float
    to_mm: float
    touching: frozenset[str]


def ready(document: Document, settings: Mapping[str, str], vehicle: str, end: str, mm: float) -> Document:
    """The bench with one train, "here", its leading axle that far in from an end which it faces, and a slow breaker."""
    changed = copy.deepcopy(with_settings(document, settings))
    for supply in [changed["supply"]] if isinstance(changed["supply"], dict) else changed["supply"]:
        supply |= {"trip_seconds": 60.0, "on": False}
    changed["train"] = [{"id": "here", "vehicles": [vehicle], "at": {"end": end, "mm": mm}}]
    return changed


def driven(document: Document, settings: Mapping[str, str], vehicle: str, run: Run) -> Iterator[Seen]:
    """Every step of the run, the levers set so; it ends where the run does, or with a derailment.

    Raises TimeoutError where the train gets no further.
    """
    # its leading axle faces the end that it runs to
    end, mm = (run.path[1], run.length_mm - run.from_mm) if run.forward else (run.path[0], run.from_mm)
    session = Session(bench_of(ready(document, settings, vehicle, end, mm)))
    acts: Sequence[Act] = (Power(True), Drive("here", run.throttle))
    ahead = 1 if run.forward else -1
    at, before = run.from_mm, None
    for _ in range(_LONGEST):
        shot = session.step(Session.DT, acts)
        (train,) = shot.trains
        x, y, _ = train.vehicles[0].axles[0]
        if before is not None:
            gone = math.hypot(x - before[0], y - before[1])
            at += ahead * gone if gone < _JUMP_MM else ahead * _PUSH_MM
        before = (x, y)
        sides = (side for axle in train.vehicles[0].touching for side in axle)
        rails = frozenset(rail.partition("/")[0] for side in sides for rail in side)
        yield Seen(at, max(supply.amps for supply in shot.supplies), rails, train.derailed)
        if train.derailed or ahead * (run.to_mm - at) <= 0:
            return
        acts = (Nudge("here", _PUSH_MM),) if abs(train.speed_mm_s) < _STANDS else ()
    raise TimeoutError(f"{vehicle} stands at {at:.1f} mm of {run.path}")


def spans(document: Document, seen: Sequence[Seen]) -> list[Passed]:
    """The places at which the current reached what the breaker opens at."""
    kinds = {"dcc": 3.0, "dc": 1.0}
    (supply,) = supplies(document)
    trip = supply.get("trip_amps", kinds[supply["kind"]])
    found: list[Passed] = []
    open_now = False
    for one in seen:
        if one.amps < trip:
            open_now = False
            continue
        if not open_now:
            found.append(Passed(one.at_mm, one.at_mm, one.touching))
            open_now = True
            continue
        last = found[-1]
        low, high = min(last.from_mm, one.at_mm), max(last.to_mm, one.at_mm)
        found[-1] = Passed(low, high, last.touching | one.touching)
    return found

"""The score of a level: marks out of 100, part by part (syllabus.md).

A bench on which nothing runs earns nothing for being safe or tidy: a run that dies is not safe, and a bench is tidy
only once the test passes.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from sim.bench.level import GOALS
from sim.bench.model import Bench
from sim.proof.verdict import Verdict
from sim.track.layout import Layout
from sim.train.fleet import tested
from sim.wiring.feeds import Feeds, Side
from sim.wiring.positions import positions
from sim.wiring.switched import SwitchedCircuit

__all__ = ["WEIGHTS", "Mark", "Marks", "idle_wires", "score"]

WEIGHTS = {"safe": 35, "live": 25, "foreseen": 10, "checked": 15, "tidy": 15}
_UNTIDY = 0.4  # of the tidy mark, for each idle wire and each rail that lives from a touch


@dataclass(frozen=True, slots=True)
class Mark:
    """One part of the score: marks reached and marks to be had."""

    name: str
    reached: int
    of: int


@dataclass(frozen=True, slots=True)
class Marks:
    """The score of a level; `passed`: the test of every route passed; `idle`: wires that do nothing."""

    parts: tuple[Mark, ...]
    passed: bool
    idle: tuple[int, ...]

    @property
    def total(self) -> int:
        """Out of 100."""
        return sum(part.reached for part in self.parts)


def idle_wires(bench: Bench) -> tuple[int, ...]:
    """Wires (by their place in the file) without which every rail is fed as before, none by a touch that was not.

    Nor is one idle that leads round a lamp: without it the lamp would be in line.

    Tried one at a time; of two that do the same both count as one: the later is idle.
    """
    found: list[int] = []
    kept = bench
    for index in reversed(range(len(bench.wires))):
        without = dataclasses.replace(kept, wires=kept.wires[:index] + kept.wires[index + 1 :])
        if _fed(without) == _fed(kept):
            found.append(index)
            kept = without
    return tuple(sorted(found))


def _fed(bench: Bench) -> list[tuple[dict[str, Side], ...]]:
    """What feeds what in every setting, also without touches, and past lamps; units at rest, and each turned."""
    switched = SwitchedCircuit(bench, Layout(bench))
    every, firm = Feeds(bench, switched), Feeds(bench, switched, ("blade", "joint"))
    ways = (every, firm, Feeds(bench, switched, ("lamp",))) if bench.lamps else (every, firm)
    units = [{}, *({unit.id: "b"} for unit in bench.polarities)]
    settings = [switched.made(travel, turned) for travel in positions(bench) for turned in units]
    return [tuple(way.rails(made) for way in ways) for made in settings]


def _weights(goals: tuple[str, ...]) -> dict[str, int]:
    """Marks of each part that the level asks for, 100 in all: those not asked for are shared out over the rest."""
    asked = [goal for goal in GOALS if goal in goals]
    whole = sum(WEIGHTS[goal] for goal in asked)
    if not whole:
        return {}
    exact = {goal: 100 * WEIGHTS[goal] / whole for goal in asked}
    marks = {goal: int(share) for goal, share in exact.items()}
    for goal in sorted(asked, key=lambda g: exact[g] - marks[g], reverse=True)[: 100 - sum(marks.values())]:
        marks[goal] += 1
    return marks


def _runs(bench: Bench, verdict: Verdict) -> bool:
    """Whether any engine runs through anywhere. A wagon never dies, so its runs say nothing of a bench without feed."""
    layout = Layout(bench)
    scales = {layout.scale(piece).name for piece in layout.pieces}
    rolled = {one.name for scale in scales for one in tested(bench, scale) if one.draws_amps <= 0}
    engines = [route for route in verdict.routes if route.vehicle not in rolled]
    return any(route.live for route in engines) or not engines


def score(bench: Bench, verdict: Verdict, *, foreseen: float, checked: bool) -> Marks:
    """The marks of a level.

    Args:
        bench: as it was tested; its [level] says what is asked for (nothing: all five parts).
        foreseen: share (0 to 1) of the predictions asked for that were made before power, and right.
        checked: whether the readings were right and taken before the first power-on, as the session tells it.
    """
    weights = _weights(bench.level.goals if bench.level is not None else GOALS)
    idle = idle_wires(bench)
    by_touch = [finding for finding in verdict.findings if finding.kind in ("blade-fed", "joiner-fed")]
    touched = {rail for finding in by_touch for rail in finding.touching}
    runs = _runs(bench, verdict)
    shares = {
        "safe": verdict.shares.safe if runs else 0.0,
        "live": verdict.shares.live if runs else 0.0,
        "foreseen": foreseen,
        "checked": 1.0 if checked else 0.0,
        "tidy": max(0.0, 1.0 - _UNTIDY * (len(idle) + len(touched))) if verdict.passed else 0.0,
    }
    parts = tuple(Mark(name, int(of * shares[name] + 1e-9), of) for name, of in weights.items())
    return Marks(parts, verdict.passed, idle)

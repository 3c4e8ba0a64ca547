"""Why a breaker opened: the amps that flowed, the loop they took, what touched what, in a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from sim.bench.model import Bench
from sim.bench.table import Table
from sim.electric.parts import PartRef
from sim.session.electrics import Solved
from sim.session.points import words_of
from sim.session.snapshot import FaultView
from sim.wiring.loop import trace
from sim.wiring.telling import flow_words, joined_rails, metal_words, opening, whose_breaker

__all__ = ["fault_of"]


def fault_of(
    bench: Bench, supply: str, solved: Solved, travel: Mapping[str, float], feeds: Mapping[str, str],
    names: Mapping[str, str],
) -> FaultView:  # fmt: skip
    """The fault that opens a supply's breaker.

    Args:
        solved: what flowed at the last moment before it opened.
        names: of every vehicle on the track, "train:index" to its name.
    """
    model = next(each for each in bench.supplies if each.id == supply)
    amps = solved.solution.amps[PartRef("supply", supply)]
    start, goal = (model.a, model.b) if amps >= 0 else (model.b, model.a)
    loop = trace(bench, solved.circuit, solved.solution.amps, start, goal)
    what = metal_words(bench, loop, feeds, names) or "the two sides are joined with no wheel between them"
    flowed = flow_words(bench, supply, amps, "flowed")
    opened = ": it opened" if abs(amps) > model.most_amps else f"; {whose_breaker(bench, supply)} opened"
    text = f"{opening(bench, words_of(travel))}{what}. {flowed[:1].upper()}{flowed[1:]}{opened}."
    share = min(1.0, model.most_amps / abs(amps))  # a supply that limits lessens all currents alike
    loop = tuple(replace(step, amps=step.amps * share) for step in loop)
    through = Table((ref, value * share) for ref, value in solved.amps.items())
    return FaultView(supply, abs(amps) * share, text, loop, joined_rails(loop), through)

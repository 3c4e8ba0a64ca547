"""Why a breaker opened: the amps that flowed, the loop they took, what touched what, in a sentence."""

from __future__ import annotations

from collections.abc import Mapping

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.session.electrics import Solved
from sim.session.points import words_of
from sim.session.snapshot import FaultView
from sim.wiring.loop import trace
from sim.wiring.telling import amps_words, joined_rails, metal_words, opening, whose_breaker

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
    breaker = whose_breaker(bench, supply)
    text = f"{opening(bench, words_of(travel))}{what}. {amps_words(amps)} flowed; {breaker} opened."
    return FaultView(supply, abs(amps), text, loop, joined_rails(loop), solved.amps)

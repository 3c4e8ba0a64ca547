"""The goals on the job sheet."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sim.bench.level import GOALS, Level

__all__ = ["GOAL_WORDS", "GoalView", "goal_views"]

GOAL_WORDS = {
    "safe": "No route shorts.",
    "live": "No engine dies on any route.",
    "foreseen": "What each frog must match, said before power.",
    "checked": "The four readings right, supply unplugged, before power.",
    "tidy": "No idle wire, no rail that lives from a touch alone.",
}


@dataclass(frozen=True, slots=True)
class GoalView:
    """A goal of the level: its mark's name, its words on the job sheet, whether it is reached so far."""

    name: str
    words: str
    done: bool


def goal_views(level: Level | None, *, foreseen: bool, checked: bool, reached: Collection[str]) -> tuple[GoalView, ...]:
    """The goals of the level, in the order of the marks; `reached`: those that the last test found reached."""
    if level is None:
        return ()
    done = {"foreseen": foreseen, "checked": checked}
    return tuple(
        GoalView(name, GOAL_WORDS[name], done.get(name, name in reached)) for name in GOALS if name in level.goals
    )

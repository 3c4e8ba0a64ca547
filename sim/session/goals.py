"""The goals on the job sheet, and the facts of play that the marks are made from."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from sim.bench.level import GOALS, SETTINGS
from sim.bench.model import Bench
from sim.session.acts import Predict, Side
from sim.session.frogs import all_right, frog_pieces, frog_wired, must_match
from sim.session.snapshot import GoalView, PlayView, PredictionView, ReadingView
from sim.track.layout import Layout

__all__ = ["GOAL_WORDS", "Play", "goal_views"]

GOAL_WORDS = {
    "safe": "No route shorts.",
    "live": "No engine dies on any route.",
    "foreseen": "What each frog must match, said before power.",
    "checked": "The four readings right, supply unplugged, before power.",
    "tidy": "No idle wire, no rail that lives from a touch alone.",
}


_SIDES: Mapping[str, Side] = {"left": "left", "right": "right"}


class Play:
    """How the player went about it."""

    def __init__(self, bench: Bench) -> None:
        """Nothing done yet."""
        self.said: dict[tuple[str, str], Side] = {}
        self.powered = False
        self.into_short = 0
        self.trips = 0
        self._checked_then: bool | None = None
        self.lost = ""
        frogs = frog_pieces(bench)
        self._asked = tuple(p for p in bench.level.predict if p in frogs) if bench.level is not None else ()
        self.wanted = bench.level.readings if bench.level is not None else 0

    # -- saying it first -------------------------------------------------------------------------------------

    def say(self, prediction: Predict) -> None:
        """Keep a prediction; the last one said counts."""
        self.said[prediction.piece, prediction.setting] = prediction.side

    def predictions(self, layout: Layout) -> tuple[PredictionView, ...]:
        """What was said, and whether it is right."""
        return tuple(
            PredictionView(piece, setting, side, side == must_match(layout, piece, setting))
            for (piece, setting), side in self.said.items()
        )

    def _foreseen(self, layout: Layout) -> float:
        asked = [(piece, setting) for piece in self._asked for setting in SETTINGS]
        if not asked:
            return 0.0
        right = {(p.piece, p.setting) for p in self.predictions(layout) if p.right}
        return sum(each in right for each in asked) / len(asked)

    # -- remembering -----------------------------------------------------------------------------------------

    @property
    def facts(self) -> Mapping[str, object]:
        """All of it as plain values, for `take_up`."""
        return {
            "said": [[piece, setting, side] for (piece, setting), side in self.said.items()],
            "powered": self.powered,
            "into_short": self.into_short,
            "trips": self.trips,
            "checked": self._checked_then,
            "why": self.lost,
        }

    def take_up(self, facts: Mapping[str, Any]) -> None:
        """Go on from what was remembered. Raises KeyError, TypeError or ValueError for what is no such thing."""
        said = {(str(piece), str(setting)): _SIDES[side] for piece, setting, side in facts["said"]}
        powered, checked = facts["powered"], facts["checked"]
        if not isinstance(powered, bool) or not (checked is None or isinstance(checked, bool)):
            raise TypeError("powered and checked are true or false")
        self.into_short, self.trips = int(facts["into_short"]), int(facts["trips"])
        self.lost = str(facts["why"])
        self.said, self.powered, self._checked_then = said, powered, checked

    # -- power -----------------------------------------------------------------------------------------------

    def power(
        self, bench: Bench, layout: Layout, readings: Iterable[ReadingView], taken: int, *, into_short: bool
    ) -> None:
        """A supply has begun to give its volts; `taken`: how many readings count."""
        self.into_short += into_short
        if self.powered or not frog_wired(bench):
            return
        self.powered = True
        readings = tuple(readings)
        self._checked_then = self._right(bench, layout, readings, taken) and not into_short
        self.lost = "" if self._checked_then else self._reason(taken, into_short=into_short)

    def _reason(self, taken: int, *, into_short: bool) -> str:
        """Why the bench was not checked when power came first."""
        if into_short:
            return "the first power met a short"
        if taken < self.wanted:
            return f"power after {taken} of {self.wanted} readings"
        return "power before the four readings were right"

    def _right(self, bench: Bench, layout: Layout, readings: Iterable[ReadingView], taken: int) -> bool:
        """Whether enough was measured, and of every frog all four readings, right; enough alone where there is none."""
        if not frog_pieces(bench):
            return 0 < self.wanted <= taken
        return taken >= self.wanted and all_right(bench, layout, readings)

    def view(
        self, bench: Bench, layout: Layout, readings: Collection[ReadingView], *, cautions: int, taken: int
    ) -> PlayView:
        """The facts so far."""
        then = self._checked_then
        right = self._right(bench, layout, readings, taken) if then is None else then
        why = "ohms were measured with the supply plugged in" if cautions else self.lost if then is False else ""
        return PlayView(
            self.powered, self.into_short, self.trips, cautions, taken, self._foreseen(layout), right and not cautions,
            why,
        )  # fmt: skip


def goal_views(bench: Bench, play: PlayView, reached: Collection[str]) -> tuple[GoalView, ...]:
    """The goals of the level, in the order of the marks; `reached`: those that the last test found reached."""
    if bench.level is None:
        return ()
    done = {"foreseen": play.foreseen == 1.0, "checked": play.checked}
    return tuple(
        GoalView(name, GOAL_WORDS[name], done.get(name, name in reached)) for name in GOALS if name in bench.level.goals
    )

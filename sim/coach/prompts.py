"""Which prompt of a level stands beside the thing to touch now: it goes on by what is seen of the bench, never back."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.bench.point_set import setting_near
from sim.bench.prompt import (
    AsSolved,
    Condition,
    Joined,
    Live,
    Over,
    Passed,
    Prompt,
    Read,
    Runs,
    Shorted,
    Stalled,
    Unplugged,
)
from sim.coach.hints import fed_as, solved
from sim.session.snapshot import Snapshot, TrainView

__all__ = ["Prompts"]

_MOVES = 1.0  # mm/s, from here on a train is seen to run; our choice


class Prompts:
    """The prompts of one level, told one after another."""

    def __init__(self, filed: Bench) -> None:
        """From how the level was filed; a bench without prompts has none."""
        self._prompts = filed.level.prompts if filed.level is not None else ()
        self._target = solved(filed) if self._prompts else filed
        self._at = 0
        self._fed_over: bool | None = None  # while an engine is on the frog: whether it has been fed all the way
        self._fed: tuple[Bench, bool] | None = None

    @property
    def now(self) -> Prompt | None:
        """The prompt that stands there; None after the last."""
        return self._prompts[self._at] if self._at < len(self._prompts) else None

    def beside(self, now: Snapshot) -> str:
        """What the prompt stands beside; where power is wanted, an unplugged supply's plug before its rocker."""
        prompt = self.now
        if prompt is None:
            return ""
        unplugged = not any(supply.plugged for supply in now.supplies)
        return "plug" if prompt.at == "rocker" and prompt.until == Live(True) and unplugged else prompt.at

    @property
    def place(self) -> tuple[int, int]:
        """Which one it is, from 1, and how many there are."""
        return min(self._at + 1, len(self._prompts)), len(self._prompts)

    def begin(self) -> None:
        """From the first one again."""
        self._at = 0

    def follow(self, now: Snapshot) -> None:
        """Go on past every prompt whose end has come."""
        if now.verdict is not None and now.verdict.passed:
            self._at = len(self._prompts)
        while (prompt := self.now) is not None and self._met(prompt.until, now):
            self._at += 1

    def _met(self, until: Condition, now: Snapshot) -> bool:
        match until:
            case Stalled(train):
                return any(_stalled(view) for view in now.trains if view.id == train)
            case Runs(train):
                return any(view.running and abs(view.speed_mm_s) > _MOVES for view in now.trains if view.id == train)
            case Over(piece, setting):
                return self._over(piece, setting, now)
            case Joined(ends):
                return any(set(wire.ends) == set(ends) for wire in now.bench.wires)
            case Unplugged(unplugged):
                return unplugged == (not any(supply.plugged for supply in now.supplies))
            case Live(live):
                return live == any(s.on and s.plugged and not s.tripped for s in now.supplies)
            case Read(count):
                return sum(reading.unplugged for reading in now.readings) >= count
            case Shorted(short):
                return short == (now.fault is not None or any(supply.tripped for supply in now.supplies))
            case AsSolved(as_solved):
                return as_solved == self._is_fed(now.bench)
            case Passed(passed):
                return passed == (now.verdict is not None and now.verdict.passed)

    def _over(self, piece: str, setting: str, now: Snapshot) -> bool:
        """Whether an engine has run over that frog and off it again, fed all the way, with the points lying so."""
        frogs = {frog for each in now.bench.tracks if each.id == piece for frog in each.frogs}
        on_it = [
            train
            for train in now.trains
            if any(frogs.intersection(side) for vehicle in train.vehicles for axle in vehicle.touching for side in axle)
        ]
        lies = setting_near(now.travel.get(piece, 0.0)) == setting
        if on_it:
            runs = lies and all(train.running and abs(train.speed_mm_s) > _MOVES for train in on_it)
            self._fed_over = runs and self._fed_over is not False
            return False
        over, self._fed_over = bool(self._fed_over) and lies, None
        return over

    def _is_fed(self, bench: Bench) -> bool:
        if self._fed is None or self._fed[0] is not bench:
            self._fed = bench, fed_as(bench, self._target)
        return self._fed[1]


def _stalled(train: TrainView) -> bool:
    return train.throttle > 0 and not train.running and not train.derailed and abs(train.speed_mm_s) < _MOVES



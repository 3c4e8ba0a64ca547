"""Which prompt of a level stands beside the thing to touch now: it goes on by what is seen of the bench, never back."""

from __future__ import annotations

from sim.bench.model import Bench, Wire
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
        self._fed_over: dict[str, tuple[str, bool]] = {}  # frogs with an engine on them: how the points lie, fed so far
        self._run_over: set[tuple[str, str]] = set()
        self._wires: tuple[Wire, ...] = ()
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
        self._run_over.clear()
        self._fed_over.clear()

    def follow(self, now: Snapshot) -> None:
        """Go on past every prompt whose end has come."""
        if now.verdict is not None and now.verdict.passed:
            self._at = len(self._prompts)
        self._watch(now)
        while (prompt := self.now) is not None and self._met(prompt.until, now):
            self._at += 1

    def _met(self, until: Condition, now: Snapshot) -> bool:
        match until:
            case Stalled(train):
                return any(_stalled(view) for view in now.trains if view.id == train)
            case Runs(train):
                return any(view.running and abs(view.speed_mm_s) > _MOVES for view in now.trains if view.id == train)
            case Over(piece, setting):
                return (piece, setting) in self._run_over
            case Joined(ends, off):
                pairs = {frozenset(wire.ends) for wire in now.bench.wires}
                return frozenset(ends) in pairs and (off is None or frozenset((ends[0], off)) not in pairs)
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

    def _watch(self, now: Snapshot) -> None:
        """See which frogs an engine has run over and off again, fed all the way, and how the points lay.

        What was run over before something was wired says nothing of the bench as it is now.
        """
        if now.bench.wires != self._wires:
            self._wires = now.bench.wires
            self._run_over.clear()
            self._fed_over.clear()
        for piece in dict.fromkeys(p.until.piece for p in self._prompts[self._at :] if isinstance(p.until, Over)):
            frogs = {frog for each in now.bench.tracks if each.id == piece for frog in each.frogs}
            on_it = [train for train in now.trains if _on_any(train, frogs)]
            lies = setting_near(now.travel.get(piece, 0.0))
            if on_it:
                runs = all(train.running and abs(train.speed_mm_s) > _MOVES for train in on_it)
                before = self._fed_over.get(piece, (lies, True))
                self._fed_over[piece] = lies, runs and before == (lies, True)
            elif self._fed_over.pop(piece, None) == (lies, True):
                self._run_over.add((piece, lies))

    def _is_fed(self, bench: Bench) -> bool:
        if self._fed is None or self._fed[0] is not bench:
            self._fed = bench, fed_as(bench, self._target)
        return self._fed[1]


def _on_any(train: TrainView, frogs: set[str]) -> bool:
    touched = (side for vehicle in train.vehicles for axle in vehicle.touching for side in axle)
    return any(frogs.intersection(side) for side in touched)


def _stalled(train: TrainView) -> bool:
    return train.throttle > 0 and not train.running and not train.derailed and abs(train.speed_mm_s) < _MOVES

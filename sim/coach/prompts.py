"""Which prompt of a level stands beside the thing to touch now: it goes on by what is seen of the bench, never back.

What stands in the way of it is said in its place: a wire that is wrong, an engine on the frog that is to be measured.
"""

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
from sim.coach.astray import Astray, joined_by_wires
from sim.coach.hints import fed_as, solved
from sim.session.frogs import pair_of
from sim.session.snapshot import ReadingView, Snapshot, TrainView

__all__ = ["Prompts"]

_WHEELS = "Its wheels join the frog to a rail. First drag it off the frog, or push it with key N."
_PLUGGED = "First pull the plug out: plugged in, the supply joins the two sides for the meter."
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
        self._astray = Astray(filed, self._prompts)
        self._by_wheels: dict[tuple[str, str, str], tuple[ReadingView, bool]] = {}  # taken with an engine on the frog

    @property
    def now(self) -> Prompt | None:
        """The prompt that has been come to; None after the last."""
        return self._prompts[self._at] if self._at < len(self._prompts) else None

    def stands(self, now: Snapshot) -> tuple[str, str] | None:
        """The sentence that stands on the bench and what it stands beside; None where there is nothing to say.

        Where power is wanted, that is an unplugged supply's plug before its rocker. In a short the job sheet has the
        word, but for a wire that is wrong and for prompts that are about it.
        """
        prompt = self.now
        if prompt is None:
            return None
        stray = self._astray.of(now.bench, self._at)
        if stray is not None:
            return stray.say, stray.at
        if now.fault is not None and not isinstance(prompt.until, AsSolved | Live):
            return None
        plugged = any(supply.plugged for supply in now.supplies)
        if isinstance(prompt.until, Read):
            train = next((view for view in now.trains if _on_any(view, _frogs(now.bench))), None)
            if train is not None:
                return _WHEELS, train.id
            if plugged:
                return _PLUGGED, "plug"
        return prompt.say, "plug" if prompt.at == "rocker" and prompt.until == Live(True) and not plugged else prompt.at

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
        self._read(now)
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
                wires = now.bench.wires
                return joined_by_wires(wires, *ends) and (off is None or not joined_by_wires(wires, ends[0], off))
            case Unplugged(unplugged):
                return unplugged == (not any(supply.plugged for supply in now.supplies))
            case Live(live):
                return live == any(s.on and s.plugged and not s.tripped for s in now.supplies)
            case Read(count):
                return sum(reading.unplugged and not wheels for reading, wheels in self._by_wheels.values()) >= count
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

    def _read(self, now: Snapshot) -> None:
        """See which readings were taken with wheels on the frog, which join it to a rail: they tell of no wiring."""
        was, self._by_wheels = self._by_wheels, {}
        red, black = now.meter.red, now.meter.black
        tips = None if red is None or black is None else pair_of(now.bench, red, black)
        for reading in now.readings:
            key = reading.piece, reading.setting, reading.side
            frogs = {frog for each in now.bench.tracks if each.id == reading.piece for frog in each.frogs}
            on_it = any(_on_any(train, frogs) for train in now.trains)
            taken, wheels = was.get(key, (None, False))
            here = tips == (reading.piece, reading.side) and setting_near(now.travel[reading.piece]) == reading.setting
            self._by_wheels[key] = reading, on_it if taken != reading or (here and not on_it) else wheels

    def _is_fed(self, bench: Bench) -> bool:
        if self._fed is None or self._fed[0] is not bench:
            self._fed = bench, fed_as(bench, self._target)
        return self._fed[1]


def _frogs(bench: Bench) -> set[str]:
    return {frog for piece in bench.tracks for frog in piece.frogs}


def _on_any(train: TrainView, frogs: set[str]) -> bool:
    touched = (side for vehicle in train.vehicles for axle in vehicle.touching for side in axle)
    return any(frogs.intersection(side) for side in touched)


def _stalled(train: TrainView) -> bool:
    return train.throttle > 0 and not train.running and not train.derailed and abs(train.speed_mm_s) < _MOVES

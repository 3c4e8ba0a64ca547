"""What is worked out in slices while the window goes on: every route tested, wirings compared, each thing opened."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from sim.bench.model import Bench
from sim.game.whereabouts.viewstate import Note, ViewState
from sim.proof import TooMuch
from sim.proof.breaking import Broken, break_each
from sim.proof.compare import Comparison, compare
from sim.proof.prove import OfPiece, steps
from sim.proof.remembered import Remembered
from sim.proof.verdict import Verdict

__all__ = ["Asking", "RouteTest", "too_much_note"]

_NOTE_AT = (220.0, 160.0)  # px: free mat at every size
_SLICES = 2  # of the work in one frame


def too_much_note(why: str) -> Note:
    """What is said where a bench is too large to be tested."""
    return Note(_NOTE_AT, ("This bench is too much to test:", f"{why}."))


class RouteTest:
    """The test of every route. What the one before found out it need not find out again."""

    def __init__(self) -> None:
        self._steps: Iterator[float | Verdict] | None = None
        self._remembered: Remembered[OfPiece] = Remembered()

    @property
    def runs(self) -> bool:
        """Whether one is under way."""
        return self._steps is not None

    def begin(self, bench: Bench) -> None:
        """Begin to test a bench."""
        self._steps = steps(bench, remembered=self._remembered)

    def stop(self) -> None:
        """Give it up."""
        self._steps = None

    def go_on(self) -> float | Verdict | None:
        """A slice further: the share that is done, or the verdict. Raises TooMuch."""
        if self._steps is None:
            return None
        done = next(self._steps)
        if isinstance(done, Verdict):
            self._steps = None
        return done


class Asking:
    """One piece of work at a time. Each call gives the view with what it changes."""

    def __init__(self) -> None:
        self._work: Iterator[float | tuple[Broken, ...] | Comparison] | None = None
        self._benches: tuple[Bench, Bench] | None = None

    @property
    def busy(self) -> bool:
        """Whether something is being worked out."""
        return self._work is not None

    def compare(self, bench: Bench, view: ViewState) -> ViewState:
        """Keep the bench as the first wiring; with one kept, begin to compare the two."""
        if self.busy:
            return view
        if view.first is None:
            return replace(view, first=bench, folded=False)  # the drawer says so
        self._benches = (view.first, bench)
        self._work = compare(view.first, bench)
        return _begun(view, "compare")

    def break_each(self, bench: Bench, view: ViewState) -> ViewState:
        """Begin to open each thing once; with the list open, put it away."""
        if self.busy:
            return view
        if view.broken is not None:
            return replace(view, broken=None, broken_ref=None)
        self._work = break_each(bench)
        return _begun(view, "break")

    def stop(self, view: ViewState) -> ViewState:
        """Give it up: the bench has changed, or it was asked to end."""
        was, self._work = self._work, None
        return view if was is None else replace(view, work=None)

    def go_on(self, view: ViewState) -> ViewState:
        """Work a little further."""
        if self._work is None or view.work is None:
            return view
        done: float | tuple[Broken, ...] | Comparison = view.work[1]
        try:
            for _ in range(_SLICES):
                done = next(self._work)
                if not isinstance(done, float):
                    break
        except TooMuch as too_much:
            self._work = None
            return replace(view, work=None, said=too_much_note(str(too_much)))
        if isinstance(done, float):
            return replace(view, work=(view.work[0], done))
        self._work = None
        if isinstance(done, Comparison):
            benches = self._benches
            return replace(view, work=None, focus=None, compared=None if benches is None else (*benches, done))
        return replace(view, work=None, focus=None, broken=done, broken_top=0, broken_ref=None)


def _begun(view: ViewState, work: str) -> ViewState:
    """Some work begun, the sheet open to show how far it is."""
    return replace(view, work=(work, 0.0), folded=False, opened=None, menu_wire=None, broken=None)

"""What the test track works out in slices while the window goes on: two wirings compared, each thing opened once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sim.bench.model import Bench
from sim.game.whereabouts.viewstate import Note, ViewState
from sim.proof import TooMuch
from sim.proof.breaking import Broken, break_each
from sim.proof.compare import Comparison, compare

__all__ = ["Asking", "too_much_note"]

_NOTE_AT = (220.0, 160.0)  # px: free mat at every size
_SLICES = 2  # of the work in one frame


def too_much_note(why: str) -> Note:
    """What is said where a bench is too large to be tested."""
    return Note(_NOTE_AT, ("This bench is too much to test:", f"{why}."))


class Asking:
    """One piece of work at a time. Each call gives the fields of the view that change."""

    def __init__(self) -> None:
        self._work: Iterator[float | tuple[Broken, ...] | Comparison] | None = None
        self._benches: tuple[Bench, Bench] | None = None

    @property
    def busy(self) -> bool:
        """Whether something is being worked out."""
        return self._work is not None

    def compare(self, bench: Bench, view: ViewState) -> Mapping[str, object]:
        """Keep the bench as the first wiring; with one kept, begin to compare the two."""
        if self.busy:
            return {}
        if view.first is None:
            return {"first": bench, "folded": False}  # the drawer says so
        self._benches = (view.first, bench)
        self._work = compare(view.first, bench)
        return {"work": ("compare", 0.0), "folded": False, "opened": None, "menu_wire": None, "broken": None}

    def break_each(self, bench: Bench, view: ViewState) -> Mapping[str, object]:
        """Begin to open each thing once; with the list open, put it away."""
        if self.busy:
            return {}
        if view.broken is not None:
            return {"broken": None, "broken_ref": None}
        self._work = break_each(bench)
        return {"work": ("break", 0.0), "folded": False, "opened": None, "menu_wire": None, "broken": None}

    def stop(self) -> Mapping[str, object]:
        """Give it up: the bench has changed, or it was asked to end."""
        was, self._work = self._work, None
        return {} if was is None else {"work": None}

    def go_on(self, view: ViewState) -> Mapping[str, object]:
        """Work a little further."""
        if self._work is None or view.work is None:
            return {}
        done: float | tuple[Broken, ...] | Comparison = view.work[1]
        try:
            for _ in range(_SLICES):
                done = next(self._work)
                if not isinstance(done, float):
                    break
        except TooMuch as too_much:
            self._work = None
            return {"work": None, "said": too_much_note(str(too_much))}
        if isinstance(done, float):
            return {"work": (view.work[0], done)}
        self._work = None
        if isinstance(done, Comparison):
            benches = self._benches
            return {"work": None, "focus": None, "compared": None if benches is None else (*benches, done)}
        return {"work": None, "focus": None, "broken": done, "broken_top": 0, "broken_ref": None}

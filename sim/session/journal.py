"""The log on the job sheet: what happened, in plain sentences."""

from __future__ import annotations

from sim.session.snapshot import LogEvent, LogMark

__all__ = ["KEPT", "Journal"]

KEPT = 200  # sentences


class Journal:
    """The latest sentences, oldest first; one that would only repeat the last is left out.

    marks: where in it something happened of which others may tell more.
    """

    def __init__(self) -> None:
        """Empty."""
        self.lines: tuple[str, ...] = ()
        self.marks: tuple[LogMark, ...] = ()
        self._told = 0
        self._marked = False

    @property
    def first(self) -> int:
        """The number of the oldest sentence that is kept, counted from 0."""
        return self._told - len(self.lines)

    def tell(self, sentence: str) -> None:
        """Add a sentence; an empty one is nothing. After a mark also one that repeats the last is kept."""
        if sentence and (self._marked or self.lines[-1:] != (sentence,)):
            self.lines = (*self.lines, sentence)[-KEPT:]
            self._told += 1
            self._marked = False

    def mark(self, event: LogEvent) -> None:
        """Something has happened after the last sentence."""
        self.marks = (*self.marks, LogMark(event, self._told))
        self._marked = True

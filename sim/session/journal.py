"""The log on the job sheet: what happened, in plain sentences."""

from __future__ import annotations

__all__ = ["Journal"]

_KEPT = 200  # sentences


class Journal:
    """The latest sentences, oldest first; one that would only repeat the last is left out."""

    def __init__(self) -> None:
        """Empty."""
        self.lines: tuple[str, ...] = ()

    def tell(self, sentence: str) -> None:
        """Add a sentence; an empty one is nothing."""
        if sentence and self.lines[-1:] != (sentence,):
            self.lines = (*self.lines, sentence)[-_KEPT:]

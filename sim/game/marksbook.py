"""Where the window keeps marks and settings: any book that knows them. The front door hands one in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

__all__ = ["Forgetful", "Kept", "MarksBook"]


class Kept(Protocol):
    """What is kept of a level: marks out of 100, and whether it was ever passed."""

    @property
    def marks(self) -> int:
        """The best so far."""
        ...

    @property
    def passed(self) -> bool:
        """Passed at least once."""
        ...


class MarksBook(Protocol):
    """A book of marks and settings.

    Every call may raise ValueError with one plain line when the book cannot be read or written.
    """

    def best(self) -> Mapping[str, Kept]:
        """What is kept, by the level's name."""
        ...

    def keep(self, level: str, marks: int, passed: bool) -> None:
        """Write down what was reached on a level; the best stays."""
        ...

    def settings(self) -> Mapping[str, str]:
        """What was set up, by name."""
        ...

    def set(self, key: str, value: str) -> None:
        """Write down a setting in place of the one before."""
        ...


class _Line:
    def __init__(self, marks: int, passed: bool) -> None:
        self.marks = marks
        self.passed = passed


class Forgetful:
    """A book that lasts as long as the window."""

    def __init__(self) -> None:
        self._lines: dict[str, _Line] = {}
        self._settings: dict[str, str] = {}

    def best(self) -> Mapping[str, Kept]:
        """What was kept so far."""
        return self._lines

    def keep(self, level: str, marks: int, passed: bool) -> None:
        """Write it down."""
        old = self._lines.get(level, _Line(0, False))
        self._lines[level] = _Line(max(old.marks, marks), old.passed or passed)

    def settings(self) -> Mapping[str, str]:
        """What was set up so far."""
        return self._settings

    def set(self, key: str, value: str) -> None:
        """Write it down."""
        self._settings[key] = value

"""Where the window keeps marks and settings: any book that knows them. The front door hands one in."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Protocol

from sim.progress import Best, Left

__all__ = ["Forgetful", "MarksBook"]


class MarksBook(Protocol):
    """A book of marks, settings, benches left standing and files opened lately.

    Every call may raise ValueError with one plain line when the book cannot be read or written.
    """

    def best(self) -> Mapping[str, Best]:
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

    def left(self, name: str) -> Left | None:
        """The bench of that name as it was left."""
        ...

    def standing(self) -> Sequence[str]:
        """The names of all benches that were left, the last one first."""
        ...

    def leave(self, name: str, bench: str, facts: str) -> None:
        """Write down how a bench stands."""
        ...

    def clear(self, name: str) -> None:
        """Forget how it stood."""
        ...

    def recent(self) -> Sequence[str]:
        """The files opened or saved last, the last one first."""
        ...

    def opened(self, file: str) -> None:
        """Note that a file was opened or saved."""
        ...

    def unlist(self, file: str) -> None:
        """Take a file off the list of those opened lately."""
        ...


class Forgetful:
    """A book that lasts as long as the window."""

    def __init__(self) -> None:
        self._lines: dict[str, Best] = {}
        self._settings: dict[str, str] = {}
        self._left: dict[str, Left] = {}
        self._recent: list[str] = []

    def best(self) -> Mapping[str, Best]:
        """What was kept so far."""
        return self._lines

    def keep(self, level: str, marks: int, passed: bool) -> None:
        """Write it down."""
        old = self._lines.get(level, Best(0, False))
        self._lines[level] = Best(max(old.marks, marks), old.passed or passed)

    def settings(self) -> Mapping[str, str]:
        """What was set up so far."""
        return self._settings

    def set(self, key: str, value: str) -> None:
        """Write it down."""
        self._settings[key] = value

    def left(self, name: str) -> Left | None:
        """As it was left."""
        return self._left.get(name)

    def standing(self) -> Sequence[str]:
        """The last one first."""
        return tuple(reversed(self._left))

    def leave(self, name: str, bench: str, facts: str) -> None:
        """Write it down."""
        self._left.pop(name, None)
        self._left[name] = Left(bench, facts, math.inf)  # while the window is open nothing is older

    def clear(self, name: str) -> None:
        """Forget it."""
        self._left.pop(name, None)

    def recent(self) -> Sequence[str]:
        """The last one first."""
        return tuple(self._recent)

    def opened(self, file: str) -> None:
        """Note it."""
        self._recent = [file, *(other for other in self._recent if other != file)][:8]

    def unlist(self, file: str) -> None:
        """Take it off."""
        self._recent = [other for other in self._recent if other != file]

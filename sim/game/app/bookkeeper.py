"""Writing down without keeping the window waiting: a book that another program holds is written in the background.

What is to be written waits in a row, one entry for each thing (a bench that stands otherwise again takes the place of
how it stood before), so that the row cannot grow. A thread writes it for as long as there is something in it. Whoever
writes waits for that, as it takes a thousandth of a second and what is done then outlives the program; but goes on at
once where the book is held by another program, and after a moment where the disk is slow.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from sim.game.screens.marksbook import MarksBook
from sim.progress import Best, Left, ProgressBusy

__all__ = ["Bookkeeper"]

_MOMENT_S = 1.0  # that a slow disk is waited for
_HELD_S = 5.0  # after which it is told that a book is held
_AGAIN_S = 0.05  # between two looks whether it still is
_READ_S = 2.0  # that a reader waits for a book that is held; once, until it can be read again
_RECENT = 8

T = TypeVar("T")


class _Entry:
    """Something to be written: under which table and name, what it is (None: it is taken away), and how."""

    def __init__(self, table: str, name: str, what: object, write: Callable[[MarksBook], None]) -> None:
        self.key = (table, name)
        self.what = what
        self.write = write


class Bookkeeper:
    """A book that is written in the background. It is read as if all had been written already.

    Why something could not be written is raised, as ValueError, to whoever writes that or writes next; it is tried
    again with the next entry, and when the book is closed.
    """

    def __init__(self, book: MarksBook) -> None:
        """`book`: should not itself wait for another program that holds it, but raise ProgressBusy."""
        self._book = book
        self._door = threading.Lock()  # the book is for one at a time
        self._change = threading.Condition()  # guards all below
        self._row: dict[tuple[str, str], _Entry] = {}
        self._failed: set[_Entry] = set()  # of those in the row
        self._writing = False
        self._held = ""  # or why
        self._told_held = False
        self._fault = ""
        self._patient = True

    # -- reading ---------------------------------------------------------------------------------------------

    def best(self) -> Mapping[str, Best]:
        """What is kept, by the level's name."""
        waiting = self._waiting("best")
        out = dict(self._read(self._book.best))
        for level, reached in waiting.items():
            if isinstance(reached, Best):
                out[level] = _better(out.get(level), reached)
        return out

    def settings(self) -> Mapping[str, str]:
        """What was set up, by name."""
        waiting = self._waiting("settings")
        return {**self._read(self._book.settings), **{key: str(value) for key, value in waiting.items()}}

    def left(self, name: str) -> Left | None:
        """The bench of that name as it was left."""
        waiting = self._waiting("standing")
        if name in waiting:
            stands = waiting[name]
            return stands if isinstance(stands, Left) else None
        return self._read(lambda: self._book.left(name))

    def standing(self) -> Sequence[str]:
        """The names of all benches that were left, the last one first."""
        waiting = self._waiting("standing")
        return _brought_forward(waiting, self._read(self._book.standing))

    def recent(self) -> Sequence[str]:
        """The files opened or saved last, the last one first."""
        waiting = self._waiting("recent")
        return _brought_forward(waiting, self._read(self._book.recent))[:_RECENT]

    def _waiting(self, table: str) -> dict[str, object]:
        with self._change:
            return {name: entry.what for (of, name), entry in self._row.items() if of == table}

    def _read(self, read: Callable[[], T]) -> T:
        end = time.monotonic() + (_READ_S if self._patient else 0.0)
        while True:
            try:
                with self._door:
                    found = read()
            except ProgressBusy:
                if time.monotonic() >= end:
                    self._patient = False
                    raise
                time.sleep(_AGAIN_S)
            else:
                self._patient = True
                return found

    # -- writing ---------------------------------------------------------------------------------------------

    def keep(self, level: str, marks: int, passed: bool) -> None:
        """Write down what was reached on a level; the best stays."""
        waiting = self._waiting("best").get(level)
        reached = _better(waiting if isinstance(waiting, Best) else None, Best(marks, passed))
        self._put(_Entry("best", level, reached, lambda book: book.keep(level, reached.marks, reached.passed)))

    def set(self, key: str, value: str) -> None:
        """Write down a setting in place of the one before."""
        self._put(_Entry("settings", key, value, lambda book: book.set(key, value)))

    def leave(self, name: str, bench: str, facts: str) -> None:
        """Write down how a bench stands."""
        stands = Left(bench, facts, time.time())
        self._put(_Entry("standing", name, stands, lambda book: book.leave(name, bench, facts)))

    def clear(self, name: str) -> None:
        """Forget how it stood."""
        self._put(_Entry("standing", name, None, lambda book: book.clear(name)))

    def opened(self, file: str) -> None:
        """Note that a file was opened or saved."""
        self._put(_Entry("recent", file, True, lambda book: book.opened(file)))

    def unlist(self, file: str) -> None:
        """Take a file off the list of those opened lately."""
        self._put(_Entry("recent", file, None, lambda book: book.unlist(file)))

    def close(self) -> None:
        """Wait until all is written, some seconds for another program. Raises ValueError if it cannot be."""
        with self._change:
            self._fault = ""
            self._begin()
            self._change.wait_for(lambda: not self._writing, _HELD_S)
            fault, self._fault = self._fault, ""
            if self._writing:
                fault = fault or self._held or "what was reached last is not kept: the disk took too long"
        if fault:
            raise ValueError(fault)

    def _put(self, entry: _Entry) -> None:
        """Put something into the row, and wait for a moment until it is written."""
        with self._change:
            self._row.pop(entry.key, None)
            self._row[entry.key] = entry
            self._begin()
            self._change.wait_for(lambda: bool(self._held) or self._settled(entry), _MOMENT_S)
            fault, self._fault = self._fault, ""
        if fault:
            raise ValueError(fault)

    def _settled(self, entry: _Entry) -> bool:
        return entry in self._failed or self._row.get(entry.key) is not entry

    def _begin(self) -> None:
        """Let the row be written, also what failed before."""
        self._failed.clear()
        if self._row and not self._writing:
            self._writing = True
            threading.Thread(target=self._write, name="bookkeeper", daemon=True).start()

    def _next(self) -> _Entry | None:
        """The entry to be written next; None, and the work is done, where there is none."""
        with self._change:
            entry = next((entry for entry in self._row.values() if entry not in self._failed), None)
            if entry is None:
                self._writing, self._held = False, ""
                self._change.notify_all()
            return entry

    def _write(self) -> None:
        since: float | None = None
        while (entry := self._next()) is not None:
            try:
                with self._door:
                    entry.write(self._book)
            except ProgressBusy as wrong:
                since = since if since is not None else time.monotonic()
                self._is_held(str(wrong), long=time.monotonic() - since > _HELD_S)
                time.sleep(_AGAIN_S)
            except Exception as wrong:  # whatever it is, the thread must go on: it is told to whoever writes
                self._is_done(entry, str(wrong))
            else:
                since = None
                self._is_done(entry)

    def _is_held(self, why: str, *, long: bool) -> None:
        with self._change:
            self._held = why
            if long and not self._told_held:
                self._fault, self._told_held = why, True
            self._change.notify_all()

    def _is_done(self, entry: _Entry, fault: str = "") -> None:
        """An entry is written, or cannot be."""
        with self._change:
            self._held = ""
            if fault:
                self._failed.add(entry)
                self._fault = fault
            else:
                self._told_held = False
                if self._row.get(entry.key) is entry:
                    del self._row[entry.key]
            self._change.notify_all()


def _better(old: Best | None, new: Best) -> Best:
    return new if old is None else Best(max(old.marks, new.marks), old.passed or new.passed)


def _brought_forward(waiting: Mapping[str, object], names: Sequence[str]) -> tuple[str, ...]:
    """Names with those that wait in front, the last one first, and without those that are to be taken away."""
    new = [name for name, what in reversed(list(waiting.items())) if what is not None]
    return (*new, *(name for name in names if name not in waiting))

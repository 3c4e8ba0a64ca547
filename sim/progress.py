"""What a player has reached, and has set up, in one SQLite file in the user's data folder.

Every mark and setting is written in a transaction of its own and synced: what is finished stays, whenever the program
ends.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

__all__ = ["Best", "Progress", "ProgressError", "data_file"]

_SCHEMA = """
CREATE TABLE IF NOT EXISTS best (
    level TEXT PRIMARY KEY,
    marks INTEGER NOT NULL CHECK (marks BETWEEN 0 AND 100),
    passed INTEGER NOT NULL CHECK (passed IN (0, 1))
) STRICT
"""
_SETTINGS = "CREATE TABLE IF NOT EXISTS settings (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT"
_SET = """
INSERT INTO settings (key, value) VALUES (:key, :value)
ON CONFLICT (key) DO UPDATE SET value = excluded.value
"""
_KEEP = """
INSERT INTO best (level, marks, passed) VALUES (:level, :marks, :passed)
ON CONFLICT (level) DO UPDATE SET marks = max(marks, excluded.marks), passed = max(passed, excluded.passed)
"""
_WAIT_SECONDS = 5.0  # for another window that is just writing


class ProgressError(ValueError):
    """The file of marks cannot be read or written; the message names it and says why."""


@dataclass(frozen=True, slots=True)
class Best:
    """The best marks out of 100 reached on a level, and whether it was ever passed."""

    marks: int
    passed: bool


def data_file() -> Path:
    """Where marks are kept: frogbench.sqlite in the user's data folder, as the operating system has it."""
    return user_data_path("frogbench", appauthor=False) / "frogbench.sqlite"


class Progress:
    """The file of marks; made when something is first kept. A file that is not there has no marks in it."""

    def __init__(self, path: Path | None = None) -> None:
        """`path`: another file than the user's own."""
        self.path = data_file() if path is None else path

    def best(self) -> Mapping[str, Best]:
        """The best marks of every level played, by the level's name. Raises ProgressError."""
        if not self.path.exists():
            return {}
        try:
            with self._open() as connection:
                rows = connection.execute("SELECT level, marks, passed FROM best ORDER BY level").fetchall()
        except (sqlite3.Error, OSError) as fault:
            raise ProgressError(f"{self.path}: the marks cannot be read: {fault}") from fault
        return {level: Best(marks, bool(passed)) for level, marks, passed in rows}

    def keep(self, level: str, marks: int, passed: bool) -> None:
        """Keep what was reached, where it is better than before. Raises ProgressError."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self._open() as connection:
                connection.execute(_KEEP, {"level": level, "marks": marks, "passed": int(passed)})
        except (sqlite3.Error, OSError) as fault:
            raise ProgressError(f"{self.path}: the marks cannot be kept: {fault}") from fault

    def settings(self) -> Mapping[str, str]:
        """Everything that was set up, by name. Raises ProgressError."""
        if not self.path.exists():
            return {}
        try:
            with self._open() as connection:
                rows = connection.execute("SELECT key, value FROM settings ORDER BY key").fetchall()
        except (sqlite3.Error, OSError) as fault:
            raise ProgressError(f"{self.path}: the settings cannot be read: {fault}") from fault
        return dict(rows)

    def set(self, key: str, value: str) -> None:
        """Keep a setting in place of the one before. Raises ProgressError."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self._open() as connection:
                connection.execute(_SET, {"key": key, "value": value})
        except (sqlite3.Error, OSError) as fault:
            raise ProgressError(f"{self.path}: the settings cannot be kept: {fault}") from fault

    def _open(self) -> _Closing:
        return _Closing(self.path)


class _Closing:
    """A connection that commits when all went well, and is closed in any case."""

    def __init__(self, path: Path) -> None:
        self._connection = sqlite3.connect(path, timeout=_WAIT_SECONDS)

    def __enter__(self) -> sqlite3.Connection:
        try:
            self._connection.execute("PRAGMA synchronous = FULL")
            self._connection.execute(_SCHEMA)
            self._connection.execute(_SETTINGS)
        except sqlite3.Error:
            self._connection.close()
            raise
        return self._connection

    def __exit__(self, kind: object, fault: object, trace: object) -> None:
        try:
            if kind is None:
                self._connection.commit()
        finally:
            self._connection.close()

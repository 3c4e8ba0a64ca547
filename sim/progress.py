"""What a player has reached, has set up and has left standing, in one SQLite file in the user's data folder.

Every mark and setting is written in a transaction of its own and synced. A bench that is left standing is written after
each act in a transaction that is not synced: it outlives the program, however that ends, but perhaps not a power cut.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import time
import urllib.parse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from platformdirs import user_data_path

__all__ = ["Best", "Left", "Progress", "ProgressBusy", "ProgressError", "data_file", "kept_setting"]

_TABLES = (
    """
    CREATE TABLE IF NOT EXISTS best (
        level TEXT PRIMARY KEY,
        marks INTEGER NOT NULL CHECK (marks BETWEEN 0 AND 100),
        passed INTEGER NOT NULL CHECK (passed IN (0, 1))
    ) STRICT
    """,
    "CREATE TABLE IF NOT EXISTS settings (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT",
    """
    CREATE TABLE IF NOT EXISTS standing (
        name TEXT PRIMARY KEY, bench TEXT NOT NULL, facts TEXT NOT NULL, left_at REAL NOT NULL
    ) STRICT
    """,
    "CREATE TABLE IF NOT EXISTS recent (file TEXT PRIMARY KEY, opened_at REAL NOT NULL) STRICT",
)
_SET = """
INSERT INTO settings (key, value) VALUES (:key, :value)
ON CONFLICT (key) DO UPDATE SET value = excluded.value
"""
_KEEP = """
INSERT INTO best (level, marks, passed) VALUES (:level, :marks, :passed)
ON CONFLICT (level) DO UPDATE SET marks = max(marks, excluded.marks), passed = max(passed, excluded.passed)
"""
_LEAVE = """
INSERT INTO standing (name, bench, facts, left_at) VALUES (:name, :bench, :facts, :now)
ON CONFLICT (name) DO UPDATE SET bench = excluded.bench, facts = excluded.facts, left_at = excluded.left_at
"""
_OPENED = """
INSERT INTO recent (file, opened_at) VALUES (:file, :now)
ON CONFLICT (file) DO UPDATE SET opened_at = excluded.opened_at
"""
_FORGOTTEN = "DELETE FROM recent WHERE file NOT IN (SELECT file FROM recent ORDER BY opened_at DESC LIMIT 8)"
_VERSION = 1
"""Of what the tables are like, in the file's user_version; 0: from before it was counted, the tables are the same."""
_RUINED = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
_BUSY = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})
_UNWRITABLE = frozenset({sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN})
_NO_ROOM = frozenset({sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR})
_WAIT_SECONDS = 5.0  # for another window that is just writing
_BYTES = "file:"  # what a name in no encoding begins with where it is kept; no other does: a path begins at its root


class ProgressError(ValueError):
    """The file of marks cannot be read or written; the message names it and says why."""


class ProgressBusy(ProgressError):
    """Another program holds the file of marks just now."""


@dataclass(frozen=True, slots=True)
class Best:
    """The best marks out of 100 reached on a level, and whether it was ever passed."""

    marks: int
    passed: bool


@dataclass(frozen=True, slots=True)
class Left:
    """A bench that was left standing: the text of its file, the facts of its play as JSON, and when (s since 1970)."""

    bench: str
    facts: str
    left_at: float


def data_file() -> Path:
    """Where marks are kept: frogbench.sqlite in the user's data folder, as the operating system has it."""
    return user_data_path("frogbench", appauthor=False) / "frogbench.sqlite"


def kept_setting(key: str, path: Path | None = None) -> str | None:
    """What was set up under that name; None where nothing was, or where it cannot be read at once.

    For those who only want to know: nothing is made, mended or waited for.
    """
    where = data_file() if path is None else path
    try:
        with contextlib.closing(sqlite3.connect(f"{where.absolute().as_uri()}?mode=ro", timeout=0.0, uri=True)) as book:
            row = book.execute("SELECT value FROM settings WHERE key = ?", (key,)).fetchone()
    except (sqlite3.Error, OSError, UnicodeError):
        return None
    return None if row is None else str(row[0])


class Progress:
    """The file of marks; made when something is first kept. A file that is not there has nothing in it."""

    def __init__(self, path: Path | None = None, *, wait_seconds: float = _WAIT_SECONDS) -> None:
        """`path`: another file than the user's own; `wait_seconds`: for another program that holds it.

        One thread at a time may use it, whichever that is.
        """
        self.path = data_file() if path is None else path
        self._wait_seconds = wait_seconds
        self._open: sqlite3.Connection | None = None
        self._passing = False

    def close(self) -> None:
        """Let go of the file."""
        if self._open is not None:
            self._open.close()
            self._open = None
            self._passing = False

    # -- marks and settings ----------------------------------------------------------------------------------

    def best(self) -> Mapping[str, Best]:
        """The best marks of every level played, by the level's name. Raises ProgressError."""
        rows = self._read("the marks", "SELECT level, marks, passed FROM best ORDER BY level")
        return {level: Best(marks, bool(passed)) for level, marks, passed in rows}

    def keep(self, level: str, marks: int, passed: bool) -> None:
        """Keep what was reached, where it is better than before. Raises ProgressError."""
        self._write("the marks", (_KEEP,), {"level": level, "marks": marks, "passed": int(passed)})

    def settings(self) -> Mapping[str, str]:
        """Everything that was set up, by name. Raises ProgressError."""
        return dict(self._read("the settings", "SELECT key, value FROM settings ORDER BY key"))

    def set(self, key: str, value: str) -> None:
        """Keep a setting in place of the one before. Raises ProgressError."""
        self._write("the settings", (_SET,), {"key": key, "value": value})

    # -- benches left standing -------------------------------------------------------------------------------

    def left(self, name: str) -> Left | None:
        """The bench of that name as it was left; None if it was not. Raises ProgressError."""
        rows = self._read("the benches", "SELECT bench, facts, left_at FROM standing WHERE name = ?", (_kept(name),))
        return Left(*rows[0]) if rows else None

    def standing(self) -> tuple[str, ...]:
        """Names of all benches that were left standing, the last one first. Raises ProgressError."""
        rows = self._read("the benches", "SELECT name FROM standing ORDER BY left_at DESC, name")
        return tuple(_told(name) for (name,) in rows)

    def leave(self, name: str, bench: str, facts: str) -> None:
        """Keep a bench as it stands in place of the one before; written, not synced. Raises ProgressError."""
        values: dict[str, str | float] = {"name": _kept(name), "bench": bench, "facts": facts, "now": time.time()}
        self._write("the bench", (_LEAVE,), values, firmly=False)

    def clear(self, name: str) -> None:
        """Forget a bench that was left. Raises ProgressError."""
        self._write("the bench", ("DELETE FROM standing WHERE name = :name",), {"name": _kept(name)})

    # -- files opened lately ---------------------------------------------------------------------------------

    def recent(self) -> tuple[str, ...]:
        """The bench files opened or saved last, at most eight, the last one first. Raises ProgressError."""
        rows = self._read("the files", "SELECT file FROM recent ORDER BY opened_at DESC, file LIMIT 8")
        return tuple(_told(file) for (file,) in rows)

    def opened(self, file: str) -> None:
        """Note that a file was opened or saved. Raises ProgressError."""
        self._write("the files", (_OPENED, _FORGOTTEN), {"file": _kept(file), "now": time.time()})

    def unlist(self, file: str) -> None:
        """Take a file off the list of those opened lately. Raises ProgressError."""
        self._write("the files", ("DELETE FROM recent WHERE file = :file",), {"file": _kept(file)})

    # -- the file itself -------------------------------------------------------------------------------------

    def _read(self, what: str, query: str, values: Sequence[str] = ()) -> list[tuple[Any, ...]]:
        if not self.path.exists():
            return []
        try:
            return self._connection().execute(query, values).fetchall()
        except (sqlite3.Error, OSError) as fault:
            raise self._failed(f"{what} cannot be read", fault) from fault
        finally:
            self._pass_on()

    def _write(
        self, what: str, orders: Sequence[str], values: Mapping[str, str | float], *, firmly: bool = True
    ) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            connection = self._connection()
            connection.execute(f"PRAGMA synchronous = {'FULL' if firmly else 'NORMAL'}")
            with connection:
                for order in orders:
                    named = {key: value for key, value in values.items() if f":{key}" in order}
                    connection.execute(order, named)
        except (sqlite3.Error, OSError, UnicodeError) as fault:
            raise self._failed(f"{what} cannot be kept", fault) from fault
        finally:
            self._pass_on()

    def _failed(self, what: str, fault: Exception) -> ProgressError:
        """The error to raise, the file let go of."""
        self.close()
        kind = ProgressBusy if _code(fault) in _BUSY else ProgressError
        return kind(f"{self.path}: {what}: {fault}{self._set_aside(fault)}")

    def _pass_on(self) -> None:
        """Let go of a file that nobody else can use meanwhile."""
        if self._passing:
            self.close()

    def _set_aside(self, fault: Exception) -> str:
        """Give a file that is ruined another name, so that a new one is begun; says so, or nothing for other faults."""
        if _code(fault) not in _RUINED:
            return ""
        number = 1
        while (aside := self.path.with_name(f"{self.path.name}.broken-{number}")).exists():
            number += 1
        try:
            self.path.rename(aside)
            for ending in ("-wal", "-shm"):
                log = self.path.with_name(self.path.name + ending)
                if log.exists():
                    log.rename(aside.with_name(aside.name + ending))
        except OSError:
            return ""
        return f"; it is put aside as {aside.name}, and a new one is begun"

    def _connection(self) -> sqlite3.Connection:
        """The connection, opened on first use; with a log of its own, so that writing need not wait for the disk."""
        if self._open is None:
            connection = self._connected(self.path)
            try:
                _prepare(connection)
            except sqlite3.Error as fault:
                connection.close()
                if _code(fault) in _UNWRITABLE:  # what is there can still be read
                    connection = self._connected(f"{self.path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
                elif _code(fault) in _NO_ROOM:  # nor is there room for the index of the log, unless nobody shares it
                    connection = self._connected(self.path)
                    connection.execute("PRAGMA locking_mode = EXCLUSIVE")
                    self._passing = True
                else:
                    raise
            self._open = connection
        return self._open

    def _connected(self, where: Path | str, *, uri: bool = False) -> sqlite3.Connection:
        return sqlite3.connect(where, timeout=self._wait_seconds, uri=uri, check_same_thread=False)


def _kept(name: str) -> str:
    """A bench's or file's name as text that can be kept: one in no encoding by its bytes."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return _BYTES + urllib.parse.quote(os.fsencode(name))
    return name


def _told(kept: str) -> str:
    """The name that was kept so."""
    return os.fsdecode(urllib.parse.unquote_to_bytes(kept[len(_BYTES) :])) if kept.startswith(_BYTES) else kept


def _prepare(connection: sqlite3.Connection) -> None:
    """Make the tables that are not there. Raises sqlite3.Error, also for a file of a later version of the program."""
    connection.execute("PRAGMA journal_mode = WAL")
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    if version > _VERSION:
        raise sqlite3.NotSupportedError(f"it is of a later version of the program, {version} instead of {_VERSION}")
    for table in _TABLES:
        connection.execute(table)
    if version < _VERSION:
        connection.execute(f"PRAGMA user_version = {_VERSION}")


def _code(fault: Exception) -> int:
    """SQLite's own number for what went wrong; 0 where the fault is not SQLite's."""
    return getattr(fault, "sqlite_errorcode", 0) & 0xFF

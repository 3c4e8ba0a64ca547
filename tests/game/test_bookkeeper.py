"""A book that another program holds does not hold the window up: it is written in the background, nothing is lost."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pygame
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.edits import MakeWire
from sim.cli import play
from sim.cli.output import CallRefused
from sim.game.app import bookkeeper, loop
from sim.game.app.bookkeeper import Bookkeeper
from sim.game.app.window import Window
from sim.game.screens.marksbook import Forgetful, MarksBook
from sim.progress import Best, Progress, ProgressBusy, ProgressError
from sim.resources import level_path
from sim.session.acts import Do
from tests.game.playing import Player

LEVEL = level_path("right-hand")
NAME = "level right-hand"
ENDS = [
    ("M1.k", "T1.frog"), ("M1.m", "bus.A"), ("M1.p", "bus.B"), ("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"),
]  # fmt: skip


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file of marks that is there already."""
    path = tmp_path / "marks.sqlite"
    book = Progress(path)
    book.keep("wye", 50, False)
    book.close()
    return path


@pytest.fixture
def other(path: Path) -> Iterator[sqlite3.Connection]:
    """Another program, which holds the file until it rolls back."""
    connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    connection.execute("BEGIN EXCLUSIVE")
    yield connection
    connection.close()


def keeper_of(path: Path) -> Bookkeeper:
    return Bookkeeper(Progress(path, wait_seconds=0.0))


def player_with(book: MarksBook) -> Player:
    player = Player(None)
    player.window = Window((1024, 720), LEVEL, book)
    player.look()
    return player


def eventually(path: Path, count: int) -> None:
    """So many wires are kept after a while."""
    end = time.monotonic() + 30.0
    while time.monotonic() < end:
        left = Progress(path).left(NAME)
        if left is not None and left.bench.count("[[wire]]") == count:
            return
        time.sleep(0.02)
    raise AssertionError(f"no {count} wires are kept")


def test_acts_go_on_while_the_book_is_held_and_are_kept_afterwards(path: Path, other: sqlite3.Connection) -> None:
    player = player_with(keeper_of(path))
    took = []
    for a, b in ENDS:
        before = time.monotonic()
        player.bench.act(Do(MakeWire(a, b)))
        player.window.tick(0.01)
        took.append(time.monotonic() - before)
    assert sum(took) < 2.0, took  # that of a single act which waits for the book is five seconds
    assert Progress(path).left(NAME) is None
    other.rollback()
    eventually(path, len(ENDS))


def test_without_the_keeper_each_act_would_wait(path: Path, other: sqlite3.Connection) -> None:
    """What the test above is worth: the same book by itself waits for the other program."""
    book = Progress(path, wait_seconds=0.5)
    before = time.monotonic()
    with pytest.raises(ProgressBusy):
        book.leave("own", "bench = 1", "{}")
    assert time.monotonic() - before > 0.4


def test_what_waits_is_read_as_if_it_were_written(path: Path, other: sqlite3.Connection) -> None:
    book = keeper_of(path)
    book.keep("wye", 80, True)
    book.keep("wye", 70, False)
    book.set("theme", "hall")
    book.leave("one", "bench = 1", "{}")
    book.leave("two", "bench = 2", "{}")
    book.leave("three", "bench = 3", "{}")
    book.clear("two")
    for file in ("a", "b", "c"):
        book.opened(file)
    book.unlist("b")

    def check(kept: MarksBook) -> None:
        assert (kept.best()["wye"].marks, kept.best()["wye"].passed) == (80, True)
        assert kept.settings() == {"theme": "hall"}
        left = kept.left("one")
        assert left is not None
        assert left.bench == "bench = 1"
        assert kept.left("two") is None
        assert list(kept.standing()) == ["three", "one"]
        assert list(kept.recent()) == ["c", "a"]

    check(book)
    assert Progress(path).best() == {"wye": Best(50, False)}
    other.rollback()
    book.close()
    check(book)
    check(Progress(path))


def test_the_row_does_not_grow(path: Path, other: sqlite3.Connection) -> None:
    book = keeper_of(path)
    for number in range(3000):
        book.leave("own", f"bench = {number}", "{}")
    assert len(book._row) == 1
    other.rollback()
    book.close()
    left = Progress(path).left("own")
    assert left is not None
    assert left.bench == "bench = 2999"


def test_closing_waits_for_a_book_that_is_let_go(path: Path, other: sqlite3.Connection) -> None:
    book = keeper_of(path)
    book.keep("wye", 90, True)
    threading.Timer(0.3, other.rollback).start()
    book.close()
    assert Progress(path).best() == {"wye": Best(90, True)}


def test_what_cannot_be_kept_for_long_is_told_once_and_at_the_end(
    path: Path, other: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bookkeeper, "_HELD_S", 0.2)
    book = keeper_of(path)
    book.set("theme", "hall")
    time.sleep(0.6)
    with pytest.raises(ValueError, match="locked"):
        book.set("theme", "night")
    book.set("theme", "hall")
    with pytest.raises(ValueError, match="locked"):
        book.close()
    other.rollback()
    book.close()
    assert Progress(path).settings() == {"theme": "hall"}


def test_what_failed_is_told_at_once_and_tried_again(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    book = keeper_of(tmp_path / "file" / "marks.sqlite")
    with pytest.raises(ValueError, match="cannot be kept"):
        book.keep("wye", 90, True)
    with pytest.raises(ValueError, match="cannot be kept"):
        book.close()
    (tmp_path / "file").unlink()
    book.set("theme", "hall")
    kept = Progress(tmp_path / "file" / "marks.sqlite")
    assert (kept.best(), kept.settings()) == ({"wye": Best(90, True)}, {"theme": "hall"})


def test_a_ruined_book_is_begun_anew_with_what_was_to_be_kept(tmp_path: Path) -> None:
    (tmp_path / "marks.sqlite").write_bytes(b"not a database")
    book = keeper_of(tmp_path / "marks.sqlite")
    with pytest.raises(ValueError, match="put aside"):
        book.keep("wye", 90, True)
    book.close()
    assert Progress(tmp_path / "marks.sqlite").best() == {"wye": Best(90, True)}


def test_a_reader_waits_once_for_a_book_that_nobody_else_may_read(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    monkeypatch.setattr(bookkeeper, "_READ_S", 0.4)
    book = keeper_of(path)
    waits = []
    for _ in range(5):
        before = time.monotonic()
        with pytest.raises(ProgressError):
            book.best()
        waits.append(time.monotonic() - before)
    assert waits[0] > 0.3
    assert sum(waits[1:]) < 0.3
    holder.rollback()
    assert book.best()["wye"].marks == 50
    holder.close()


def test_a_bench_that_could_not_be_read_is_not_written_over(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    player = player_with(keeper_of(path))
    for a, b in ENDS:
        player.bench.act(Do(MakeWire(a, b)))
        player.window.tick(0.01)
    monkeypatch.setattr(bookkeeper, "_READ_S", 0.0)
    busy = {"busy": True}
    read = Progress.left

    def left(self: Progress, name: str) -> object:
        if busy["busy"]:
            raise ProgressBusy("marks: the benches cannot be read: database is locked")
        return read(self, name)

    monkeypatch.setattr(Progress, "left", left)
    player = player_with(keeper_of(path))
    assert player.bench.snapshot.bench.wires == ()
    for still in (True, False):
        busy["busy"] = still
        player.bench.act(Do(MakeWire(*ENDS[int(still)])))
        player.window.tick(0.01)
        assert player.window.told.startswith("Nothing is kept: ")
    monkeypatch.undo()
    eventually(path, len(ENDS))
    player.key(pygame.K_r, pygame.KMOD_CTRL)  # begun again on purpose, it is written anew
    player.key(pygame.K_RETURN)
    player.bench.act(Do(MakeWire(*ENDS[0])))
    player.window.tick(0.01)
    eventually(path, 1)


def test_the_window_closes_with_all_written_or_says_what_is_not(
    path: Path, other: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The real way in: the window that the command opens, on a screen that nobody sees."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv("SDL_AUDIODRIVER", "dummy")
    monkeypatch.setattr(play, "Progress", lambda **how: Progress(path, **how))
    monkeypatch.setattr(bookkeeper, "_READ_S", 0.0)
    monkeypatch.setattr(bookkeeper, "_HELD_S", 0.3)

    def one_act(window: Window) -> None:
        player = Player(None)
        player.window = window
        player.bench.act(Do(MakeWire(*ENDS[0])))
        before = time.monotonic()
        window.tick(0.01)
        assert time.monotonic() - before < 1.0

    monkeypatch.setattr(loop, "_run", one_act)
    with pytest.raises(CallRefused, match=r"marks.sqlite: .*locked"):
        play.play("right-hand")
    other.rollback()
    other.execute("BEGIN EXCLUSIVE")
    threading.Timer(0.15, other.rollback).start()
    assert play.play("right-hand") == 0
    eventually(path, 1)


class Held(Forgetful):
    """A book that another program holds or not."""

    held = False

    def _look(self) -> None:
        if self.held:
            raise ProgressBusy("held")

    def keep(self, level: str, marks: int, passed: bool) -> None:
        self._look()
        super().keep(level, marks, passed)

    def set(self, key: str, value: str) -> None:
        self._look()
        super().set(key, value)

    def leave(self, name: str, bench: str, facts: str) -> None:
        self._look()
        super().leave(name, bench, facts)

    def clear(self, name: str) -> None:
        self._look()
        super().clear(name)

    def opened(self, file: str) -> None:
        self._look()
        super().opened(file)

    def unlist(self, file: str) -> None:
        self._look()
        super().unlist(file)


NAMES = st.sampled_from("abcdefghijkl")
WRITES = st.one_of(
    st.tuples(st.just("keep"), NAMES, st.integers(0, 100), st.booleans()),
    st.tuples(st.just("set"), NAMES, NAMES),
    st.tuples(st.just("leave"), NAMES, NAMES, NAMES),
    st.tuples(st.just("clear"), NAMES),
    st.tuples(st.just("opened"), NAMES),
    st.tuples(st.just("unlist"), NAMES),
    st.tuples(st.just("hold"), st.booleans()),
)


def read_of(book: MarksBook) -> object:
    """Everything that can be read of a book, but for the hour."""
    left = {name: book.left(name) for name in "abcdefghijkl"}
    return (
        {level: (kept.marks, kept.passed) for level, kept in book.best().items()},
        dict(book.settings()),
        {name: (how.bench, how.facts) for name, how in left.items() if how is not None},
        list(book.standing()),
        list(book.recent()),
    )


@settings(max_examples=40, deadline=None)
@given(st.lists(WRITES, max_size=30))
def test_held_at_any_times_it_reads_like_a_book_that_nobody_holds(writes: list[tuple[object, ...]]) -> None:
    held, plain = Held(), Forgetful()
    book = Bookkeeper(held)
    for name, *rest in writes:
        if name == "hold":
            held.held = bool(rest[0])
            continue
        for each in (book, plain):
            getattr(each, str(name))(*rest)
        assert read_of(book) == read_of(plain)
    held.held = False
    book.close()
    assert read_of(held) == read_of(plain)

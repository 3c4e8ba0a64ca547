"""The file of marks: the best is kept, a broken file is told, and a killed program loses nothing finished."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.progress import Best, Left, Progress, ProgressError, kept_setting

ROOT = Path(__file__).parents[1]


def test_a_file_that_is_not_there_has_no_marks(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "new" / "marks.sqlite")
    assert progress.best() == {}
    assert not progress.path.exists()


def test_the_best_is_kept(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "new" / "marks.sqlite")
    progress.keep("right-hand", 60, False)
    progress.keep("right-hand", 94, True)
    progress.keep("right-hand", 80, False)
    progress.keep("wye", 12, False)
    assert Progress(progress.path).best() == {"right-hand": Best(94, True), "wye": Best(12, False)}


def test_marks_out_of_range_are_refused(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    with pytest.raises(ProgressError, match="cannot be kept"):
        progress.keep("right-hand", 101, True)
    assert progress.best() == {}


@pytest.mark.parametrize("content", [b"not a database", b"SQLite format 3\0" + b"\xff" * 200])
def test_a_broken_file_is_told(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "marks.sqlite"
    path.write_bytes(content)
    with pytest.raises(ProgressError, match="cannot be read") as told:
        Progress(path).best()
    assert str(path) in str(told.value)
    path.write_bytes(content)
    with pytest.raises(ProgressError, match="cannot be kept"):
        Progress(path).keep("wye", 1, False)


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(ProgressError, match="cannot be kept"):
        Progress(tmp_path / "file" / "marks.sqlite").keep("wye", 1, False)


def test_a_setting_is_kept_in_place_of_the_one_before(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "new" / "marks.sqlite")
    assert progress.settings() == {}
    assert not progress.path.exists()
    progress.set("theme", "hall")
    progress.set("scale", "1.2")
    progress.set("theme", "night")
    assert Progress(progress.path).settings() == {"theme": "night", "scale": "1.2"}
    assert progress.best() == {}


def test_settings_go_into_a_file_that_had_only_marks(tmp_path: Path) -> None:
    path = tmp_path / "marks.sqlite"
    Progress(path).keep("wye", 12, False)
    with sqlite3.connect(path) as connection:
        connection.execute("DROP TABLE settings")
    connection.close()
    assert Progress(path).settings() == {}
    Progress(path).set("theme", "hall")
    assert Progress(path).settings() == {"theme": "hall"}
    assert Progress(path).best() == {"wye": Best(12, False)}


def test_settings_in_a_broken_file_are_told(tmp_path: Path) -> None:
    path = tmp_path / "marks.sqlite"
    path.write_bytes(b"not a database")
    with pytest.raises(ProgressError, match="settings cannot be read") as told:
        Progress(path).settings()
    assert str(path) in str(told.value)


@pytest.mark.parametrize("content", [b"not a database", b"SQLite format 3\0" + b"\xff" * 5000])
@pytest.mark.parametrize("write", [False, True])
def test_a_ruined_file_is_put_aside_whole_and_a_new_one_begun(tmp_path: Path, content: bytes, write: bool) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    for number in (1, 2):
        progress.close()
        for ending in ("", "-wal", "-shm"):
            (tmp_path / f"marks.sqlite{ending}").unlink(missing_ok=True)
        progress.path.write_bytes(content)
        with pytest.raises(ProgressError, match=f"put aside as marks.sqlite.broken-{number}, and a new one is begun"):
            progress.set("theme", "hall") if write else progress.best()
        assert (tmp_path / f"marks.sqlite.broken-{number}").read_bytes() == content
        progress.keep("wye", 12, True)
        assert Progress(progress.path).best() == {"wye": Best(12, True)}


def test_a_page_that_is_ruined_later_is_found_too(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    for k in range(400):
        progress.leave(f"bench {k}", "x" * 400, "{}")
    progress.close()
    data = bytearray(progress.path.read_bytes())
    data[4096:] = b"\x55" * (len(data) - 4096)
    progress.path.write_bytes(data)
    with pytest.raises(ProgressError, match="put aside"):
        progress.standing()
    assert progress.standing() == ()


def test_a_file_of_a_later_version_is_left_alone(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    progress.keep("wye", 12, True)
    progress.close()
    with sqlite3.connect(progress.path) as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()
    for _ in range(2):
        with pytest.raises(ProgressError, match="later version"):
            progress.best()
        with pytest.raises(ProgressError, match="later version"):
            progress.keep("wye", 90, True)
    assert [path.name for path in tmp_path.iterdir() if "broken" in path.name] == []


def test_a_file_from_before_versions_is_taken_over(tmp_path: Path) -> None:
    path = tmp_path / "marks.sqlite"
    with sqlite3.connect(path) as connection:
        connection.execute(
            "CREATE TABLE best (level TEXT PRIMARY KEY, marks INTEGER NOT NULL CHECK (marks BETWEEN 0 AND 100),"
            " passed INTEGER NOT NULL CHECK (passed IN (0, 1))) STRICT"
        )
        connection.execute("INSERT INTO best VALUES ('wye', 77, 1)")
    connection.close()
    progress = Progress(path)
    assert progress.best() == {"wye": Best(77, True)}
    progress.leave("wye", "bench = 1", "{}")
    progress.close()
    with sqlite3.connect(path) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (1,)
    connection.close()


def test_where_nothing_can_be_written_what_is_there_is_still_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "marks.sqlite"
    before = Progress(path)
    before.keep("wye", 12, True)
    before.close()
    connect = sqlite3.connect

    def locked(
        file: object, *, timeout: float = 5.0, uri: bool = False, check_same_thread: bool = True
    ) -> sqlite3.Connection:
        """As on a disk that is read only."""
        return connect(str(file) if uri else f"{path.as_uri()}?mode=ro", timeout=timeout, uri=True)

    monkeypatch.setattr(sqlite3, "connect", locked)
    progress = Progress(path)
    assert progress.best() == {"wye": Best(12, True)}
    with pytest.raises(ProgressError, match="cannot be kept"):
        progress.keep("wye", 90, True)
    assert progress.best() == {"wye": Best(12, True)}


_READER = """
import resource, sys
from pathlib import Path
from sim.progress import Progress, ProgressError
resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))  # no file may grow: as on a full disk
book = Progress(Path(sys.argv[1]))
for _ in range(2):
    print(book.best()["wye"].marks, book.settings()["theme"], book.standing(), book.left("own").bench)
    try:
        book.keep("wye", 90, True)
    except ProgressError as wrong:
        print("cannot be kept" in str(wrong))
"""


@pytest.mark.parametrize("end", ["closed", "killed", "killed and tidied"])
def test_on_a_full_disk_what_is_there_is_still_read(tmp_path: Path, end: str) -> None:
    path = tmp_path / "marks.sqlite"
    before = Progress(path)
    before.keep("wye", 12, True)
    before.set("theme", "hall")
    before.leave("own", "bench = 1", "{}")
    if end == "closed":
        before.close()
    else:  # what was written last is in the log alone
        for ending in ("", "-wal") if end == "killed and tidied" else ("", "-wal", "-shm"):
            shutil.copy(f"{path}{ending}", tmp_path / f"copy{ending}")
        before.close()
        path = tmp_path / "copy"
    reader = subprocess.run(
        [sys.executable, "-c", _READER, str(path)], cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True
    )
    assert reader.stdout.splitlines() == ["12 hall ('own',) bench = 1", "True"] * 2
    book = Progress(path)  # there is room again
    book.keep("wye", 90, True)
    assert Progress(path).best() == {"wye": Best(90, True)}
    assert [name.name for name in tmp_path.iterdir() if "broken" in name.name] == []


NAMES = [os.fsdecode(b"/layouts/g\xfcter.toml"), "/layouts/\u202e\u200b.toml", "/layouts/a%20b.toml", "/a\nb/%.toml"]


@pytest.mark.parametrize("name", NAMES)
def test_a_file_of_any_name_is_kept_and_listed(tmp_path: Path, name: str) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    progress.leave(name, "bench = 1", "{}")
    progress.opened(name)
    progress.opened("/layouts/other.toml")
    again = Progress(progress.path)
    assert again.standing() == (name,)
    assert again.recent() == ("/layouts/other.toml", name)
    left = again.left(name)
    assert left is not None
    assert left.bench == "bench = 1"
    assert again.left("/layouts/other.toml") is None
    again.clear(name)
    again.unlist(name)
    assert (again.standing(), again.recent()) == ((), ("/layouts/other.toml",))


def test_names_in_no_encoding_are_told_apart(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    names = [os.fsdecode(b"/g%cter" % byte) for byte in (0xFC, 0xFD)] + ["/g\ufffdter", "/g%FCter"]
    for name in names:
        progress.leave(name, name.encode("unicode_escape").decode(), "{}")
    for name in names:
        left = progress.left(name)
        assert left is not None
        assert left.bench == name.encode("unicode_escape").decode()


def test_a_bench_that_is_left_is_kept_in_place_of_the_one_before(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "new" / "marks.sqlite")
    assert progress.left("wye") is None
    assert not progress.path.exists()
    progress.leave("wye", "bench = 1", "{}")
    progress.leave("own", "bench = 1", "{}")
    progress.leave("wye", "bench = 1\ntitle = 'x'", '{"a": 1}')
    again = Progress(progress.path)
    left = again.left("wye")
    assert left is not None
    assert left == Left("bench = 1\ntitle = 'x'", '{"a": 1}', left.left_at)
    assert set(again.standing()) == {"wye", "own"}
    again.clear("wye")
    assert Progress(progress.path).left("wye") is None
    assert Progress(progress.path).standing() == ("own",)


def test_files_opened_lately_are_listed_the_last_one_first(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    for number in range(12):
        progress.opened(f"{number}.toml")
    progress.opened("5.toml")
    listed = Progress(progress.path).recent()
    assert listed == tuple(f"{number}.toml" for number in (5, 11, 10, 9, 8, 7, 6, 4))
    progress.unlist("11.toml")
    assert "11.toml" not in Progress(progress.path).recent()


def test_marks_written_by_an_earlier_program_are_read(tmp_path: Path) -> None:
    """A file with no tables but those of marks, and no log of its own."""
    path = tmp_path / "marks.sqlite"
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE best (level TEXT PRIMARY KEY, marks INTEGER, passed INTEGER)")
        connection.execute("INSERT INTO best VALUES ('wye', 77, 1)")
    connection.close()
    progress = Progress(path)
    assert progress.best() == {"wye": Best(77, True)}
    assert progress.settings() == {}
    assert progress.recent() == ()
    progress.leave("wye", "bench = 1", "{}")
    assert Progress(path).best() == {"wye": Best(77, True)}


KILLS = 94  # of the book alone; with those of the whole window, in tests/game/test_left.py, a hundred

_WRITER = """
import sys
from pathlib import Path
from sim.progress import Progress
progress = Progress(Path(sys.argv[1]))
for k in range(int(sys.argv[2]), 1_000_000):
    progress.keep(f"level-{k}", k % 101, k % 2 == 0)
    progress.set("last", str(k))
    progress.leave("own", f"bench = {k}", str(k) * 200)
    print(k, flush=True)
"""


@pytest.mark.parametrize("kills", [3, pytest.param(KILLS, marks=pytest.mark.slow)])
def test_killed_at_any_moment_it_loses_nothing_finished(kills: int, tmp_path: Path) -> None:
    """One file, written by one program after another, each killed at a moment of its own."""
    chance = random.Random(7)
    path = tmp_path / "marks.sqlite"
    finished = -1
    for _ in range(kills):
        with subprocess.Popen(
            [sys.executable, "-c", _WRITER, str(path), str(finished + 1)], cwd=ROOT, stdout=subprocess.PIPE, text=True
        ) as writer:
            assert writer.stdout is not None
            finished = int(writer.stdout.readline())
            time.sleep(chance.uniform(0.0, 0.02))
            writer.send_signal(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
            told = writer.stdout.read().split()
            # The last line may have been cut short in the pipe.
            finished = max([finished, *(int(line) for line in told[:-1])])
        book = Progress(path)
        best = book.best()
        for k in range(finished + 1):
            assert best[f"level-{k}"] == Best(k % 101, k % 2 == 0)
        assert int(book.settings()["last"]) >= finished
        left = book.left("own")
        assert left is not None
        number = int(left.bench.removeprefix("bench = "))
        assert number >= finished
        assert left.facts == str(number) * 200
        book.close()
    with sqlite3.connect(path) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    connection.close()


def test_a_setting_can_be_looked_up_without_touching_the_file(tmp_path: Path) -> None:
    path = tmp_path / "marks.sqlite"
    assert kept_setting("words", path) is None
    assert not path.exists()
    book = Progress(path)
    book.set("words", "us")
    assert kept_setting("words", path) == "us"  # also while another program has it open
    assert kept_setting("theme", path) is None
    book.close()
    assert kept_setting("words", path) == "us"
    path.write_bytes(b"not a database")
    assert kept_setting("words", path) is None
    assert path.read_bytes() == b"not a database"

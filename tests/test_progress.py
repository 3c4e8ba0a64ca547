"""The file of marks: the best is kept, a broken file is told, and a killed program loses nothing finished."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.progress import Best, Progress, ProgressError

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
    with pytest.raises(ProgressError, match="cannot be kept"):
        Progress(path).keep("wye", 1, False)


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(ProgressError, match="cannot be kept"):
        Progress(tmp_path / "file" / "marks.sqlite").keep("wye", 1, False)


_WRITER = """
import sys
from pathlib import Path
from sim.progress import Progress
progress = Progress(Path(sys.argv[1]))
for k in range(100_000):
    progress.keep(f"level-{k}", k % 101, k % 2 == 0)
    print(k, flush=True)
"""


def test_killed_at_any_moment_it_loses_nothing_finished(tmp_path: Path) -> None:
    chance = random.Random(7)
    for number in range(8):
        path = tmp_path / f"{number}.sqlite"
        with subprocess.Popen(
            [sys.executable, "-c", _WRITER, str(path)], cwd=ROOT, stdout=subprocess.PIPE, text=True
        ) as writer:
            assert writer.stdout is not None
            finished = int(writer.stdout.readline())
            time.sleep(chance.uniform(0.0, 0.05))
            writer.send_signal(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
            told = writer.stdout.read().split()
            # The last line may have been cut short in the pipe.
            finished = max([finished, *(int(line) for line in told[:-1])])
        best = Progress(path).best()
        for k in range(finished + 1):
            assert best[f"level-{k}"] == Best(k % 101, k % 2 == 0)

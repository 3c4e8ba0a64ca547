"""No file, however broken, makes the command hang, grow or show a traceback: it is refused in plain lines."""

from __future__ import annotations

import itertools
import os
from dataclasses import replace
from pathlib import Path

import pytest

from tests.cli.broken import BROKEN, GOOD
from tests.cli.running import Ended, called, frogbench

# The contract: refused within two seconds and 300 MB. Processor seconds, so that a busy machine does not count.
CPU_SECONDS = 2
MEGABYTES = 300


def assert_refused(ended: Ended, name: str) -> None:
    assert ended.status == 2, ended
    assert ended.lines, ended
    assert all(line.startswith(f"{name}: ") for line in ended.lines), ended
    assert all(line.count(f"{name}: ") == 1 for line in ended.lines), ended
    assert len(ended.lines) <= 21, ended
    assert all(len(line) < 1000 for line in ended.lines), ended
    assert "Traceback" not in ended.err
    assert "fault of the program" not in ended.err


def test_there_are_enough_of_them() -> None:
    assert len(BROKEN) >= 40


def test_the_bench_they_are_made_from_is_good(tmp_path: Path) -> None:
    (tmp_path / "good.toml").write_text(GOOD)
    ended = called("check", "good.toml", cwd=tmp_path)
    assert ended.status in {0, 1}, ended
    assert not ended.lines


CASES = list(BROKEN)
BATCHES = range(0, len(CASES), 10)


@pytest.mark.parametrize("first", BATCHES)
def test_broken_files_are_refused_in_plain_lines(first: int, tmp_path: Path) -> None:
    """Ten at once, together within the limits of one: each in lines of its own, in their order."""
    names = {f"{case}.toml": BROKEN[case] for case in CASES[first : first + 10]}
    for name, (content, _) in names.items():
        (tmp_path / name).write_bytes(content)
    ended = frogbench("check", *names, cwd=tmp_path, cpu_seconds=CPU_SECONDS)
    assert ended.megabytes < MEGABYTES, ended
    assert ended.out == b""
    assert ended.status == 2
    assert [name for name, _ in itertools.groupby(line.partition(": ")[0] for line in ended.lines)] == list(names)
    for name, (_, word) in names.items():
        own = [line for line in ended.lines if line.startswith(f"{name}: ")]
        assert_refused(replace(ended, err="\n".join(own)), name)
        assert word in "\n".join(own).replace(name, ""), own


def test_a_broken_file_is_refused_alone_as_among_others(tmp_path: Path) -> None:
    for case in ("many-faults", CASES[0]):
        content, word = BROKEN[case]
        name = f"{case}.toml"
        (tmp_path / name).write_bytes(content)
        ended = frogbench("check", name, cwd=tmp_path, cpu_seconds=CPU_SECONDS)
        assert_refused(ended, name)
        assert ended.megabytes < MEGABYTES, ended
        assert word in ended.err.replace(name, ""), ended
        assert ended.out == b""


def test_at_most_twenty_lines_and_a_count(tmp_path: Path) -> None:
    (tmp_path / "many.toml").write_bytes(BROKEN["many-faults"][0])
    ended = called("check", "many.toml", cwd=tmp_path)
    assert len(ended.lines) == 21
    left = int(ended.lines[-1].removeprefix("many.toml: and ").removesuffix(" more"))
    # thirty lamps, none of which has the id that it needs
    assert left == 30 - 20


COMMANDS = ["check", "probe", "sheet", "shot", "play"]
REST = {"probe": ["bus.A", "bus.B"], "sheet": ["-o", "out.html"], "shot": ["out.png"]}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("name", ["missing.toml", "folder", "none/at all.toml", "pipe", "x" * 300, "round.toml"])
def test_what_is_no_file_is_refused(command: str, name: str, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "round.toml").symlink_to("round.toml")
    assert_refused(called(command, name, *REST.get(command, []), cwd=tmp_path), name)


@pytest.mark.parametrize("command", COMMANDS)
def test_what_never_ends_is_refused_within_the_limits(command: str, tmp_path: Path) -> None:
    ended = frogbench(command, "/dev/zero", *REST.get(command, []), cwd=tmp_path, cpu_seconds=CPU_SECONDS)
    assert_refused(ended, "/dev/zero")
    assert ended.megabytes < MEGABYTES, ended


@pytest.mark.parametrize("name", ["two\nlines.toml", "escape\x1b[31m.toml", "bell\a.toml"])
def test_a_name_that_would_break_the_line_is_written_out(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text("bench = 2\n")
    ended = called("check", name, cwd=tmp_path)
    assert_refused(ended, name.encode("unicode_escape").decode())


def test_a_name_in_no_encoding_keeps_its_bytes(tmp_path: Path) -> None:
    (tmp_path / "n\udce4me.toml").write_text("bench = 2\n")
    ended = frogbench("check", b"n\xe4me.toml", cwd=tmp_path)
    assert_refused(ended, "n\udce4me.toml")

"""Wrong calls, closed pipes and full disks: one plain line, the right status, and never a traceback."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.cli.levels import levels
from sim.progress import Progress
from sim.resources import level_names, level_path, levels_folder
from sim.version import VERSION
from tests.cli.running import ROOT, Ended, called, frogbench

CLEAN = str(ROOT / "tests" / "benches" / "clean.toml")
EXCHANGED = str(ROOT / "tests" / "benches" / "exchanged.toml")
BUILT = ["play", "check", "probe", "sheet", "levels", "shot"]
NOT_BUILT = ["fix", "new", "fault", "lint", "read", "size", "explain"]


def assert_one_line(ended: Ended, start: str) -> None:
    assert ended.status == 2, ended
    assert len(ended.lines) == 1, ended
    assert ended.err.startswith(start), ended
    assert ended.out == b"", ended


@pytest.mark.parametrize(
    "call",
    [
        ["solve"],
        ["--fast"],
        ["--json", "check"],
        ["check"],
        ["check", "--json"],
        ["check", CLEAN, "--jsn"],
        ["check", CLEAN, "--js"],
        ["probe", CLEAN, "bus.A"],
        ["probe", CLEAN, "bus.A", "bus.B", "T1.frog"],
        ["probe", CLEAN, "bus.A", "bus.B", "--mode", "amps"],
        ["probe", CLEAN, "bus.A", "bus.B", "--mode"],
        ["shot", CLEAN],
        ["levels", "all"],
        ["play"],
        ["play", "one", "two"],
        ["check", "--two\nlines"],
        ["two\nlines"],
        *([name, CLEAN] for name in NOT_BUILT),
    ],
    ids=" ".join,
)
def test_a_wrong_call_is_one_line(call: list[str]) -> None:
    assert_one_line(called(*call), "frogbench")


def test_a_wrong_call_is_one_line_in_a_process_too() -> None:
    assert_one_line(frogbench("two\nlines"), "frogbench")


def test_the_version_is_that_of_the_program() -> None:
    ended = frogbench("--version")
    assert ended.status == 0
    assert ended.out.decode() == f"frogbench {VERSION}\n"
    assert ended.err == ""


def test_help_lists_every_command_that_is_built_and_no_other() -> None:
    ended = called("--help")
    assert ended.status == 0
    assert ended.err == ""
    listed = ended.out.decode().split("commands:\n")[1].split("\n\n")[0]
    assert sorted(line.split()[0] for line in listed.splitlines()) == sorted(BUILT)


@pytest.mark.parametrize("name", BUILT)
def test_each_command_has_help_of_its_own(name: str) -> None:
    ended = called(name, "--help")
    assert ended.status == 0
    assert ended.err == ""
    assert f"frogbench {name}" in ended.out.decode()


def test_the_readme_shows_the_commands_that_are_built() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = [line.split("`")[1].split() for line in readme.splitlines() if line.startswith("| `frogbench")]
    assert rows[0] == ["frogbench"]
    assert sorted(row[1] for row in rows[1:]) == sorted(BUILT)


@pytest.mark.parametrize("call", [["check", CLEAN], ["check", CLEAN, "--json"], ["levels"]], ids=" ".join)
def test_a_reader_that_goes_away_is_no_traceback(call: list[str]) -> None:
    """``frogbench check ... | head -0``: the pipe is closed before the first line."""
    reading, writing = os.pipe()
    os.close(reading)
    ended = subprocess.run(
        [sys.executable, "-m", "sim", *call],
        stdout=writing,
        stderr=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        check=False,
    )
    os.close(writing)
    assert ended.stderr == b""
    assert ended.returncode == 2


@pytest.mark.parametrize("call", [["check", CLEAN], ["check", CLEAN, "--json"], ["levels"]], ids=" ".join)
def test_a_full_disk_is_one_line(call: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run(
            [sys.executable, "-m", "sim", *call],
            stdout=full,
            stderr=subprocess.PIPE,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
            check=False,
        )
    assert ended.returncode == 2
    assert ended.stderr.startswith(b"frogbench: the output cannot be written: ")
    assert ended.stderr.count(b"\n") == 1


@pytest.mark.parametrize("json", ["", "--json"])
def test_errors_with_nowhere_to_go_are_no_trouble(json: str, tmp_path: Path) -> None:
    """Standard output and standard error both closed, as some services start a program."""
    script = f"{sys.executable} -m sim check {CLEAN} missing.toml {json} >&- 2>&-; echo $? >status"
    subprocess.run(["/bin/sh", "-c", script], env=os.environ | {"PYTHONPATH": str(ROOT)}, cwd=tmp_path, check=True)
    assert (tmp_path / "status").read_text() == "2\n"


@pytest.mark.parametrize("call", [[], ["play", "right-hand"], ["play", CLEAN]], ids=" ".join)
def test_without_a_screen_the_window_says_what_to_run_instead(call: list[str]) -> None:
    ended = frogbench(*call)
    assert_one_line(ended, "frogbench")
    assert "frogbench check" in ended.err
    assert "frogbench shot" in ended.err


def test_a_screen_that_cannot_be_reached_is_told_too() -> None:
    ended = frogbench("play", "right-hand", env={"DISPLAY": ":987654"}, cpu_seconds=10)
    assert ended.status == 2
    assert "Traceback" not in ended.err
    assert ended.lines[-1].startswith("frogbench: ")  # the system's own libraries may have said something before
    assert "frogbench check" in ended.lines[-1]


def test_an_unknown_level_is_told_with_the_nearest_name() -> None:
    ended = called("play", "rigth-hand")
    assert_one_line(ended, "rigth-hand: ")
    assert "right-hand" in ended.err.removeprefix("rigth-hand: ")


@pytest.mark.parametrize("call", [["check"], ["probe", "bus.A", "bus.B"], ["shot", "out.png"]], ids=" ".join)
def test_a_level_is_meant_by_its_name_where_no_file_is_called_so(call: list[str], tmp_path: Path) -> None:
    def run(what: str) -> tuple[int, bytes]:
        picture = tmp_path / "out.png"
        picture.unlink(missing_ok=True)
        ended = called(call[0], what, *call[1:], cwd=tmp_path)
        return ended.status, ended.out.split(b"\n", 1)[-1] + (picture.read_bytes() if picture.exists() else b"")

    assert run("wye") == run(str(level_path("wye")))
    (tmp_path / "wye").write_text("bench = 2\n")
    assert run("wye")[0] == 2
    ended = called(call[0], "wey", *call[1:], cwd=tmp_path)
    assert_one_line(ended, "wey: ")
    assert "wye" in ended.err.removeprefix("wey: ")


def test_the_levels_are_listed_with_the_best_marks(tmp_path: Path) -> None:
    book = Progress(tmp_path / "frogbench" / "frogbench.sqlite")
    book.keep("right-hand", 94, True)
    book.keep("right-hand", 60, False)
    lines = called("levels", env={"XDG_DATA_HOME": str(tmp_path)}).out.decode().splitlines()
    assert [line.split()[0] for line in lines if line.endswith("best marks 94, passed")] == ["right-hand"]
    assert sum(line.endswith("not played yet") for line in lines) == len(level_names()) - 1


def test_marks_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    file = tmp_path / "frogbench" / "frogbench.sqlite"
    file.parent.mkdir()
    file.write_text("not a file of marks")
    assert_one_line(called("levels", env={"XDG_DATA_HOME": str(tmp_path)}), str(file))


def test_the_levels_are_listed_with_chapter_and_title() -> None:
    ended = called("levels")
    assert ended.status == 0, ended
    assert ended.err == ""
    lines = ended.out.decode().splitlines()
    assert lines[0] == "First frog: one turnout, three wires"
    (line,) = [line for line in lines if line.startswith("  right-hand ")]
    assert "Right hand, alone" in line
    assert "about 8 minutes" in line
    assert line.endswith("not played yet")


def test_a_wrong_level_is_told_and_the_others_are_listed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for path in levels_folder().glob("*.toml"):
        shutil.copy(path, tmp_path)
    text = (tmp_path / "wye.toml").read_text(encoding="utf-8")
    (tmp_path / "wye.toml").write_text(text.replace('chapter = "first-frog"', 'chapter = "first-fro"'))
    monkeypatch.setattr("sim.resources.levels_folder", lambda: tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))
    assert levels() == 2
    out, err = capsys.readouterr()
    assert "  right-hand " in out
    assert "wye" not in out
    assert err.splitlines() == [
        f'{tmp_path / "wye.toml"}: level.chapter: found "first-fro", expected a chapter that is listed: "first-frog" '
        "(nearest known name: first-frog)"
    ]


@pytest.mark.parametrize("call", [("check",), ("probe", "bus.A", "bus.B"), ("play",)], ids=str)
def test_a_level_of_a_chapter_that_is_not_listed_is_refused(call: tuple[str, ...], tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    text = level_path("right-hand").read_text(encoding="utf-8")
    file.write_text(text.replace('chapter = "first-frog"', 'chapter = "meter"'), encoding="utf-8")
    ended = frogbench(call[0], str(file), *call[1:])
    assert ended.status == 2
    assert ended.err.startswith(f'{file}: level.chapter: found "meter", expected a chapter')


STARTS = [
    (["check", EXCHANGED], 1),
    (["probe", EXCHANGED, "bus.A", "bus.B"], 0),
    (["sheet", EXCHANGED, "-o", "out.html"], 0),
    (["shot", EXCHANGED, "out.png"], 0),
    (["levels"], 0),
]
WRONG = [
    (["check", "missing.toml", EXCHANGED], 2),
    (["check", EXCHANGED, "missing.toml"], 2),
    (["probe", EXCHANGED, "bus.A", "bus.Z"], 2),
    (["sheet", "missing.toml", "-o", "out.html"], 2),
    (["levels", "--force"], 2),
]


@pytest.mark.parametrize(
    ("run", "call", "status"),
    [*((frogbench, *each) for each in STARTS), *((called, *each) for each in [(["check", CLEAN], 0), *STARTS, *WRONG])],
    ids=lambda value: value.__name__ if callable(value) else str(value),
)
def test_one_is_said_by_check_alone(run: Callable[..., Ended], call: list[str], status: int, tmp_path: Path) -> None:
    """Exit status 1 is a finding that fails; what is written or measured of the same bench ends with 0."""
    assert run(*call, cwd=tmp_path).status == status

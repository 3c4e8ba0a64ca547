"""Files that commands write: whole or not at all, never over the input, over nothing else unasked, and at once."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.resources import level_path
from tests.cli.running import ROOT, Ended, called, frogbench

CLEAN = ROOT / "tests" / "benches" / "clean.toml"
COMMANDS = {
    "sheet": (".html", lambda file, out: ["sheet", file, "-o", out]),
    "shot": (".png", lambda file, out: ["shot", file, out]),
}
Call = Callable[[str, str], list[str]]
commands = pytest.mark.parametrize(("ending", "call"), COMMANDS.values(), ids=COMMANDS)


def assert_refused(ended: Ended, out: str) -> None:
    assert ended.status == 2, ended
    assert len(ended.lines) == 1, ended
    assert ended.err.startswith(f"{out}: "), ended
    assert "fault of the program" not in ended.err
    assert ended.out == b""


@commands
def test_a_file_that_is_there_is_not_written_over_unasked(ending: str, call: Call, tmp_path: Path) -> None:
    out = tmp_path / f"out{ending}"
    out.write_text("mine")
    ended = called(*call(str(CLEAN), str(out)))
    assert_refused(ended, str(out))
    assert "--force" in ended.err
    assert out.read_text() == "mine"
    assert called(*call(str(CLEAN), str(out)), "--force").status == 0
    first = out.read_bytes()
    assert first != b"mine"
    assert_refused(called(*call(str(CLEAN), str(out))), str(out))  # nor what the program wrote itself
    assert [path.name for path in tmp_path.iterdir()] == [out.name]


@commands
@pytest.mark.parametrize("way", ["itself", "a longer way", "a link", "a hard link", "a link to its folder"])
def test_the_input_is_never_written_over(ending: str, call: Call, way: str, tmp_path: Path) -> None:
    file = tmp_path / f"in{ending}"
    shutil.copy(CLEAN, file)
    before = file.read_bytes()
    out = file
    if way == "a longer way":
        (tmp_path / "folder").mkdir()
        out = tmp_path / "folder" / ".." / file.name
    elif way == "a link":
        out = tmp_path / f"link{ending}"
        out.symlink_to(file)
    elif way == "a hard link":
        out = tmp_path / f"link{ending}"
        os.link(file, out)
    elif way == "a link to its folder":
        (tmp_path / "here").symlink_to(tmp_path)
        out = tmp_path / "here" / file.name
    for force in ([], ["--force"]):
        ended = called(*call(str(file), str(out)), *force)
        assert_refused(ended, str(out))
        assert "the bench file itself" in ended.err
    assert file.read_bytes() == before


@commands
def test_a_levels_file_is_an_input_too(ending: str, call: Call, tmp_path: Path) -> None:
    out = tmp_path / f"out{ending}"
    out.symlink_to(level_path("wye"))
    before = level_path("wye").read_bytes()
    assert_refused(called(*call("wye", str(out)), "--force"), str(out))
    assert level_path("wye").read_bytes() == before


@commands
@pytest.mark.parametrize("force", [[], ["--force"]], ids=["unasked", "forced"])
def test_what_is_no_file_is_refused_at_once(ending: str, call: Call, force: list[str], tmp_path: Path) -> None:
    pipe, folder, device, round_ = (tmp_path / f"{name}{ending}" for name in ("pipe", "folder", "device", "round"))
    os.mkfifo(pipe)
    folder.mkdir()
    device.symlink_to("/dev/null")
    round_.symlink_to(round_)
    for out in (pipe, folder, device, round_, Path("-"), Path("/dev/stdout")):
        assert_refused(called(*call(str(CLEAN), str(out)), *force), str(out))
    assert pipe.is_fifo()
    assert folder.is_dir()
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(p.name for p in (pipe, folder, device, round_))


@commands
@pytest.mark.parametrize("force", [[], ["--force"]], ids=["new", "forced"])
def test_where_the_room_ends_the_old_file_stays_and_no_half_one(
    ending: str, call: Call, force: list[str], tmp_path: Path
) -> None:
    """No file may grow beyond 512 bytes: writing ends in the middle, as on a full disk."""
    out = tmp_path / f"out{ending}"
    if force:
        out.write_text("old")
    small = ("/bin/sh", "-c", 'ulimit -f 1; exec "$@"', "sh", sys.executable, "-m", "sim")
    ended = frogbench(*call(str(CLEAN), str(out)), *force, program=small)
    assert_refused(ended, str(out))
    assert [path.name for path in tmp_path.iterdir()] == ([out.name] if force else [])
    assert not force or out.read_text() == "old"


@commands
def test_a_link_goes_on_pointing_and_rights_stay(ending: str, call: Call, tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    real, link = tmp_path / "far" / f"real{ending}", tmp_path / f"link{ending}"
    link.symlink_to(real)
    assert called(*call(str(CLEAN), str(link))).status == 0  # it points to nothing yet
    real.chmod(0o640)
    first = real.read_bytes()
    real.write_text("old")
    assert called(*call(str(CLEAN), str(link)), "--force").status == 0
    assert link.is_symlink()
    assert real.read_bytes() == first
    assert real.stat().st_mode & 0o777 == 0o640


@commands
def test_a_wrong_bench_leaves_the_old_file_be(ending: str, call: Call, tmp_path: Path) -> None:
    out, wrong = tmp_path / f"out{ending}", tmp_path / "wrong.toml"
    out.write_text("old")
    wrong.write_text("bench = 2\n")
    for force in ([], ["--force"]):
        assert called(*call(str(wrong), str(out)), *force).status == 2
    assert out.read_text() == "old"

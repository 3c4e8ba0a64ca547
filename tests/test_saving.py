"""A file is written whole or not at all, in the place of another only where that was asked."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from sim.saving import what_stands_there, write_whole


def test_a_new_file_has_the_rights_that_any_new_file_has(tmp_path: Path) -> None:
    write_whole(tmp_path / "a", b"new", over=False)
    (tmp_path / "b").write_bytes(b"new")
    assert (tmp_path / "a").read_bytes() == b"new"
    assert (tmp_path / "a").stat().st_mode == (tmp_path / "b").stat().st_mode


def test_a_file_that_came_at_the_last_moment_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a"
    sync = os.fsync

    def other(handle: int) -> None:
        sync(handle)
        file.write_text("of another hand")

    monkeypatch.setattr(os, "fsync", other)
    with pytest.raises(FileExistsError):
        write_whole(file, b"new", over=False)
    assert file.read_text() == "of another hand"
    assert list(tmp_path.iterdir()) == [file]


@pytest.mark.parametrize("there", [False, True])
def test_a_disk_that_knows_no_second_names_takes_it_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    file = tmp_path / "a"

    def no_links(one: object, two: object) -> None:
        if there:
            file.write_text("of another hand")
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", no_links)
    if there:
        with pytest.raises(FileExistsError):
            write_whole(file, b"new", over=False)
    else:
        write_whole(file, b"new", over=False)
    assert file.read_text() == ("of another hand" if there else "new")
    assert list(tmp_path.iterdir()) == [file]


def test_a_file_that_may_not_be_written_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a"
    file.write_text("old")
    file.chmod(0o400)
    monkeypatch.setattr(os, "access", lambda path, mode: not mode & os.W_OK)  # whoever runs this may write anything
    with pytest.raises(PermissionError):
        write_whole(file, b"new")
    assert file.read_text() == "old"


def test_pipes_devices_and_folders_are_no_files(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    for name in ("pipe", "folder"):
        with pytest.raises(OSError, match=r"name|directory"):
            write_whole(tmp_path / name, b"new")
    with pytest.raises(OSError, match="device"):
        write_whole(Path("/dev/null"), b"new")
    assert (tmp_path / "pipe").is_fifo()
    kinds = {name: what_stands_there(tmp_path / name) for name in ("pipe", "folder", "none")}
    assert kinds == {"pipe": "something that is not a file", "folder": "a directory", "none": ""}

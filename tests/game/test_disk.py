"""Folders are read and files written whole, and what goes wrong is told in plain words."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from sim.game.app.disk import read_folder, reason, remarks_in, write_file
from sim.game.draw.pages.files import Entry


def test_folders_and_benches_are_listed_and_nothing_else(tmp_path: Path) -> None:
    for name in ("b.toml", "A.TOML", ".hidden.toml", "notes.txt", "c.toml.bak"):
        (tmp_path / name).write_text("")
    for name in ("yards", ".git", "folder.toml"):
        (tmp_path / name).mkdir()
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "round.toml").symlink_to(tmp_path / "round.toml")
    (tmp_path / "link.toml").symlink_to(tmp_path / "b.toml")
    listing = read_folder(tmp_path)
    assert listing.fault == ""
    assert listing.entries == (
        Entry("folder.toml", True), Entry("yards", True), Entry("A.TOML"), Entry("b.toml"), Entry("link.toml"),
    )  # fmt: skip


def test_a_folder_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    gone = read_folder(tmp_path / "gone")
    assert (gone.entries, gone.fault) == ((), "This folder cannot be read: it is no longer there.")
    assert "it is no longer there" in read_folder(Path("/dev/null")).fault
    assert read_folder(Path("/nought\0")).fault == "This folder cannot be read: the name cannot be used there."


@pytest.mark.parametrize("code", [errno.EACCES, errno.ENOSPC, errno.EROFS, errno.ENOENT, errno.ENAMETOOLONG, errno.EIO])
def test_reasons_are_words_and_no_codes(code: int) -> None:
    words = reason(OSError(code, os.strerror(code)))
    assert words[0].islower()
    assert "Errno" not in words
    assert str(code) not in words


def test_a_file_is_written_whole_with_its_rights_and_through_a_link(tmp_path: Path) -> None:
    file = tmp_path / "yard.toml"
    write_file(file, "one\n")
    assert file.read_bytes() == b"one\n"
    assert stat.S_IMODE(file.stat().st_mode) & 0o600 == 0o600
    file.chmod(0o640)
    link = tmp_path / "link.toml"
    link.symlink_to(file)
    write_file(link, "ü\n")
    assert link.is_symlink()
    assert file.read_text(encoding="utf-8") == "ü\n"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.toml", "yard.toml"]


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_when_writing_fails_the_old_file_is_there_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    file = tmp_path / "yard.toml"
    write_file(file, "old\n")

    def full(*rest: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, step, full)
    with pytest.raises(OSError, match="No space"):
        write_file(file, "new\n")
    assert file.read_text() == "old\n"
    assert [path.name for path in tmp_path.iterdir()] == ["yard.toml"]


def test_a_folder_is_no_file_to_write(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="directory") as told:
        write_file(tmp_path, "x")
    assert reason(told.value) == "a folder has that name"


@pytest.mark.parametrize(
    ("text", "remarks"),
    [("a = 1\n", False), ("a = 1 # mine\n", True), ('a = "# none"\n', False), ("# mine\n", True), ("", False)],
)
def test_remarks_are_found(tmp_path: Path, text: str, remarks: bool) -> None:
    (tmp_path / "a.toml").write_text(text)
    assert remarks_in(tmp_path / "a.toml") == remarks
    assert not remarks_in(tmp_path / "gone.toml")

"""Folders read and files written for the file dialogue: the only place here that touches the disk, in plain words."""

from __future__ import annotations

import contextlib
import errno
import os
import re
from pathlib import Path

from sim.bench.toml_text import LARGEST_BYTES, has_remarks
from sim.game.draw.pages.files import Entry, Listing, in_order
from sim.saving import what_stands_there, write_whole

__all__ = ["changed_at", "read_folder", "reason", "remarks_in", "true_path", "write_file"]

_MOST = 50_000
"""So many entries of a folder are looked at."""

_BEGIN = 4096
_BENCH = re.compile(rb"^(?:\xef\xbb\xbf)?[ \t]*[\"']?bench[\"']?[ \t]*=", re.MULTILINE)
"""The key that each bench file has before its first table; see docs/bench-fields.md."""

_SAID = re.compile(rb"^[ \t]*[^#\s]", re.MULTILINE)  # a line that is neither empty nor a remark

_REASONS = {
    errno.EACCES: "this may not be done there",
    errno.EPERM: "this may not be done there",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk is full",
    errno.EROFS: "nothing can be written there",
    errno.ENOENT: "it is no longer there",
    errno.ENOTDIR: "it is no longer there",
    errno.EISDIR: "a folder has that name",
    errno.ENAMETOOLONG: "the name is too long",
    errno.EINVAL: "the name cannot be used there",
}


def reason(fault: OSError | ValueError) -> str:
    """Why something could not be done, as the end of a sentence."""
    if not isinstance(fault, OSError):
        return "the name cannot be used there"
    return _REASONS.get(fault.errno or 0, (fault.strerror or str(fault)).lower())


def read_folder(folder: Path) -> Listing:
    """The folders and bench files in a folder; hidden ones and other files are left out.

    A folder that cannot be read says why.
    """
    found: list[Entry] = []
    try:
        with os.scandir(folder) as entries:
            for number, entry in enumerate(entries):
                if number >= _MOST:
                    break
                if entry.name.startswith("."):
                    continue
                with contextlib.suppress(OSError):  # a link that leads round in a circle
                    if entry.is_dir():
                        found.append(Entry(entry.name, True))
                    elif entry.name.lower().endswith(".toml") and entry.is_file() and _may_be_bench(entry):
                        found.append(Entry(entry.name))
    except (OSError, ValueError) as fault:
        return Listing(folder, (), f"This folder cannot be read: {reason(fault)}.")
    return Listing(folder, in_order(found))


def _may_be_bench(entry: os.DirEntry[str]) -> bool:
    """Whether a file may be a bench, for all that its first few thousand signs say.

    One that holds nothing but remarks there may be, and one that cannot be read: opened, it says why.
    """
    try:
        with open(entry.path, "rb") as file:
            begin = file.read(_BEGIN)
    except OSError:
        return True
    return _BENCH.search(begin) is not None or _SAID.search(begin) is None


def changed_at(path: Path) -> float:
    """When a file was last written to, in seconds since 1970; 0 for one that is not there."""
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


def true_path(path: Path) -> Path:
    """The path without links, as far as they lead anywhere."""
    return Path(os.path.realpath(path))


def remarks_in(path: Path) -> bool:
    """Whether a file has remarks that saving would lose. What cannot be read, or is no file, has none to lose."""
    try:
        if what_stands_there(path) != "a file":
            return False
        with path.open("rb") as file:
            return has_remarks(file.read(LARGEST_BYTES + 1).decode("utf-8-sig", "replace"))
    except OSError:
        return False


def write_file(path: Path, text: str) -> None:
    """Write a bench file whole: at every moment either the old one or the new one is there. Raises OSError."""
    write_whole(path, text.encode())

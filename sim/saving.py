"""Files written whole: at every moment either the old one or the new one is there, also on a full disk.

What is written goes into a file beside it that then takes its name; a link goes on pointing where it pointed.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import shutil
import stat
from pathlib import Path

__all__ = ["is_there", "what_stands_there", "write_whole"]

_NO_LINKS = frozenset({errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK})
"""What a file system says that knows no second name for a file."""


def what_stands_there(path: str | Path) -> str:
    """What has that name: "a file", "a directory", "something that is not a file", or "" for nothing.

    Raises OSError where that cannot be told, as in a folder that is no folder.
    """
    try:
        mode = os.stat(path).st_mode
    except FileNotFoundError:
        return ""
    if stat.S_ISREG(mode):
        return "a file"
    return "a directory" if stat.S_ISDIR(mode) else "something that is not a file"


def is_there(path: Path) -> bool:
    """Whether anything has that name, as far as can be told: a name that no disk takes, nothing has."""
    try:
        return bool(what_stands_there(path))
    except (OSError, ValueError):
        return False


def write_whole(path: Path, data: bytes, *, over: bool = True) -> None:
    """Write a file so that nobody ever finds half of it. `over`: in the place of one that is there already.

    Raises FileExistsError where one is there and `over` is false, even if it came at the last moment; OSError where it
    cannot be written, or what has the name is a folder, a pipe or a device.
    """
    path = Path(os.path.realpath(path))
    there = what_stands_there(path)
    if there and not over:
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
    if there == "a directory":
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if there not in ("", "a file"):
        raise OSError(errno.ENXIO, "a pipe or a device has that name", str(path))
    if there and not os.access(path, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
    beside = path.with_name(f".frogbench-{secrets.token_hex(8)}{path.suffix[:12]}")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if there:
            shutil.copymode(path, beside)
        if over:
            os.replace(beside, path)
        else:
            _take_free_name(beside, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise
    _settle(path.parent)


def _take_free_name(beside: Path, path: Path) -> None:
    """Give a file a name that no other has. Raises FileExistsError where one has got it meanwhile."""
    try:
        os.link(beside, path)
    except OSError as fault:
        if fault.errno not in _NO_LINKS:
            raise
        if os.path.lexists(path):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path)) from None
        os.replace(beside, path)
    else:
        os.unlink(beside)


def _settle(folder: Path) -> None:
    """See to it that a new name in a folder outlives a power cut, where the system can promise that."""
    with contextlib.suppress(OSError, AttributeError):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

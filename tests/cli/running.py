"""Runs the real command and tells how it ended: in a process of its own, under limits, or as a call in this process.

A process of its own costs a second or so, and is for what hangs on one: its environment, its encodings, its streams and
limits, and that each command starts at all.
"""

from __future__ import annotations

import contextlib
import io
import math
import os
import resource
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from sim.cli import main

__all__ = ["ROOT", "Ended", "called", "frogbench"]

ROOT = Path(__file__).resolve().parents[2]

_HANG_SECONDS = 120.0
"""Longer than any command takes on a busy machine: only something that hangs meets it."""
_GUARD_BYTES = 4 << 30
"""Address space, so that something that grows without bound ends itself and not the machine."""

_WATCH = """
import resource, subprocess, sys
status = subprocess.call(sys.argv[2:])
with open(sys.argv[1], "w") as told:
    print(status, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss, file=told)
"""
"""Stands between: a process counts as its own the memory of the one that it was forked from, here that of the tests."""


@dataclass(frozen=True)
class Ended:
    """How a run ended. ``megabytes`` is the most memory that was resident at once; a call in here tells none."""

    status: int
    out: bytes
    err: str
    megabytes: float = math.nan

    @property
    def lines(self) -> list[str]:
        """The lines on standard error."""
        return self.err.splitlines()


def _screenless(extra: Mapping[str, str]) -> dict[str, str]:
    screens = ("DISPLAY", "WAYLAND_DISPLAY", "SDL_")  # SDL's own drivers too: an unseen screen is one
    kept = {key: value for key, value in os.environ.items() if not key.startswith(screens)}
    no_marks = {"XDG_DATA_HOME": "/nonexistent"}
    return kept | {"PYTHONPATH": str(ROOT)} | no_marks | dict(extra)


def frogbench(
    *arguments: str | bytes,
    cwd: Path | None = None,
    env: Mapping[str, str] | None = None,
    cpu_seconds: int = 100,
    program: Sequence[str] = (sys.executable, "-m", "sim"),
) -> Ended:
    """Run ``frogbench arguments`` without a screen and without input, and wait for its end.

    env: variables to add; cpu_seconds: processor time after which the system kills it; program: what to run instead.
    Raises TimeoutError where it hangs.
    """

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds))
        resource.setrlimit(resource.RLIMIT_AS, (_GUARD_BYTES, _GUARD_BYTES))

    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, tempfile.NamedTemporaryFile() as told:
        watch = subprocess.Popen(
            [sys.executable, "-I", "-S", "-c", _WATCH, told.name, *program, *arguments],
            cwd=cwd,
            env=_screenless(env or {}),
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=err,
            start_new_session=True,
            preexec_fn=limit,
        )
        try:
            watch.wait(_HANG_SECONDS)
        except subprocess.TimeoutExpired:
            os.killpg(watch.pid, signal.SIGKILL)
            watch.wait()
            raise TimeoutError(f"frogbench {arguments!r} hangs") from None
        status, kilobytes = (int(number) for number in told.read().split())
        out.seek(0)
        err.seek(0)
        return Ended(status, out.read(), err.read().decode("utf-8", "surrogateescape"), kilobytes / 1024)


class _Hangs(BaseException):
    """Passes through everything that turns a fault into a line."""


@contextlib.contextmanager
def _guarded() -> Iterator[None]:
    """Ends what hangs, with _Hangs, and what grows without bound."""

    def give_up(*_: object) -> None:
        raise _Hangs

    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    before = signal.signal(signal.SIGALRM, give_up)
    resource.setrlimit(resource.RLIMIT_AS, (_GUARD_BYTES, hard))
    signal.setitimer(signal.ITIMER_REAL, _HANG_SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
        signal.signal(signal.SIGALRM, before)


def called(*arguments: str | bytes, cwd: Path | None = None, env: Mapping[str, str] | None = None) -> Ended:
    """Call ``frogbench arguments`` in this process, as `frogbench` runs it in one of its own.

    Raises TimeoutError where it hangs.
    """
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with (
        patch.dict(os.environ, _screenless(env or {}), clear=True),
        contextlib.chdir(cwd or "."),
        Path(os.devnull).open() as nothing,
        patch.object(sys, "stdin", nothing),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            with _guarded():
                status = main([os.fsdecode(argument) for argument in arguments])
        except _Hangs:
            raise TimeoutError(f"frogbench {arguments!r} hangs") from None
    return Ended(status, _bytes_of(out), _bytes_of(err).decode("utf-8", "surrogateescape"))


def _bytes_of(stream: io.TextIOWrapper) -> bytes:
    stream.flush()
    written = stream.buffer
    assert isinstance(written, io.BytesIO)
    return written.getvalue()

"""What the real window takes of a core while nothing moves, on a screen of its own. Needs Xvfb; Linux counts."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

from tests.benchmark.aims import Taken
from tests.person.desk import open_desk

__all__ = ["idle"]

SETTLING_SECONDS = 6.0
SECONDS = 10.0


def _used(pid: int) -> float:
    """Seconds of processor that a process has used so far."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")  # utime and stime: proc(5)


def idle() -> Taken:
    """The bench of right-hand, as it is found."""
    with tempfile.TemporaryDirectory() as home, open_desk("right-hand", Path(home)) as desk:
        time.sleep(SETTLING_SECONDS)
        before, start = _used(desk.program.pid), time.monotonic()
        time.sleep(SECONDS)
        share = (_used(desk.program.pid) - before) / (time.monotonic() - start)
    return {"idle": [share]}

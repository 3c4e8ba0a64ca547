"""What a process holds, as the operating system says; Linux counts."""

from __future__ import annotations

import os
import re
from pathlib import Path

__all__ = ["held_bytes", "peak_bytes"]


def held_bytes() -> float:
    """Bytes in memory now."""
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE")


def peak_bytes() -> float:
    """The most bytes that were in memory at once."""
    found = re.search(r"^VmHWM:\s+(\d+) kB$", Path("/proc/self/status").read_text(encoding="ascii"), re.MULTILINE)
    if found is None:
        raise OSError("/proc/self/status does not say VmHWM")
    return int(found[1]) * 1024.0

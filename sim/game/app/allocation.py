"""Memory given back: large drawings that are freed go back to the system, so that what is held stays level."""

from __future__ import annotations

import ctypes
import sys

__all__ = ["give_back_freed"]

_MMAP_THRESHOLD = -3  # M_MMAP_THRESHOLD of malloc.h
_LARGE = 262_144  # bytes; a picture 256 by 256


def give_back_freed() -> bool:
    """Let every large block be its own; True where the system's allocator takes that.

    The GNU C library raises that limit with each large block that is freed, up to 32 MB. Drawings of changing sizes
    then leave holes between each other, and the process grows for a while with nothing more in use.
    """
    if not sys.platform.startswith("linux"):
        return False
    try:
        mallopt = ctypes.CDLL(None).mallopt
    except (AttributeError, OSError):  # another C library
        return False
    return bool(mallopt(_MMAP_THRESHOLD, _LARGE))

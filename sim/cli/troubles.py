"""Whatever goes wrong while a file is worked on, told in one line that begins with the file's name."""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable
from typing import TypeVar

from sim.cli.output import CallRefused, OutputLost
from sim.proof import TooMuch

__all__ = ["telling", "told"]

T = TypeVar("T")


def told(name: str, fault: Exception) -> str:
    """One line on a fault that nobody foresaw; `name`: what it begins with."""
    if isinstance(fault, MemoryError):
        return f"{name}: found more than there is memory for, expected a smaller bench"
    if isinstance(fault, TooMuch):
        return f"{name}: found {fault}, expected a smaller bench"
    if isinstance(fault, RecursionError):
        return f"{name}: found parts joined in a circle or too deeply, expected a simpler bench"
    frames = traceback.extract_tb(fault.__traceback__)
    place = f"{os.path.basename(frames[-1].filename)}, line {frames[-1].lineno}" if frames else "no place"
    return f"{name}: a fault of the program itself: {type(fault).__name__} in {place}: {fault}"


def telling(name: str, work: Callable[[], T]) -> T:
    """What the work on the file of that name comes to. Raises CallRefused in the place of any other fault."""
    try:
        return work()
    except (CallRefused, OutputLost):
        raise
    except Exception as fault:
        line = told(name, fault)
    # Out here the fault is gone, and with it all that the work held: the memory may be needed to say so.
    raise CallRefused(line)

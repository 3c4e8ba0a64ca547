"""Opening bench files for the commands: a file's faults become lines that begin with its name."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from sim.bench.faults import BenchFaults, Fault, shown
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.cli.output import CallRefused
from sim.track.formations import KINDS

__all__ = ["open_bench", "unknown"]


def open_bench(name: str) -> Bench:
    """The bench of the file called ``name``. Raises CallRefused with one line for each fault of the file."""
    try:
        return load(name, KINDS)
    except BenchFaults as wrong:
        raise CallRefused(*(f"{name}: {fault}" for fault in wrong.faults)) from None


def unknown(name: str, expected: str, known: Sequence[str]) -> Fault:
    """The fault of a name in the call that is not ``expected``, with the nearest of those that are known."""
    folded = {word.casefold(): word for word in known}
    near = difflib.get_close_matches(name.casefold(), folded, n=1)
    return Fault("", shown(name), expected, folded[near[0]] if near else None)

"""Opening bench files and levels for the commands: a file's faults become lines that begin with its name."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path

from sim.bench.faults import BenchFaults, Fault, shown
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.cli.output import CallRefused
from sim.resources import level_names, level_path
from sim.syllabus import chapter_ids
from sim.track.formations import KINDS

__all__ = ["bench_file", "open_bench", "unknown"]


def _is_file(name: str) -> bool:
    """Whether ``name`` means a file: one that is there, or one whose name could be nothing else."""
    if name.endswith(".toml") or Path(name).name != name:
        return True
    try:
        return Path(name).exists()
    except OSError:  # longer than any name
        return False


def bench_file(name: str) -> Path:
    """The file called ``name``, or where there is none, that of the level of that name.

    Raises CallRefused where there is no such level.
    """
    if _is_file(name):
        return Path(name)
    known = level_names()
    if name not in known:
        raise CallRefused(f"{name}: {unknown(name, 'the name of a level, or a bench file', known)}")
    return level_path(name)


def open_bench(name: str) -> Bench:
    """The bench of the file called ``name``, or where there is none, of the level of that name.

    Raises CallRefused with one line for each fault of the file, or where there is no such level.
    """
    try:
        return load(bench_file(name), KINDS, chapter_ids())
    except BenchFaults as wrong:
        raise CallRefused(*(f"{name}: {fault}" for fault in wrong.faults)) from None


def unknown(name: str, expected: str, known: Sequence[str]) -> Fault:
    """The fault of a name in the call that is not ``expected``, with the nearest of those that are known."""
    folded = {word.casefold(): word for word in known}
    near = difflib.get_close_matches(name.casefold(), folded, n=1)
    return Fault("", shown(name), expected, folded[near[0]] if near else None)

"""``frogbench levels``: the levels that come with the program, with the player's best marks."""

from __future__ import annotations

from collections.abc import Mapping

from sim.cli.output import CallRefused, print_line
from sim.cli.status import FINE
from sim.cli.wordset import words_for
from sim.game.screens.jobs_page import jobs_on_file
from sim.progress import Best, Progress, ProgressError

__all__ = ["levels"]


def _reached(best: Best | None) -> str:
    if best is None:
        return "not played yet"
    return f"best marks {best.marks}{', passed' if best.passed else ''}"


def _best() -> Mapping[str, Best]:
    try:
        return Progress().best()
    except ProgressError as fault:
        raise CallRefused(str(fault)) from None


def levels(asked: str | None = None) -> int:
    """Print a line for each level, in the order in which they are learnt: name, chapter, title, best marks.

    asked: the name of the set of words, None for the player's own.

    Raises CallRefused where the file of marks cannot be read.
    """
    best = _best()
    words = words_for(asked)
    rows = [
        (job.name, *map(words.of, (f"{job.chapter} {job.number}", job.title, _reached(best.get(job.name)))))
        for job in jobs_on_file()
    ]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        print_line("  ".join(f"{cell:{width}}" for cell, width in zip(row, widths, strict=True)).rstrip())
    return FINE

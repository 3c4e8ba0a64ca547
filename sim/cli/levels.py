"""``frogbench levels``: the levels that come with the program, chapter by chapter, with the player's best marks."""

from __future__ import annotations

from collections.abc import Mapping

from sim.cli.output import CallRefused, print_errors, print_line
from sim.cli.status import FINE, WRONG
from sim.cli.wordset import words_for
from sim.progress import Best, Progress, ProgressError
from sim.syllabus import FiledLevel, course
from sim.words import Words

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


def _row(filed: FiledLevel, best: Best | None, words: Words) -> tuple[str, str, str, str, str]:
    minutes = filed.level.minutes
    takes = "" if minutes is None else f"about {minutes} minute{'' if minutes == 1 else 's'}"
    return filed.name, str(filed.number), words.of(filed.bench.title), takes, words.of(_reached(best))


def levels(asked: str | None = None) -> int:
    """Print each chapter and a line for each of its levels, in the order in which they are learnt.

    A line tells name, number, title, how long it takes and the best marks. A file that is wrong is told on standard
    error. Raises CallRefused where the file of marks cannot be read.

    Args:
        asked: the name of the set of words, None for the player's own.
    """
    best = _best()
    words = words_for(asked)
    known = course()
    rows = {filed.name: _row(filed, best.get(filed.name), words) for filed in known.levels}
    widths = [max(map(len, column)) for column in zip(*rows.values(), strict=True)]
    for chapter, filed_levels in known.chapters:
        print_line(words.of(f"{chapter.title}: {chapter.line}" if chapter.line else chapter.title))
        for filed in filed_levels:
            cells = zip(rows[filed.name], widths, strict=True)
            print_line("  " + "  ".join(f"{cell:{width}}" for cell, width in cells).rstrip())
    print_errors(line for wrong in known.wrong for line in str(wrong).splitlines())
    return WRONG if known.wrong else FINE

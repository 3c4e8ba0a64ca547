"""The course as it stands in the folder of levels: its chapters in order, and the levels of each by their rank."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from sim.bench.chapters import Chapter, load_chapters
from sim.bench.faults import BenchFaults
from sim.bench.level import Level
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.resources import chapters_path, level_names, level_path
from sim.track.formations import KINDS

__all__ = ["Course", "FiledLevel", "chapter_ids", "chapter_title", "course"]


class FiledLevel(NamedTuple):
    """A level by the name of its file, and its number in its chapter, counted from 1."""

    name: str
    number: int
    bench: Bench
    level: Level


class Course(NamedTuple):
    """The chapters that have levels, each with them; `wrong`: the faults of files that are left out for them.

    unlisted: the first of these is the list of chapters, in place of which the levels' own words stand
    """

    chapters: tuple[tuple[Chapter, tuple[FiledLevel, ...]], ...]
    wrong: tuple[BenchFaults, ...]
    unlisted: bool = False

    @property
    def levels(self) -> tuple[FiledLevel, ...]:
        """All levels, in the order in which they are learnt."""
        return tuple(filed for _, levels in self.chapters for filed in levels)


@lru_cache(maxsize=8)
def _chapters(path: Path, changed_ns: int) -> tuple[Chapter, ...] | BenchFaults:
    """The chapters of a file as it stood when it was last changed, or what is wrong with it."""
    del changed_ns
    try:
        return load_chapters(path)
    except BenchFaults as wrong:
        return wrong


@lru_cache(maxsize=256)
def _bench(path: Path, changed_ns: int, chapters: tuple[str, ...] | None) -> Bench | BenchFaults:
    """The bench of a level's file as it stood when it was last changed, or what is wrong with it."""
    del changed_ns
    try:
        return load(path, KINDS, chapters)
    except BenchFaults as wrong:
        return wrong


def _changed(path: Path) -> int:
    """When a file was last changed; 0 where it is not there, which reading it will tell."""
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


def _listed() -> tuple[Chapter, ...] | BenchFaults:
    path = chapters_path()
    return _chapters(path, _changed(path))


def chapter_ids() -> tuple[str, ...] | None:
    """The chapters that a level may belong to; None where their list is wrong, so that no level is blamed for it."""
    listed = _listed()
    return None if isinstance(listed, BenchFaults) else tuple(chapter.id for chapter in listed)


def chapter_title(chapter: str) -> str:
    """A chapter's heading; of one that is not listed its name in words."""
    listed = _listed()
    known = {} if isinstance(listed, BenchFaults) else {each.id: each.title for each in listed}
    return known.get(chapter) or _in_words(chapter)


def course() -> Course:
    """Everything that is in the folder of levels; a wrong file is left out and told in `wrong`."""
    listed = _listed()
    known = chapter_ids()
    wrong = [listed] if isinstance(listed, BenchFaults) else []
    found: list[tuple[str, Bench, Level]] = []
    for name in level_names():
        path = level_path(name)
        bench = _bench(path, _changed(path), known)
        if isinstance(bench, BenchFaults):
            wrong.append(bench)
        elif bench.level is not None:
            found.append((name, bench, bench.level))
    chapters = _unlisted(level.chapter for _, _, level in found) if isinstance(listed, BenchFaults) else listed
    rows = [(chapter, _of(chapter, found)) for chapter in chapters]
    return Course(tuple(row for row in rows if row[1]), tuple(wrong), isinstance(listed, BenchFaults))


def _of(chapter: Chapter, found: Sequence[tuple[str, Bench, Level]]) -> tuple[FiledLevel, ...]:
    """The levels of a chapter by rank; what has none comes last, by its name."""
    own = [row for row in found if row[2].chapter == chapter.id]
    own.sort(key=lambda row: (row[2].rank is None, row[2].rank or 0, row[0]))
    return tuple(FiledLevel(name, number, bench, level) for number, (name, bench, level) in enumerate(own, 1))


def _unlisted(ids: Iterable[str]) -> tuple[Chapter, ...]:
    """Chapters in place of a list that is wrong: their names in the order of the alphabet."""
    return tuple(Chapter(name, _in_words(name)) for name in sorted(set(ids)))


def _in_words(name: str) -> str:
    return name.replace("-", " ").capitalize()

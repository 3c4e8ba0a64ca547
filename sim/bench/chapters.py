"""The chapters that levels belong to, in the order in which they are learnt: a file of their own beside the levels."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sim.bench.faults import BenchFaults, Faults, TooManyFaults, at_key, shown
from sim.bench.fields import declared, read_fields
from sim.bench.reading import root_of, text_of
from sim.bench.shapes import Name, Text

__all__ = ["MOST_CHAPTERS", "Chapter", "load_chapters", "parse_chapters"]

MOST_CHAPTERS = 100
"""How many a file may list."""

_TABLE = "chapter"


@dataclass(frozen=True)
class Chapter:
    """A part of the course: its name in level files, and what stands over its levels in the list of jobs."""

    id: str = declared(Name(), "its name in level files")
    title: str = declared(Text(40, empty=False), "its heading in the list of jobs")
    line: str = declared(Text(100), "what stands beside its heading", default="")


def load_chapters(path: str | Path) -> tuple[Chapter, ...]:
    """The chapters that a file lists, in its order.

    Raises BenchFaults, whose lines begin with the path as given, with everything that is wrong.
    """
    return parse_chapters(text_of(path), name=str(path))


def parse_chapters(text: str, *, name: str) -> tuple[Chapter, ...]:
    """The chapters of a TOML text. ``name`` is what messages call it. Raises BenchFaults."""
    root = root_of(text, name)
    faults = Faults()
    chapters: list[Chapter] = []
    with contextlib.suppress(TooManyFaults):
        _read(root, chapters, faults)
    if faults:
        raise BenchFaults(name, faults.all())
    return tuple(chapters)


def _read(root: Mapping[str, object], chapters: list[Chapter], faults: Faults) -> None:
    for key in root:
        if key != _TABLE:
            faults.add(at_key("", key), "an unknown key", f"[[{_TABLE}]] tables", like=key, known=(_TABLE,))
    given = root.get(_TABLE, [])
    if not isinstance(given, list) or not given:
        found = shown(given) if _TABLE in root else "nothing"
        faults.add(_TABLE, found, f"[[{_TABLE}]] tables, in double brackets")
        return
    if len(given) > MOST_CHAPTERS:
        faults.add(_TABLE, f"{len(given):,} of them", f"at most {MOST_CHAPTERS} [[{_TABLE}]] tables")
        return
    taken: set[str] = set()
    for number, table in enumerate(given, 1):
        where = f"{_TABLE}[{number}]"
        if not isinstance(table, Mapping):
            faults.add(where, shown(table), f"a [[{_TABLE}]] table")
            continue
        chapter = read_fields(Chapter, table, where, faults)
        if chapter.id and chapter.id in taken:
            faults.add(f"{where}.id", f"{shown(chapter.id)} a second time", "an id of its own")
        taken.add(chapter.id)
        chapters.append(chapter)

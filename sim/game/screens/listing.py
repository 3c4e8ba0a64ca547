"""What stands in the list of jobs: the levels by chapter, and the benches of one's own."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path

from sim.game.draw.pages.ledger import Job, Part
from sim.progress import Best
from sim.saving import is_there
from sim.syllabus import Course, course

__all__ = ["OWN", "jobs_on_file", "own_benches", "parts_of", "wrong_note"]

OWN = "Your own benches"
_OWN_LINE = "track of your own, and files"


def jobs_on_file(best: Mapping[str, Best] | None = None, left: Collection[str] = ()) -> tuple[Job, ...]:
    """Every level that comes with the program, in the order in which they are learnt; a wrong file is left out.

    left: the names of the benches that stand otherwise than they are filed
    """
    jobs: list[Job] = []
    for chapter, levels in course().chapters:
        for filed in levels:
            kept = (best or {}).get(filed.name)
            done, marks = (False, None) if kept is None else (kept.passed, kept.marks)
            level = filed.level
            job = Job(filed.name, chapter.title, filed.number, filed.bench.title, level.brief, done, marks)
            standing = f"level {filed.name}" in left
            jobs.append(job._replace(line=level.line, task=level.task, minutes=level.minutes, standing=standing))
    return tuple(jobs)


def own_benches(recent: Sequence[str], left: Collection[str]) -> Iterator[Job]:
    """The test track, and the bench files opened lately."""
    brief = "Lay track, wire it, drive it: a bench of your own."
    yield Job("track", OWN, 0, "Test track", brief, False, own=True)
    for file in recent:
        path = Path(file)
        where = str(path.parent)
        if not is_there(path):
            where = f"no longer in {path.parent}; Del takes it off this list"
        elif file in left:
            where = f"as you left it, not saved; in {path.parent}"
        yield Job(file, OWN, 0, path.name, where, False, own=True, file=path)


def parts_of(jobs: Sequence[Job]) -> tuple[Part, ...]:
    """The chapters of the list, each with the numbers of its first and last job."""
    lines = {chapter.title: chapter.line for chapter, _ in course().chapters} | {OWN: _OWN_LINE}
    parts = []
    for title, rows in groupby(enumerate(jobs), key=lambda row: row[1].chapter):
        numbers = [number for number, _ in rows]
        parts.append(Part(title, lines.get(title, ""), numbers[0], numbers[-1]))
    return tuple(parts)


def wrong_note(known: Course) -> str:
    """What is wrong in the folder of levels, in a line; nothing if all is sound."""
    if not known.wrong:
        return ""
    first = known.wrong[0]
    more = len(known.wrong) - 1
    others = f" {more} more file{' is' if more == 1 else 's are'} wrong." if more else ""
    what = "is wrong" if known.unlisted else "is left out"
    return f"{Path(first.name).name} {what}: {first.faults[0]}.{others}"

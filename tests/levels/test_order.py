"""The levels are learnt in the order of the syllabus, in the window and on the command line."""

from __future__ import annotations

from sim.game.screens.listing import jobs_on_file
from sim.resources import level_names
from sim.syllabus import course
from tests.cli.running import called

FIRST_CHAPTER = [
    "first-frog",
    "three-screws",
    "right-hand",
    "four-readings",
    "unmarked",
    "left-hand",
    "from-below",
    "turned-round",
    "wye",
]
"""Each level needs what those before it teach."""


def test_the_first_chapter_is_whole_and_in_order() -> None:
    jobs = jobs_on_file()
    assert [job.name for job in jobs][: len(FIRST_CHAPTER)] == FIRST_CHAPTER
    assert [job.number for job in jobs][: len(FIRST_CHAPTER)] == [k + 1 for k in range(len(FIRST_CHAPTER))]
    assert len({job.chapter for job in jobs[: len(FIRST_CHAPTER)]}) == 1
    assert {job.name for job in jobs} == set(level_names())


def test_the_command_lists_them_as_the_window_does() -> None:
    ended = called("levels")
    assert ended.status == 0, ended
    lines = ended.out.decode().splitlines()
    assert [line.split()[0] for line in lines if line.startswith("  ")] == [job.name for job in jobs_on_file()]
    headings = [line for line in lines if not line.startswith("  ")]
    assert headings == [f"{chapter.title}: {chapter.line}" for chapter, _ in course().chapters]
    assert lines[0] == headings[0]


def test_ranks_count_on_within_a_chapter() -> None:
    for _, levels in course().chapters:
        assert [filed.level.rank for filed in levels] == list(range(1, len(levels) + 1))

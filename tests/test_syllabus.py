"""The course is what stands in the folder of levels: chapters by their list, levels by their rank, wrong files told."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from sim import syllabus
from sim.bench.reading import load
from sim.resources import chapters_path, level_names, level_path
from sim.syllabus import chapter_ids, chapter_title, course
from sim.track.formations import KINDS

CHAPTERS = """\
[[chapter]]
id = "second"
title = "The second"

[[chapter]]
id = "first-frog"
title = "First frog"
line = "one turnout"

[[chapter]]
id = "empty"
title = "Nothing yet"
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of levels of one's own, in place of the program's."""
    own = tmp_path / "levels"
    own.mkdir()
    (own / "chapters.toml").write_text(CHAPTERS, encoding="utf-8")
    monkeypatch.setattr("sim.resources.levels_folder", lambda: own)
    return own


def put(folder: Path, name: str, *lines: str) -> None:
    """A level with these lines in its table."""
    head = 'bench = 1\n[supply]\nkind = "dcc"\n[level]\n'
    (folder / f"{name}.toml").write_text(head + "\n".join(lines) + "\n", encoding="utf-8")


def names() -> list[tuple[str, list[str]]]:
    return [(chapter.title, [filed.name for filed in levels]) for chapter, levels in course().chapters]


def test_levels_stand_by_chapter_and_rank(folder: Path) -> None:
    put(folder, "a", "rank = 3")
    put(folder, "b", "rank = 1")
    put(folder, "c")
    put(folder, "d", 'chapter = "second"')
    put(folder, "e", "rank = 3")
    assert names() == [("The second", ["d"]), ("First frog", ["b", "a", "e", "c"])]
    assert [filed.number for filed in course().levels] == [1, 1, 2, 3, 4]
    assert course().wrong == ()
    assert level_names() == ("a", "b", "c", "d", "e")  # the list of chapters is no level


def test_a_wrong_level_is_left_out_and_told(folder: Path) -> None:
    put(folder, "a")
    put(folder, "b", "rank = 0")
    put(folder, "c", 'chapter = "third"')
    assert names() == [("First frog", ["a"])]
    told = [str(wrong) for wrong in course().wrong]
    assert len(told) == 2
    assert told[0].startswith(f"{folder / 'b.toml'}: level.rank: ")
    assert told[1].startswith(f"{folder / 'c.toml'}: level.chapter: ")


@pytest.mark.parametrize("text", ["", "[[chapter]]\n", "not TOML"])
def test_with_a_wrong_list_of_chapters_the_levels_are_there_all_the_same(folder: Path, text: str) -> None:
    put(folder, "a", "rank = 2")
    put(folder, "b", "rank = 1")
    put(folder, "c", 'chapter = "the-meter"')
    (folder / "chapters.toml").write_text(text, encoding="utf-8")
    assert chapter_ids() is None
    assert names() == [("First frog", ["b", "a"]), ("The meter", ["c"])]
    (wrong,) = course().wrong
    assert str(wrong).startswith(str(chapters_path()))


def test_without_the_list_it_is_told_by_name(folder: Path) -> None:
    put(folder, "a")
    chapters_path().unlink()
    assert "no such file" in str(course().wrong[0])
    assert names() == [("First frog", ["a"])]


def test_a_file_that_was_changed_is_read_anew(folder: Path) -> None:
    put(folder, "a", "rank = 0")
    assert len(course().wrong) == 1
    put(folder, "a", "rank = 10")
    assert course().wrong == ()


def test_the_heading_of_a_chapter_is_told_by_its_id(folder: Path) -> None:
    assert chapter_title("second") == "The second"
    assert chapter_title("by-hand") == "By hand"
    (folder / "chapters.toml").unlink()
    assert chapter_title("second") == "Second"


def test_the_programs_own_levels_are_all_sound() -> None:
    known = course()
    assert known.wrong == ()
    assert {filed.name for filed in known.levels} == set(level_names())
    for name in level_names():
        load(level_path(name), KINDS, chapter_ids())


def test_the_course_reads_the_folder_and_nothing_else(folder: Path) -> None:
    assert course().chapters == ()
    shutil.rmtree(folder)
    folder.mkdir()
    assert syllabus.course().levels == ()

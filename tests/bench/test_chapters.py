"""The list of chapters is checked as every bench file is, and a level names one that is listed."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.bench.chapters import MOST_CHAPTERS, Chapter, load_chapters, parse_chapters
from sim.bench.faults import BenchFaults
from sim.bench.reading import parse
from sim.track.formations import KINDS
from tests.bench.examples import CONTRACT

GOOD = """\
[[chapter]]
id = "first"
title = "First frog"
line = "one turnout"

[[chapter]]
id = "second"
title = "The meter"
"""

BROKEN = {
    "nothing": ("", ["chapter"]),
    "a key unknown": (f'course = "frogs"\n{GOOD}', ["course"]),
    "one table": ('[chapter]\nid = "first"\ntitle = "First"\n', ["chapter"]),
    "an empty list": ("chapter = []\n", ["chapter"]),
    "a number for a table": ("chapter = [1]\n", ["chapter[1]"]),
    "a key of a chapter unknown": (GOOD.replace("line =", "lines ="), ["chapter[1].lines"]),
    "no id": (GOOD.replace('id = "second"\n', ""), ["chapter[2].id"]),
    "an id that is a number": (GOOD.replace('"second"', "2"), ["chapter[2].id"]),
    "an id with a dot": (GOOD.replace('"second"', '"second.part"'), ["chapter[2].id"]),
    "an id twice": (GOOD.replace('"second"', '"first"'), ["chapter[2].id"]),
    "no title": (GOOD.replace('title = "The meter"\n', ""), ["chapter[2].title"]),
    "an empty title": (GOOD.replace('"The meter"', '""'), ["chapter[2].title"]),
    "a title of 41 letters": (GOOD.replace('"The meter"', f'"{"a" * 41}"'), ["chapter[2].title"]),
    "a line that is a number": (GOOD.replace('"one turnout"', "1"), ["chapter[1].line"]),
    "a line of 101 letters": (GOOD.replace('"one turnout"', f'"{"a" * 101}"'), ["chapter[1].line"]),
    "too many": (
        "".join(f'[[chapter]]\nid = "c{k}"\ntitle = "C"\n' for k in range(MOST_CHAPTERS + 1)), ["chapter"]
    ),
    "no TOML": (GOOD.replace("= \"first\"", "first"), ["line 2, column 4"]),
    "too deep": ("a = " + "[" * 40 + "]" * 40, [""]),
}  # fmt: skip


def test_chapters_stand_in_the_order_of_the_file() -> None:
    assert parse_chapters(GOOD, name="list") == (
        Chapter("first", "First frog", "one turnout"), Chapter("second", "The meter"),
    )  # fmt: skip


@pytest.mark.parametrize("what", BROKEN)
def test_a_wrong_list_is_refused_where_it_is_wrong(what: str) -> None:
    text, paths = BROKEN[what]
    with pytest.raises(BenchFaults) as refused:
        parse_chapters(text, name="list")
    assert [fault.path for fault in refused.value.faults] == paths
    assert str(refused.value).startswith("list: ")


def test_a_list_that_is_not_there_or_not_text_is_refused_by_name(tmp_path: Path) -> None:
    file = tmp_path / "chapters.toml"
    with pytest.raises(BenchFaults, match="no such file"):
        load_chapters(file)
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(BenchFaults, match="UTF-8"):
        load_chapters(file)
    file.write_text(GOOD, encoding="utf-8")
    assert [chapter.id for chapter in load_chapters(file)] == ["first", "second"]


def test_a_level_names_a_chapter_that_is_listed() -> None:
    """The bench with every key belongs to the chapter "gaps"."""
    with pytest.raises(BenchFaults) as refused:
        parse(CONTRACT, KINDS, name="bench", chapters=("first-frog", "gasp"))
    (fault,) = refused.value.faults
    assert (fault.path, fault.found, fault.nearest) == ("level.chapter", '"gaps"', "gasp")
    assert fault.expected == 'a chapter that is listed: "first-frog", "gasp"'
    assert parse(CONTRACT, KINDS, name="bench", chapters=("first-frog", "gaps")).level is not None


def test_what_names_no_chapter_belongs_to_the_first_frog() -> None:
    """So it is refused where that is not listed, and a bench without a job is not."""
    bench = 'bench = 1\n[supply]\nkind = "dcc"\n'
    parse(bench, KINDS, name="bench", chapters=("meter",))
    with pytest.raises(BenchFaults, match=r"level\.chapter"):
        parse(f"{bench}[level]\n", KINDS, name="bench", chapters=("meter",))
    parse(f"{bench}[level]\n", KINDS, name="bench", chapters=("first-frog",))


def test_where_nobody_lists_chapters_any_is_taken() -> None:
    level = parse(CONTRACT, KINDS, name="bench").level
    assert level is not None
    assert level.chapter == "gaps"

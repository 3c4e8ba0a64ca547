"""The file dialogue without a screen: the cursor, the name being typed, and what is wrong with a name."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.game.draw.pages.files import Entry, Files, Line, Listing, in_order, shown

HERE = Path("/layouts")
ENTRIES = in_order(
    [Entry("yard.toml"), Entry("Old", True), Entry("harbour.toml"), Entry("attic", True), Entry("Yard 2.toml")]
)
OPEN = Files("open", Listing(HERE)).entered(Listing(HERE, ENTRIES))
SAVE = replace(Files("save", Listing(HERE, ENTRIES)), focus="name")


def test_folders_come_first_and_large_letters_count_as_small_ones() -> None:
    assert [entry.name for entry in ENTRIES] == ["attic", "Old", "harbour.toml", "Yard 2.toml", "yard.toml"]


@given(st.lists(st.integers(-4000, 4000), max_size=30), st.integers(1, 40), st.integers(0, 3000))
def test_the_cursor_stays_in_the_list_and_in_sight(steps: list[int], rows: int, count: int) -> None:
    files = Files("open", Listing(HERE)).entered(Listing(HERE, tuple(Entry(f"{k}.toml") for k in range(count))))
    for by in steps:
        files = files.moved(by, rows)
        assert files.chosen in range(count) if count else files.chosen == -1
        assert not count or files.first <= files.chosen < files.first + rows
        files = files.turned(by, rows)
        assert 0 <= files.first <= max(0, count - rows)


def test_typing_jumps_and_goes_on_where_it_can() -> None:
    files = OPEN.seeking("y", 10)
    assert files.entry == Entry("Yard 2.toml")
    for sign in "ard.":
        files = files.seeking(sign, 10)
    assert files.entry == Entry("yard.toml")
    assert files.seeking("h", 10).entry == Entry("harbour.toml")
    assert files.seeking("?", 10).entry == Entry("yard.toml")


def test_up_from_a_folder_the_cursor_is_on_it() -> None:
    assert OPEN.entered(Listing(HERE, ENTRIES), "Old").entry == Entry("Old", True)
    assert OPEN.entered(Listing(HERE)).entry is None


def test_a_file_under_the_cursor_gives_the_name_to_save_and_a_folder_does_not() -> None:
    typed = replace(SAVE, name=Line("mine"))
    assert typed.set_on(0, 9).name.text == "mine"
    assert typed.set_on(2, 9).name.text == "harbour.toml"
    assert OPEN.set_on(2, 9).name.text == ""


def test_tab_comes_to_everything_and_round() -> None:
    for files in (OPEN, SAVE):
        seen = []
        there = files
        for _ in files.stops:
            there = there.tabbed(1)
            seen.append(there.focus)
        assert sorted(seen) == sorted(files.stops)
        assert there.tabbed(1).tabbed(-1).focus == there.focus == files.focus


@given(st.lists(st.sampled_from(["a", "ü", " ", "<", ">", "back", "del", "home", "end"]), max_size=40))
def test_the_line_is_what_a_list_of_signs_with_a_cut_in_it_would_be(keys: list[str]) -> None:
    line, before, behind = Line(), "", ""
    for key in keys:
        match key:
            case "<":
                line = line.moved(line.caret - 1)
                before, behind = before[:-1], before[-1:] + behind
            case ">":
                line = line.moved(line.caret + 1)
                before, behind = before + behind[:1], behind[1:]
            case "back":
                line, before = line.rubbed(ahead=False), before[:-1]
            case "del":
                line, behind = line.rubbed(ahead=True), behind[1:]
            case "home":
                line, before, behind = line.moved(0), "", before + behind
            case "end":
                line, before, behind = line.moved(len(line.text)), before + behind, ""
            case _:
                line, before = line.typed(key), before + key
        assert (line.text, line.caret) == (before + behind, len(before))


@given(st.text(max_size=400))
def test_a_typed_line_is_short_and_can_be_shown(text: str) -> None:
    line = Line("abc", 1).typed(text)
    assert len(line.text) <= 120
    assert line.text == shown(line.text)


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("", "Type a name first."), ("   ", "Type a name first."), (".toml", "Type a name first."),
        (".yard", "A name that begins with a dot would be hidden here."), ("a/b", "A name has no / in it."),
        ("a:b.toml", "A name has no : in it."), ("..", "A name that begins with a dot would be hidden here."),
    ],
)  # fmt: skip
def test_a_name_that_will_not_do_is_told(name: str, wrong: str) -> None:
    assert replace(SAVE, name=Line(name)).target() == wrong


@pytest.mark.parametrize(("name", "file"), [("yard", "yard.toml"), (" yard.TOML ", "yard.TOML"), ("a.b", "a.b.toml")])
def test_a_name_gets_its_ending(name: str, file: str) -> None:
    assert replace(SAVE, name=Line(name)).target() == HERE / file


def test_names_from_a_disk_can_always_be_shown() -> None:
    assert shown("n\udce4me\x1b\n.toml") == "n\ufffdme\ufffd\ufffd.toml"

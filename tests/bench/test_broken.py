"""Every broken file is refused, quickly, with every fault in its place and nothing else."""

from __future__ import annotations

import re
import time

import pytest

from sim.bench.faults import BenchFaults, Fault
from sim.bench.reading import parse
from sim.bench.toml_text import NotToml, tables
from sim.track.formations import KINDS
from tests.bench.broken import BROKEN, NOT_TOML, added, changed
from tests.bench.examples import CONTRACT, SMALL, bench_of, small


def faults_of(text: str) -> tuple[Fault, ...]:
    started = time.perf_counter()
    with pytest.raises(BenchFaults) as caught:
        parse(text, KINDS, name="bench.toml")
    assert time.perf_counter() - started < 2.0
    lines = str(caught.value).split("\n")
    assert len(lines) == len(caught.value.faults)
    assert all(line.startswith("bench.toml: ") and len(line) < 500 for line in lines)
    assert all(line.isprintable() for line in lines)
    return caught.value.faults


@pytest.mark.parametrize(("text", "paths"), BROKEN.values(), ids=BROKEN.keys())
def test_every_fault_is_found_in_its_place_and_no_other(text: str, paths: list[str]) -> None:
    assert [fault.path for fault in faults_of(text)] == paths


@pytest.mark.parametrize(("text", "place"), NOT_TOML.values(), ids=NOT_TOML.keys())
def test_what_is_no_toml_is_refused_with_its_place(text: str, place: str) -> None:
    assert [fault.path for fault in faults_of(text)] == [place]


@pytest.mark.parametrize(
    ("text", "found", "expected"),
    [
        ('bench = 1\ntitle = "half', "a text that begins in line 2", 'a closing "'),
        ('bench = 1\ntitle = "half\n', "a text that begins in line 2", 'a closing "'),
        ('bench = 1\ntitle = """half\n\n', "a text that begins in line 2", 'a closing """'),
        ("bench = 1\na = [\n1,\n2,\n", "a list that begins in line 2", "a closing ]"),
        ("bench = 1\na = [\n[1, 2],\n[3,", "a list that begins in line 4", "a closing ]"),
        ("a = { b = 1", "a table in braces that begins in line 1", "a closing }"),
        ("[supply", "a heading that begins in line 1", "a closing ]"),
        ("\n[[track]\nid = 1\n", "a heading that begins in line 2", "a closing ]]"),
        ('[a]\nb = "]"\n  [[tra', "a heading that begins in line 3", "a closing ]]"),
        ("a = 1\nb =", "a key without its value", "key = value"),
        ("a = 1\nb", "a key without its value", "key = value"),
    ],
)
def test_a_file_cut_off_says_what_is_still_open(text: str, found: str, expected: str) -> None:
    (fault,) = faults_of(text)
    assert fault.found.removesuffix(" and does not end") == found
    assert fault.expected == expected


def test_what_is_wrong_in_a_list_says_where_the_list_begins() -> None:
    (fault,) = faults_of("bench = 1\na = [\n1,\n[b]\nc = 1\n")
    assert (fault.path, fault.expected) == ("line 4, column 2", "a comma or a closing ]")
    assert "a list that begins in line 2" in fault.found


@pytest.mark.slow
def test_a_file_cut_off_anywhere_names_a_line_that_it_has() -> None:
    """Closing what is said to be open brings the reader further, or to an end."""
    for end in range(1, len(CONTRACT)):
        text = CONTRACT[:end]
        fault = told(text)
        if fault is None:
            continue
        lines = [int(number) for number in re.findall(r"line (\d+)", f"{fault.path} {fault.found}")]
        assert lines
        assert all(1 <= line <= text.count("\n") + 1 for line in lines)
        if fault.expected.startswith("a closing "):
            sign = fault.expected.removeprefix("a closing ")
            # one after the other, where several of a kind are open in one line
            assert any(told(text + sign * count) != fault for count in range(1, 17))


def told(text: str) -> Fault | None:
    """What is wrong with a text as TOML."""
    try:
        tables(text)
    except NotToml as wrong:
        return wrong.fault
    return None


def test_there_are_enough_of_them() -> None:
    assert len(BROKEN) + len(NOT_TOML) > 150


def test_the_bench_they_are_made_from_is_good() -> None:
    assert small().wires[1].ends == ("M1.k", "T1.frog")


def test_all_that_is_wrong_is_told_at_once() -> None:
    text = SMALL
    for old, new in [
        ("bench = 1", "bench = 2"),
        ('kind = "dcc"', 'kind = "dcc"\nvolts = nan'),
        ("number = 6", "number = 60"),
        ("length_mm = 300", "length = 300"),
        ('"T1.main"', '"T1.heel"'),
        ('drives = "T1"', 'drives = "P1"'),
        ('common = "k"', "common = 1"),
        ('"T1.stock.left"', '"T1.stock.lefft"'),
        ('"T1.frog"]', '"T1.frog"]\nmetres = -1'),
    ]:
        text = text.replace(old, new)
    assert [fault.path for fault in faults_of(text)] == [
        "bench",
        "supply.volts",
        "track[1].number",
        "track[2].length",
        "track[2].length_mm",
        "motor[1].changeover[1].common",
        "wire[2].metres",
        "track[2].joins.a",
        "motor[1].drives",
        "wire[1].ends[2]",
    ]


@pytest.mark.parametrize(
    ("text", "found", "expected", "nearest"),
    [
        (changed('kind = "dcc"', 'kind = "dcc"\ntrip_amp = 3'), "an unknown key", "one of kind, volts", "trip_amps"),
        (changed('kind = "plain"', 'kind = "plane"'), '"plane"', 'one of "turnout", "wye", "plain"', "plain"),
        (changed('"T1.stock.left"', '"T1.stok.left"'), '"T1.stok.left"', "one of T1.stock.left, ", "T1.stock.left"),
        (changed('"M1.k"', '"m1.k"'), '"m1.k"', "a terminal of something on the bench", "M1.k"),
        (changed('"T1.main"', '"T1.mian"'), '"T1.mian"', "one of T1.toe, T1.main", "T1.main"),
        (changed('scale = "HO"', 'scale = "H0"'), '"H0"', '"HO", "S", "O", "N" or "16.5"', "HO"),
        (changed("length_mm = 300", "length_mm = -300"), "-300", "a number from", None),
        (
            changed("number = 6", f"number = {'9' * 4000}"),
            "a number near 1e4000",
            "a number from 4 to 12",
            None,
        ),
        (changed("number = 6", "number = nan"), "nan", "a number from 4 to 12", None),
        (changed("number = 6", "number = { a = 1 }"), "a table", "a number from 4 to 12", None),
        (changed("number = 6", "number = [6, 7]"), "a list of 2", "a number from 4 to 12", None),
        (changed("number = 6", "number = 2024-01-01"), "a date: 2024-01-01", "a number from 4 to 12", None),
        (changed("number = 6", f'number = "{"six " * 100}"'), '"six six six', "a number from 4 to 12", None),
        (changed('id = "P1"', 'id = "P\\n1"'), '"P\\n1"', "a name in quotation marks", None),
        (changed('drives = "T1"', 'drives = "P1"'), '"P1"', "the id of a piece that has blades", "T1"),
        (added('[test]\nvehicles = ["four-wheel shunta"]'), '"four-wheel shunta"', "a vehicle", "four-wheel shunter"),
        (added('[level]\nsolution = [{ thorw = "T1" }]'), "a table", "a step: a table with one of throw", "throw"),
        (added("[lvel]\nreadings = 1"), "an unknown key", "one of bench, title, supply", "level"),
    ],
)
def test_a_fault_says_what_was_found_and_what_would_be_right(
    text: str, found: str, expected: str, nearest: str | None
) -> None:
    fault = faults_of(text)[0]
    assert fault.found.startswith(found)
    assert expected in fault.expected
    assert fault.nearest == nearest
    assert str(fault).startswith(f"{fault.path}: found {fault.found}, expected {fault.expected}")
    assert (f"nearest known name: {nearest}" in str(fault)) == (nearest is not None)


def test_what_is_quoted_is_shortened() -> None:
    (fault,) = faults_of(changed('kind = "plain"', f'kind = "{"plain" * 1000}"'))
    assert len(fault.found) < 60


def test_a_hostile_name_of_a_file_cannot_break_the_lines() -> None:
    with pytest.raises(BenchFaults) as caught:
        parse("", KINDS, name="a\nb\x1b[31m.toml")
    assert str(caught.value).startswith("a?b?[31m.toml: bench: ")


def test_names_of_a_piece_of_unknown_kind_are_let_pass() -> None:
    """What such a piece has cannot be known, and one fault must not call forth others."""
    text = changed('kind = "turnout"', 'kind = "slip"')
    assert [fault.path for fault in faults_of(text)] == ["track[1].kind"]


def test_a_piece_with_a_wrong_value_still_has_its_terminals() -> None:
    text = changed("number = 6", "number = 600").replace("T1.frog", "T1.forg")
    assert [fault.path for fault in faults_of(text)] == ["track[1].number", "wire[2].ends[2]"]


def test_only_the_ends_of_one_thing_are_offered() -> None:
    (fault,) = faults_of(changed('"M1.k"', '"M1.z"'))
    assert fault.expected == "one of M1.k, M1.m, M1.p"


@pytest.mark.parametrize("text", [SMALL, CONTRACT])
def test_a_file_that_ends_early_is_read_or_refused(text: str) -> None:
    """A file cut off anywhere is read or refused; nothing else ever comes out."""
    refused = 0
    for length in range(0, len(text), 7):
        try:
            bench_of(text[:length])
        except BenchFaults:
            refused += 1
    assert refused > len(text) / 7 / 2

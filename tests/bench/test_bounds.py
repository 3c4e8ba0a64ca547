"""No text makes reading slow, large or deep: the bounds before the parser, and the parser within them."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.faults import BenchFaults
from sim.bench.reading import MOST, parse
from sim.bench.toml_text import LARGEST_BYTES, DeepOrLarge, NotToml, measure, tables
from tests.bench.hostile import HOSTILE

ROOT = Path(__file__).resolve().parents[2]


def depth(value: object) -> int:
    """How deep a value of a TOML file is nested."""
    if isinstance(value, dict):
        return 1 + max(map(depth, value.values()), default=0)
    if isinstance(value, list):
        return 1 + max(map(depth, value), default=0)
    return 0


@pytest.mark.parametrize(
    ("opening", "closing", "levels"),
    [("[", "]", 16), ("{ a = ", "}", 16), ("[{ a = ", "}]", 8), ("[\n# ]\n", "]", 16), ("[ '[', ", "]", 16)],
)
def test_sixteen_brackets_are_let_pass_and_one_more_is_not(opening: str, closing: str, levels: int) -> None:
    good = f"a = {opening * levels}1{closing * levels}\n"
    assert depth(tables(good)) == 1 + 16
    with pytest.raises(DeepOrLarge, match="more than 16 deep in line"):
        tables(f"a = [{good[4:-1]}]\n")


@pytest.mark.parametrize("key", ["a", '"a"', "'a'", '"a.b"', '"[" ', " a"])
def test_sixteen_parts_of_a_key_are_let_pass_and_one_more_is_not(key: str) -> None:
    for before, after in [("", " = 1\n"), ("[", "]\n"), ("x = { ", " = 1 }\n")]:
        tables(before + ".".join([key] * 16) + after)
        with pytest.raises(DeepOrLarge, match="more than 16 deep in line 1"):
            tables(before + ".".join([key] * 17) + after)


@pytest.mark.parametrize(
    "text",
    [
        'a = "' + "[" * 50 + '"',
        "a = '" + "[" * 50 + "'",
        "# " + "[" * 50,
        'a = """\n' + "[" * 50 + '\n"""',
        "a = '''\n" + "[" * 50 + "\n'''",
        'a = "\\"' + "[" * 50 + '"',
        'a = "\\\\" # "' + "[" * 50,
        'a = """x\\"""' + "[" * 50 + '"""',
        'a = """"""" # ' + "[" * 50,
        'a = """"' + "[" * 50 + '"""',
        "a = ''''" + "[" * 50 + "'''''",
        'a = ["]", "' + "[" * 50 + '"]',
        "a = '\\' # '" + "[" * 50,
        '"' + "[" * 50 + '" = 1',
        "a = " + "[" * 16 + "]" * 16 + "\nb = " + "[" * 16 + "]" * 16,
        "a = [" + "[],\n" * 1000 + "]",
        "\n".join(f"[a{i}]" for i in range(100)),
        "a = [" + "1.5, " * 1000 + "]",
    ],
)
def test_brackets_in_strings_and_remarks_do_not_count(text: str) -> None:
    assert tables(text) == tomllib.loads(text)


@pytest.mark.parametrize(
    "text",
    [
        "a = '\\' # ' \nb = " + "[" * 50,
        'a = "" # "\nb = ' + "[" * 50,
        'a = """ \\\\"""\nb = ' + "[" * 50,
        'a = """"a"""""\nb = ' + "[" * 50,
        "a = ''\nb = " + "[" * 50,
        "a = '''a'''''\nb = " + "[" * 50,
        '"#" = ' + "[" * 50,
        "a = 1 # '''\nb = " + "[" * 50,
        'a = 1 # """\nb = ' + "[" * 50,
        "a = [ # ]\n" * 17,
        "a = [ ']', " * 17,
    ],
)
def test_brackets_after_strings_and_remarks_do(text: str) -> None:
    with pytest.raises(DeepOrLarge, match="more than 16 deep"):
        tables(text)


MARKS = st.sampled_from(
    [
        "[",
        "]",
        "[[",
        "]]",
        "{",
        "}",
        "=",
        ",",
        ".",
        "\n",
        "\r\n",
        "#",
        '"',
        "'",
        '"""',
        "'''",
        "\\",
        "a",
        "1",
        " ",
        "a=",
        "a=[",
    ]
)


@given(st.lists(MARKS, max_size=60).map("".join))
def test_whatever_the_parser_takes_was_measured_right(text: str) -> None:
    """Of any text: if it is TOML it is read and is no deeper than allowed, or refused as too deep because it is."""
    try:
        plain = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        with pytest.raises((NotToml, DeepOrLarge)):
            tables(text)
        return
    if depth(plain) <= 16:
        assert tables(text) == plain


STRINGS = st.sampled_from(['"[[["', "'{{{'", '"""[\n["""', "'''{\n{'''", '"\\"["', "1", "1.5", "2024-01-01", "true"])
VALUES: st.SearchStrategy[str] = st.recursive(
    STRINGS,
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.lists(inner, max_size=3).map(
            lambda items: "{" + ", ".join(f"k{i} = {v}" for i, v in enumerate(items)) + "}"
        )
        | inner.map(lambda item: f"[ # [\n{item} ]")
    ),
    max_leaves=30,
)


@given(VALUES, st.integers(0, 20))
def test_just_what_is_too_deep_is_refused(value: str, more: int) -> None:
    text = f"a = {'[' * more}{value}{']' * more}\n"
    try:
        plain = tomllib.loads(text)
    except tomllib.TOMLDecodeError:  # a remark inside a table on one line
        return
    brackets = depth(plain) - 1
    if brackets <= 16:
        assert tables(text) == plain
    else:
        with pytest.raises(DeepOrLarge):
            tables(text)


def test_the_largest_bench_is_not_too_large() -> None:
    """As many pieces and wires as are allowed, each with more keys than a megabyte has room for."""
    piece = '[[track]]\nid="{i}"\ngaps."a.b"="cut"\ngaps."a.c"="cut"\nbonds.left="open"\njoins.a="T1.main"\n'
    wire = '[[wire]]\nends=["bus.A","T1.frog"]\nmm2=0.5\nmetres=0.3\ncolour="red"\nnumber="7"\nnote=""\n'
    text = "".join(piece.format(i=i) for i in range(MOST["track"])) + wire * MOST["wire"]
    measure(text)
    assert len(text) > 0.8 * LARGEST_BYTES


@pytest.mark.parametrize("form", ["[a{i}]\n", "a{i}.b = 1\n", "[a{i}.b.c]\n", "[a.b.c.d.e.f.g]\na{i} = 1\n" * 2])
def test_more_tables_and_keys_than_any_bench_has_are_not_parsed(form: str) -> None:
    """Each of these costs the parser about a kilobyte or a walk from the top."""
    text = "".join(form.format(i=i) for i in range(45_000))[:LARGEST_BYTES]
    with pytest.raises(DeepOrLarge, match="more tables and keys"):
        measure(text)


_BETWEEN = "import subprocess, sys; sys.exit(subprocess.call(sys.argv[1:]))"
"""Stands between: a process counts as its own the memory of the one that it was forked from, here that of the tests."""

VARIANTS = [
    "lists", "tables in a list", "tables with lists", "keys", "keys of lists", "dotted keys of lists", "empty strings",
    "dates", "empty lines in a list",
]  # fmt: skip
"""Those that take long and are much like another."""
TELLING = [name for name in HOSTILE if name not in VARIANTS]


@pytest.mark.parametrize(
    "names",
    [TELLING[:10], TELLING[10:20], TELLING[20:], pytest.param(VARIANTS, marks=pytest.mark.slow)],
    ids=lambda names: names[0],
)
def test_a_hostile_megabyte_is_refused_soon_and_in_little_room(names: list[str]) -> None:
    """Ten or so one after the other in one process, together in the room of one."""
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", _BETWEEN, sys.executable, "-m", "tests.bench.hostile", *names],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    for name, line in zip(names, done.stdout.splitlines(), strict=True):
        faults, seconds, kilobytes = line.split()
        assert int(faults) >= 1, name
        assert float(seconds) < 2.0, name
        assert int(kilobytes) < 300_000, name


def test_a_hostile_text_is_as_long_as_a_text_may_be() -> None:
    assert all(len(make()) <= LARGEST_BYTES for make in HOSTILE.values())


def test_more_faults_than_anyone_reads_end_the_reading() -> None:
    with pytest.raises(BenchFaults) as caught:
        parse("bench = 1\n" + "".join(f"a{i} = 1\n" for i in range(5000)), {}, name="x")
    assert len(caught.value.faults) == 1001
    assert caught.value.faults[-1].found == "more than 1000 faults"


def test_a_number_beyond_all_measure_is_no_other_error() -> None:
    with pytest.raises(NotToml):
        tables("a = " + "9" * 5000)

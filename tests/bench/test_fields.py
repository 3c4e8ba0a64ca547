"""Fields declared once: sorts of value, kinds, defaults and rules between keys."""

from __future__ import annotations

import doctest
import math
import pkgutil
from collections.abc import Iterable
from dataclasses import dataclass
from importlib import import_module

import pytest
from hypothesis import given
from hypothesis import strategies as st

import sim.bench
from sim.bench.faults import Faults, TooManyFaults, at_key, shown
from sim.bench.fields import Nested, Problem, declarations, declared, plain, read_fields, value_faults
from sim.bench.shapes import Choice, Either, Entries, ListOf, Name, Number, Pair, Shape, Text, Whole, YesNo, is_name


@dataclass(frozen=True, kw_only=True)
class Lever:
    """A table of two kinds, with every rule that a declaration can tell."""

    kind: str = declared(Choice("hand", "wire"), "sort")
    length_mm: float = declared(Number(0, 100, "mm", above=True), "length")
    side: str | None = declared(Choice("left", "right"), "side", default=None, required=True, kinds=("hand",))
    pull: float | None = declared(Number(0, 50), "pull", default=None, by_kind={"hand": 5.0, "wire": 9.0})
    short: bool = declared(YesNo(), "short", default=False, without=("long",))
    long: bool | None = declared(YesNo(), "long", default=None)
    paint: str | None = declared(Text(20), "paint", default=None)
    gloss: bool | None = declared(YesNo(), "gloss", default=None, needs=("paint",))
    above: int = declared(Whole(0, 9), "above", default=1, key="place.above")
    below: int = declared(Whole(0, 9), "below", default=2, key="place.below")
    not_in_files: int = 3

    def __post_init__(self) -> None:
        if self.pull is None:
            object.__setattr__(self, "pull", {"hand": 5.0}.get(self.kind, 9.0))

    def problems(self) -> Iterable[Problem]:
        if self.above == self.below:
            yield Problem("place.below", f"{self.below} again", "another than above")


def read(table: dict[str, object]) -> tuple[Lever, list[str]]:
    faults = Faults()
    kind = table.get("kind")
    lever = read_fields(Lever, table, "lever", faults, kind=kind if isinstance(kind, str) else None)
    return lever, [fault.path for fault in faults.all()]


HAND = {"kind": "hand", "length_mm": 5, "side": "left"}
WIRE = {"kind": "wire", "length_mm": 5}


def test_a_table_is_read_as_its_class() -> None:
    lever, paths = read({**HAND, "place": {"above": 4}, "paint": "red", "gloss": True})
    assert paths == []
    assert lever == Lever(kind="hand", length_mm=5.0, side="left", pull=5.0, above=4, below=2, paint="red", gloss=True)
    assert read(WIRE)[0] == Lever(kind="wire", length_mm=5.0, pull=9.0)


@pytest.mark.parametrize(
    ("table", "paths"),
    [
        ({}, ["lever.kind", "lever.length_mm"]),
        ({"kind": "hand", "length_mm": 5}, ["lever.side"]),
        ({**WIRE, "side": "left"}, ["lever.side"]),
        ({**HAND, "short": True, "long": True}, ["lever.short"]),
        ({**HAND, "gloss": True}, ["lever.gloss"]),
        ({**HAND, "place": {"above": 10, "under": 3}}, ["lever.place.under", "lever.place.above"]),
        ({**HAND, "place": {"above": 2}}, ["lever.place.below"]),
        ({**HAND, "place": 3}, ["lever.place"]),
        ({**HAND, "place.above": 3}, ['lever."place.above"']),
        ({**HAND, "not_in_files": 3}, ["lever.not_in_files"]),
        ({**HAND, "length_mm": 0}, ["lever.length_mm"]),
    ],
)
def test_each_rule_is_kept(table: dict[str, object], paths: list[str]) -> None:
    assert read(table)[1] == paths


def test_there_is_always_something_to_go_on_with() -> None:
    lever, paths = read({"kind": "hand", "length_mm": "long", "side": [], "pull": math.inf, "place": {"above": -1}})
    assert len(paths) == 4
    assert value_faults(lever) == ()


def test_what_differs_from_the_default_of_its_kind_is_written() -> None:
    assert plain(Lever(kind="hand", length_mm=1.0, side="left", pull=5.0)) == {
        "kind": "hand",
        "length_mm": 1.0,
        "side": "left",
    }
    assert plain(Lever(kind="wire", length_mm=1.0, pull=5.0, below=5)) == {
        "kind": "wire",
        "length_mm": 1.0,
        "pull": 5.0,
        "place": {"below": 5},
    }


def test_a_field_says_where_it_belongs() -> None:
    side = next(field for field in declarations(Lever) if field.name == "side")
    assert side.has("hand")
    assert not side.has("wire")
    assert [field.key for field in declarations(Lever)][-2:] == ["place.above", "place.below"]
    assert [field.key for field in declarations(Lever(kind="wire", length_mm=1.0))] == [
        field.key for field in declarations(Lever)
    ]


# Sorts of value

SHAPES: list[tuple[Shape, list[object], list[object]]] = [
    (YesNo(), [True, False], [0, 1, "true", None, []]),
    (Number(0, 5), [0, 5, 2.5, 1], [-0.1, 5.1, math.nan, math.inf, -math.inf, "1", True, None, [1], 10**400]),
    (Number(0, 5, above=True), [1e-300, 5], [0, 0.0, -0.0]),
    (Whole(1, 3), [1, 2, 3], [0, 4, 2.0, True, "2", None, 10**400]),
    (Text(3), ["", "abc"], ["abcd", 1, None, ["a"]]),
    (
        Text(3, empty=False),
        ["a", " a", "a\u200b", "\u05d0"],
        ["", "  ", 7, "\u200b", " \u200e\u202e", "\xad", "\ufe0f", "\0"],
    ),
    (
        Name(),
        ["T1", "yard lead", "Süd", "a-b_c"],
        ["", " a", "a ", "a.b", "a/b", 'a"b', "a\n", "\0", "\u3164", "\ufe0f", "x" * 61, 3],
    ),
    (Choice("left", "right"), ["left", "right"], ["Left", "", 1, None, ["left"]]),
    (ListOf(Whole(0, 9), 2), [[], [1], [1, 1]], [[1, 2, 3], 1, "1", [10], ["1"], {"a": 1}]),
    (ListOf(Whole(0, 9), 3, 1, each_once=True), [[1], [1, 2]], [[], [1, 1], [1, 2, 3, 4]]),
    (Pair(Whole(0, 9)), [[1, 1]], [[], [1], [1, 2, 3], "12", [1, "2"]]),
    (Entries(Whole(0, 9), keys=("a.b", "c")), [{}, {"a.b": 1}, {"a.b": 1, "c": 2}], [{"a": 1}, {"c": "1"}, [], 1]),
    (Entries(Whole(0, 9), longest=2), [{}, {"any name": 1}], [{"a.b": 1}, {"": 1}, {"a": 1, "b": 1, "c": 1}]),
    (Either(YesNo(), ListOf(Name())), [True, ["a"], []], [1, "a", [1], {}]),
    (Nested(Lever, "a lever"), [HAND, WIRE], [{}, [], 1, {**WIRE, "more": 1}]),
]


@pytest.mark.parametrize(("shape", "good", "bad"), SHAPES, ids=lambda value: repr(value)[:40])
def test_a_sort_of_value_takes_what_it_says_and_nothing_else(
    shape: Shape, good: list[object], bad: list[object]
) -> None:
    for value in good:
        faults = Faults()
        if not (isinstance(shape, Nested) and value is HAND):
            shape.read(value, "x", faults)
            assert faults.all() == (), value
            assert shape.takes(value)
    for value in bad:
        faults = Faults()
        shape.read(value, "x", faults)
        assert faults.all() != (), value
    faults = Faults()
    assert shape.read(object(), "x", faults) == shape.stand_in
    assert [(fault.path, fault.expected) for fault in faults.all()] == [("x", shape.expected)]
    assert not shape.takes(object())


@pytest.mark.parametrize(("shape", "good", "bad"), SHAPES, ids=lambda value: repr(value)[:40])
def test_a_stand_in_is_of_its_own_sort(shape: Shape, good: list[object], bad: list[object]) -> None:
    if not isinstance(shape, Name | Text | Nested):  # the empty name and text stand for missing ones
        faults = Faults()
        shape.read(plain(shape.stand_in), "x", faults)
        assert faults.all() == ()


@given(st.text())
def test_a_name_can_be_joined_and_taken_apart_again(text: str) -> None:
    if is_name(text):
        assert f"{text}.left/0".split("/")[0].split(".") == [text, "left"]
        assert f"{text}:0".split(":") == [text, "0"]
        assert text.isprintable()
        assert text == text.strip()


# Messages


@given(st.recursive(st.none() | st.booleans() | st.floats() | st.integers() | st.text(), st.lists, max_leaves=5))
def test_what_is_shown_is_one_short_line(value: object) -> None:
    assert len(shown(value)) <= 60
    assert shown(value).isprintable()


def test_numbers_are_shown_as_they_are_until_they_are_endless() -> None:
    assert [shown(value) for value in (3, -2.5, True, math.nan, math.inf, 10**14)] == [
        "3", "-2.5", "true", "nan", "inf", "100000000000000",
    ]  # fmt: skip
    assert shown(-(10**5000)) == "a number near -1e5000"


@given(st.text(), st.text())
def test_a_key_path_is_one_line(path: str, key: str) -> None:
    assert at_key("a", "b_c-1") == "a.b_c-1"
    assert at_key("", "b.c") == '"b.c"'
    assert len(at_key("a", key)) <= 60
    assert at_key("a", key).isprintable()


def test_no_more_faults_are_taken_than_anyone_reads() -> None:
    faults = Faults()
    for i in range(1000):
        faults.add(f"a[{i}]", "x", "y")
    with pytest.raises(TooManyFaults):
        faults.add("a", "x", "y")
    assert len(faults) == 1001


def test_one_fault_is_told_once() -> None:
    faults = Faults()
    assert not faults
    faults.add("a", "x", "y")
    faults.add("a", "other words for x", "y")
    assert faults
    assert len(faults) == 1


def test_the_nearest_name_is_found_whatever_its_case_but_not_at_any_cost() -> None:
    faults = Faults()
    assert faults.nearest("t1", ["T1", "Q7"]) == "T1"
    assert faults.nearest("zebra", ["T1", "Q7"]) is None
    many = [f"{i:060d}" for i in range(700)]
    assert faults.nearest("0" * 59 + "7", many) is not None
    assert [faults.nearest("0" * 59 + "7", many) for _ in range(3)][-1] is None


@pytest.mark.parametrize("module", [name for _, name, _ in pkgutil.iter_modules(sim.bench.__path__)])
def test_examples_in_docstrings_run(module: str) -> None:
    assert doctest.testmod(import_module(f"sim.bench.{module}")).failed == 0

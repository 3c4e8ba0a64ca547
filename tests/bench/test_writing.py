"""What is written reads back equal."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.fields import value_faults
from sim.bench.model import Bench, Supply, Wire
from sim.bench.writing import dump, toml_value
from tests.bench.examples import CONTRACT, SMALL, bench_of, small
from tests.bench.strategies import benches, texts


@given(benches())
def test_a_bench_reads_back_equal(bench: Bench) -> None:
    text = dump(bench)
    again = bench_of(text)
    assert again == bench
    assert hash(again) == hash(bench)
    assert dump(again) == text
    assert text.isascii() or text.encode()


@pytest.mark.parametrize("text", [SMALL, CONTRACT])
def test_what_was_read_is_written_so_that_it_reads_the_same(text: str) -> None:
    bench = bench_of(text)
    assert bench_of(dump(bench)) == bench


def test_the_form_is_that_of_a_file_written_by_hand() -> None:
    assert dump(small()) == SMALL.replace("number = 6", "number = 6.0").replace(
        'length_mm = 300\njoins = { a = "T1.main" }', 'joins = { a = "T1.main" }\nlength_mm = 300.0'
    )


def test_defaults_are_left_out_and_what_differs_is_not() -> None:
    text = dump(Bench(supplies=(Supply("bus", "dc", trip_amps=1.0, volts=12.5),)))
    assert text == 'bench = 1\n\n[supply]\nkind = "dc"\nvolts = 12.5\n'


def test_a_wire_by_gauge_number_is_written_so() -> None:
    text = dump(Bench(supplies=(Supply("bus", "dc"),), wires=(Wire(("bus.A", "bus.B"), awg=22),)))
    assert tomllib.loads(text)["wire"] == [{"ends": ["bus.A", "bus.B"], "awg": 22}]


def test_long_lists_are_broken_into_lines() -> None:
    hints = [f"This is hint number {i} of many, and it is a long one." for i in range(9)]
    bench = bench_of(f"{SMALL}[level]\nhints = {hints}\n")
    lines = dump(bench).splitlines()
    assert max(map(len, lines)) <= 120
    assert f'  "{hints[3]}",' in lines


@given(texts(200))
def test_any_text_reads_back_equal(text: str) -> None:
    assert tomllib.loads(f"a = {toml_value(text)}")["a"] == text


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**60), 2**60) | st.booleans())
def test_any_number_reads_back_equal(value: float) -> None:
    assert tomllib.loads(f"a = {toml_value(value)}")["a"] == value


def test_what_toml_cannot_hold_is_refused() -> None:
    with pytest.raises(TypeError, match="cannot hold None"):
        toml_value(None)


@given(benches())
@settings(max_examples=40)
def test_nothing_on_a_good_bench_is_out_of_range(bench: Bench) -> None:
    things = [*bench.supplies, *bench.tracks, *bench.motors, *bench.wires, *bench.vehicles, *bench.trains]
    assert [fault for thing in things for fault in value_faults(thing)] == []


def test_equal_things_are_written_alike_whatever_was_written_before() -> None:
    """Rows are kept by what they are equal to, and 1 is equal to 1.0."""
    for metres in (1, 1.0, 1):
        text = dump(Bench(title="", supplies=(), wires=(Wire(("M1.k", "T1.frog"), 0.5, None, metres),)))
        assert "metres = 1.0" in text.splitlines()

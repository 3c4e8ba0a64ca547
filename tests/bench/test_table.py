from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.table import Table

ITEMS = st.dictionaries(st.text(), st.integers())


@given(ITEMS)
def test_a_table_equals_the_dict_of_its_items(items: dict[str, int]) -> None:
    assert Table(items) == items
    assert dict(Table(items)) == items
    assert Table(items) != {**items, "\0 another": 1}


@given(st.lists(st.tuples(st.text(), st.integers()), unique_by=lambda item: item[0]), st.data())
def test_the_order_given_leaves_no_trace(items: list[tuple[str, int]], data: st.DataObject) -> None:
    one, two = Table(items), Table(data.draw(st.permutations(items)))
    assert one == two
    assert hash(one) == hash(two)
    assert repr(one) == repr(two)
    assert list(one) == list(two) == sorted(key for key, _ in items)


@given(ITEMS)
def test_repr_rebuilds_it(items: dict[str, int]) -> None:
    assert eval(repr(Table(items))) == Table(items)


@given(ITEMS)
def test_it_goes_through_pickle(items: dict[str, int]) -> None:
    table = Table(items)
    hash(table)
    again = pickle.loads(pickle.dumps(table))
    assert again == table
    assert again._hash is None, "a kept hash of text is wrong in another process"


def test_it_cannot_be_changed() -> None:
    table: Table[str, int] = Table(a=1)
    with pytest.raises(TypeError):
        table["a"] = 2  # type: ignore[index]
    source = {"a": 1}
    table = Table(source)
    source["b"] = 2
    assert table == {"a": 1}


def test_one_item_can_be_exchanged_or_left_out_of_a_copy() -> None:
    table: Table[str, int] = Table(a=1, b=2)
    assert table.replaced("b", 3) == {"a": 1, "b": 3}
    assert table.replaced("c", 3) == {"a": 1, "b": 2, "c": 3}
    assert table.without("a") == {"b": 2}
    assert table.without("z") == table
    assert table == {"a": 1, "b": 2}

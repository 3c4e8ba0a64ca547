"""A check that is missed says so in its own line: what was expected, within what, from where, and what it got."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.reference.check import Answer, Check, Source
from tests.reference.page import verify

SHEET = Source("A sheet of rails, edition 3", "retrieved")
RAIL: dict[str, Any] = {"unit": "ohm", "within": 0.1, "because": "printed to a tenth"}


def check(published: Answer, ours: Answer, **fields: Any) -> Check:
    return Check("the rail's ohms", SHEET, published, lambda: ours, **fields)


def missed(one: Check) -> str:
    with pytest.raises(AssertionError) as told:
        verify(one)
    return str(told.value).splitlines()[0]


def test_a_figure_that_is_missed_is_told_with_tolerance_and_source() -> None:
    assert missed(check(5.0, 5.2, **RAIL)) == (
        "the rail's ohms: expected 5 ohm within 0.1 ohm (printed to a tenth), "
        "got 5.2 ohm, +0.2 from the published one; source: A sheet of rails, edition 3"
    )


def test_a_limit_that_is_passed_is_told_as_a_limit() -> None:
    assert missed(check(5.0, 5.2, unit="ohm", sense="at most")).startswith(
        "the rail's ohms: expected at most 5 ohm, got 5.2 ohm; source"
    )


def test_a_statement_that_is_wrong_is_told_in_words() -> None:
    assert missed(check("open", "closed")).startswith("the rail's ohms: expected open, got closed; source")


@pytest.mark.parametrize(
    "one",
    [
        check(5.0, 5.1, **RAIL),
        check(5.0, 4.9, unit="ohm", sense="at most"),
        check(5.0, 5.0, unit="ohm", sense="at least"),
        check("open", "open"),
    ],
    ids=["within", "at most", "at least", "statement"],
)
def test_one_that_holds_passes(one: Check) -> None:
    verify(one)


def test_a_check_that_is_told_to_differ_fails_when_it_holds_and_when_it_differs_in_another_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    differing: Callable[[float], Check] = lambda ours: check(5.0, ours, **RAIL, differs="ours is thicker")  # noqa: E731
    line = "| the rail's ohms | 5 ohm | 4 ohm | -1 | **differs**: ours is thicker | A sheet of rails, edition 3 |"
    monkeypatch.setattr("tests.reference.page.told", lambda: {"the rail's ohms": line})
    verify(differing(4.0))
    assert missed(differing(5.0)).endswith("It is told to differ (ours is thicker), and holds")
    words = missed(differing(3.0))
    assert "got 3 ohm, -2 from the published one" in words
    assert words.endswith(f"It is told to differ, but as in: {line}")

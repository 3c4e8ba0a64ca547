"""Faults of one turnout: rows of the trade's tables of constructions and faults, on all hands."""

from __future__ import annotations

from functools import partial

import pytest

from tests.proof.benches import HANDS, Desk
from tests.proof.rows import ROWS, desk_of
from tests.proof.saying import says
from tests.reference.check import Check, Source, every
from tests.reference.page import verify

_TOPICS = {"A1": "constructions of a turnout, and how they fail", "D1": "faults and when they show"}


def source(row: str) -> Source:
    """A row of the trade's tables by its name, such as "D1 row 3"."""
    name = row.partition(":")[0]
    return Source(f"{name}, {_TOPICS[name[:2]]}", "common practice")


def _on_all_hands(frog: str, row: str) -> str:
    """What is said of the row on a right-hand and a left-hand turnout and a wye, once if it is the same."""
    change, _ = ROWS[frog][row]
    return " / ".join(dict.fromkeys(says(change(desk_of(frog, Desk(hand)))) for hand in HANDS))


def _outcome(row: str, changed: bool) -> str:
    """What happens on a dead frog and to which engines, without the place and the setting."""
    change, _ = ROWS["dead"][row]
    found = []
    for hand in HANDS:
        desk = change(desk_of("dead", Desk(hand)))
        first = says(desk.built(blade_contact="open") if changed else desk).partition("; ")[0]
        found.append(f"{first.partition(' ')[0]}, {first.rpartition(', ')[2]}")
    return " / ".join(dict.fromkeys(found))


_BLADES, _LIVE = "A1 row 1a: blades feed", "A1 row 1b: all routes live"
STALLS = tuple(
    Check(name, source(name), said, partial(_outcome, row, changed))
    for name, row, changed, said in (
        ("A1 row 1a: on the frog", _BLADES, False, "stalls, short wheelbases only"),
        ("A1 row 1a: set route with its blade contact dirty", _BLADES, True, "stalls, every engine"),
        ("A1 row 1b: on the frog", _LIVE, False, "stalls, short wheelbases only"),
    )
)

CHECKS = (
    *(
        Check(f"{row} ({frog} frog)", source(row), said, partial(_on_all_hands, frog, row))
        for frog, rows in ROWS.items()
        for row, (_, said) in rows.items()
        if row[:2] in _TOPICS and not row.startswith("A1 row 1")
    ),
    *STALLS,
)


@pytest.mark.parametrize("row", [row for row in ROWS["dead"] if row.startswith("A1 row 1")])
def test_dead_frogs_in_our_own_words(row: str) -> None:
    """The trade's rows of them are shorter, and are compared above."""
    _, said = ROWS["dead"][row]
    assert _on_all_hands("dead", row) == said


@every(CHECKS)
def test_faults(check: Check) -> None:
    verify(check)

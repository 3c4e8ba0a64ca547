"""Faults of one turnout: rows of the trade's tables of constructions and faults, on all hands."""

from __future__ import annotations

from functools import partial

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


CHECKS = tuple(
    Check(f"{row} ({frog} frog)", source(row), said, partial(_on_all_hands, frog, row))
    for frog, rows in ROWS.items()
    for row, (_, said) in rows.items()
    if row[:2] in _TOPICS
)


@every(CHECKS)
def test_faults(check: Check) -> None:
    verify(check)

"""Which changeover contacts of the motors have been found with the meter on their screws.

A contact is found when its common was measured joined to each outer in that outer's position of the points, and one
reading more shows that this was the contact and no lasting link (trade.md C1): a pair that is joined in both positions
is no changeover's.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from sim.bench.levers import mover
from sim.bench.model import Bench, Changeover, Motor
from sim.session.frogs import CLOSED_OHMS, OPEN_OHMS

__all__ = ["Measured", "found_contacts"]


class Measured(NamedTuple):
    """Ohms between two terminals (in order of their names), every supply unplugged; None beyond the meter's range.

    points: how all points and switches stood, as (piece, "normal" or "diverging").
    """

    a: str
    b: str
    points: tuple[tuple[str, str], ...]
    ohms: float | None


def found_contacts(bench: Bench, measured: Iterable[Measured]) -> frozenset[tuple[str, int]]:
    """Contacts that these readings prove, as (motor, number of the changeover counted from 0)."""
    rows = tuple(measured)
    return frozenset(
        (motor.id, number)
        for motor in bench.motors
        for number, contact in enumerate(motor.changeovers)
        if _proved(motor, contact, rows)
    )


def _proved(motor: Motor, contact: Changeover, rows: tuple[Measured, ...]) -> bool:
    outers = {"normal": contact.normal, "diverging": contact.diverging}
    if motor.turned:
        outers = {"normal": contact.diverging, "diverging": contact.normal}
    joined: set[tuple[frozenset[str], str]] = set()
    parted: set[tuple[frozenset[str], str]] = set()
    for row in rows:
        setting = dict(row.points).get(mover(motor), "")
        if row.ohms is None or row.ohms > OPEN_OHMS:
            parted.add((frozenset((row.a, row.b)), setting))
        elif row.ohms < CLOSED_OHMS:
            joined.add((frozenset((row.a, row.b)), setting))

    def pair(one: str, other: str) -> frozenset[str]:
        return frozenset((f"{motor.id}.{one}", f"{motor.id}.{other}"))

    to_normal, to_diverging = pair(contact.common, outers["normal"]), pair(contact.common, outers["diverging"])
    apart = pair(outers["normal"], outers["diverging"])
    no_link = {
        (to_normal, "diverging"), (to_diverging, "normal"), (apart, "normal"), (apart, "diverging"),
    }  # fmt: skip
    return {(to_normal, "normal"), (to_diverging, "diverging")} <= joined and bool(no_link & parted)

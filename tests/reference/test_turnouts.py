"""Turnouts: the angles of frogs."""

from __future__ import annotations

import math
from functools import partial

from sim.track.formations.turnout_legs import frog_angle
from tests.reference.check import Check, every
from tests.reference.page import verify
from tests.reference.published import entry

MINUTE_DEG = 1 / 60


def _degrees(number: float) -> float:
    return math.degrees(frog_angle(number))


def _angles() -> list[Check]:
    return [
        entry(f"turnout.frog_angle.nmra.no_{number}").check(
            partial(_degrees, number),
            unit="deg",
            within=0.51 * MINUTE_DEG,
            because="printed to a minute",
        )
        for number in (4, 5, 6, 7)
    ]


CHECKS = tuple(_angles())


@every(CHECKS)
def test_turnouts(check: Check) -> None:
    verify(check)

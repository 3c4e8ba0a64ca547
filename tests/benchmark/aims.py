"""What is measured, in what unit, and what it should be."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from typing import NamedTuple

__all__ = [
    "AIMS", "BREAKING", "FIRST_OF", "GROWTH", "GROWTH_FROM", "IN_VIEW", "MEMORY_SECONDS", "Aim", "Taken", "head", "row",
]  # fmt: skip

Taken = dict[str, list[float]]
"""What was measured, by the key of the aim."""

MEMORY_SECONDS = 3600
"""Of play, in the bench's own time."""

GROWTH = (1, 10, 20, 50, 200)
"""Numbers of turnouts in a ladder."""

GROWTH_FROM = 10
"""The number from which growth is told; with fewer, what is done once for a bench of any size counts for too much."""

BREAKING = (5, 10, 20, 40)
"""Numbers of turnouts in a ladder of which everything is broken, each thing once."""


IN_VIEW = (5, 20, 60)
"""Numbers of turnouts among which a train runs at the window, all of them in view."""

FIRST_OF = 200
"""The number of turnouts of a bench of which the first frame is waited for."""


class Aim(NamedTuple):
    """What is measured, in words; `share` of what was measured is what counts (0.5: the median).

    aim: the most it should be, or with `least` the least; None: it is only told. beside: the aim to whose median it
    is set in proportion. Shown in `unit`, of which there are `per` to what was measured: seconds, shares, bytes.
    """

    words: str
    aim: float | None = None
    share: float = 0.5
    unit: str = "ms"
    per: float = 1000.0
    least: bool = False
    beside: str | None = None


def _growth() -> dict[str, Aim]:
    """Rows of every size; the aims are for the largest."""
    most = GROWTH[-1]
    rows = {
        "cold": Aim("cold test of every route", 3.0),
        "json": Aim("its JSON", 3e6, unit="kB", per=1e-3),
        "peak": Aim("peak memory of both", 500e6, unit="MB", per=1e-6),
        "warm": Aim("one wire longer, tested again", 0.2),
        "wrong": Aim("one wire on a wrong rail, tested again", 0.2),
        "step": Aim("live step, 95 of 100", 0.002, 0.95),
        "throw": Aim("the same in a throw", 0.002, 0.95),
    }
    return {
        f"{kind} {count}": aim._replace(
            words=f"{_turnouts(count)}: {aim.words}",
            aim=aim.aim if count == most else None,
            beside=f"{kind} {GROWTH[0]}",
        )
        for kind, aim in rows.items()
        for count in GROWTH
    }


def _breaking() -> dict[str, Aim]:
    return {
        f"break {count}": Aim(f"{_turnouts(count)}: one thing broken", beside=f"break {BREAKING[0]}")
        for count in BREAKING
    }


def _in_view() -> dict[str, Aim]:
    out = {}
    for count in IN_VIEW:
        out[f"frame of {count}"] = Aim(f"{_turnouts(count)} in view, train running, median", 0.008)
        out[f"frame of {count} 99"] = Aim("the same, 99 of 100 frames", 0.008, 0.99)
        out[f"throw of {count} 99"] = Aim("the same while points are thrown", 0.016, 0.99)
    return out | {f"first of {FIRST_OF}": Aim(f"{_turnouts(FIRST_OF)}: opened, to the first frame", 3.0)}


def _turnouts(count: int) -> str:
    return f"{count} turnout{'s' if count > 1 else ''}"


AIMS: dict[str, Aim] = {
    "states": Aim("contact states solved in a second", unit="k", per=1e-3, beside="spice states"),
    "spice states": Aim("the same by ngspice, its analyses alone", unit="k", per=1e-3),
    "states ratio": Aim("times as many as ngspice", 20.0, unit="x", per=1.0, least=True),
    "cold": Aim("test of every route, one turnout, cold", 0.048),
    "warm": Aim("the same after a change of wiring", 0.0038),
    "step": Aim("one step of the running bench", 0.0003),
    "growth": Aim(f"exponent of the cold test, {GROWTH_FROM} to {GROWTH[-1]}", 1.15, unit="", per=1.0),
    **_growth(),
    **_breaking(),
    "breaking": Aim(f"exponent of breaking each, {BREAKING[0]} to {BREAKING[-1]}", 1.0, unit="", per=1.0),
    "first": Aim("start to first frame", 1.5),
    "frame 1280": Aim("frame, train running, 1280 x 800, median", 0.008),
    "frame 1280 99": Aim("the same, 99 of 100 frames", 0.008, 0.99),
    "frame 1920": Aim("frame, train running, 1920 x 1080, median", 0.008),
    "frame 1920 95": Aim("the same, 95 of 100 frames", 0.008, 0.95),
    "frame 1920 99": Aim("the same, 99 of 100 frames", 0.008, 0.99),
    "frame 3840": Aim("frame, train running, 3840 x 2160, median", 1 / 60),
    "frame 3840 99": Aim("the same at that size, 99 of 100 frames", 1 / 60, 0.99),
    **_in_view(),
    "idle": Aim("core's share while nothing moves", 0.03, unit="%", per=100.0),
    "peak proving": Aim("peak memory, test of one turnout", unit="MB", per=1e-6),
    "peak frames": Aim("peak memory, window at 1920 x 1080", unit="MB", per=1e-6, beside="peak proving"),
    "hour": Aim("more memory after an hour of play", 16e6, unit="MB", per=1e-6),
    "half hour": Aim("more in its second half", 4e6, unit="MB", per=1e-6),
}
"""In the order in which they are printed. Where there is no outside measure the number is a choice of ours."""

_WIDTH = 54


def head() -> str:
    """The top of the table."""
    names = ("reached", "least", "most", "aim")
    return f"{'':{_WIDTH}} {' '.join(f'{name:>10}' for name in names)} {'of aim':>8} {'ratio':>8}"


def row(key: str, taken: Taken) -> tuple[str, bool]:
    """A line of the table, and whether the aim is met."""
    aim, values = AIMS[key], taken[key]
    reached = _at_share(values, aim.share)
    cells = [_shown(aim, value) for value in (reached, min(values), max(values))]
    cells.append(_shown(aim, aim.aim) if aim.aim is not None else f"{'':10}")
    cells.append(f"{reached / aim.aim:>7.2f}x" if aim.aim is not None else f"{'':8}")
    if aim.beside in taken and aim.beside != key:
        cells.append(f"{reached / statistics.median(taken[aim.beside]):>7.2f}x")
    met = aim.aim is None or (reached >= aim.aim if aim.least else reached <= aim.aim)
    return f"{aim.words:{_WIDTH}} {' '.join(cells)}".rstrip(), met


def _shown(aim: Aim, value: float) -> str:
    return f"{value * aim.per:>7.2f} {aim.unit:2}"


def _at_share(values: Sequence[float], share: float) -> float:
    if share == 0.5:
        return statistics.median(values)
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, math.ceil(share * len(ordered)) - 1)]

"""The verdict on a bench: every run's outcome and every finding, as frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from sim.wiring.loop import LoopStep

__all__ = ["FAILING", "KINDS", "Finding", "Kind", "Position", "Route", "Shares", "Stretch", "Verdict", "When"]

Kind = Literal[
    "short",
    "hot",
    "short-while-throwing",
    "will-not-trip",
    "joined-supplies",
    "dead",
    "weak",
    "blade-fed",
    "joiner-fed",
    "points-against",
    "set-first",
    "contested",
    "near-its-end",
    "leaking",
    "overloaded",
]
When = Literal["power-on", "throw", "wheel", "coin"]

KINDS: tuple[Kind, ...] = get_args(Kind)
"""In the order in which they are told."""
FAILING: frozenset[Kind] = frozenset(
    {"short", "hot", "short-while-throwing", "will-not-trip", "joined-supplies", "dead"}
)
"""Kinds that fail the test, where it is not said otherwise."""


@dataclass(frozen=True, slots=True)
class Position:
    """One setting of the levers with nothing on the track, and the side that feeds each rail in it.

    The first position of a verdict is the bench as filed, whole; each other one holds what differs from it.

    points: levers' points and switches to "normal" or "diverging"; feeds: rail to "A", "B", "none" or "both"
    """

    points: Mapping[str, str]
    feeds: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where one run shows a finding: the run (as in `Route`), and the stretch of its track, mm from its first end."""

    path: tuple[str, str]
    vehicle: str
    direction: Literal["forward", "backward"]
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True)
class Finding:
    """Something found by the test of every route; it stands for all runs that show it.

    points: the levers that matter to it, with the setting in which it was found; one that moves is "throwing"
    path, direction, vehicle, from_mm, to_mm: of the first run that shows it: the two ends of its track, and the place
        of the leading axle along it from its first end; None with nothing on the track
    touching: the rails that metal joins, or that lack a side; with nothing on the track, those that the current runs
        through
    amps: fault current, at most what the supply can give; or the current of a rated part's overload
    volts: across the pick-ups, or what is left at the supply
    loop: the way of a fault's current, element by element
    runs: how many runs show it; 0 with nothing on the track
    stretches: where each of these runs shows it; of a train that trails in against the points, none
    """

    kind: Kind
    when: When
    points: Mapping[str, str]
    path: tuple[str, str] | None
    direction: Literal["forward", "backward"] | None
    vehicle: str | None
    from_mm: float | None
    to_mm: float | None
    touching: tuple[str, ...]
    amps: float | None
    volts: float | None
    text: str
    loop: tuple[LoopStep, ...] = ()
    runs: int = 0
    fails: bool = False
    stretches: tuple[Stretch, ...] = ()


@dataclass(frozen=True, slots=True)
class Route:
    """One run: a track, an item (a vehicle or a train) and a direction.

    path: the two ends of the track; points: the levers that it needs; length_mm: of the track, so that places can be
    drawn to scale; safe: no short, hot or dead place; live: no dead place
    """

    path: tuple[str, str]
    points: Mapping[str, str]
    vehicle: str
    direction: Literal["forward", "backward"]
    length_mm: float
    safe: bool
    live: bool


@dataclass(frozen=True, slots=True)
class Shares:
    """The part (0 to 1) of all runs without a short, hot or dead place, and without a dead one."""

    safe: float
    live: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """The whole answer of the test of every route.

    remarks: what of the bench was not looked at, in words
    """

    title: str
    positions: tuple[Position, ...]
    findings: tuple[Finding, ...]
    routes: tuple[Route, ...]
    remarks: tuple[str, ...] = ()

    @property
    def passed(self) -> bool:
        """True when no finding fails."""
        return not any(finding.fails for finding in self.findings)

    @property
    def shares(self) -> Shares:
        """Shares of safe and live runs; a bench without a run has neither."""
        count = len(self.routes)
        if not count:
            return Shares(0.0, 0.0)
        return Shares(sum(r.safe for r in self.routes) / count, sum(r.live for r in self.routes) / count)

"""The verdict on a bench: every route's outcome and every finding, as frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from sim.wiring.loop import LoopStep

__all__ = ["FAILING", "KINDS", "Finding", "Kind", "Position", "Route", "Shares", "Verdict", "When"]

Kind = Literal["short", "hot", "short-while-throwing", "dead", "weak", "blade-fed", "points-against", "overloaded"]
When = Literal["power-on", "throw", "wheel"]

KINDS: tuple[Kind, ...] = (
    "short",
    "hot",
    "short-while-throwing",
    "dead",
    "weak",
    "blade-fed",
    "points-against",
    "overloaded",
)
FAILING: frozenset[Kind] = frozenset({"short", "hot", "short-while-throwing", "dead"})


@dataclass(frozen=True, slots=True)
class Position:
    """One setting of the points with nothing on the track, and the side that feeds each rail in it.

    points: piece to "normal", "diverging" (or "throwing"); feeds: rail to "A", "B", "none" or "both".
    """

    points: Mapping[str, str]
    feeds: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something found by the test of every route.

    points: the setting in which it was found; a piece that moves is "throwing"
    path: the two ends of the path, None with nothing on the track
    from_mm, to_mm: place of the leading axle along the path from its first end, None with nothing on the track
    touching: the rails that the vehicle's metal joins (with nothing on the track, those that the current runs through)
    amps: fault current, or the least current of a rated part's overload; volts: across the pick-ups, or the rails
    loop: the way of a fault's current, element by element
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

    @property
    def fails(self) -> bool:
        """Whether the bench fails the test for it."""
        return self.kind in FAILING


@dataclass(frozen=True, slots=True)
class Route:
    """One path run by one vehicle in one direction.

    points: the setting it was run in; length_mm: of the path, so that places can be drawn to scale
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
    """The part (0 to 1) of all routes without a short or hot finding, and without a dead one."""

    safe: float
    live: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """The whole answer of the test of every route."""

    title: str
    positions: tuple[Position, ...]
    findings: tuple[Finding, ...]
    routes: tuple[Route, ...]

    @property
    def passed(self) -> bool:
        """True when no finding fails."""
        return not any(finding.fails for finding in self.findings)

    @property
    def shares(self) -> Shares:
        """Shares of safe and live routes; a bench without a route has neither."""
        count = len(self.routes)
        if not count:
            return Shares(0.0, 0.0)
        return Shares(sum(r.safe for r in self.routes) / count, sum(r.live for r in self.routes) / count)

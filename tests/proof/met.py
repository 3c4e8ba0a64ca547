"""Which runs meet what a verdict tells: findings are grouped, one for a cause, and routes are told one by one."""

from __future__ import annotations

from collections.abc import Mapping

from sim.proof.verdict import Position, Route, Verdict

__all__ = ["fits", "met", "rows"]

_SHORTS = {"short", "hot"}


def fits(points: Mapping[str, str], setting: Mapping[str, str]) -> bool:
    """Whether the points that matter to a finding stand so in a setting; none that matter stand so in any."""
    return points.items() <= setting.items()


def rows(verdict: Verdict) -> tuple[Position, ...]:
    """The verdict's positions, each whole: what is told of all but the first is what differs from it."""
    first, *others = verdict.positions
    return (
        first, *(Position({**first.points, **row.points}, {**first.feeds, **row.feeds}) for row in others)
    )  # fmt: skip


def met(verdict: Verdict, kind: str) -> tuple[Route, ...]:
    """The runs that meet a short, hot or dead place under their wheels, by the routes' own words.

    A route is unsafe by a short, by what burns or by a dead place. Where a verdict has several of these, a run counts
    for the one that a finding names in its setting. The findings' own counts of runs must fit; a run that can not go
    through, because of a fault with nothing on the track, may still be counted for what it meets on the way there.
    """
    findings = [f for f in verdict.findings if f.kind == kind and f.when == "wheel" and f.fails]
    if not findings:
        return ()
    stand = [f.points for f in verdict.findings if f.when == "power-on" and f.fails]
    open_to = [route for route in verdict.routes if not any(fits(points, route.points) for points in stand)]
    lone = not {f.kind for f in verdict.findings if f.when == "wheel"} >= _SHORTS
    if kind == "dead":
        found = [route for route in open_to if not route.live]
    else:
        named = [route for route in open_to if any(fits(f.points, route.points) for f in findings)]
        found = [route for route in (open_to if lone else named) if not route.safe and route.live]
        if len(found) < sum(f.runs for f in findings):
            found += [route for route in named if not route.live]
    counts = [f.runs for f in findings]
    stopped = len(verdict.routes) - len(open_to)
    assert max(counts) <= len(found) + stopped, (kind, counts, found)
    assert len(found) <= sum(counts), (kind, counts, found)
    return tuple(found)

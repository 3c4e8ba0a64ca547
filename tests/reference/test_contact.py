"""Contact tables against two tools that know shapes: 10,000 random poses for every formation and scale.

A pose in which the tables and the tool differ is explained if the tool's answer changes within the tolerance: along
the track, where the ends and slanting faces of rails lie, and across it, where arcs are drawn by chords.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from sim.track.standards import SCALES
from tests.reference.bodies import colliding
from tests.reference.check import Check, Source, every
from tests.reference.page import verify
from tests.reference.polygons import overlapping
from tests.reference.poses import FORMATIONS, Hits, Poses, drawn

ALONG_MM = 0.03
"""A face that closes at 1 in 12 moves so far along for 0.0025 mm across."""

ACROSS_MM = 0.003
"""Twice how far a chord of 1.5 mm lies off an arc of 288 mm, the sharpest of a turnout."""

ACROSS_PLAIN_MM = 0.009
"""How far a chord of 5 mm lies off an arc of 400 mm, the sharpest of the plain track here, and a little more."""

TOUCHES = 15_000
TWO_RAILS = {"plain": 10}
TWO_RAILS_AT_POINTS = 1_000
MOST_WITHIN = 300

SHAPELY, PYMUNK = "shapely, rectangles on polygons", "pymunk, shape queries"
QUICK = {SHAPELY: ("HO", "N"), PYMUNK: ("HO",)}
"""The scales that a plain run compares: the tables of the others come from the same code with other figures."""

Tool = Callable[[Poses, float, float], Hits]


def _compared(formation: str, scale: str, tool: Tool) -> str:
    """What came of a comparison, as a statement."""
    across = ACROSS_PLAIN_MM if formation == "plain" else ACROSS_MM
    poses = touches = two = within = unexplained = 0
    for some in drawn(formation, scale):
        ours, possible = some.tabled(), tool(some, ALONG_MM, across)
        poses += len(some.stations)
        touches += int(ours.sum())
        two += int((ours.sum(axis=1) > 1).any(axis=0).sum())
        if (ours != possible).any():
            sure = tool(some, -ALONG_MM, -across)
            within += int((sure != possible).any(axis=(0, 1)).sum())
            unexplained += int(((ours & ~possible) | (sure & ~ours)).any(axis=(0, 1)).sum())
    return _statement(
        formation, poses, unexplained, touches >= TOUCHES, two >= _two_rails(formation), within < MOST_WITHIN
    )


def _two_rails(formation: str) -> int:
    return TWO_RAILS.get(formation, TWO_RAILS_AT_POINTS)


def _statement(formation: str, poses: int, unexplained: int, touches: bool, two: bool, within: bool) -> str:
    over = {True: "over", False: "not"}
    return (
        f"{unexplained} of {poses:,} unexplained; {over[touches]} {TOUCHES:,} touches, {over[two]} "
        f"{_two_rails(formation):,} on two rails; {'under' if within else 'not'} {MOST_WITHIN} within tolerance"
    )


def _named(formation: str, scale: str, tool: str) -> str:
    return f"rails that wheels touch, {formation}, {scale}, {tool.partition(',')[0]}"


def _checks() -> Iterator[Check]:
    tools: tuple[tuple[str, Tool], ...] = ((SHAPELY, overlapping), (PYMUNK, colliding))
    for tool, hits in tools:
        for formation in FORMATIONS:
            for scale in SCALES:
                if formation == "straight points" and scale != "N":
                    continue
                across = ACROSS_PLAIN_MM if formation == "plain" else ACROSS_MM
                yield Check(
                    name=_named(formation, scale, tool),
                    source=Source(tool, "tool"),
                    published=_statement(formation, 10_000, 0, True, True, True),
                    ours=partial(_compared, formation, scale, hits),
                    because=f"{ALONG_MM:g} mm along and {across:g} mm across: arcs are drawn by chords",
                )


CHECKS: tuple[Check, ...] = tuple(_checks())

VARIANTS = {
    _named(formation, scale, tool)
    for tool, scales in QUICK.items()
    for formation in FORMATIONS
    for scale in SCALES
    if scale not in scales and formation != "straight points"
}


@every(CHECKS, VARIANTS)
def test_contact(check: Check) -> None:
    verify(check)

"""The time dial in the top rail: from a hundredth of a second in each second to four."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

import pygame

from sim.game.draw.pen.panel import box_of
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.items.panels.top_buttons import top
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.viewstate import Note, Target, ViewState
from sim.session.acts import Pace

__all__ = ["PACES", "TimeDial", "paced"]

PACES = (0.01, 0.1, 1.0, 2.0, 4.0)
"""How much of a second passes on the bench in each second."""

_PARTS = {0.01: 100, 0.1: 10}  # steps to a hundredth of a second, so that each picture shows a new moment
_SAID = {
    0.01: ("A hundredth of a second", "in each second"),
    0.1: ("A tenth of a second", "in each second"),
    1.0: ("Time as it is.", "Slower: [   Faster: ]"),
    2.0: ("Two seconds", "in each second"),
    4.0: ("Four seconds", "in each second"),
}


def paced(view: ViewState, by: int, *, around: bool = False) -> Outcome:
    """The dial turned by so many places; `around`: from the last on to the first."""
    at = PACES.index(view.pace) + by
    at = at % len(PACES) if around else min(max(at, 0), len(PACES) - 1)
    pace = PACES[at]
    if pace == view.pace:
        return NOTHING
    old, new = _PARTS.get(view.pace, 1), _PARTS.get(pace, 1)
    return Outcome((Pace(new),) if new != old else (), view=replace(view, pace=pace))


class TimeDial(Thing):
    """The button "1x" in the top rail, which draws it."""

    kinds: ClassVar = ("pace",)
    layer: ClassVar = "top"
    heading: ClassVar = "Time"
    keys: ClassVar = (("[ / ]", "time slower, or faster: from 1/100 to 4 times"),)

    def areas(self, sight: Sight) -> Iterator[Area]:
        yield Area(Target("pace"), top(*sight).places["pace"])

    def note(self, sight: Sight, target: Target) -> Note | None:
        area = next(self.areas(sight))
        return Note(middle_of(area), _SAID[sight.view.pace], box_of(area.rect))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        return paced(sight.view, 1, around=True)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if event.key == pygame.K_LEFTBRACKET or getattr(event, "unicode", "") == "[":
            return paced(sight.view, -1)
        if event.key == pygame.K_RIGHTBRACKET or getattr(event, "unicode", "") == "]":
            return paced(sight.view, 1)
        return None

    def wheel(self, sight: Sight, target: Target | None, turns: int) -> Outcome | None:
        if target is None or target.kind != "pace":
            return None
        return paced(sight.view, 1 if turns > 0 else -1)

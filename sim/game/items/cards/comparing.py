"""The sheet on which two wirings of one bench lie side by side; it covers the mat until one goes back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame

from sim.bench.laying import TakeUp
from sim.game.draw.pages.compare_sheet import compare_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target
from sim.proof.compare import Comparison
from sim.session.acts import Do

__all__ = ["CompareSheet"]


class CompareSheet(Thing):
    """It can be left, or either wiring laid out; that is one step, to be taken back as any other."""

    kinds = ("compare",)
    layer = "top"

    def covers(self, sight: Sight) -> bool:
        return sight.view.compared is not None

    def areas(self, sight: Sight) -> Iterator[Area]:
        if sight.view.compared is not None:
            for name, place in _sheet(sight.stage, sight.view.compared[2]).places.items():
                yield Area(Target("compare", name), place)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        if sight.view.compared is not None:
            yield _sheet(sight.stage, sight.view.compared[2]).sprite

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        if sight.view.compared is None:
            return NOTHING
        first, second, _ = sight.view.compared
        closed = replace(sight.view, compared=None, focus=None, hover=None)
        if target.name == "forget":
            return Outcome(view=replace(closed, first=None))
        wanted = {"first": first, "second": second}.get(target.name)
        if wanted is None or wanted == sight.snapshot.bench:
            return Outcome(view=closed)
        return Outcome((Do(TakeUp(wanted)),), view=closed)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        """While it lies open, keys go about on it and nothing else."""
        if sight.view.compared is None or event.key in _ABOUT:
            return None
        if event.key in (pygame.K_ESCAPE, pygame.K_k):
            return Outcome(view=replace(sight.view, compared=None, focus=None))
        return NOTHING


_ABOUT = frozenset(
    {
        pygame.K_TAB, pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN, pygame.K_RETURN, pygame.K_KP_ENTER,
        pygame.K_SPACE,
    }
)  # fmt: skip


def _sheet(stage: Stage, found: Comparison) -> Arrangement[str]:
    mat, edge = stage.rooms.mat, round(18 * stage.unit)
    box = mat.x + edge, mat.y + edge, mat.width - 2 * edge, mat.height - 2 * edge
    return compare_sheet(box, stage.unit, stage.theme, found)

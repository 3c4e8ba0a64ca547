"""The cross on the label of a prompt, which puts the prompts away."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

import pygame

from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.look.modifiers import ctrl_held
from sim.game.paper.view import Point
from sim.game.whereabouts.viewstate import Target

__all__ = ["PromptCross"]


class PromptCross(Thing):
    """The cross. Where it lies hangs on where all else does: `prompt_area` of `sim/game/desk/prompting.py` tells it."""

    kinds = ("prompt",)
    layer = "top"
    deep: ClassVar = -1.0

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        return Outcome(view=replace(sight.view, prompts_left=True, prompt=None))

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if event.key != pygame.K_x or ctrl_held(event):
            return None
        return Outcome(view=replace(sight.view, prompts_left=not sight.view.prompts_left, prompt=None))

"""Beginning a job again: asked for at the job sheet or with Ctrl+R, and asked back before anything comes off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.slips.question_slip import Question, question_sheet
from sim.game.items.common.commands import AskWindow
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Note, Target, ViewState

__all__ = ["Again"]

_ASKED: Question = (
    "Begin again?",
    "All that you wired, said and measured on this bench comes off, and it stands as at first.",
    "Enter: yes",
    "Esc: no",
)
_YES = (pygame.K_RETURN, pygame.K_KP_ENTER)


class Again(Thing):
    """The sign on the job sheet, which draws it, and the question in the middle of the mat while it is asked.

    While it is asked nothing else can be done: a click beside it means no.
    """

    kinds: ClassVar = ("again", "again-beside")
    layer: ClassVar = "top"
    heading: ClassVar = "Getting about"
    keys: ClassVar = (("Ctrl R", "begin the job again; it asks first"),)

    def areas(self, sight: Sight) -> Iterator[Area]:
        if not sight.view.begin_asked:
            return
        for name, rect in _question(sight.stage).places.items():
            yield Area(Target("again", name), rect)
        yield Area(Target("again-beside"), pygame.Rect((0, 0), sight.stage.rooms.size))

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        if sight.view.begin_asked:
            yield _question(sight.stage).sprite

    def note(self, sight: Sight, target: Target) -> Note | None:
        if target.name != "ask":
            return None
        sheet = sight.stage.rooms.sheet
        return Note((sheet.right - 40 * sight.stage.unit, sheet.y + 22 * sight.stage.unit), ("Begin the job again",))

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        if target.name == "ask":
            return Outcome((), AskWindow.ASK_AGAIN)
        return _answer(sight.view, target.name == "yes") if sight.view.begin_asked else NOTHING

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if not sight.view.begin_asked:
            return None
        if event.key in _YES:
            return _answer(sight.view, True)
        return _answer(sight.view, False) if event.key == pygame.K_ESCAPE else NOTHING


def _answer(view: ViewState, yes: bool) -> Outcome:
    return Outcome((), AskWindow.AGAIN if yes else None, replace(view, begin_asked=False))


def _question(stage: Stage) -> Arrangement[str]:
    sheet, mat = question_sheet(stage.unit, stage.theme, _ASKED), stage.rooms.mat
    width, height = sheet.box.size
    return sheet.moved(round(mat.centerx - width / 2), round(mat.centery - height * 0.8))

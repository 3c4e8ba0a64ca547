"""A question that must be answered before anything else is done."""

from __future__ import annotations

from dataclasses import dataclass

import pygame

from sim.game.draw.pages.question_sheet import question_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import focus_frame
from sim.game.items.common.commands import WindowCommand
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms

__all__ = ["Answer", "Question"]

_BACK = (pygame.K_LEFT, pygame.K_UP)
_ON = (pygame.K_TAB, pygame.K_RIGHT, pygame.K_DOWN)


@dataclass(frozen=True)
class Answer:
    """An answer: its words, and what it asks of the window; None for nothing."""

    words: str
    command: WindowCommand | None = None


@dataclass
class Question:
    """A question over the picture; the first answer, which has the keyboard's focus, changes nothing: nor does Esc."""

    title: str
    words: str
    answers: tuple[Answer, ...]
    focus: int = 0

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[int]:
        """The sheet; its answers by their number."""
        answers = tuple(answer.words for answer in self.answers)
        return question_sheet(rooms.size, rooms.unit, theme, self.title, self.words, answers)

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> Answer | None:
        """Take an event; gives the answer, None as long as there is none."""
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            hit = self.arranged(rooms, theme).under(event.pos)
            return None if hit is None else self.answers[hit]
        if event.type != pygame.KEYDOWN:
            return None
        if event.key == pygame.K_ESCAPE:
            return Answer("")
        if event.key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE):
            return self.answers[self.focus]
        if event.key in _BACK + _ON:
            back = event.key in _BACK or bool(event.key == pygame.K_TAB and event.mod & pygame.KMOD_SHIFT)
            self.focus = (self.focus + (-1 if back else 1)) % len(self.answers)
        return None

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The sheet, and the ring round the answer that Enter gives."""
        sheet = self.arranged(rooms, theme)
        place = sheet.places[self.focus]
        ring = focus_frame((place.x, place.y, place.width, place.height), 7 * rooms.unit, rooms.unit, theme)
        return [sheet.sprite, ring]

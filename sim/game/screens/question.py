"""A question that must be answered before anything else is done."""

from __future__ import annotations

from dataclasses import dataclass

from sim.game.draw.pages.question_sheet import question_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.items.common.commands import WindowCommand
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.screen import Asked

__all__ = ["Answer", "Question"]


@dataclass(frozen=True)
class Answer:
    """An answer: its words, and what it asks of the window; None for nothing."""

    words: str
    command: WindowCommand | None = None


@dataclass
class Question(Asked[int, Answer]):
    """A question over the picture; the first answer, which has the keyboard's focus, changes nothing: nor does Esc."""

    title: str
    words: str
    answers: tuple[Answer, ...]
    focus: int | None = 0

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[int]:
        """The sheet; its answers by their number."""
        answers = tuple(answer.words for answer in self.answers)
        return question_sheet(rooms.size, rooms.unit, theme, self.title, self.words, answers)

    def act(self, name: int | None) -> Answer | None:
        """An answer; none as long as nothing is chosen."""
        return None if name is None else self.answers[name]

    def escape(self) -> Answer:
        """Nothing is done."""
        return Answer("")

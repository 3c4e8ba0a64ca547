"""The rail along the top: back to the jobs, undo and redo, the board turned over, pages, paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame

from sim.game.draw.instruments.top_rail import TopItem, top_rail
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import box_of
from sim.game.items.common.commands import bench_button
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing, emptied
from sim.game.look.modifiers import ctrl_held, shift_held
from sim.game.look.wording import pace_words
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.acts import Redo, Undo
from sim.session.snapshot import Snapshot

__all__ = ["TopButtons", "top", "top_row"]

_WORDS = {
    "jobs": "Back to the jobs, all kept. Key Esc",
    "undo": "Key Ctrl Z",
    "redo": "Key Ctrl Shift Z",
    "sheet": "Print the wiring sheet: into your documents. Key Ctrl P",
    "turn": "See the board from below, or above. Key V",
    "keys": "All keys. Key F1",
    "settings": "Light, size, motion, words. Key F2",
}


def top_row(snapshot: Snapshot, view: ViewState, *, judged: bool = False) -> tuple[TopItem, ...]:
    """The buttons of the top rail; `judged`: under the result sheet, where what changes the bench waits."""
    own = (TopItem("save", "Save", "save", not judged),) if snapshot.bench.level is None else ()
    return (
        TopItem("jobs", "Jobs", "back", True),
        *own,
        TopItem("pace", pace_words(view.pace), "clock", not judged),
        TopItem("undo", "Undo", "undo", snapshot.can_undo and not judged),
        TopItem("redo", "Redo", "redo", snapshot.can_redo and not judged),
        TopItem("sheet", "Print" if own else "", "print", True),
        TopItem("turn", "Turn over", "turn", not judged),
        TopItem("keys", "Keys", "F1", True),
        TopItem("settings", "Settings", "gear", True),
    )


def top(stage: Stage, snapshot: Snapshot, view: ViewState, *, judged: bool = False) -> Arrangement[str]:
    """The rail along the top; `judged`: over a result sheet."""
    title = view.chapter or stage.bench.title
    job = f"{view.job}, seen from below".removeprefix(", ") if stage.below else view.job
    row = top_row(snapshot, view, judged=judged)
    return top_rail(box_of(stage.rooms.top), stage.unit, stage.theme, row, title, job)


class TopButtons(Thing):
    """The buttons of the rail but the time dial, which is a thing of its own."""

    kinds = ("top",)
    layer = "paper"
    deep = 0.5
    reads = "top"

    def areas(self, sight: Sight) -> Iterator[Area]:
        for name, rect in top(*sight).places.items():
            if name != "pace":
                yield Area(Target("top", name), rect)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        yield top(*sight).sprite

    def words(self, sight: Sight, target: Target) -> str:
        return _WORDS.get(target.name, "")

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        match target.name:
            case "undo":
                return _undone(sight)
            case "redo":
                return _redone(sight)
            case "turn":
                return Outcome(view=_turned_over(sight.view))
        return Outcome((), bench_button(target.name))

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if not ctrl_held(event):
            return Outcome(view=_turned_over(sight.view)) if event.key == pygame.K_v else None
        shift = shift_held(event)
        if event.key == pygame.K_z and not shift:
            return _undone(sight)
        return _redone(sight) if event.key in (pygame.K_z, pygame.K_y) else None


def _undone(sight: Sight) -> Outcome:
    return Outcome((Undo(),)) if sight.snapshot.can_undo else NOTHING


def _redone(sight: Sight) -> Outcome:
    return Outcome((Redo(),)) if sight.snapshot.can_redo else NOTHING


def _turned_over(view: ViewState) -> ViewState:
    """The board the other way up; from below the job sheet lies folded, so that the bars are seen."""
    below = not view.below
    folded_above = view.folded if below else view.folded_above
    return replace(emptied(view), below=below, folded_above=folded_above, folded=True if below else folded_above)

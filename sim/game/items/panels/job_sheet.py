"""The job sheet: what the job is, how far it has come, a hint, a short; and the test of every route."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame

from sim.coach.assessment import assess, told
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import box_of
from sim.game.draw.slips import sheet as sheets
from sim.game.draw.slips.progress_bar import progress
from sim.game.items.common.commands import AskBench, bench_button
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.look.modifiers import ctrl_held
from sim.game.look.wording import GOALS, story_of
from sim.game.paper.view import Point
from sim.game.picture.papers import RESET_WORDS, fault_words, folded_away, sheet_lies_open, short_told
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.snapshot import Snapshot
from sim.syllabus import chapter_title

__all__ = ["TEST_WORDS", "JobSheet", "page_of"]

TEST_WORDS = "Test every route"
_WORDS = {
    "test": "Every vehicle over every route. Key T",
    "hint": "A question first, then more. Key H",
    "names": "What the parts of a turnout are called. Key F3",
    "turn-sheet": "The other half of the sheet",
}
_TARGETS = {"fold": Target("fold", "sheet"), "again": Target("again", "ask")}


def page_of(stage: Stage, snapshot: Snapshot, view: ViewState) -> sheets.Page:
    """What stands on the job sheet now."""
    bench = stage.bench
    level = bench.level
    goals = tuple(sheets.Goal(GOALS.get(goal.name, goal.words), goal.done) for goal in assess(snapshot).goals)
    able = view.testing is None
    log = told(snapshot)
    half = "brief" if (len(log) <= view.filed) != (view.turned == len(log)) else "log"
    if snapshot.fault is not None and short_told(snapshot):
        story, hot = story_of(bench, snapshot.fault)
        text = fault_words(snapshot)
        hint = _hint_words(view)
        story, hot = ((), -1) if hint is not None else (story, hot)
        return sheets.Page(
            bench.title,
            "Short: it opened again" if snapshot.fault.again else "Short: breaker open",
            text,
            () if story or hint is not None else goals,  # once the loop is no more, the sheet is the job's again
            () if story else tuple(line for line in log[-8:] if line != snapshot.fault.text),
            story,
            hot,
            "pencil-red",
            RESET_WORDS,
            "",
            False,
            hint=hint,
        )
    brief = level.brief if level is not None else ""
    eyebrow = view.job or (chapter_title(level.chapter) if level is not None else "")
    page = sheets.Page(eyebrow, bench.title, brief, goals, log[-24:], (), -1, "ink", "", TEST_WORDS, able, half)
    return page._replace(hint=_hint_words(view), names=level is not None, turned=view.turned == len(log))


def _hint_words(view: ViewState) -> tuple[str, str] | None:
    """Heading and words of the hint that lies open."""
    if view.hint is None:
        return None
    more = "" if view.hint.stage >= 3 else " Ask again for more."
    return f"Hint {view.hint.stage} of 3, free of marks", view.hint.text + more


def _arranged(sight: Sight) -> Arrangement[str] | None:
    """The sheet, open or folded; None where there is none."""
    stage, snapshot, view = sight
    if folded_away(snapshot, view):
        goals, unit = assess(snapshot).goals, stage.unit
        count = f"{sum(goal.done for goal in goals)} of {len(goals)}" if goals else ""
        title, most = stage.bench.title or "Bench", stage.rooms.mat.width - round(60 * unit)
        return sheets.folded(box_of(stage.rooms.folded), unit, stage.theme, title, count, most)
    if not sheet_lies_open(snapshot, view):
        return None
    return sheets.sheet(box_of(stage.rooms.sheet), stage.unit, stage.theme, page_of(*sight))


class JobSheet(Thing):
    """The sheet with its buttons; those of the drawer, which lies in its place, do the same."""

    kinds = ("button", "fold")
    layer = "paper"
    deep = 0.5
    reads = "sheet"
    heading = "Driving"
    keys = (("T", "test every route"),)

    def areas(self, sight: Sight) -> Iterator[Area]:
        sheet = _arranged(sight)
        if sheet is None:
            return
        for name, rect in sheet.places.items():
            yield Area(_TARGETS.get(name, Target("button", name)), rect)
        if not folded_away(sight.snapshot, sight.view):
            yield Area(Target("paper", "sheet"), sheet.box)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        sheet, share = _arranged(sight), sight.view.testing
        if sheet is None:
            return
        yield sheet.sprite
        if share is not None and "test" in sheet.places:
            yield progress(sheet.places["test"], sight.stage.unit, sight.stage.theme, share)

    def words(self, sight: Sight, target: Target) -> str:
        if target.kind == "button":
            return _WORDS.get(target.name, "")
        return "Open the job sheet. Key J" if sight.view.folded else "Fold the job sheet away. Key J"

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        if target.kind == "fold":
            return _folded(sight)
        if target.name != "turn-sheet":
            return Outcome((), bench_button(target.name))
        lines = len(told(sight.snapshot))
        return Outcome(view=replace(sight.view, turned=lines if sight.view.turned != lines else None))

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if ctrl_held(event):
            return None
        if event.key == pygame.K_j:
            return _folded(sight)
        asked = {pygame.K_t: AskBench.TEST, pygame.K_h: AskBench.HINT}.get(event.key)
        return None if asked is None else Outcome((), asked)


def _folded(sight: Sight) -> Outcome:
    return Outcome(view=replace(sight.view, folded=not sight.view.folded))

"""The bench: a running session, the hands on it, and the test of every route."""

from __future__ import annotations

import math
from dataclasses import replace

import pygame

from sim.bench.edits import RemoveWire
from sim.bench.given import given_names
from sim.bench.levers import filed_settings
from sim.bench.model import Bench
from sim.coach.assessment import told
from sim.coach.job import begin, locks_of
from sim.coach.prompts import Prompts
from sim.game.desk.cautioning import Cautioning
from sim.game.desk.gestures import Gestures
from sim.game.desk.hinting import Hints
from sim.game.desk.needle import Needle
from sim.game.desk.prompting import target_of
from sim.game.desk.scene import picture
from sim.game.desk.unsaved import Unsaved
from sim.game.draw.pages.files import shown
from sim.game.draw.pages.result import Result, result_of
from sim.game.draw.pen.ink import Sprite
from sim.game.items.common.commands import AskBench, AskWindow, Command, OpenLevel, ShowGap, WindowCommand
from sim.game.items.common.thing import Outcome
from sim.game.look.theme import Theme, load_theme
from sim.game.paper.camera import HOME
from sim.game.paper.view import Point, Rooms
from sim.game.picture.clamp import followed
from sim.game.picture.papers import short_told
from sim.game.screens import paging
from sim.game.screens.asking import Asking, RouteTest, too_much_note
from sim.game.shorts.burning import Burning
from sim.game.whereabouts.stage import Stage, Stages
from sim.game.whereabouts.viewstate import PromptView, ViewState
from sim.proof import TooMuch
from sim.proof.verdict import Verdict
from sim.session.acts import Act, Do, Redo, Test, Undo
from sim.session.hands import ActRefused
from sim.session.memory import Memory, recall, remember
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.words import Words, verbatim

__all__ = ["BenchScreen"]

_MOST_STEPS = 16  # of the session in one frame; a slow frame slows the bench down, never makes it jump
_SETTLE_S = 1.5  # more than the second that a decoder takes from full speed one way to full speed the other
_STAYS_PX = 20.0  # so near the pointer is where it was; our choice
_GLIDE_S = 0.14  # that the camera must have stood still


class BenchScreen:
    """One bench on the mat. `view` and `snapshot` are what the picture is drawn from."""

    def __init__(
        self, bench: Bench, chapter: str = "", job: str = "", following: str | None = None, name: str = "",
        memory: Memory | None = None,
    ) -> None:  # fmt: skip
        """`name`: the level's, if it is one; `following`: that of the next job, offered after a pass.

        memory: how the bench was left, to go on from there; one that cannot be set up any more is left out.
        """
        self.session = _session(bench, memory)
        self._taken_up = memory is not None
        self.snapshot: Snapshot = self.session.snapshot()
        below = bench.level is not None and bench.level.seen == "below"
        self._fold_at_work = below  # the sheet is there to be read, then the bars under it are needed
        begun = ViewState(chapter=chapter, job=job, filed=len(told(self.snapshot)), slip=bench.level is not None)
        self.gestures = Gestures(replace(begun, below=below))
        self.hints = Hints(bench)
        self.asking = Asking()
        self.prompts = Prompts(bench)
        self.cautioning = Cautioning()
        self.result: Result | None = None
        self.following = following
        self.name = name
        self.calm = False  # reduced motion
        self._finished: tuple[int, bool] | None = None
        self._named: tuple[Bench, tuple[str, ...]] | None = None
        self._unsaved = Unsaved(bench, self.snapshot)
        self._stages = Stages()
        self._taken_off_at: Point | None = None  # where the pointer was when a wire was taken off, until it moves away
        self._owed = 0.0
        self._still = 0.0
        self._needle = Needle(self.snapshot)
        self._burning = Burning()
        self._camera, self._resting_for = HOME, 0.0
        self._test = RouteTest()

    @property
    def view(self) -> ViewState:
        """What the picture shows beside the bench."""
        return self.gestures.view

    @view.setter
    def view(self, view: ViewState) -> None:
        self.gestures.view = view

    def stage(self, rooms: Rooms, theme: Theme) -> Stage:
        """The bench as it is laid out in this window; results are always shown from above."""
        below, camera = (self.view.below, self.view.camera) if self.result is None else (False, HOME)
        at, pointer = self._taken_off_at, self.view.pointer
        stays = at is not None and math.dist(at, pointer) < _STAYS_PX * rooms.unit
        if not stays:
            self._taken_off_at = None
        return self._stages.of(self.snapshot.bench, rooms, self._own(theme), below, camera, hold=stays)

    def _own(self, theme: Theme) -> Theme:
        """The theme, in whose words what somebody called things on a bench of their own stays as it is."""
        bench = self.snapshot.bench
        if self._named is None or self._named[0] is not bench:
            self._named = bench, () if self.name else given_names(bench)
        names = self._named[1]
        return load_theme(theme.file, Words(theme.words.name, names)) if names else theme

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event."""
        stage = self.stage(rooms, theme)
        if self.result is not None:
            return self._ask(paging.handle_result(self, event, stage))
        stands = self.view.caution is not None or self.view.meaning
        if stands and event.type in (pygame.MOUSEBUTTONDOWN, pygame.KEYDOWN):
            self.view = replace(self.view, caution=None, meaning="")
        outcome = self.gestures.handle(event, stage, self.snapshot)
        if stands and outcome.command is AskBench.BACK:  # it was put away with that
            return None
        return self._done(outcome)

    def _done(self, outcome: Outcome) -> WindowCommand | None:
        if outcome.acts:
            off = any(isinstance(act, Do) and isinstance(act.edit, RemoveWire) for act in outcome.acts)
            self._taken_off_at = self.view.pointer if off and self.view.focus is None else None
            self.act(*outcome.acts)
        return self._ask(outcome.command)

    def act(self, *acts: Act) -> None:
        """Do something at once: the smallest step of time passes with it."""
        before = self.snapshot
        if self.view.gap is not None:
            self.view = replace(self.view, gap=None)  # it showed the moment before
        for act in acts:
            try:
                self.snapshot = self.session.next((act,))
            except ActRefused:
                self.snapshot = self.session.next()
        self._caution(before)
        if self.view.clip is not None and self.snapshot.bench is not before.bench:
            self.view = replace(self.view, clip=followed(self.view.clip, before.bench, self.snapshot.bench))
        if any(isinstance(act, Do | Undo | Redo) for act in acts):
            if self.view.broken is not None:
                self.view = replace(self.view, broken=None, broken_ref=None)
            self.view = replace(self.asking.stop(self.view), compared=None)
            self._stop_test()
        self._still = 0.0
        if self._fold_at_work:
            self._fold_at_work = False
            self.view = replace(self.view, folded=self.view.below)

    def _caution(self, before: Snapshot) -> None:
        """Stand the caution there that belongs to what has happened since, the first time that it does."""
        due = self.cautioning.due(before, self.snapshot)
        if self.snapshot.fault is not None and before.fault is None:  # a short is what is looked at now
            self.view = replace(self.view, caution=due, meaning="", hint=None, pointed=None)
        elif due is not None:
            self.view = replace(self.view, caution=due)
        if self.view.caution is None and not short_told(self.snapshot):
            meaning = self.cautioning.meaning(before, self.snapshot)
            if meaning:
                self.view = replace(self.view, meaning=meaning)

    def _ask(self, command: Command | None) -> WindowCommand | None:
        """What is asked of the bench is done; gives what is asked of the window."""
        match command:
            case AskBench.TEST:
                self.start_test()
            case AskBench.HINT:
                self.view = self.hints.ask(self.snapshot, replace(self.view, folded=False))
            case AskBench.COMPARE | AskBench.BREAK_EACH:
                self._work_out(command)
            case AskBench.STOP:
                self.view = self.asking.stop(self.view)
            case AskBench.TO_BENCH:
                self.result = None
                folded = self.view.folded or self.view.below  # the test opened the sheet, which would cover the bars
                self.view = replace(self.view, focus=None, chosen=None, folded=folded)
            case ShowGap(place):
                self.view = replace(self.view, gap=self.session.gap(place))
            case AskBench.NEXT:
                return OpenLevel(self.following) if self.following else AskWindow.JOBS
            case AskBench.BACK if self._test.runs:
                self._stop_test()
            case AskBench.BACK:
                return AskWindow.JOBS
            case _:
                return command
        return None

    def _work_out(self, command: AskBench) -> None:
        """Compare, or open each thing once, on a bench of one's own."""
        if self.session.bench.level is None and not self._test.runs:
            asked = self.asking.compare if command is AskBench.COMPARE else self.asking.break_each
            self.view = asked(self.session.bench, self.view)

    def _prompt(self) -> None:
        """Stand the level's prompt beside its thing."""
        self.prompts.follow(self.snapshot)
        shown = None
        if not self.view.prompts_left and self.snapshot.test_wanted is False:
            stands = self.prompts.stands(self.snapshot)
            if stands is not None:
                trains = [train.id for train in self.snapshot.trains]
                lever = next(iter(filed_settings(self.snapshot.bench)), "")
                shown = PromptView(target_of(stands[1], trains, lever), stands[0])
        if shown != self.view.prompt:
            self.view = replace(self.view, prompt=shown)

    def take_aids(self, *, lids_off: bool, bare: bool) -> None:
        """Show every contact of the motors, or only those that were found; sides of rails as the job says, or bare."""
        if (lids_off, bare) != (self.view.lids_off, self.view.bare):
            self.view = replace(self.view, lids_off=lids_off, bare=bare)

    def start_test(self) -> None:
        """Begin the test of every route of the bench as it stands."""
        if not self._test.runs and not self.asking.busy:
            self.act(Test())
            self._test.begin(self.session.bench)
            self.view = replace(self.view, testing=0.0, folded=False, menu_wire=None, hand=None)

    def _stop_test(self) -> None:
        """Leave a test that runs: the bench is no longer the one that it looks at."""
        if self._test.runs:
            self._test.stop()
            self.session.dismiss()
            self.snapshot = self.session.snapshot()
            self.view = replace(self.view, testing=None)

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Let time pass: the session, the running test, the needle."""
        if not self._resting:
            step = self.session.step_seconds
            self._owed = min(self._owed + seconds * self.view.pace, _MOST_STEPS * step)
            count = int(self._owed / step + 1e-9)
            if count:
                before = self.snapshot
                self.snapshot = self.session.step(count * step)
                self._caution(before)
                self._owed -= count * step
                self._still = self._still + count * step if _alike(before, self.snapshot) else 0.0
        self.view = self._needle.turned(self.view, seconds, self.snapshot, calm=self.calm)
        if self.result is None:
            self._burn(seconds, rooms, theme)
        self._glide(seconds)
        self._continue_test()
        self.view = self.asking.go_on(self.view)
        if self.result is None:
            self._prompt()
            self.view = self.hints.follow(self.snapshot, self.view)
            self._done(self.gestures.tick(seconds, self.stage(rooms, theme), self.snapshot))
            self.gestures.refresh(self.stage(rooms, theme), self.snapshot)

    @property
    def _resting(self) -> bool:
        """Nothing has changed for a while and nothing waits for its time: the session need not run."""
        return self._still > _SETTLE_S and not self.session.waits

    def _burn(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """A short grows, falls, and the next of it is made."""
        hot = self._burning.follow(seconds, self.stage(rooms, theme), self.snapshot, self.view, self.calm)
        if hot != self.view.hot:
            self.view = replace(self.view, hot=hot)

    def _glide(self, seconds: float) -> None:
        """While the camera moves, the last picture is moved along; when it has come to rest, all is drawn anew."""
        if self.view.camera != self._camera:
            self._camera, self._resting_for = self.view.camera, 0.0
            self.view = replace(self.view, glides=True)
        elif self.view.glides:
            self._resting_for += seconds
            if self._resting_for > _GLIDE_S:
                self.view = replace(self.view, glides=False)

    def _continue_test(self) -> None:
        try:
            step = self._test.go_on()
        except TooMuch as too_much:
            self._stop_test()
            self.view = replace(self.view, said=too_much_note(str(too_much)))
            return
        if step is None:
            return
        if not isinstance(step, Verdict):
            self.view = replace(self.view, testing=step)
            return
        self.view = replace(self.view, testing=None, focus=None, hover=None, chosen=None, leaf=0)
        self.result = result_of(self.session.bench, step, self.snapshot)
        if self.result.marks is not None:
            self._finished = (self.result.marks.total, step.passed)
        self.session.judge(step, self.result.reached)
        self.snapshot = self.session.snapshot()

    def take_finished(self) -> tuple[int, bool] | None:
        """Marks of a test that has just ended, and whether it passed; handed out once."""
        finished, self._finished = self._finished, None
        return finished

    @property
    def begun(self) -> bool:
        """Whether anything has been done on this bench, now or before it was taken up again."""
        return self._taken_up or bool(self.session.record)

    def ask_again(self) -> None:
        """Ask whether to begin again, on the bench itself."""
        self.result = None
        self.gestures.let_go()
        self.view = replace(self.view, begin_asked=True, focus=None, chosen=None)

    @property
    def unsaved(self) -> bool:
        """Whether the bench differs from its file; a train that was driven elsewhere is no difference."""
        return self._unsaved.differs(self.snapshot.bench)

    def saved(self, name: str) -> None:
        """The bench is now as a file of that name has it; what was done can still be undone."""
        self._unsaved.filed(self.snapshot.bench)
        self.call(name)

    def call(self, name: str) -> None:
        """Name the bench's file on the top rail, with a dot when there is something unsaved."""
        title = ("• " if self.unsaved else "") + verbatim(shown(name))
        if title != self.view.chapter:
            self.view = replace(self.view, chapter=title, job="own bench")

    def take_left(self) -> Memory | None:
        """How the bench stands, when something has been done to it since this was last asked."""
        return remember(self.session) if self._unsaved.take_done(self.snapshot) else None

    @property
    def lively(self) -> bool:
        """Whether something moves."""
        busy = self._test.runs or self.asking.busy or self._burning.busy or self.view.glides or self.gestures.waiting
        return not self._resting or busy or self._needle.moves(self.view, self.snapshot)

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        stage = self.stage(rooms, theme)
        if self.result is not None:
            return paging.result_picture(self, stage)
        return picture(stage, self.snapshot, self.view)


def _session(bench: Bench, memory: Memory | None) -> Session:
    if memory is None:
        return begin(bench)
    try:
        return recall(bench, memory, locks_of(bench))
    except ValueError:  # written by another version, or for a file that has changed since
        return begin(bench)


def _alike(a: Snapshot, b: Snapshot) -> bool:
    """Whether two moments look the same."""
    return (
        a.travel == b.travel
        and a.trains == b.trains
        and a.supplies == b.supplies
        and a.meter == b.meter
        and told(a) == told(b)
        and a.fault is b.fault
        and a.bench is b.bench
    )

"""From pointer and keys to acts: what a click, a drag, a hold or a key means on the bench.

`Gestures` keeps the view (what is in hand, what is chosen) and gives back acts for the session and a command for the
bench or the window. It knows no thing by name: each is asked what it does. It draws nothing and knows no clock.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pygame

from sim.game.desk.every import THINGS, on_board, owner
from sim.game.desk.hit import focus_order, focused, next_of, towards, under
from sim.game.desk.lingering import Lingering
from sim.game.items.common.commands import AskBench
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing, emptied
from sim.game.items.tools.probes import tip_by_key
from sim.game.look.modifiers import ctrl_held, shift_held
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.turning import turned_x
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.snapshot import Snapshot

__all__ = ["Gestures"]

_DRAG_PX = 6.0
_HOLD_S = 0.35
_ACTS = frozenset({pygame.MOUSEBUTTONDOWN, pygame.MOUSEWHEEL, pygame.KEYDOWN})
_ARROWS = {pygame.K_LEFT: (-1, 0), pygame.K_RIGHT: (1, 0), pygame.K_UP: (0, -1), pygame.K_DOWN: (0, 1)}
_ENTER = (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE)


class Gestures:
    """The hands on the bench. `view` is what the picture shows of them."""

    def __init__(self, view: ViewState) -> None:
        self.view = view
        self._pressed: Point | None = None
        self._at_press: Target | None = None
        self._pressed_for = 0.0
        self._holding: Thing | None = None
        self._lingering = Lingering()

    def handle(self, event: pygame.event.Event, stage: Stage, snapshot: Snapshot) -> Outcome:
        """Take one event; the view is changed here."""
        if event.type in _ACTS:
            self.view = self._lingering.acted(self.view)
        return self._seen(self._handle(event, stage, snapshot))

    def _seen(self, outcome: Outcome) -> Outcome:
        if outcome.view is not None:
            self.view = outcome.view
        return outcome

    def tick(self, seconds: float, stage: Stage, snapshot: Snapshot) -> Outcome:
        """Let time pass: a thing that is pressed for long enough is held, one that is rested on says its name."""
        self.view = self._lingering.go_on(self.view, seconds, news=snapshot.fault is not None)
        if self._pressed is None or self._at_press is None or self._holding is not None or self.view.hand is not None:
            return NOTHING
        before, self._pressed_for = self._pressed_for, self._pressed_for + seconds
        thing = owner(self._at_press.kind)
        if thing is None or not before < _HOLD_S <= self._pressed_for:
            return NOTHING
        outcome = thing.hold(Sight(stage, snapshot, self.view), self._at_press)
        if outcome is None:
            return NOTHING
        self._holding = thing
        return self._seen(outcome)

    @property
    def pressing(self) -> bool:
        """Whether something is pressed that might yet be held."""
        return self._pressed is not None and self._holding is None and self._pressed_for < _HOLD_S

    @property
    def waiting(self) -> bool:
        """Whether something will come of it that time passes."""
        return self.pressing or self._lingering.pending(self.view)

    def _handle(self, event: pygame.event.Event, stage: Stage, snapshot: Snapshot) -> Outcome:
        if event.type == pygame.MOUSEMOTION:
            return self._motion(_point(event), stage, snapshot)
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return self._press(_point(event), stage, snapshot)
        if event.type == pygame.MOUSEBUTTONUP and event.button == 1:
            return self._release(_point(event), stage, snapshot)
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 3:
            self.let_go()
        elif event.type == pygame.MOUSEWHEEL and event.y:
            return self._wheel(event.y, Sight(stage, snapshot, self.view))
        elif event.type == pygame.KEYDOWN:
            return self._key(event, stage, snapshot)
        return NOTHING

    def refresh(self, stage: Stage, snapshot: Snapshot) -> None:
        """Drop what the bench no longer has: a slip of a wire that is gone, a focus on what went away."""
        for thing in THINGS:
            self.view = thing.settled(Sight(stage, snapshot, self.view))
        focus = self.view.focus
        if focus is not None and all(area.target != focus for area in focus_order(stage, snapshot, self.view)):
            self.view = replace(self.view, focus=None)

    # The pointer

    def _motion(self, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        self.view = replace(self.view, pointer=point)
        pressed, target = self._pressed, self._at_press
        free = self.view.hand is None and self._holding is None
        if free and pressed is not None and target is not None and math.dist(point, pressed) >= _DRAG_PX * stage.unit:
            self._take(target, pressed, stage, snapshot)
        if self.view.hand is not None:
            return self._carry(point, stage, snapshot)
        self.view = replace(self.view, hover=under(stage, snapshot, self.view, point))
        return NOTHING

    def _press(self, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        self.view = replace(self.view, pointer=point, focus=None)
        if self.view.hand is not None and not self.view.hand.dragging:
            return self._drop(point, stage, snapshot)
        target = under(stage, snapshot, self.view, point)
        if target is None and stage.rooms.mat.collidepoint(point):
            target = Target("mat")
        self._pressed, self._at_press, self._pressed_for = point, target, 0.0
        thing = owner(target.kind) if target is not None else None
        if target is None or thing is None:
            return NOTHING
        return thing.press(Sight(stage, snapshot, self.view), target, point) or NOTHING

    def _release(self, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        pressed, at_press = self._pressed, self._at_press
        self._pressed = self._at_press = None
        hand = self.view.hand
        if self._holding is not None:
            held, self._holding = self._holding, None
            return held.release(Sight(stage, snapshot, self.view)) or NOTHING
        if hand is not None and hand.dragging:
            return self._drop(point, stage, snapshot)
        if pressed is None or hand is not None:
            return NOTHING
        target = under(stage, snapshot, self.view, point)
        if target is not None and target == at_press:
            return self._act(target, point, stage, snapshot)
        if target is None:
            self.view = replace(self.view, menu_wire=None, opened=None)
        return NOTHING

    def _wheel(self, turns: int, sight: Sight) -> Outcome:
        outcomes = (thing.wheel(sight, sight.view.hover, turns) for thing in THINGS)
        return next((outcome for outcome in outcomes if outcome is not None), NOTHING)

    # What is in hand

    def _take(self, target: Target, point: Point, stage: Stage, snapshot: Snapshot) -> None:
        """Take something in hand, to be dragged."""
        thing = owner(target.kind)
        if thing is None:
            return
        self.view = replace(self.view, hand=thing.take(Sight(stage, snapshot, self.view), target, point))
        if self.view.hand is not None:
            self._seen(self._carry(point, stage, snapshot))

    def _over(self, thing: Thing, point: Point, stage: Stage, snapshot: Snapshot) -> Target | None:
        """What lies under a thing in hand, if it matters to it."""
        return None if thing.through is None else under(stage, snapshot, self.view, point, thing.through)

    def _carry(self, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        """Move what is in hand."""
        hand = self.view.hand
        thing = owner(hand.what) if hand is not None else None
        if hand is None or thing is None:
            return NOTHING
        over = self._over(thing, point, stage, snapshot)
        self.view = replace(self.view, hand=hand._replace(at=point), hover=None)
        return thing.carry(Sight(stage, snapshot, self.view), hand, point, over)

    def _drop(self, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        """Let go of what is in hand at a place."""
        hand = self.view.hand
        thing = owner(hand.what) if hand is not None else None
        self._seen(self._carry(point, stage, snapshot))
        if hand is None or thing is None:
            return NOTHING
        over = self._over(thing, point, stage, snapshot)
        self.view = replace(self.view, hand=None, hover=None, ghost=None)
        return thing.drop(Sight(stage, snapshot, self.view), hand, point, over)

    def let_go(self) -> None:
        """Drop what is in hand, and close what is open."""
        self.view = emptied(self.view)
        self._pressed = self._at_press = None

    # What a click, or Enter, does

    def _act(self, target: Target, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        thing = owner(target.kind)
        if thing is None:
            return NOTHING
        if not thing.keeps_slips:
            self.view = replace(self.view, menu_wire=None, opened=None)
        return thing.act(Sight(stage, snapshot, self.view), target, point)

    # Keys

    def _key(self, event: pygame.event.Event, stage: Stage, snapshot: Snapshot) -> Outcome:
        key = event.key
        sight = Sight(stage, snapshot, self.view)
        for thing in reversed(THINGS):  # the uppermost hears first
            outcome = thing.key(sight, event)
            if outcome is not None:
                if outcome.view is not None and outcome.view.below != self.view.below:  # nothing lies where it did
                    self._pressed = self._at_press = None
                return outcome
        if ctrl_held(event):
            return NOTHING
        if key == pygame.K_ESCAPE:
            return self._escape()
        if key == pygame.K_TAB:
            return self._focus_on(next_of(sight, -1 if shift_held(event) else 1), stage, snapshot)
        if key in _ARROWS:
            return self._focus_on(towards(sight, _ARROWS[key]), stage, snapshot)
        if key in _ENTER:
            return self._enter(stage, snapshot)
        if key in (pygame.K_r, pygame.K_b):
            return tip_by_key(sight, "red" if key == pygame.K_r else "black", focused(sight))
        return NOTHING

    def _escape(self) -> Outcome:
        view = self.view
        if view.hand is not None or view.menu_wire is not None or view.opened is not None:
            self.let_go()
            return NOTHING
        if view.hint is not None:
            return Outcome(view=replace(view, hint=None, pointed=None))
        if view.focus is not None:
            return Outcome(view=replace(view, focus=None))
        return Outcome((), AskBench.BACK)

    # The keyboard's focus

    def _focus_on(self, area: Area | None, stage: Stage, snapshot: Snapshot) -> Outcome:
        """The focus on a thing, and what is in hand over it."""
        if area is None:
            return NOTHING
        self.view = replace(self.view, focus=area.target)
        mat = stage.rooms.mat
        if stage.shift is not None and not mat.collidepoint(middle_of(area)) and on_board(area.target.kind):
            x, y = middle_of(area)  # what the camera does not show is brought into sight
            at = (turned_x(x, stage.rooms) if stage.below else x, y)
            self.view = replace(self.view, camera=self.view.camera.over(at, mat))
        hand = self.view.hand
        thing = owner(hand.what) if hand is not None else None
        if thing is not None and area.target.kind in thing.meets:
            return self._carry(middle_of(area), stage, snapshot)
        return NOTHING

    def _enter(self, stage: Stage, snapshot: Snapshot) -> Outcome:
        sight = Sight(stage, snapshot, self.view)
        area, hand = focused(sight), self.view.hand
        if area is None:
            return NOTHING
        thing = owner(hand.what) if hand is not None else None
        outcome = thing.enter(sight, hand, area) if thing is not None and hand is not None else None
        if outcome is None:
            return self._act(area.target, middle_of(area), stage, snapshot)
        self._pressed = self._at_press = None
        return outcome


def _point(event: pygame.event.Event) -> Point:
    return float(event.pos[0]), float(event.pos[1])

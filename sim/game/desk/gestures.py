"""From pointer and keys to acts: what a click, a drag, a hold or a key means on the bench.

`Gestures` keeps the view (what is in hand, what is chosen) and gives back acts for the session and a command for the
bench or the window. It draws nothing and knows no clock.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pygame

from sim.bench.edits import Remove
from sim.bench.levers import lever_named
from sim.coach.assessment import told
from sim.game.desk import controls, tips
from sim.game.desk.every import THINGS, owner
from sim.game.desk.focusing import focused, next_of, towards
from sim.game.desk.hit import focus_order, on_board, under
from sim.game.desk.keyboard import THROTTLE_STEP, plain_key, with_ctrl
from sim.game.desk.lingering import Lingering
from sim.game.items.common.commands import AskBench, bench_button
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.paper.view import Point
from sim.game.picture.side import drawer_lies_open, driven, levers, throttle_panel
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.handles import nearest_screw, nearest_spot, probe_tip, stand_near
from sim.game.whereabouts.metal import nearest_metal
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.turning import turned_x
from sim.game.whereabouts.viewstate import Hand, Note, Target, ViewState
from sim.session.acts import Dial, Direction, Do, Drive, Put, Redo, Throw, Undo
from sim.session.snapshot import Snapshot

__all__ = ["WIRE_WORDS", "Gestures", "Outcome"]

_DRAG_PX = 6.0
_HOLD_S = 0.35
_HANDS = frozenset({"wire", "probe", "vehicle", "slider"})  # what is in hand and belongs to no thing of the list
_ACTS = frozenset({pygame.MOUSEBUTTONDOWN, pygame.MOUSEWHEEL, pygame.KEYDOWN})
WIRE_WORDS = "A wire ends on a screw or a tab."
_OVER_WIRES = frozenset({"probe", "vehicle"})  # what the end of a wire in hand passes under


class Gestures:
    """The hands on the bench. `view` is what the picture shows of them."""

    def __init__(self, view: ViewState) -> None:
        self.view = view
        self._pressed: Point | None = None
        self._at_press: Target | None = None
        self._folded_above = view.folded
        self._pressed_for = 0.0
        self._holding: Thing | None = None
        self._lingering = Lingering()

    def handle(self, event: pygame.event.Event, stage: Stage, snapshot: Snapshot) -> Outcome:
        """Take one event; fields of the view that it changes are changed here."""
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
        if not before < _HOLD_S <= self._pressed_for:
            return NOTHING
        things = THINGS if thing is None else (thing,)
        sight = Sight(stage, snapshot, self.view)
        for one in things:
            outcome = one.hold(sight, self._at_press)
            if outcome is not None:
                self._holding = one
                return self._seen(outcome)
        return NOTHING

    @property
    def pressing(self) -> bool:
        """Whether something is pressed that might yet be held."""
        return self._pressed is not None and self._holding is None and self._pressed_for < _HOLD_S

    @property
    def waiting(self) -> bool:
        """Whether something will come of it that time passes."""
        return self.pressing or self._lingering.pending(self.view)

    def _handle(self, event: pygame.event.Event, stage: Stage, snapshot: Snapshot) -> Outcome:
        if event.type in _ACTS:
            self.view = self._lingering.acted(self.view)
        if event.type == pygame.MOUSEMOTION:
            return self._motion(event.pos, stage, snapshot)
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return self._press(event.pos, stage, snapshot)
        if event.type == pygame.MOUSEBUTTONUP and event.button == 1:
            return self._release(event.pos, stage, snapshot)
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 3:
            self.let_go()
            return NOTHING
        if event.type == pygame.MOUSEWHEEL:
            return self._wheel(event.y, stage, snapshot)
        if event.type == pygame.KEYDOWN:
            return self._key(event, stage, snapshot)
        return NOTHING

    def refresh(self, stage: Stage, snapshot: Snapshot) -> None:
        """Drop what the bench no longer has: a slip of a wire that is gone, a focus on what went away."""
        if self.view.menu_wire is not None and self.view.menu_wire >= len(snapshot.bench.wires):
            self.view = replace(self.view, menu_wire=None)
        if self.view.focus is not None and all(
            area.target != self.view.focus for area in focus_order(stage, snapshot, self.view)
        ):
            self.view = replace(self.view, focus=None)
        if (
            self.view.hover is not None
            and self.view.hover.kind == "wire"
            and int(self.view.hover.name) >= len(snapshot.bench.wires)
        ):
            self.view = replace(self.view, hover=None)

    # The pointer

    def _motion(self, pos: tuple[int, int], stage: Stage, snapshot: Snapshot) -> Outcome:
        point = (float(pos[0]), float(pos[1]))
        self.view = replace(self.view, pointer=point)
        hand = self.view.hand
        pressed = self._pressed
        if (
            hand is None
            and pressed is not None
            and self._at_press is not None
            and self._holding is None
            and math.dist(point, pressed) >= _DRAG_PX * stage.unit
        ):
            self._take(self._at_press, pressed, stage, snapshot, dragging=True)
            hand = self.view.hand
        if hand is None:
            self.view = replace(self.view, hover=under(stage, snapshot, self.view, point))
            return NOTHING
        if hand.what == "slider":
            return self._slide(point, stage, snapshot)
        self._carry(hand, point, stage, snapshot)
        return NOTHING

    def _carry(self, hand: Hand, point: Point, stage: Stage, snapshot: Snapshot) -> None:
        """Move what is in hand; wires and tips snap to metal."""
        hover = None
        at = point
        if hand.what == "wire":
            hover = under(stage, snapshot, self.view, point, _OVER_WIRES)
            if hover is not None and hover.kind == "terminal" and hover.name != hand.name:
                spot = nearest_spot(stage, hover.name, point)
                at = (spot.x, spot.y) if spot.fixture == "tab" else nearest_screw(stage, hover.name, point)
            else:
                hover, at = self._tab_of_rail(hand, point, stage)
        elif hand.what == "probe":
            metal = nearest_metal(stage, point, tips.SNAP_PX * stage.unit)
            if metal is not None:
                hover, at = Target("terminal" if not metal[2] else "rail", metal[0]), metal[1]
        elif (thing := owner(hand.what)) is not None:
            self.view = thing.carry(Sight(stage, snapshot, self.view), hand, point)
        elif hand.what == "vehicle":
            train = next((train for train in snapshot.trains if train.id == hand.name), None)
            stand = stand_near(stage, snapshot, train, point) if train is not None else None
            self.view = replace(self.view, ghost=None if stand is None else (hand.name, stand.axles))
        self.view = replace(self.view, hand=hand._replace(at=at), hover=hover)

    def _tab_of_rail(self, hand: Hand, point: Point, stage: Stage) -> tuple[Target | None, Point]:
        """The tab of the rail that a wire in hand is held to, and where that is; the place itself where there is none.

        A wire is soldered at a rail's tab, so a rail is as good as its tab.
        """
        metal = nearest_metal(stage, point, tips.SNAP_PX * stage.unit, rails_only=True)
        if metal is None or metal[0] == hand.name:
            return None, point
        spot = nearest_spot(stage, metal[0], point)
        return Target("terminal", metal[0]), (spot.x, spot.y)

    def _press(self, pos: tuple[int, int], stage: Stage, snapshot: Snapshot) -> Outcome:
        point = (float(pos[0]), float(pos[1]))
        self.view = replace(self.view, pointer=point, focus=None)
        hand = self.view.hand
        if hand is not None and not hand.dragging:
            return self._drop(hand, point, stage, snapshot)
        target = under(stage, snapshot, self.view, point)
        if target is None and stage.rooms.mat.collidepoint(point):
            target = Target("mat")
        self._pressed, self._at_press, self._pressed_for = point, target, 0.0
        if target is not None and target.kind in {"slider", "slot"}:
            self.view = replace(self.view, hand=Hand("slider", target.name, point, True))
            return self._slide(point, stage, snapshot)
        return NOTHING

    def _release(self, pos: tuple[int, int], stage: Stage, snapshot: Snapshot) -> Outcome:
        point = (float(pos[0]), float(pos[1]))
        pressed, at_press = self._pressed, self._at_press
        self._pressed = self._at_press = None
        hand = self.view.hand
        if self._holding is not None:
            held, self._holding = self._holding, None
            return held.release(Sight(stage, snapshot, self.view)) or NOTHING
        if hand is not None and hand.what == "slider":
            self.view = replace(self.view, hand=None)
            return NOTHING
        if hand is not None and hand.dragging:
            return self._drop(hand, point, stage, snapshot)
        if pressed is None or hand is not None:
            return NOTHING
        target = under(stage, snapshot, self.view, point)
        if target is not None and target == at_press:
            return self._act(target, point, stage, snapshot)
        if target is None:
            self.view = replace(self.view, menu_wire=None, opened=None)
        return NOTHING

    def _take(self, target: Target, point: Point, stage: Stage, snapshot: Snapshot, *, dragging: bool) -> None:
        """Take something in hand."""
        if target.kind == "terminal":
            self.view = replace(self.view, hand=Hand("wire", target.name, point, dragging), menu_wire=None)
        elif target.kind == "probe":
            self.view = replace(self.view, hand=Hand("probe", target.name, point, dragging), menu_wire=None)
        elif target.kind == "vehicle":
            self.view = replace(self.view, hand=Hand("vehicle", target.name, point, dragging), menu_wire=None)
        elif (thing := owner(target.kind)) is not None:
            self.view = replace(self.view, hand=thing.take(Sight(stage, snapshot, self.view), target, point))
        else:
            return
        hand = self.view.hand
        if hand is not None:
            self._carry(hand, point, stage, snapshot)

    def let_go(self) -> None:
        """Drop what is in hand, and close what is open."""
        self.view = replace(
            self.view, hand=None, ghost=None, menu_wire=None, hover=None, opened=None, at_place=None, ghost_rails=()
        )
        self._pressed = self._at_press = None

    def _drop(self, hand: Hand, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        """Let go of what is in hand at a place."""
        self._carry(hand, point, stage, snapshot)
        hover = self.view.hover
        self.view = replace(self.view, hand=None, hover=None, ghost=None)
        thing = owner(hand.what) if hand.what not in _HANDS else None
        if thing is not None:
            return thing.drop(Sight(stage, snapshot, self.view), hand, point)
        if hand.what == "wire":
            if hover is not None and hover.kind == "terminal":
                return Outcome(controls.wire_to(snapshot, self.view, hand, hover.name))
            back = under(stage, snapshot, self.view, point, _OVER_WIRES)
            if hand.moves is None and hand.dragging and back == Target("terminal", hand.name):
                # pressed and let go on the same screw: carry on with clicks
                self.view = replace(self.view, hand=hand._replace(dragging=False))
            elif back != Target("terminal", hand.name):
                self._say(WIRE_WORDS, point)
            return NOTHING
        if hand.what == "probe":
            return tips.let_go(hand.name, point, Sight(stage, snapshot, self.view))
        if hand.what == "vehicle":
            if drawer_lies_open(snapshot, self.view) and stage.rooms.sheet.collidepoint(point):
                return Outcome((Do(Remove(hand.name)),))  # put back into the drawer
            train = next((train for train in snapshot.trains if train.id == hand.name), None)
            stand = stand_near(stage, snapshot, train, point) if train is not None else None
            if stand is not None:
                return Outcome((Put(hand.name, stand.end, stand.mm),))
        return NOTHING

    def _say(self, words: str, at: Point) -> None:
        """A few words beside what was tried, for a moment."""
        self.view = replace(self.view, said=Note(at, (words,)))

    def _slide(self, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        hand = self.view.hand
        if hand is None:
            return NOTHING
        slot = throttle_panel(stage, snapshot, self.view).places["slot"]
        share = min(1.0, max(0.0, (point[0] - slot.x) / slot.width))
        self.view = replace(self.view, hand=hand._replace(at=point))
        return Outcome((Drive(hand.name, round(share, 2)),))

    def _wheel(self, turns: int, stage: Stage, snapshot: Snapshot) -> Outcome:
        hover = self.view.hover
        for thing in THINGS if turns else ():
            outcome = thing.wheel(Sight(stage, snapshot, self.view), hover, turns)
            if outcome is not None:
                return outcome
        if hover is None or not turns:
            return NOTHING
        if hover.kind in {"dial", "knob"}:
            return Outcome(controls.turn_dial(snapshot, -1 if turns > 0 else 1))
        if hover.kind in {"slider", "slot"}:
            return Outcome(controls.drive_by(snapshot, self.view, THROTTLE_STEP if turns > 0 else -THROTTLE_STEP))
        return NOTHING

    # What a click, or Enter, does

    def _act(self, target: Target, point: Point, stage: Stage, snapshot: Snapshot) -> Outcome:
        kind, name = target
        if kind not in {"menu", "piece-slip", "paper"}:
            self.view = replace(self.view, menu_wire=None, opened=None)
        thing = owner(kind)
        if thing is not None:
            return thing.act(Sight(stage, snapshot, self.view), target, point)
        if kind in {"terminal", "probe"}:
            at = point
            if kind == "probe":
                at = probe_tip(stage, snapshot, self.view, name)
            self._take(target, at, stage, snapshot, dragging=False)
        elif kind == "place":
            return Outcome(controls.change_place(stage, name))
        elif kind in {"blade", "lever"}:
            thrown = lever_named(stage.bench, name)
            moved = thrown.movers if thrown is not None else (name,)
            number = next((k for k, lever in enumerate(levers(stage, snapshot)) if lever.piece in moved), 0)
            self.view = replace(self.view, lever=number)
            places = throttle_panel(stage, snapshot, self.view).places if kind == "lever" else {}
            words = [word for word in ("normal", "diverging") if word in places]
            to = next((word for word in words if places[word].collidepoint(point)), None)
            return Outcome((Throw(name, to),))
        elif kind == "dial":
            return Outcome((Dial(next(dial for dial in controls.DIALS if dial == name)),))
        elif kind == "knob":
            return Outcome(controls.turn_dial(snapshot, 1))
        elif kind == "rocker":
            return Outcome(controls.rocker(snapshot, self.view))
        elif kind == "plug":
            return Outcome(controls.plug(snapshot))
        elif kind == "direction":
            train = driven(snapshot, self.view)
            return Outcome((Direction(train.id, int(name)),)) if train else NOTHING
        elif kind == "fold":
            if name == "slip":
                self.view = replace(self.view, slip=not self.view.slip)
            else:
                self.view = replace(self.view, folded=not self.view.folded)
        elif kind == "predict":
            return Outcome(controls.predict(snapshot, self.view, name))
        elif kind == "vehicle":
            number = next((k for k, train in enumerate(snapshot.trains) if train.id == name), 0)
            self.view = replace(self.view, train=number)
            return Outcome(controls.nudge_on(snapshot, name))
        elif kind == "prompt":
            self.view = replace(self.view, prompts_left=True, prompt=None)
        elif kind in {"button", "top"}:
            return self._button(name, snapshot)
        return NOTHING

    def _button(self, name: str, snapshot: Snapshot) -> Outcome:
        if name == "undo":
            return Outcome((Undo(),)) if snapshot.can_undo else NOTHING
        if name == "redo":
            return Outcome((Redo(),)) if snapshot.can_redo else NOTHING
        if name == "next-frog":
            self.view = replace(self.view, frog=self.view.frog + 1)
        elif name == "turn":
            self._turn_over()
        elif name == "turn-sheet":
            lines = len(told(snapshot))
            self.view = replace(self.view, turned=lines if self.view.turned != lines else None)
        elif name == "next-train" and snapshot.trains:
            self.view = replace(self.view, train=(self.view.train + 1) % len(snapshot.trains))
        elif name == "next-supply" and snapshot.supplies:
            self.view = replace(self.view, supply=(self.view.supply + 1) % len(snapshot.supplies))
        else:
            return Outcome((), bench_button(name))
        return NOTHING

    def _turn_over(self) -> None:
        """The board the other way up; from below the job sheet lies folded, so that the bars are seen."""
        below = not self.view.below
        self.let_go()
        if below:
            self._folded_above = self.view.folded
        self.view = replace(self.view, below=below, folded=True if below else self._folded_above)

    # Keys

    def _key(self, event: pygame.event.Event, stage: Stage, snapshot: Snapshot) -> Outcome:
        key, mod = event.key, getattr(event, "mod", 0)
        for thing in reversed(THINGS):  # the uppermost hears first
            outcome = thing.key(Sight(stage, snapshot, self.view), event)
            if outcome is not None:
                return outcome
        if mod & (pygame.KMOD_CTRL | pygame.KMOD_META):
            return with_ctrl(key, bool(mod & pygame.KMOD_SHIFT), snapshot)
        if key == pygame.K_ESCAPE:
            return self._escape()
        if key == pygame.K_TAB:
            back = mod & pygame.KMOD_SHIFT
            return self._focus_on(next_of(Sight(stage, snapshot, self.view), -1 if back else 1), stage, snapshot)
        if key in _ARROWS:
            return self._focus_on(towards(Sight(stage, snapshot, self.view), _ARROWS[key]), stage, snapshot)
        if key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE):
            return self._enter(stage, snapshot)
        if key in (pygame.K_r, pygame.K_b):
            return tips.by_key("red" if key == pygame.K_r else "black", Sight(stage, snapshot, self.view))
        if key == pygame.K_v:
            self._turn_over()
            return NOTHING
        return plain_key(key, bool(mod & pygame.KMOD_SHIFT), Sight(stage, snapshot, self.view))

    def _escape(self) -> Outcome:
        view = self.view
        if view.hand is not None or view.menu_wire is not None or view.opened is not None:
            self.let_go()
            return NOTHING
        if view.hint is not None:
            self.view = replace(self.view, hint=None, pointed=None)
            return NOTHING
        if view.focus is not None:
            self.view = replace(self.view, focus=None)
            return NOTHING
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
        if hand is None:
            return NOTHING
        wired = hand.what in {"wire", "probe"} and area.target.kind == "terminal"
        if wired or (hand.what not in _HANDS and owner(hand.what) is owner(area.target.kind)):
            self._carry(hand, middle_of(area), stage, snapshot)
        return NOTHING

    def _enter(self, stage: Stage, snapshot: Snapshot) -> Outcome:
        area = focused(Sight(stage, snapshot, self.view))
        if area is None:
            return NOTHING
        hand = self.view.hand
        if hand is not None and hand.what in {"wire", "probe"}:
            if area.target.kind != "terminal" and hand.what == "probe":
                self.let_go()
                return tips.by_key(hand.name, Sight(stage, snapshot, self.view))
            if area.target.kind != "terminal":
                self.let_go()
                self._say(WIRE_WORDS, middle_of(area))
                return NOTHING
            if hand.what == "probe":
                self.view = replace(self.view, hand=None, hover=None)
                return tips.put(hand.name, area.target.name, None, Sight(stage, snapshot, self.view))
            self.view = replace(self.view, hand=None, hover=None)
            if area.target.name == hand.name:
                return NOTHING
            return Outcome(controls.wire_to(snapshot, self.view, hand, area.target.name))
        if area.target.kind in {"slider", "knob"}:
            return (
                Outcome(controls.drive_by(snapshot, self.view, THROTTLE_STEP))
                if area.target.kind == "slider"
                else Outcome(controls.turn_dial(snapshot, 1))
            )
        return self._act(area.target, middle_of(area), stage, snapshot)


_ARROWS = {pygame.K_LEFT: (-1, 0), pygame.K_RIGHT: (1, 0), pygame.K_UP: (0, -1), pygame.K_DOWN: (0, 1)}

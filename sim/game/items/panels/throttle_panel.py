"""The throttle: its slider, the way that a train goes, and the levers for points and switches."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import pygame

from sim.bench.levers import filed_settings, lever_named
from sim.bench.levers import levers as every_lever
from sim.bench.model import Bench
from sim.bench.point_set import setting_near
from sim.game.draw.instruments import throttle as throttles
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import box_of
from sim.game.items.common.controls import NUDGE_MM
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.items.panels.dimming import dimmed
from sim.game.look.modifiers import ctrl_held, shift_held
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Target, ViewState
from sim.session.acts import Direction, Drive, Nudge, Throw
from sim.session.snapshot import Snapshot, TrainView
from sim.wiring.names import section_of
from sim.wiring.telling import listed

__all__ = ["Levers", "Throttle", "goes_right", "lever_number", "levers", "throttle_panel", "thrown"]

_STEP = 0.05  # of its way, for a key or a notch of the wheel
_MORE = (pygame.K_PAGEUP, pygame.K_PLUS, pygame.K_KP_PLUS, pygame.K_EQUALS)
_LESS = (pygame.K_PAGEDOWN, pygame.K_MINUS, pygame.K_KP_MINUS)
_NUDGES = (pygame.K_n, pygame.K_PERIOD, pygame.K_COMMA)


def levers(stage: Stage, snapshot: Snapshot) -> tuple[throttles.Lever, ...]:
    """One lever for all that is thrown together, in the order of the track, then the switches."""
    order = {name: k for k, name in enumerate(filed_settings(stage.bench))}
    out = []
    together = [(sorted(lever.movers, key=order.__getitem__), lever.id) for lever in every_lever(stage.bench)]
    for moved, name in sorted(together, key=lambda row: order[row[0][0]]):
        first = moved[0]
        setting = setting_near(snapshot.travel.get(first, 0.0))
        names = ("+".join(moved), name) if len(moved) > 1 else ()
        out.append(throttles.Lever(first, setting, first in snapshot.throwing, names))
    return tuple(out)


def _right_sign(stage: Stage, snapshot: Snapshot, train: TrainView) -> int:
    """The direction (+1 or -1) that takes a train to the right on the screen, as it stands.

    On a digital supply +1 is towards its leading end. On DC it hangs on which rail is fed from which side; where that
    cannot be seen, as on a digital one.
    """
    heading = next((axle[2] for vehicle in train.vehicles for axle in vehicle.axles), 0.0)
    lead = 1 if (math.cos(heading) >= 0) != stage.below else -1
    return lead * _towards_lead(stage.bench, snapshot, train)


def _towards_lead(bench: Bench, snapshot: Snapshot, train: TrainView) -> int:
    if bench.supplies and bench.supplies[0].kind == "dc":
        for vehicle in train.vehicles:
            for left, right in vehicle.touching:
                sides = tuple({snapshot.feeds.get(section_of(node)) for node in nodes} for nodes in (left, right))
                if sides == ({"A"}, {"B"}):
                    return -1  # side A is positive in direction +1, and positive on the right-hand rail drives forward
                if sides == ({"B"}, {"A"}):
                    return 1
    return 1


def goes_right(stage: Stage, snapshot: Snapshot, train: TrainView) -> bool:
    """Whether its direction takes a train to the right on the screen."""
    return train.direction == _right_sign(stage, snapshot, train)


def _driven(snapshot: Snapshot, view: ViewState) -> TrainView | None:
    """The train that the throttle is for."""
    return snapshot.trains[min(view.train, len(snapshot.trains) - 1)] if snapshot.trains else None


def throttle_panel(stage: Stage, snapshot: Snapshot, view: ViewState) -> Arrangement[str]:
    """The throttle without the knob of its slider."""
    train = _driven(snapshot, view)
    stand = throttles.Stand("", 0, 0, True)
    if train is not None:
        name = next((vehicle.name for vehicle in train.vehicles), train.id)
        count = len(snapshot.trains)
        stand = throttles.Stand(name, min(view.train, count - 1), count, goes_right(stage, snapshot, train))
    box = box_of(stage.rooms.throttle)
    return throttles.throttle(box, stage.unit, stage.theme, stand, levers(stage, snapshot), view.lever)


class Throttle(Thing):
    """The slider, the rocker for the way, and the name of the train that both are for."""

    kinds = ("slider", "direction", "throttle", "slot")
    layer = "paper"
    deep = 0.5
    reads = "panels"
    heading = "Driving"
    keys = (
        ("+ / -", "throttle up, down"),
        ("0", "stop"),
        ("D", "the other direction"),
        ("N", "nudge the train on; with Shift, back"),
    )

    def areas(self, sight: Sight) -> Iterator[Area]:
        stage, snapshot, view = sight
        places, train, unit = throttle_panel(*sight).places, _driven(snapshot, view), stage.unit
        if train is None:
            return
        slot, right = places["slot"], _right_sign(stage, snapshot, train)
        yield Area(Target("slider", train.id), throttles.knob_rect(slot, unit, train.throttle))
        yield Area(Target("slot", train.id), slot.inflate(round(24 * unit), round(26 * unit)))
        yield Area(Target("direction", f"{-right:+d}"), places["left"])
        yield Area(Target("direction", f"{right:+d}"), places["right"])
        if len(snapshot.trains) > 1:
            yield Area(Target("throttle", "next"), places["name"])

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        panel, train = throttle_panel(*sight), _driven(sight.snapshot, sight.view)
        share = round(train.throttle, 2) if train is not None else 0.0
        knob = throttles.knob(box_of(panel.places["slot"]), sight.stage.unit, sight.stage.theme, share)
        yield from dimmed(sight, panel.sprite, knob)

    def words(self, sight: Sight, target: Target) -> str:
        train = _driven(sight.snapshot, sight.view)
        if target.kind in {"slider", "slot"}:
            return "Throttle: drag it along. Keys + and -, 0 stops"
        if target.kind == "throttle":
            return "The next train"
        if train is None:
            return ""
        way = "right" if int(target.name) == _right_sign(sight.stage, sight.snapshot, train) else "left"
        return f"Direction: to the {way}. Key D"

    def press(self, sight: Sight, target: Target, point: Point) -> Outcome | None:
        if target.kind not in {"slider", "slot"}:
            return None
        hand = Hand("slider", target.name, point, True)
        return self.carry(sight._replace(view=replace(sight.view, hand=hand)), hand, point, None)

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        slot = throttle_panel(*sight).places["slot"]
        share = min(1.0, max(0.0, (point[0] - slot.x) / slot.width))
        view = replace(sight.view, hover=Target("slider", hand.name))
        return Outcome((Drive(hand.name, round(share, 2)),), view=view)

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        return Outcome(view=replace(sight.view, hover=Target("slider", hand.name)))

    def wheel(self, sight: Sight, target: Target | None, turns: int) -> Outcome | None:
        if target is None or target.kind not in {"slider", "slot"}:
            return None
        return _driven_by(sight, _STEP if turns > 0 else -_STEP)

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        train, trains = _driven(sight.snapshot, sight.view), sight.snapshot.trains
        if target.kind == "slider":
            return _driven_by(sight, _STEP)
        if train is None:
            return NOTHING
        if target.kind == "direction":
            return Outcome((Direction(train.id, int(target.name)),))
        if target.kind == "throttle":
            return Outcome(view=replace(sight.view, train=(sight.view.train + 1) % len(trains)))
        return NOTHING

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        key, train = event.key, _driven(sight.snapshot, sight.view)
        if ctrl_held(event):
            return None
        if key in _MORE or key in _LESS:
            return _driven_by(sight, _STEP if key in _MORE else -_STEP)
        if train is None:
            return None
        if key in _NUDGES:
            back = shift_held(event) or key == pygame.K_COMMA
            return Outcome((Nudge(train.id, -NUDGE_MM if back else NUDGE_MM),))
        if key == pygame.K_d:
            return Outcome((Direction(train.id, -train.direction),))
        return Outcome((Drive(train.id, 0.0),)) if key == pygame.K_0 else None


def _driven_by(sight: Sight, by: float) -> Outcome:
    """The throttle, moved by a share of its way."""
    train = _driven(sight.snapshot, sight.view)
    if train is None:
        return NOTHING
    return Outcome((Drive(train.id, round(min(1.0, max(0.0, train.throttle + by)), 2)),))


# The levers


class Levers(Thing):
    """The levers on the throttle's panel, which draws them."""

    kinds = ("lever",)
    layer = "paper"
    deep = 0.5
    reads = "panels"
    heading = "Power and points"
    keys = (("1 to 9", "throw the points of that lever"),)

    def areas(self, sight: Sight) -> Iterator[Area]:
        places = throttle_panel(*sight).places
        for number, lever in enumerate(levers(sight.stage, sight.snapshot)):
            if str(number) in places:
                yield Area(Target("lever", lever.piece), places[str(number)])

    def words(self, sight: Sight, target: Target) -> str:
        lever = lever_named(sight.stage.bench, target.name)
        moved = lever.movers if lever is not None else (target.name,)
        switch = lever is not None and lever.is_switch
        what = f"Lever: switch {target.name}" if switch else f"Lever: throws the points of {listed(moved)}"
        number = lever_number(sight, target.name)
        return f"{what}. Key {number + 1}" if number is not None and number < 9 else what

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        places = throttle_panel(*sight).places
        words = [word for word in throttles.SETTINGS if word in places]
        return thrown(sight, target.name, next((word for word in words if places[word].collidepoint(point)), None))

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        every, number = levers(sight.stage, sight.snapshot), event.key - pygame.K_1
        ctrl = ctrl_held(event)
        if ctrl or not 0 <= number < min(9, len(every)):
            return None
        return Outcome((Throw(every[number].piece),), view=replace(sight.view, lever=number))


def lever_number(sight: Sight, name: str) -> int | None:
    """Which of the levers on the panel throws those points, or is that switch; None for none of them."""
    lever = lever_named(sight.stage.bench, name)
    moved = lever.movers if lever is not None else (name,)
    every = levers(sight.stage, sight.snapshot)
    return next((k for k, each in enumerate(every) if each.piece in moved), None)


def thrown(sight: Sight, name: str, to: str | None) -> Outcome:
    """Points thrown, or a lever of the panel, which then is the one that is shown; `to`: a setting, None: the other."""
    return Outcome((Throw(name, to),), view=replace(sight.view, lever=lever_number(sight, name) or 0))

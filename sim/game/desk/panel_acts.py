"""What a hand does at instruments, job sheet, frog's slip and top rail, until each of them is a thing of its own."""

from __future__ import annotations

from dataclasses import replace

from sim.coach.assessment import told
from sim.game.items.common import controls
from sim.game.items.common.commands import bench_button
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing, emptied
from sim.game.paper.view import Point
from sim.game.picture.side import driven, throttle_panel
from sim.game.whereabouts.viewstate import Hand, Target, ViewState
from sim.session.acts import Dial, Direction, Drive, Redo, Undo

__all__ = ["Panels", "turned_over"]


class Panels(Thing):
    """Where they lie is told in `hit`, how they look in the picture."""

    kinds = (
        "button", "top", "fold", "predict", "dial", "knob", "rocker", "plug", "slider", "slot", "direction", "lever",
    )  # fmt: skip
    layer = "paper"

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
        if target is not None and target.kind in {"dial", "knob"}:
            return Outcome(controls.turn_dial(sight.snapshot, -1 if turns > 0 else 1))
        if target is not None and target.kind in {"slider", "slot"}:
            step = controls.THROTTLE_STEP if turns > 0 else -controls.THROTTLE_STEP
            return Outcome(controls.drive_by(sight.snapshot, sight.view, step))
        return None

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        _, snapshot, view = sight
        kind, name = target
        match kind:
            case "lever":
                places = throttle_panel(*sight).places
                words = [word for word in ("normal", "diverging") if word in places]
                to = next((word for word in words if places[word].collidepoint(point)), None)
                return controls.thrown(sight, name, to)
            case "dial":
                return Outcome((Dial(next(dial for dial in controls.DIALS if dial == name)),))
            case "knob":
                return Outcome(controls.turn_dial(snapshot, 1))
            case "rocker":
                return Outcome(controls.rocker(snapshot, view))
            case "plug":
                return Outcome(controls.plug(snapshot))
            case "slider":
                return Outcome(controls.drive_by(snapshot, view, controls.THROTTLE_STEP))
            case "direction":
                train = driven(snapshot, view)
                return Outcome((Direction(train.id, int(name)),)) if train else NOTHING
            case "fold" if name == "slip":
                return Outcome(view=replace(view, slip=not view.slip))
            case "fold":
                return Outcome(view=replace(view, folded=not view.folded))
            case "predict":
                return Outcome(controls.predict(snapshot, view, name))
            case "button" | "top":
                return _button(sight, name)
        return NOTHING


def _button(sight: Sight, name: str) -> Outcome:
    _, snapshot, view = sight
    match name:
        case "undo":
            return Outcome((Undo(),)) if snapshot.can_undo else NOTHING
        case "redo":
            return Outcome((Redo(),)) if snapshot.can_redo else NOTHING
        case "next-frog":
            return Outcome(view=replace(view, frog=view.frog + 1))
        case "turn":
            return Outcome(view=turned_over(view))
        case "turn-sheet":
            lines = len(told(snapshot))
            return Outcome(view=replace(view, turned=lines if view.turned != lines else None))
        case "next-train" if snapshot.trains:
            return Outcome(view=replace(view, train=(view.train + 1) % len(snapshot.trains)))
        case "next-supply" if snapshot.supplies:
            return Outcome(view=replace(view, supply=(view.supply + 1) % len(snapshot.supplies)))
    return Outcome((), bench_button(name))


def turned_over(view: ViewState) -> ViewState:
    """The board the other way up; from below the job sheet lies folded, so that the bars are seen."""
    below = not view.below
    folded_above = view.folded if below else view.folded_above
    return replace(emptied(view), below=below, folded_above=folded_above, folded=True if below else folded_above)

"""The supply: its rocker, its plug, its ammeter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame

from sim.bench.model import Bench
from sim.game.draw.instruments import supply as supplies
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import box_of
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.look.modifiers import ctrl_held
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.cabling import plug_rect
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.acts import Plug, Power, Reset
from sim.session.snapshot import Snapshot, SupplyView

__all__ = ["Supply", "needle_target", "supply_face"]

_WORDS = {
    "rocker": "Rocker: on, off, reset. Key P",
    "supply": "The next supply",
}
_OPEN = "Rocker: open after a short. Pressed, the breaker closes. Key P"
_IN = "The supply's plug: a click pulls it out. Key U"
_PULLED = "The supply's plug, pulled out: a click plugs it in. Key U"


def _shown(snapshot: Snapshot, view: ViewState) -> SupplyView | None:
    """The supply whose panel is shown."""
    if not snapshot.supplies:
        return None
    tripped = [supply for supply in snapshot.supplies if supply.tripped]
    return tripped[0] if tripped else snapshot.supplies[min(view.supply, len(snapshot.supplies) - 1)]


def supply_face(bench: Bench, snapshot: Snapshot, view: ViewState) -> supplies.Face:
    """What the supply's panel shows; of a tripped one the amps that flowed."""
    shown = _shown(snapshot, view)
    if shown is None:
        return supplies.Face("none", 3.0, 0.0, "off", "no supply")
    model = next(supply for supply in bench.supplies if supply.id == shown.id)
    aside = f"{model.kind.upper()} {model.volts:g} V"
    if len(snapshot.supplies) > 1:
        aside = f"{shown.id} {aside}"
    amps = round(abs(shown.amps), 2)
    if shown.tripped:
        told = snapshot.fault is not None and snapshot.fault.supply == shown.id
        flowed = snapshot.fault.amps if snapshot.fault is not None and told else amps
        status = "breaker open" if shown.plugged else "unplugged"
        return supplies.Face(aside, model.trip_amps, round(flowed, 1), "open", status, told)
    if not shown.plugged:
        return supplies.Face(aside, model.trip_amps, amps, "on" if shown.on else "off", "unplugged")
    foot = f"opens at {model.trip_amps:g} A"
    if shown.over_seconds > 0:
        foot = f"too much for {shown.over_seconds * 1000:.0f} ms"
    return supplies.Face(aside, model.trip_amps, amps, "on" if shown.on else "off", foot)


def needle_target(bench: Bench, snapshot: Snapshot, view: ViewState) -> float:
    """Where the ammeter's needle wants to be, degrees."""
    shown = _shown(snapshot, view)
    if shown is None:
        return 150.0
    model = next(supply for supply in bench.supplies if supply.id == shown.id)
    return supplies.needle_angle(abs(shown.amps), model.trip_amps)


def _panel(stage: Stage, snapshot: Snapshot, view: ViewState) -> Arrangement[str]:
    """The supply without its needle."""
    face = supply_face(stage.bench, snapshot, view)
    return supplies.supply(box_of(stage.rooms.supply), stage.unit, stage.theme, face)


class Supply(Thing):
    """One panel for all supplies; its face leads to the next of several."""

    kinds = ("rocker", "supply", "plug")
    layer = "paper"
    deep = 0.5
    reads = "panels"
    heading = "Power and points"
    keys = (
        ("U", "plug the supply in, or pull it out"),
        ("P", "the supply's rocker: on, off, reset"),
    )

    def areas(self, sight: Sight) -> Iterator[Area]:
        places, count = _panel(*sight).places, len(sight.snapshot.supplies)
        yield Area(Target("rocker", "supply"), places["rocker"])
        if count:
            yield Area(Target("plug", "supply"), plug_rect(sight.stage))
        if count > 1:
            yield Area(Target("supply", "next"), places["face"])

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        panel, stage = _panel(*sight), sight.stage
        yield panel.sprite
        degrees = round(sight.view.needle * 2) / 2
        yield supplies.needle(box_of(panel.places["face"]), stage.unit, stage.theme, degrees)

    def words(self, sight: Sight, target: Target) -> str:
        if target.kind == "plug":
            return _IN if all(supply.plugged for supply in sight.snapshot.supplies) else _PULLED
        if target.kind == "rocker" and any(supply.tripped for supply in sight.snapshot.supplies):
            return _OPEN
        return _WORDS[target.kind]

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        if target.kind == "rocker":
            return _pressed(sight)
        if target.kind == "plug":
            return _plugged(sight)
        number = (sight.view.supply + 1) % max(1, len(sight.snapshot.supplies))
        return Outcome(view=replace(sight.view, supply=number))

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if ctrl_held(event):
            return None
        if event.key == pygame.K_p:
            return _pressed(sight)
        return _plugged(sight) if event.key == pygame.K_u else None


def _pressed(sight: Sight) -> Outcome:
    """The rocker: on, off, or the breaker closed again."""
    supply = _shown(sight.snapshot, sight.view)
    if supply is None:
        return NOTHING
    return Outcome((Reset(supply.id) if supply.tripped else Power(not supply.on, supply.id),))


def _plugged(sight: Sight) -> Outcome:
    """Plugged in, or pulled out."""
    supplies_there = sight.snapshot.supplies
    if not supplies_there:
        return NOTHING
    return Outcome((Plug(not all(supply.plugged for supply in supplies_there)),))

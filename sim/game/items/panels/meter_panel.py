"""The meter: its knob is turned to a word, a click turns it on, its digits tell."""

from __future__ import annotations

from collections.abc import Iterator

import pygame

from sim.game.draw.instruments import meter as meters
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import box_of
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.items.panels.dimming import dimmed
from sim.game.look.modifiers import ctrl_held, shift_held
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target
from sim.session.acts import Dial, DialName
from sim.session.snapshot import Snapshot

__all__ = ["Meter", "meter_panel"]

_DIALS: tuple[DialName, ...] = ("off", "volts", "ohms", "buzzer")


def meter_panel(stage: Stage, snapshot: Snapshot) -> Arrangement[str]:
    """The meter without its digits."""
    now = snapshot.meter
    sign, caution = meters.shown(now.dial, now.value).unit, "unplug the supply first" if now.caution else ""
    return meters.meter(box_of(stage.rooms.meter), stage.unit, stage.theme, now.dial, sign, now.beeps, caution)


class Meter(Thing):
    """The panel; the probes are things of their own."""

    kinds = ("dial", "knob")
    layer = "paper"
    deep = 0.5
    reads = "panels"
    heading = "Meter"
    keys = (("M", "turn the knob; with Shift, back"),)

    def areas(self, sight: Sight) -> Iterator[Area]:
        places = meter_panel(sight.stage, sight.snapshot).places
        for name in _DIALS:
            yield Area(Target("dial", name), places[name])
        yield Area(Target("knob", "meter"), places["knob"], True)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        panel, now = meter_panel(sight.stage, sight.snapshot), sight.snapshot.meter
        shown, room = meters.shown(now.dial, now.value), box_of(panel.places["digits"])
        yield from dimmed(sight, panel.sprite, meters.digits(room, shown, sight.stage.unit, sight.stage.theme))

    def words(self, sight: Sight, target: Target) -> str:
        if target.kind == "knob":
            return "The meter's knob: a click turns it on. Key M"
        return f"The meter's knob to {target.name}. Key M"

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        if target.kind == "knob":
            return _turned(sight, 1)
        return Outcome((Dial(next(dial for dial in _DIALS if dial == target.name)),))

    def wheel(self, sight: Sight, target: Target | None, turns: int) -> Outcome | None:
        return _turned(sight, -1 if turns > 0 else 1) if target is not None and target.kind in self.kinds else None

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if event.key != pygame.K_m or ctrl_held(event):
            return None
        return _turned(sight, -1 if shift_held(event) else 1)


def _turned(sight: Sight, by: int) -> Outcome:
    """The knob, so many places further."""
    now = _DIALS.index(sight.snapshot.meter.dial)
    return Outcome((Dial(_DIALS[(now + by) % len(_DIALS)]),))

"""The meter's two probes: put by hand on the metal under them, by key on what is ringed or pointed at."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

import pygame

from sim.game.draw.pen import marks
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway import wires
from sim.game.items.common.curves import slack_way
from sim.game.items.common.thing import Outcome, Sight, Thing, emptied
from sim.game.items.panels.meter_panel import meter_panel
from sim.game.look.modifiers import ctrl_held
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area, along, disc, middle_of
from sim.game.whereabouts.handles import probe_angle, probe_tip, screws
from sim.game.whereabouts.metal import SNAP_PX, Metal, metal_of, nearest_metal
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Note, Target
from sim.session.acts import Act, Dial, Probe

__all__ = ["TIP_WORDS", "Probes", "tip_by_key"]

TIP_WORDS = "A tip goes on a screw, a tab or a rail."
_NAMES = ("red", "black")
_COLOURS = {"red": (196, 60, 48), "black": (222, 216, 198)}
_WORDS = {
    "red": "Red tip: drag it onto metal. Key R",
    "black": "White tip: drag it onto metal. Key B",
}
_TIP_PX = 5.0
_METAL = frozenset({"terminal", "place", "blade", "joint", "rail", "piece"})  # where a tip finds metal


class Probes(Thing):
    """The red and the white one, each with its lead to the meter."""

    kinds = ("probe",)
    layer = "board"
    deep: ClassVar = 0.5
    reads = "board"
    leads = True
    meets: ClassVar = frozenset({"terminal"})

    def areas(self, sight: Sight) -> Iterator[Area]:
        stage, snapshot, view = sight
        for name in _NAMES:
            tip = probe_tip(stage, snapshot, view, name)
            tail = marks.probe_tail(tip, probe_angle(snapshot, view, name), stage.unit)
            near = (tip[0] + (tail[0] - tip[0]) * 0.16, tip[1] + (tail[1] - tip[1]) * 0.16)
            yield along(Target("probe", name), (near, tail), 9 * stage.unit)
            yield disc(Target("probe", name), *tip, _TIP_PX * stage.unit)  # beside it the screw or tab is met

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        stage, snapshot, view = sight
        unit, theme, rect = stage.unit, stage.theme, stage.rooms.meter
        for name in reversed(_NAMES):
            red = name == "red"
            place = probe_tip(stage, snapshot, view, name)
            tip = (float(round(place[0])), float(round(place[1])))
            angle = probe_angle(snapshot, view, name)
            tail = marks.probe_tail(tip, angle, unit)
            down = meter_panel(stage, snapshot).places["display"].y + (12 if red else 32) * unit
            end = (float(rect.x + 1), down)
            reach = max(24 * unit, 0.42 * math.hypot(end[0] - tail[0], end[1] - tail[1]))
            first = (tail[0] + math.cos(angle) * reach * 0.55, tail[1] + math.sin(angle) * reach * 0.55)
            path = slack_way(tail, first, (end[0] - reach * 1.2, end[1]), end)
            yield wires.lead(path, 4.4 * unit, _COLOURS[name], unit, theme)
            yield wires.socket(end[0] - 1 * unit, end[1], unit, theme)
            yield marks.probe(tip, angle, unit, theme, red)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if event.key != pygame.K_BACKSPACE or ctrl_held(event):
            return None
        return Outcome((Probe(None, None),), view=replace(sight.view, red_mm=None, black_mm=None))

    def words(self, sight: Sight, target: Target) -> str:
        return _WORDS[target.name]

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        return Hand("probe", target.name, point, True)

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        tip = probe_tip(*sight, target.name)
        return self.carry(sight, Hand("probe", target.name, tip, False), tip, None)

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        hover, at = None, point
        metal = nearest_metal(sight.stage, point, SNAP_PX * sight.stage.unit)
        if metal is not None:
            hover, at = Target("rail" if metal[2] else "terminal", metal[0]), metal[1]
        return Outcome(view=replace(sight.view, hand=hand._replace(at=at), hover=hover, menu_wire=None))

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        """Onto the metal within reach, or into the air."""
        stage = sight.stage
        metal = nearest_metal(stage, point, SNAP_PX * stage.unit)
        if metal is None:
            if any(box.collidepoint(point) for box in _with_screws(stage)):  # it was meant for a screw
                sight = sight._replace(view=replace(sight.view, said=Note(point, (TIP_WORDS,))))
            return _put(sight, hand.name, None, None)
        return _put(sight, hand.name, metal[0], stage.world.to_bench(metal[1]) if _kept_where(metal, stage) else None)

    def enter(self, sight: Sight, hand: Hand, area: Area) -> Outcome | None:
        if area.target.kind != "terminal":
            return tip_by_key(sight._replace(view=emptied(sight.view)), hand.name, area)
        return _put(sight._replace(view=replace(sight.view, hand=None, hover=None)), hand.name, area.target.name, None)


def _put(sight: Sight, name: str, terminal: str | None, mm: Point | None) -> Outcome:
    """A tip ("red" or "black") onto a terminal, or into the air; `mm`: where on the bench it rests, if not on its tab.

    The second tip on metal turns the meter on, if it is off.
    """
    _, snapshot, view = sight
    red = terminal if name == "red" else snapshot.meter.red
    black = terminal if name == "black" else snapshot.meter.black
    acts: list[Act] = [Probe(red, black)]
    if snapshot.meter.dial == "off" and red is not None and black is not None:
        acts.insert(0, Dial("buzzer"))
    return Outcome(tuple(acts), view=replace(view, red_mm=mm) if name == "red" else replace(view, black_mm=mm))


def tip_by_key(sight: Sight, name: str, area: Area | None) -> Outcome:
    """A tip onto the metal of what has the focus, if anything has, else of what the pointer is on.

    Where there is none, words say so.
    """
    stage, snapshot, view = sight
    if area is not None:
        at = middle_of(area)
        metal = metal_of(stage, snapshot.travel, area.target, at, SNAP_PX * stage.unit)
    else:
        at, metal = view.pointer, None
        if stage.rooms.mat.collidepoint(at) and (view.hover is None or view.hover.kind in _METAL):
            metal = nearest_metal(stage, at, SNAP_PX * stage.unit)
        if at[0] < 0:  # nothing is pointed at yet
            at = probe_tip(stage, snapshot, view, name)
    if metal is None:
        return Outcome(view=replace(view, said=Note(at, (TIP_WORDS,))))
    several = area is None and _kept_where(metal, stage)
    return _put(sight, name, metal[0], stage.world.to_bench(metal[1]) if metal[2] or several else None)


def _with_screws(stage: Stage) -> list[pygame.Rect]:
    """The boxes of what has screws, beside which a tip finds no metal."""
    fixtures = stage.fixtures
    boxes = [place.housing.union(place.face) for place in fixtures.blocks]
    boxes += [place.rect for place in fixtures.bars]
    return [*boxes, *(place.rect for place in (*fixtures.lamps, *fixtures.polarities))]


def _kept_where(metal: Metal, stage: Stage) -> bool:
    """Whether it must be kept where a tip rests: on a rail, or on one of several screws."""
    return metal[2] or sum(len(screws(stage, spot)) for spot in stage.fixtures.spots[metal[0]]) > 1

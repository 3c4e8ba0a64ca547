"""What the rail, bond or jumper is called that lies under a place on the mat, and what it is, in one line."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from sim.bench.piece import ROLE_WORDS
from sim.bench.table import Table
from sim.coach.sides import seen_sides
from sim.game.paper.railviews import RailView
from sim.game.paper.view import Point
from sim.game.picture.sightings import drawn_travel
from sim.game.whereabouts.area import away
from sim.game.whereabouts.joinery import bond_way, jumper_way
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot
from sim.wiring.names import part_words, place_ref, section_of, section_words
from sim.wiring.telling import end_words

__all__ = ["rail_line"]

_REACH_PX = 7.0  # from the middle of a rail or wire
_ON_PX = 2.5  # so near a rail it is meant, and not the wire that comes to it
_AT_END = 1.6  # gauges from an end: there it is named too

_WIRES = {"bond": "joins the blade to its stock rail", "jumper": "joins the rails before and beyond the frog"}
_CHECK = "Check rail: guides wheels past the frog, on no side"
_PLASTIC = "of plastic, on no side"


def rail_line(stage: Stage, snapshot: Snapshot, point: Point, *, bare: bool = False) -> str:
    """The line for what lies at a place, px; empty for bare mat. `bare`: sides of rails are not shown."""
    if not stage.rooms.mat.collidepoint(point):
        return ""
    line, node = _line(stage, Table(drawn_travel(snapshot)), (round(point[0]), round(point[1])))
    if bare or not line or seen_sides(snapshot).get(node) != "both":
        return line
    return f"{line.partition(':')[0]}: joined to both sides, a short once there is power"


@lru_cache(maxsize=4)
def _line(stage: Stage, travel: Table[str, float], point: Point) -> tuple[str, str]:
    """The line, and the rail that it is about, if it is about one."""
    on_rail = _rail_line(stage, travel, point, _ON_PX * stage.unit)
    if on_rail[0]:
        return on_rail
    wire = _wire_line(stage, point)
    return (wire, "") if wire else _rail_line(stage, travel, point, _REACH_PX * stage.unit)


def _wire_line(stage: Stage, point: Point) -> str:
    for mark in stage.places:
        if mark.place.kind not in _WIRES:
            continue
        way = bond_way(stage, mark) if mark.place.kind == "bond" else jumper_way(stage, mark)
        if len(way) > 1 and away(list(way), point) <= _REACH_PX * stage.unit:
            named = part_words(stage.bench, place_ref(mark.place.name))
            opened = "" if mark.place.state == "made" else ", which is open"
            return f"{named[:1].upper()}{named[1:]}{opened}: {_WIRES[mark.place.kind]}"
    return ""


def _rail_line(stage: Stage, travel: Table[str, float], point: Point, reach: float) -> tuple[str, str]:
    best: tuple[float, str, RailView] | None = None
    for laid in stage.plan.laid:
        for view in stage.views(laid.id, travel):
            line = [stage.world.to_screen((x, y)) for x, y in view.middle.tolist()]
            apart = away(line, point)
            if apart <= reach and (best is None or apart < best[0]):
                best = (apart, laid.id, view)
    if best is None:
        return "", ""
    return _words(stage, best[1], best[2], point), section_of(best[2].node) if best[2].node else ""


def _words(stage: Stage, piece: str, view: RailView, point: Point) -> str:
    if view.part == "check":
        return _CHECK
    if not view.node or section_of(view.node) not in stage.rails:
        return f"Frog {_PLASTIC}" if not view.metal else ""
    section = stage.rails[section_of(view.node)]
    named = section_words(stage.bench, section.name)
    named = f"{named[:1].upper()}{named[1:]}{_at_end(stage, piece, point)}"
    if view.part == "blade":
        side = (section.side or "").capitalize()
        return f"{side} blade: the end that moves of the {section_words(stage.bench, section.name)}"
    role = ROLE_WORDS.get(section.role, "")
    return f"{named}: {role}" if role else named


def _at_end(stage: Stage, piece: str, point: Point) -> str:
    """ ", at the toe" near an end of a piece."""
    laid, here = stage.plan.by_id[piece], stage.world.to_bench(point)
    for path in laid.geometry.tracks:
        for end, station in zip(path.ends, (0.0, path.length_mm), strict=True):
            x, y, _ = stage.plan.layout.pose(piece, laid.geometry.tracks.index(path), np.array([station]))
            if math.dist((float(x[0]), float(y[0])), here) <= _AT_END * laid.geometry.gauge_mm:
                return f", at {end_words(stage.bench, f'{piece}.{end}')}"
    return ""

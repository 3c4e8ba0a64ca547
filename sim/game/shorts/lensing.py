"""What is said of a place under the lens: which wheel stands there, on what, with its tread or its flange."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from sim.electric.parts import PartRef
from sim.game.paper.view import Point
from sim.game.picture.ruler import where_words
from sim.game.shorts.closeup import Seen, WheelName
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.ways import Ways
from sim.session.snapshot import FaultView, Snapshot
from sim.track.contact import contacts
from sim.track.wheels import wheel
from sim.train.fleet import VehicleUnknown, vehicle
from sim.wiring.loop import LoopStep
from sim.wiring.names import axle_words, part_words, place_ref, section_of, section_words
from sim.wiring.telling import listed
from sim.wiring.wheels import foot

__all__ = ["bridged_at", "hot_wheels", "lens_words", "seen_at"]

_TIMES = 6.0
_GAP_NEAR_MM = 6.0
_SIDES = {"A": "side A", "B": "side B", "both": "both sides", "none": "no feed", "": "side not proved"}


class _Wheel(NamedTuple):
    """A wheel: its vehicle's name in the loop, whose, its axle and side, its place (mm), what it touches, and by the
    flange alone."""

    owner: str
    whose: str
    axle: int
    of: int
    side: str
    at: Point
    rails: tuple[str, ...]
    by_flange: frozenset[str]


def seen_at(stage: Stage, snapshot: Snapshot, centre: Point, edge: int) -> Seen:
    """What a lens of `edge` px shows of a place (mm): about six times as large as on an unzoomed mat."""
    share = max((laid.geometry.gauge_mm for laid in stage.plan.laid), default=16.5) / 16.5
    # the widest wheel, 10.4 mm in HO, fits into the glass
    scale = min(_TIMES * max(stage.world.scale, 1.0), edge / 11.0 / share)
    scale = max(scale, edge / 14.0 / share)
    closed = frozenset(
        mark.place.name for mark in stage.places if mark.place.kind == "gap" and mark.place.state == "closed"
    )
    centre = (round(centre[0], 1), round(centre[1], 1))
    hot, sparks = hot_wheels(snapshot.fault), _sparks(stage, snapshot)
    return Seen(centre, round(scale, 2), (edge, edge), snapshot.feeds, None, closed, hot, sparks)


def hot_wheels(fault: FaultView | None) -> frozenset[WheelName]:
    """The wheels that the current of a short runs through."""
    if fault is None:
        return frozenset()
    wheels = (step.ref for step in _wheel_steps(fault))
    return frozenset((ref.owner, int(ref.detail[0]), str(ref.detail[2])) for ref in wheels)


def _wheel_steps(fault: FaultView | None) -> list[LoopStep]:
    """The parts of a short's loop that are wheels on rails, in the direction of the current."""
    return [] if fault is None else [step for step in fault.loop if step.ref.kind == "wheel"]


def _bridges(steps: Sequence[LoopStep]) -> bool:
    """Whether one wheel joins the two sides by itself."""
    return len(steps) > 1 and len({(step.ref.owner, step.ref.detail[:3]) for step in steps}) == 1


def _sparks(stage: Stage, snapshot: Snapshot) -> tuple[Point, ...]:
    """Where the wheels of a short let its current over, mm: at the gap that one bridges, else under each."""
    steps, out = _wheel_steps(snapshot.fault), []
    for step in steps:
        at = Ways.now(stage, snapshot).anchor(step.ref, step.node_b)
        if at is not None:
            place = stage.world.to_bench(at)
            gap = _near_gap(stage, place) if _bridges(steps) else None
            mark = next((mark for mark in stage.places if mark.place.name == gap), None)
            x, y = place if mark is None else stage.world.to_bench((mark.x, mark.y))
            out.append((round(x, 1), round(y, 1)))
    return tuple(dict.fromkeys(out))


def bridged_at(stage: Stage, snapshot: Snapshot) -> Point | None:
    """The place (mm) where a wheel lets the current of a short over; None where no wheel does."""
    step = next(iter(_wheel_steps(snapshot.fault)), None)
    if step is None:
        return None
    at = Ways.now(stage, snapshot).anchor(step.ref, step.node_b)
    return None if at is None else stage.world.to_bench(at)


def lens_words(stage: Stage, snapshot: Snapshot, centre: Point, reach_mm: float) -> tuple[str, str]:
    """A heading for the place and a sentence on what stands there."""
    found = _nearest_wheel(stage, snapshot, centre, reach_mm)
    place = _near_gap(stage, found.at if found is not None else centre)
    heading = ""
    if place is not None:
        named = part_words(stage.bench, place_ref(place))
        heading = ", ".join(filter(None, (named[:1].upper() + named[1:], where_words(stage, place))))
    if found is None:
        rail = _near_rail(stage, centre)
        if rail is None:
            return heading or "Nothing but the mat", ""
        named = f"{section_words(stage.bench, rail)}, {_SIDES[snapshot.feeds.get(rail, 'none')]}"
        return (
            (heading, f"Beside it: the {named}.")
            if heading
            else (named[:1].upper() + named[1:], _no_wheel(stage, snapshot, centre))
        )
    name = f"{axle_words(found.axle, found.of)} wheel"
    touches = _one_of_two(stage, snapshot, found)
    if touches is not None:
        return touches
    return heading or f"{name[:1].upper() + name[1:]}", _stands(stage, snapshot, found, name, place)


def _one_of_two(stage: Stage, snapshot: Snapshot, found: _Wheel) -> tuple[str, str] | None:
    """What is said of a wheel that makes a short together with another one; None for every other wheel."""
    steps = _wheel_steps(snapshot.fault)
    mine = [s for s in steps if (s.ref.owner, *s.ref.detail[:3:2]) == (found.owner, found.axle, found.side)]
    others = [step for step in steps if step not in mine]
    if len(mine) != 1 or not others:
        return None
    own, other = mine[0].ref, others[0].ref

    def rail(ref: PartRef) -> tuple[str, str]:
        section = section_of(foot(ref))
        return section_words(stage.bench, section), _SIDES[snapshot.feeds.get(section, "none")]

    def wheel_words(ref: PartRef) -> str:
        return f"{axle_words(int(ref.detail[0]), int(ref.detail[1]))} wheel"

    (here, side), (there, beyond) = rail(own), rail(other)
    whose = "" if other.owner == own.owner else " of the vehicle coupled to it"
    heading = f"{wheel_words(own)} on the {here}"
    text = f"It stands on the {here} ({side}), the {wheel_words(other)}{whose} on the {there} ({beyond})."
    return heading[:1].upper() + heading[1:], text


def _no_wheel(stage: Stage, snapshot: Snapshot, centre: Point) -> str:
    """What is said where no wheel is: whose wheels stand before and behind it, if a vehicle is over it."""
    for train in snapshot.trains:
        for one in train.vehicles:
            (x0, y0), (x1, y1) = one.axles[0][:2], one.axles[-1][:2]
            length = math.hypot(x1 - x0, y1 - y0) or 1.0
            along = ((centre[0] - x0) * (x1 - x0) + (centre[1] - y0) * (y1 - y0)) / length
            aside = abs((centre[0] - x0) * (y1 - y0) - (centre[1] - y0) * (x1 - x0)) / length
            gauge = max((laid.geometry.gauge_mm for laid in stage.plan.laid), default=16.5)
            if 0 <= along <= length and aside <= gauge:
                return f"The {one.name} stands over it: its wheels are before and behind."
    return "No wheel is here."


def _stands(stage: Stage, snapshot: Snapshot, found: _Wheel, name: str, place: str | None) -> str:
    who = f"The {found.whose}'s {name}"
    rails = tuple(dict.fromkeys(section_of(node) for node in found.rails))
    if not rails:
        return f"{who} stands on no metal."
    mark = next((mark.place for mark in stage.places if mark.place.name == place), None)
    if mark is not None and set(rails) == {section_of(mark.a), section_of(mark.b)} and not found.by_flange:
        sides = [_SIDES[snapshot.feeds.get(section_of(end), "none")] for end in (mark.a, mark.b)]
        return f"{who}: the tread stands on both rail ends at once, {listed(sides)}."
    told = []
    for rail in rails:
        flange = " with its flange" if any(section_of(node) == rail for node in found.by_flange) else ""
        side = _SIDES[snapshot.feeds.get(rail, "none")]
        told.append(f"the {section_words(stage.bench, rail)} ({side}){flange}")
    return f"{who} stands on {listed(told)}{' at once' if len(told) > 1 else ''}."


def _nearest_wheel(stage: Stage, snapshot: Snapshot, centre: Point, reach_mm: float) -> _Wheel | None:
    layout = stage.plan.layout
    best: tuple[float, _Wheel] | None = None
    for train in snapshot.trains:
        for number, view in enumerate(train.vehicles):
            for k, (x, y, heading) in enumerate(view.axles):
                for column, (side, sign) in enumerate((("left", 1.0), ("right", -1.0))):
                    half = layout.scale(next(iter(layout.pieces))).gauge_mm / 2 + 0.6
                    at = (x - math.sin(heading) * half * sign, y + math.cos(heading) * half * sign)
                    apart = math.dist(at, centre)
                    if apart <= reach_mm and (best is None or apart < best[0]):
                        rails = view.touching[k][column]
                        flange = _by_flange(stage, snapshot, view.name, (x, y, heading), sign, rails)
                        owner, count = f"{train.id}:{number}", len(view.axles)
                        best = (apart, _Wheel(owner, view.name, k + 1, count, side, at, rails, flange))
    return best[1] if best is not None else None


def _by_flange(
    stage: Stage, snapshot: Snapshot, name: str, axle: tuple[float, float, float], sign: float, rails: tuple[str, ...]
) -> frozenset[str]:
    """Those of the rails under a wheel that its flange touches, from the contact tables."""
    x, y, heading = axle
    layout = stage.plan.layout
    for laid in stage.plan.laid:
        c, s = math.cos(laid.heading), math.sin(laid.heading)
        local = np.array([[(x - laid.x) * c + (y - laid.y) * s, (y - laid.y) * c - (x - laid.x) * s]])
        travel = layout.travel(laid.id, snapshot.travel)
        for number, path in enumerate(laid.geometry.tracks):
            station, offset = (float(rows[0]) for rows in path.line.seen(local))
            if not path.open_at(travel) or abs(offset) > 0.5 or not 0.0 <= station <= path.length_mm:
                continue
            try:
                scale = layout.scale(laid.id)
                size = wheel(vehicle(stage.bench, name, scale.name).wheel, scale)
            except VehicleUnknown:
                return frozenset()
            table = contacts(laid.geometry, number, size, 0.0, travel)
            _, _, along = path.pose(np.array([station]))
            onward = math.cos(heading - laid.heading - float(along[0])) >= 0
            touches = table.flange_left if (sign > 0) == onward else table.flange_right
            nodes = {f"{laid.id}.{t.node}" for t in touches if t.from_mm <= station <= t.to_mm}
            return frozenset(nodes & set(rails))
    return frozenset()


def _near_gap(stage: Stage, at: Point) -> str | None:
    best: tuple[float, str] | None = None
    for mark in stage.places:
        if mark.place.kind == "gap":
            apart = math.dist(stage.world.to_bench((mark.x, mark.y)), at)
            if apart <= _GAP_NEAR_MM and (best is None or apart < best[0]):
                best = (apart, mark.place.name)
    return best[1] if best is not None else None


def _near_rail(stage: Stage, at: Point) -> str | None:
    x, y = stage.world.to_screen(at)
    best: tuple[float, str] | None = None
    for node, lines in stage.lines.items():
        for line in lines:
            apart = float(np.min(np.hypot(line[:, 0] - x, line[:, 1] - y)))
            if best is None or apart < best[0]:
                best = (apart, section_of(node))
    return best[1] if best is not None and best[0] < 6.0 * stage.world.scale + 12 else None

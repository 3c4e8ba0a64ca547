"""Everything that is track on the board: sleepers, rails, blades, joints, what lies in its gaps, the tags of its sides.

What does not move is drawn once for a stage; of a piece whose blades move or whose rails change sides, that piece.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import pygame

from sim.bench.point_set import full_id
from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway import bed, fittings, track
from sim.game.look.theme import Theme
from sim.game.paper.plan import Laid
from sim.game.paper.railviews import FROG_PARTS, RailView
from sim.game.paper.view import Point
from sim.game.picture.sightings import in_view, on_mat, travel_of
from sim.game.whereabouts.joinery import bond_way, jumper_way, meeting
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot
from sim.wiring.names import section_of

__all__ = ["Group", "beds", "joints", "jumpers", "places", "rails", "tags"]

Group = tuple[Sprite, ...]
"""Sprites that change together: as long as they do not, the same tuple."""

_ORDER = {"blade": 0, "closure": 1, "check": 2, "stock": 3}
_LAST = 4
_Travel = tuple[float, ...]
_PARTS = 4  # of a px: so finely is it told how a piece lies among the pixels, on a bench that is seen as a whole


def _travel_in(snapshot: Snapshot, laid: Laid) -> _Travel:
    """How far the blades of a piece have come, as it is drawn, for each set of points."""
    return tuple(travel_of(snapshot, points) for points in _point_sets(laid))


def _point_sets(laid: Laid) -> list[str]:
    return [full_id(laid.id, name) for name in laid.geometry.topology.point_sets]


@kept
def _twins(stage: Stage) -> tuple[tuple[int, int, int], ...]:
    """For each piece the number of one that is drawn in its place, and how far off that one lies, px: itself, or on a
    bench that is seen small and as a whole the first that is alike and lies alike among the pixels."""
    alike = stage.shift is not None and stage.size < 1.0 and len(_seen(stage)) == len(stage.plan.laid)
    first: dict[tuple[object, ...], tuple[int, int, int]] = {}
    out = []
    for number, laid in enumerate(stage.plan.laid):
        x, y = (round(at * _PARTS) for at in stage.world.to_screen((laid.x, laid.y)))
        key = (laid.geometry, round(laid.heading, 6), x % _PARTS, y % _PARTS) if alike else (number,)
        twin, left, top = first.setdefault(key, (number, x // _PARTS, y // _PARTS))
        out.append((twin, x // _PARTS - left, y // _PARTS - top))
    return tuple(out)


def _moved(group: Group, dx: int, dy: int) -> Group:
    return tuple(part.moved(dx, dy) for part in group)


def beds(stage: Stage, snapshot: Snapshot) -> Iterator[Group]:
    """Sleepers, chairs and the bars that throw the blades, piece by piece."""
    for number, laid in _seen(stage):
        yield _planks(stage, number)
        yield _bars(stage, number, _travel_in(snapshot, laid))


@kept
def _seen(stage: Stage) -> tuple[tuple[int, Laid], ...]:
    """The pieces that the camera shows something of, with their numbers."""
    return tuple((number, laid) for number, laid in enumerate(stage.plan.laid) if in_view(stage, laid))


@kept
def _planks(stage: Stage, number: int) -> Group:
    twin, *off = _twins(stage)[number]
    if twin != number:
        return _moved(_planks(stage, twin), *off)
    laid = stage.plan.laid[number]
    if not laid.geometry.tracks:
        return ()
    fixed = tuple(v for v in stage.views(laid.id) if v.node and not v.moves and v.part not in FROG_PARTS)
    unit = min(stage.unit, stage.grain * 2)
    return (bed.sleeper_bed(laid, stage.world, unit, stage.theme, 5 + number, fixed),)


@kept
def _bars(stage: Stage, number: int, travel: _Travel) -> Group:
    twin, *off = _twins(stage)[number]
    if twin != number:
        return _moved(_bars(stage, twin, travel), *off)
    laid, unit, out = stage.plan.laid[number], min(stage.unit, stage.grain * 2), []
    for points, now in zip(_point_sets(laid), travel, strict=True):
        ends = [
            tuple(sorted(_tip_places(stage, {points: at}, points), key=lambda place: place[1]))
            for at in (now, 0.0, 1.0)
        ]
        out.append(bed.throw_bar(laid, stage.world, unit, stage.theme, ends[0], (ends[1], ends[2])))
    return tuple(out)


def _tip_places(stage: Stage, travel: Mapping[str, float], points: str) -> Iterator[Point]:
    piece = points.partition(".")[0]
    blades = {f"{piece}.{blade.blade}" for blade in stage.plan.layout.blades(points)}
    for view in stage.views(piece, travel):
        if view.part == "blade" and view.node in blades:
            x, y = stage.world.to_screen((float(view.middle[0, 0]), float(view.middle[0, 1])))
            yield round(x, 1), round(y, 1)


@kept
def jumpers(stage: Stage) -> Group:
    """Jumpers run under the frog, from an exit rail to the closure rail of its side."""
    out = []
    for mark in stage.places:
        if mark.place.kind == "jumper" and in_view(stage, stage.plan.by_id[mark.place.name.partition(".")[0]]):
            points = jumper_way(stage, mark)
            if points:
                out.append(fittings.bond_wire(points, stage.grain, stage.theme, mark.place.state == "made", dim=True))
    return tuple(out)


def rails(stage: Stage, snapshot: Snapshot) -> Iterator[Group]:
    """Every rail with its shadow and the plates of the frogs; the tabs lie in the light beside the rails."""
    bodies: list[tuple[Group, ...]] = []
    for number, laid in _seen(stage):
        travel, sides = _travel_in(snapshot, laid), tuple(map(snapshot.feeds.get, _sections(stage, number)))
        for moves, now in ((False, ()), (True, travel)):  # what stands is drawn but once while the blades move
            yield _shadows(stage, number, now, moves)
            bodies.append(_bodies(stage, number, now, moves, sides))
    yield _tabs(stage)
    for order in range(_LAST + 1):
        yield from (body[order] for body in bodies if body[order])
    yield joints(stage)


@kept
def _sections(stage: Stage, number: int) -> tuple[str, ...]:
    """The sections of a piece's rails, in the order of these; empty for what is no part of a circuit."""
    views = stage.views(stage.plan.laid[number].id)
    return tuple(section_of(view.node) if view.node else "" for view in views)


def _views(stage: Stage, number: int, travel: _Travel, moves: bool) -> list[tuple[int, RailView]]:
    """The rails of a piece that stand, or those that move where they are now, each with its place among all of them."""
    laid = stage.plan.laid[number]
    settings = dict(zip(_point_sets(laid), travel, strict=True)) if moves else {}
    return [(k, view) for k, view in enumerate(stage.views(laid.id, settings)) if view.moves == moves]


@kept
def _shadows(stage: Stage, number: int, travel: _Travel, moves: bool) -> Group:
    """What lies under the rails of a piece: the plates of its frogs, then the rails' shadows."""
    twin, *off = _twins(stage)[number]
    if twin != number:
        return _moved(_shadows(stage, twin, travel, moves), *off)
    unit, theme, world = stage.unit, stage.theme, stage.world
    views = [view for _, view in _views(stage, number, travel, moves)]
    frogs: dict[str, list[RailView]] = {}
    for view in views:
        if view.part in FROG_PARTS:
            frogs.setdefault(view.node, []).append(view)
    out = [track.frog_plate(tuple(parts), world, unit, theme) for parts in frogs.values()]
    return *out, *(track.rail_shadow(view, world, unit, theme) for view in views)


@kept
def _bodies(
    stage: Stage, number: int, travel: _Travel, moves: bool, sides: tuple[str | None, ...]
) -> tuple[Group, ...]:
    """The rails of a piece from the undermost up: blades, closure rails, guard rails, stock rails, all others."""
    twin, *off = _twins(stage)[number]
    if twin != number:
        return tuple(_moved(group, *off) for group in _bodies(stage, twin, travel, moves, sides))
    unit, theme, world = stage.unit, stage.theme, stage.world
    out: list[list[Sprite]] = [[] for _ in range(_LAST + 1)]
    for k, view in _views(stage, number, travel, moves):
        order = _ORDER.get(view.part, _LAST)
        out[order].append(track.rail(view, world, unit, theme, _shown(view, sides[k])))
    return tuple(map(tuple, out))


def _shown(view: RailView, side: str | None) -> str:
    """The side in which a rail is drawn: "none" where nothing is known of it, empty where it is in no circuit."""
    return ("none" if side is None else side) if view.node else ""


@kept
def _tabs(stage: Stage) -> Group:
    wired = {end for wire in stage.bench.wires for end in wire.ends}
    return tuple(
        fittings.tab(round(spot.x, 1), round(spot.y, 1), stage.grain, stage.theme, name in wired, stage.world.scale)
        for name, (spot, *_) in stage.fixtures.spots.items()
        if spot.fixture == "tab" and on_mat(stage, pygame.Rect(round(spot.x), round(spot.y), 1, 1))
    )


@kept
def joints(stage: Stage) -> Group:
    """Joiners between pieces, and buffer stops."""
    return tuple(_joined(stage))


def _joined(stage: Stage) -> Iterator[Sprite]:
    unit, theme, world = stage.unit, stage.theme, stage.world
    reach = 2.6 * world.scale
    for joint in stage.plan.layout.joints:
        for side in joint.sides:
            meet = meeting(stage, side.one, side.other)
            if meet is None:
                continue
            (x, y), bearing = meet
            dx, dy = math.cos(bearing) * reach, math.sin(bearing) * reach
            yield fittings.joiner(
                (round(x - dx, 1), round(y - dy, 1)),
                (round(x + dx, 1), round(y + dy, 1)),
                unit,
                theme,
                side.state,
                world.scale,
            )
    for laid in stage.plan.laid:
        if not laid.geometry.tracks:
            x, y = world.to_screen((laid.x, laid.y))
            out = math.pi + laid.heading if stage.below else -laid.heading
            yield fittings.buffer_stop(round(x, 1), round(y, 1), round(out, 3), world.scale, unit, theme)


@kept
def places(stage: Stage) -> Group:
    """Solder over closed gaps, soot in leaking ones, the bonds of the blades."""
    return tuple(_in_gaps(stage))


def _in_gaps(stage: Stage) -> Iterator[Sprite]:
    unit, theme, px = min(stage.unit, 2 * stage.grain), stage.theme, stage.world.scale
    for mark in stage.places:
        x, y = round(mark.x, 1), round(mark.y, 1)
        if not in_view(stage, stage.plan.by_id[mark.place.name.partition(".")[0]]):
            continue
        if mark.place.kind == "gap" and mark.place.state == "closed":
            yield fittings.blob(x, y, max(3.2 * unit, 1.25 * px), theme)
        elif mark.place.kind == "gap" and mark.place.state == "leaking":
            yield _soot(x, y, px, unit, theme)
        elif mark.place.kind == "bond":
            yield fittings.bond_wire(bond_way(stage, mark), stage.grain, theme, mark.place.state == "made")


@kept
def _soot(x: float, y: float, px: float, unit: float, theme: Theme) -> Sprite:
    reach = math.ceil(3 * px + 4)
    pen = Pen(pygame.Rect(round(x) - reach, round(y) - reach, 2 * reach, 2 * reach), 3)
    for k, (dx, dy) in enumerate(((-0.5, -0.4), (0.3, 0.2), (0.1, -0.7), (-0.2, 0.6))):
        pen.disc((x + dx * px, y + dy * px), (0.5 + 0.1 * k) * px, (70, 44, 26), 0.8)
    del theme, unit
    return pen.done()


def tags(stage: Stage, snapshot: Snapshot) -> Group:
    """The tags that say which side a rail is on."""
    return _tags(stage, tuple(snapshot.feeds.get(section) for section, _, _ in stage.tags))


@kept
def _tags(stage: Stage, sides: tuple[str | None, ...]) -> Group:
    mat, out = stage.rooms.mat, []
    for (_, x, y), side in zip(stage.tags, sides, strict=True):
        if side and (stage.shift is None or mat.collidepoint(x, y)):
            surface = side_tag(side, stage.unit, stage.theme, stage.tag_px)
            out.append(Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2)))
    return tuple(out)

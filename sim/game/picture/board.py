"""The mat and everything that lies on it, as a list of sprites: a pure function of stage and snapshot."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import lru_cache

import pygame

from sim.bench.model import Wire
from sim.bench.point_set import full_id
from sim.game.draw.pen.ink import Pen, Sprite, cut, seen_through
from sim.game.draw.pen.panel import box_of
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway import bed, track, wires
from sim.game.draw.railway.cutting_mat import ground
from sim.game.draw.railway.plywood import stencil_width, underside
from sim.game.look.theme import Theme, mix
from sim.game.paper.railviews import FROG_PARTS, RailView
from sim.game.paper.view import Point
from sim.game.picture import below
from sim.game.picture.compositor import paint
from sim.game.picture.mounted import mounted
from sim.game.picture.nameplates import labels
from sim.game.picture.sightings import drawn_travel, in_view, on_mat, travel_of
from sim.game.whereabouts.cabling import cables
from sim.game.whereabouts.dressing import Run
from sim.game.whereabouts.fixtures import Spot
from sim.game.whereabouts.joinery import bond_way, jumper_way, meeting
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.turning import turned_x
from sim.game.whereabouts.zooming import Shift
from sim.session.snapshot import Snapshot
from sim.wiring.names import section_of

__all__ = ["board", "cloth_of", "gliding", "track_alone"]

_ORDER = {"blade": 0, "closure": 1, "check": 2, "stock": 3}


def board(stage: Stage, snapshot: Snapshot, lids_off: bool = False, lifted: int | None = None) -> list[Sprite]:
    """Mat, track, fixtures and wires, from the ground up; no vehicles, nothing that is in hand.

    lids_off: every contact is seen, also those that have not been found yet. lifted: a wire of which an end is in hand
    """
    if stage.shift is not None:
        return _through_camera(stage, snapshot, lids_off, lifted)
    return [_ground(stage), *_on_board(stage, snapshot, lids_off, lifted)]


def track_alone(stage: Stage, snapshot: Snapshot) -> list[Sprite]:
    """The track with its wires and its tags, without the mat under it and without what is mounted beside it."""
    out: list[Sprite] = []
    out += _beds(stage, snapshot)
    out += _jumpers(stage)
    out += _wires(stage)
    out += _rails(stage, snapshot)
    out += _places(stage)
    out += _tags(stage, snapshot)
    return out


class _Composed:
    """Keeps the last board that a camera showed: it stands still most of the time."""

    def __init__(self) -> None:
        self._key: tuple[object, ...] = ()
        self._parts: list[Sprite] = []
        self._sprite: Sprite | None = None
        self.stage: Stage | None = None
        self.under: Sprite | None = None

    def of(self, stage: Stage, under: Sprite, parts: list[Sprite]) -> Sprite:
        """The parts on one surface as large as the mat."""
        mat = stage.rooms.mat
        key = (stage, *((id(part.surface), part.x, part.y) for part in parts))
        if self._sprite is None or key != self._key:
            surface = pygame.Surface(mat.size)
            surface.blit(under.surface, (0, 0), mat)
            paint(surface, [part.moved(-mat.x, -mat.y) for part in parts], _frame(mat.size, stage.unit))
            self._key, self._parts, self._sprite = key, parts, Sprite(surface, mat.x, mat.y)
            self.stage, self.under = stage, under
        return self._sprite

    @property
    def sprite(self) -> Sprite | None:
        """The last one."""
        return self._sprite


_COMPOSED = _Composed()


def _through_camera(stage: Stage, snapshot: Snapshot, lids_off: bool, lifted: int | None) -> list[Sprite]:
    """The part of the board that the camera shows, on one surface: nothing of it is drawn outside of the mat."""
    rooms = stage.rooms
    under = _ground(stage)
    with seen_through(rooms.mat.inflate(40, 40)):
        parts = [part for part in _on_board(stage, snapshot, lids_off, lifted) if part.rect.colliderect(rooms.mat)]
    return [under, _COMPOSED.of(stage, under, parts), *_in_gutter(stage, snapshot)]


def _in_gutter(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    """The supply's cables beside the mat, which no camera moves."""
    mat, supply = stage.rooms.mat, stage.rooms.supply
    return cut(cables(stage, snapshot), pygame.Rect(mat.right, mat.y, supply.x + 8 - mat.right, mat.height))


_AS_LAID_OUT = Shift(1.0, 0.0, 0.0)


def gliding(stage: Stage, snapshot: Snapshot, lids_off: bool = False) -> list[Sprite]:
    """The board while the camera moves: the last picture of it moved and stretched, drawn anew once it stands still."""
    last = _COMPOSED.stage
    if last is None or last.rooms is not stage.rooms or last.below != stage.below or not _same_bench(last, stage):
        whole = stage.whole or stage
        if whole.rooms is not stage.rooms or stage.below:
            return board(stage, snapshot, lids_off)
        parts = [part for part in _on_board(whole, snapshot, lids_off) if part.rect.colliderect(whole.rooms.mat)]
        _COMPOSED.of(whole, _ground(whole), parts)
        last = whole
    under, sprite = _COMPOSED.under, _COMPOSED.sprite
    if under is None or sprite is None:
        return board(stage, snapshot, lids_off)
    old, new, mat = last.shift or _AS_LAID_OUT, stage.shift or _AS_LAID_OUT, stage.rooms.mat
    times = new.times / old.times

    def moved(x: float, left: float, was: float) -> float:
        return left + times * (x - was)

    first = turned_x(old.left, stage.rooms) if stage.below else old.left
    then = turned_x(new.left, stage.rooms) if stage.below else new.left
    box = pygame.Rect(
        round(moved(mat.x, then, first)), round(moved(mat.y, new.top, old.top)),
        round(mat.width * times), round(mat.height * times),
    )  # fmt: skip
    shown = box.clip(mat)
    surface = pygame.Surface(mat.size)
    surface.fill(stage.theme["mat"])
    if shown.width and shown.height:
        part = pygame.Rect(
            round((shown.x - box.x) / times), round((shown.y - box.y) / times),
            max(1, round(shown.width / times)), max(1, round(shown.height / times)),
        ).clip(sprite.surface.get_rect())  # fmt: skip
        if part.width and part.height:
            stretched = pygame.transform.scale(sprite.surface.subsurface(part), shown.size)
            surface.blit(stretched, shown.move(-mat.x, -mat.y))
    return [under, Sprite(surface, mat.x, mat.y), *_in_gutter(stage, snapshot)]


def _same_bench(one: Stage, other: Stage) -> bool:
    return (one.whole or one) is (other.whole or other)


def _frame(size: tuple[int, int], unit: float) -> pygame.Rect:
    """The mat within its edge, in its own px: what lies on it is not drawn over the edge."""
    edge = max(1, round(2 * unit))
    return pygame.Rect(edge, edge, size[0] - 2 * edge, size[1] - 2 * edge)


def _ground(stage: Stage) -> Sprite:
    slip = box_of(stage.slip)
    if stage.below:
        words_at = _words_at(stage)
        paper, word = below.paper_box(stage), stage.plan.zero_word
        zero = stage.plan.zero_mm
        box = box_of(paper)
        return Sprite(underside(stage.rooms, stage.world, zero, word, box, words_at, stage.theme, slip), 0, 0)
    zero, word = stage.plan.zero_mm, stage.plan.zero_word
    return Sprite(ground(stage.rooms, stage.world, zero, stage.theme, word, slip), 0, 0)


def _words_at(stage: Stage) -> Point:
    """The middle of the words FROM BELOW: wholly under the open sheet, if the blocks leave room for that."""
    half = stencil_width(stage.plan.zero_word, stage.unit, stage.theme) / 2
    held = () if stage.whole is not None else stage.fixtures.blocks  # a camera moves the blocks, not the words
    blocks = max((place.housing.right for place in held), default=0)
    return max(float(stage.rooms.sheet.centerx), blocks + half + 12 * stage.unit), 202 * stage.unit


def _on_board(stage: Stage, snapshot: Snapshot, lids_off: bool, lifted: int | None = None) -> list[Sprite]:
    if stage.below:
        return _under_board(stage, snapshot, lids_off, lifted)
    out: list[Sprite] = []
    out += _beds(stage, snapshot)
    out += _jumpers(stage)
    out += cables(stage, snapshot)
    out += _wires(stage, lifted)
    out += _rails(stage, snapshot)
    out += _places(stage)
    out += _tags(stage, snapshot)
    out += mounted(stage, snapshot, lids_off)
    out += labels(stage)
    return out


def _under_board(stage: Stage, snapshot: Snapshot, lids_off: bool, lifted: int | None) -> list[Sprite]:
    """The same from below: the track as traced, the rods, fixtures and wires."""
    out: list[Sprite] = []
    out += below.track(stage, snapshot)
    out += _joints(stage)
    out += _jumpers(stage)
    out += _places(stage)
    out += below.rods(stage, snapshot)
    out += cables(stage, snapshot)
    out += _wires(stage, lifted)
    out += below.holes(stage)
    out += _tags(stage, snapshot)
    out += mounted(stage, snapshot, lids_off)
    out += labels(stage)
    return out


def _beds(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    unit, theme = min(stage.unit, stage.grain * 2), stage.theme
    for number, laid in enumerate(stage.plan.laid):
        if not laid.geometry.tracks or not in_view(stage, laid):
            continue
        fixed = tuple(v for v in stage.views(laid.id) if v.node and not v.moves and v.part not in FROG_PARTS)
        yield bed.sleeper_bed(laid, stage.world, unit, theme, 5 + number, fixed)
        for name in laid.geometry.topology.point_sets:
            points = full_id(laid.id, name)
            ends = [
                tuple(sorted(_tip_places(stage, {points: at}, points), key=lambda place: place[1]))
                for at in (travel_of(snapshot, points), 0.0, 1.0)
            ]
            yield bed.throw_bar(laid, stage.world, unit, theme, ends[0], (ends[1], ends[2]))


def _tip_places(stage: Stage, travel: Mapping[str, float], points: str) -> Iterator[Point]:
    piece = points.partition(".")[0]
    blades = {f"{piece}.{blade.blade}" for blade in stage.plan.layout.blades(points)}
    for view in stage.views(piece, travel):
        if view.part == "blade" and view.node in blades:
            x, y = stage.world.to_screen((float(view.middle[0, 0]), float(view.middle[0, 1])))
            yield round(x, 1), round(y, 1)


def _jumpers(stage: Stage) -> Iterator[Sprite]:
    """Jumpers run under the frog, from an exit rail to the closure rail of its side."""
    unit, theme = stage.grain, stage.theme
    for mark in stage.places:
        if mark.place.kind == "jumper" and in_view(stage, stage.plan.by_id[mark.place.name.partition(".")[0]]):
            points = jumper_way(stage, mark)
            if points:
                yield track.bond_wire(points, unit, theme, mark.place.state == "made", dim=True)


def _wires(stage: Stage, lifted: int | None = None) -> Iterator[Sprite]:
    unit, theme = stage.grain, stage.theme
    if unit < _THIN * stage.unit:
        yield _thin_wires(stage)
        return
    mat = stage.rooms.mat.inflate(60, 60)
    for run, path in zip(stage.runs, stage.paths, strict=True):
        if run.index == lifted or (stage.shift is not None and not mat.colliderect(wires.box_of(path, 4))):
            continue
        wire = stage.bench.wires[run.index]
        width = (6.4 if run.kind == "motor" else 5.6) * unit
        bare = tuple(_bare(spot.fixture, stage) * unit for spot in (run.a, run.b))
        cloth = wires.wire_colour(cloth_of(wire, run), theme)
        yield wires.wire(path, width, cloth, unit, theme, (bare[0], bare[1]))
    for tie in stage.ties:
        if stage.shift is not None and not mat.collidepoint(tie.x, tie.y):
            continue
        if tie.single:
            yield wires.staple(round(tie.x, 1), round(tie.y, 1), tie.upright, unit, theme)
        else:
            yield wires.tie(round(tie.x, 1), round(tie.y, 1), round(tie.reach, 1), tie.upright, unit, theme)


_THIN = 0.45  # of their natural size: smaller, wires are plain lines


@lru_cache(maxsize=2)
def _thin_wires(stage: Stage) -> Sprite:
    """All wires of a large bench seen as a whole: thin lines, each in its colour."""
    theme = stage.theme
    pen = Pen(stage.rooms.mat, 2)
    for run, path in zip(stage.runs, stage.paths, strict=True):
        wire = stage.bench.wires[run.index]
        cloth = wires.wire_colour(cloth_of(wire, run), theme)
        wide = max(1.3 * stage.unit, 5.6 * stage.grain)
        pen.stroke(path, wide + 1.0 * stage.unit, mix(cloth, (10, 8, 6), 0.78))
        pen.stroke(path, wide, cloth)
    return pen.done()


_CLOTHS = ("rose", "steel", "cream", "ochre")


def cloth_of(wire: Wire, run: Run) -> str:
    """The colour a wire is shown in: its own, else one by its ends, so that it keeps it whatever else is wired.

    Without a colour of its own it is grey as a feeder, else by the screw that it is on: neighbours of a block differ.
    """
    if wire.colour:
        return wire.colour
    if run.kind != "motor":
        return "grey"
    screw = next(spot.terminal for spot in (run.a, run.b) if spot.fixture != "tab" and not _is_bar(spot))
    return _CLOTHS[sum(map(ord, screw)) % len(_CLOTHS)]


def _is_bar(spot: Spot) -> bool:
    return spot.terminal == spot.fixture


def _bare(fixture: str, stage: Stage) -> float:
    if fixture == "tab":
        return 5.0
    return 13.0 if any(bar.terminal == fixture for bar in stage.fixtures.bars) else 8.0


def _tabs(stage: Stage) -> Iterator[Sprite]:
    wired = {end for wire in stage.bench.wires for end in wire.ends}
    for name, spots in stage.fixtures.spots.items():
        spot = spots[0]
        if spot.fixture == "tab" and on_mat(stage, pygame.Rect(round(spot.x), round(spot.y), 1, 1)):
            yield track.tab(
                round(spot.x, 1), round(spot.y, 1), stage.grain, stage.theme, name in wired, stage.world.scale
            )


def _rails(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    unit, theme, world = stage.unit, stage.theme, stage.world
    bodies: list[tuple[int, Sprite]] = []
    travel = drawn_travel(snapshot)
    for laid in stage.plan.laid:
        if not in_view(stage, laid):
            continue
        views = stage.views(laid.id, travel)
        frogs: dict[str, list[RailView]] = {}
        for view in stage.views(laid.id):
            if view.part in FROG_PARTS:
                frogs.setdefault(view.node, []).append(view)
        for parts in frogs.values():
            yield track.frog_plate(tuple(parts), world, unit, theme)
        for view in views:
            yield track.rail_shadow(view, world, unit, theme)
        for view in views:
            bodies.append((_ORDER.get(view.part, 4), track.rail(view, world, unit, theme, _side(view, snapshot.feeds))))
    yield from _tabs(stage)  # in the light beside the rails, not in their shadow
    yield from (sprite for _, sprite in sorted(bodies, key=lambda row: row[0]))
    yield from _joints(stage)


def _side(view: RailView, feeds: Mapping[str, str]) -> str:
    return feeds.get(section_of(view.node), "none") if view.node else ""


def _joints(stage: Stage) -> Iterator[Sprite]:
    unit, theme, world = stage.unit, stage.theme, stage.world
    reach = 2.6 * world.scale
    for joint in stage.plan.layout.joints:
        for side in joint.sides:
            meet = meeting(stage, side.one, side.other)
            if meet is None:
                continue
            (x, y), bearing = meet
            dx, dy = math.cos(bearing) * reach, math.sin(bearing) * reach
            yield track.joiner(
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
            yield track.buffer_stop(round(x, 1), round(y, 1), round(out, 3), world.scale, unit, theme)


def _places(stage: Stage) -> Iterator[Sprite]:
    """Solder over closed gaps, soot in leaking ones, the bonds of the blades."""
    unit, theme, px = min(stage.unit, 2 * stage.grain), stage.theme, stage.world.scale
    for mark in stage.places:
        x, y = round(mark.x, 1), round(mark.y, 1)
        if not in_view(stage, stage.plan.by_id[mark.place.name.partition(".")[0]]):
            continue
        if mark.place.kind == "gap" and mark.place.state == "closed":
            yield track.blob(x, y, max(3.2 * unit, 1.25 * px), theme)
        elif mark.place.kind == "gap" and mark.place.state == "leaking":
            yield _soot(x, y, px, unit, theme)
        elif mark.place.kind == "bond":
            yield track.bond_wire(bond_way(stage, mark), stage.grain, theme, mark.place.state == "made")


@lru_cache(maxsize=16)
def _soot(x: float, y: float, px: float, unit: float, theme: Theme) -> Sprite:
    reach = math.ceil(3 * px + 4)
    pen = Pen(pygame.Rect(round(x) - reach, round(y) - reach, 2 * reach, 2 * reach), 3)
    for k, (dx, dy) in enumerate(((-0.5, -0.4), (0.3, 0.2), (0.1, -0.7), (-0.2, 0.6))):
        pen.disc((x + dx * px, y + dy * px), (0.5 + 0.1 * k) * px, (70, 44, 26), 0.8)
    del theme, unit
    return pen.done()


def _tags(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    mat = stage.rooms.mat
    for section, x, y in stage.tags:
        if stage.shift is not None and not mat.collidepoint(x, y):
            continue
        side = snapshot.feeds.get(section)
        if not side:
            continue
        surface = side_tag(side, stage.unit, stage.theme)
        yield Sprite(surface, round(x - surface.get_width() / 2), round(y - surface.get_height() / 2))

"""The mat and everything that lies on it, as a list of sprites: a pure function of stage and snapshot."""

from __future__ import annotations

from collections.abc import Iterator

import pygame

from sim.bench.model import Wire
from sim.game.draw.pen.ink import Pen, Sprite, cut, seen_through
from sim.game.draw.pen.kept import from_shelf, kept, onto_shelf
from sim.game.draw.pen.panel import box_of
from sim.game.draw.railway import wires
from sim.game.draw.railway.cutting_mat import ground
from sim.game.draw.railway.plywood import underside
from sim.game.look.theme import mix
from sim.game.paper.view import Point
from sim.game.picture import below, trackwork
from sim.game.picture.composed import Composed
from sim.game.picture.mounted import mounted, small
from sim.game.picture.nameplates import labels
from sim.game.picture.sightings import drawn_travel
from sim.game.picture.trackwork import Group
from sim.game.whereabouts.cabling import cables
from sim.game.whereabouts.dressing import Run
from sim.game.whereabouts.fixtures import Spot
from sim.game.whereabouts.parking import parked
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot

__all__ = ["board", "cloth_of", "gliding", "track_alone"]


def board(stage: Stage, snapshot: Snapshot, lids_off: bool = False, lifted: int | None = None) -> list[Sprite]:
    """Mat, track, fixtures and wires, from the ground up; no vehicles, nothing that is in hand.

    lids_off: every contact is seen, also those that have not been found yet. lifted: a wire of which an end is in hand
    """
    if stage.shift is not None:
        return _through_camera(stage, snapshot, lids_off, lifted)
    groups = _on_board(stage, snapshot, lids_off, lifted)
    return [_ground(stage), *(part for group in groups for part in group)]


def track_alone(stage: Stage, snapshot: Snapshot) -> list[Sprite]:
    """The track with its wires and its tags, without the mat under it and without what is mounted beside it."""
    groups = [
        *trackwork.beds(stage, snapshot), trackwork.jumpers(stage), _wires(stage), *trackwork.rails(stage, snapshot),
        trackwork.places(stage), trackwork.tags(stage, snapshot),
    ]  # fmt: skip
    return [part for group in groups for part in group]


_LAST = "the board that a camera showed last"


def _composed() -> Composed:
    """The board as a camera showed it last, on the shelf of drawings."""
    last = from_shelf(_LAST, Composed)
    if last is None:
        last = Composed()
        onto_shelf(_LAST, last)
    return last


def _through_camera(stage: Stage, snapshot: Snapshot, lids_off: bool, lifted: int | None) -> list[Sprite]:
    """The part of the board that the camera shows: nothing of it is drawn outside of the mat."""
    under = _ground(stage)
    plugged = [supply.plugged for supply in snapshot.supplies]
    asked = (stage, under.surface, lids_off, lifted, plugged, drawn_travel(snapshot), snapshot.feeds)
    composed = _composed()
    if not small(stage) or composed.asked != asked:
        with seen_through(stage.rooms.mat.inflate(40, 40)):
            composed.of(stage, under, _on_board(stage, snapshot, lids_off, lifted))
        composed.asked = asked
    return [under, *composed.tiles, *_in_gutter(stage, snapshot)]


def _in_gutter(stage: Stage, snapshot: Snapshot) -> Iterator[Sprite]:
    """The supply's cables beside the mat, which no camera moves."""
    mat, supply = stage.rooms.mat, stage.rooms.supply
    return cut(cables(stage, snapshot), pygame.Rect(mat.right, mat.y, supply.x + 8 - mat.right, mat.height))


def gliding(stage: Stage, snapshot: Snapshot, lids_off: bool = False) -> list[Sprite]:
    """The board while the camera moves: the last picture of it moved and stretched, drawn anew once it stands still."""
    composed = _composed()
    if composed.stage is None or not _moved_from(composed.stage, stage):
        whole = stage.whole or stage
        if whole.rooms is not stage.rooms or stage.below:
            return board(stage, snapshot, lids_off)
        composed.of(whole, _ground(whole), _on_board(whole, snapshot, lids_off, None))
    under, moved = composed.under, composed.gliding(stage)
    if under is None or moved is None:
        return board(stage, snapshot, lids_off)
    return [under, moved, *_in_gutter(stage, snapshot)]


def _moved_from(one: Stage, other: Stage) -> bool:
    """Whether the one is the other, but for where the camera is."""
    return one.rooms is other.rooms and one.below == other.below and (one.whole or one) is (other.whole or other)


def _ground(stage: Stage) -> Sprite:
    slip, tools, zero, word = box_of(stage.slip), parked(stage), stage.plan.zero_mm, stage.plan.zero_word
    if stage.below:
        paper, at, over = box_of(below.paper_box(stage)), _words_at(stage), (*tools, *below.wires_at_foot(stage))
        return Sprite(underside(stage.rooms, stage.world, zero, word, paper, at, stage.theme, slip, over), 0, 0)
    return Sprite(ground(stage.rooms, stage.world, zero, stage.theme, word, slip, tools=tools), 0, 0)


@kept
def _words_at(stage: Stage) -> Point:
    return below.stencil_at(stage)


def _on_board(stage: Stage, snapshot: Snapshot, lids_off: bool, lifted: int | None) -> list[Group]:
    if stage.below:
        return _under_board(stage, snapshot, lids_off, lifted)
    return [
        *trackwork.beds(stage, snapshot),
        trackwork.jumpers(stage),
        tuple(cables(stage, snapshot)),
        _wires(stage, lifted),
        *trackwork.rails(stage, snapshot),
        trackwork.places(stage),
        trackwork.tags(stage, snapshot),
        mounted(stage, snapshot, lids_off),
        labels(stage),
    ]


def _under_board(stage: Stage, snapshot: Snapshot, lids_off: bool, lifted: int | None) -> list[Group]:
    """The same from below: the track as traced, the rods, fixtures and wires."""
    return [
        tuple(below.track(stage, snapshot)),
        trackwork.joints(stage),
        trackwork.jumpers(stage),
        trackwork.places(stage),
        tuple(below.rods(stage, snapshot)),
        tuple(cables(stage, snapshot)),
        _wires(stage, lifted),
        tuple(below.holes(stage)),
        trackwork.tags(stage, snapshot),
        mounted(stage, snapshot, lids_off),
        labels(stage),
    ]


@kept
def _wires(stage: Stage, lifted: int | None = None) -> Group:
    return (_thin_wires(stage),) if stage.grain < _THIN * stage.unit else tuple(_dressed(stage, lifted))


def _dressed(stage: Stage, lifted: int | None) -> Iterator[Sprite]:
    unit, theme = stage.grain, stage.theme
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


@kept
def _thin_wires(stage: Stage) -> Sprite:
    """All wires of a large bench seen as a whole: thin lines, each in its colour."""
    theme = stage.theme
    pen = Pen(stage.rooms.mat, 2)
    for run in stage.runs:
        path, wire = run.corners, stage.bench.wires[run.index]
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

"""What is taken from the drawer of pieces: its words, where it can go, how it would lie there, what it becomes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from sim.bench.edits import AddLamp, AddMotor, AddPiece, AddPolarity, AddTrain, Edit, EditRefused
from sim.bench.laying import AddTap, free_name
from sim.bench.model import Bench, Changeover, Lamp, Motor, Polarity, Train
from sim.bench.vocabulary import DEFAULT_SCALE
from sim.game.paper.view import Point
from sim.game.whereabouts.handles import Standing, stand_near
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot, TrainView, VehicleView
from sim.track.laying import BOX, PIECES, box_item, ends_of, fresh_piece, laid, open_places
from sim.track.layout import Layout
from sim.train.fleet import vehicle

__all__ = [
    "APART",
    "ITEMS",
    "VEHICLES",
    "Item",
    "edit_for",
    "ghost_rails",
    "own_end",
    "own_end_words",
    "places_for",
    "sort_of",
    "standing_near",
]

APART = "by itself"
"""The place on bare mat where a piece begins a group of its own, and a hand lever is a switch."""


class Item(NamedTuple):
    """A compartment of the drawer: its name, the word under it, what it is in full."""

    name: str
    word: str
    words: str


VEHICLES: Mapping[str, str] = {
    "shunter": "four-wheel shunter",
    "diesel": "bogie diesel",
    "tender": "tender engine",
    "wagon": "metal-wheel wagon",
}

ITEMS = (
    *(Item(item.name, item.word, item.words) for item in BOX),
    Item("motor", "motor", "Motor, one changeover"),
    Item("motor-2", "motor 2", "Motor, two changeovers"),
    Item("lever", "lever", "Hand lever, one changeover; by itself a switch"),
    Item("lamp", "lamp", "Lamp in series, 12 V 21 W"),
    Item("polarity", "polarity", "Automatic polarity unit"),
    Item("tap", "tap", "A further tap of the bus"),
    *(Item(name, name, words[:1].upper() + words[1:]) for name, words in VEHICLES.items()),
)

_LETTERS = (("k", "m", "p"), ("s", "t", "r"))
_LEVER_SECONDS = 0.3  # a hand on a lever; our choice
_LATE, _STEP = 6.0, 6.0  # metres along the bus of the first tap, and between further ones; our choice


def sort_of(item: str) -> str:
    """Where an item goes: "track" to open ends, "motor" to points, "vehicle" on rails, "board" anywhere."""
    if item in PIECES:
        return "track"
    if item in {"motor", "motor-2", "lever"}:
        return "motor"
    return "vehicle" if item in VEHICLES else "board"


def own_end(item: str, turns: int) -> str | None:
    """Which end of a piece of track is put to the open end, after so many turns of it in the hand."""
    if sort_of(item) != "track":
        return None
    ends = ends_of(item)
    return ends[turns % len(ends)]


def own_end_words(item: str, turns: int) -> str:
    """The same end in words, without an article: "main end", "end b"."""
    own = own_end(item, turns)
    return "" if own is None else fresh_piece(item, item, DEFAULT_SCALE).end_words(own).removeprefix("the ")


@lru_cache(maxsize=32)
def places_for(stage: Stage, item: str) -> dict[str, Point]:
    """Every place where an item can go, px, by name: an end, a piece, or `APART`."""
    sort = sort_of(item)
    if sort == "track":
        every = open_places(stage.plan.layout)
        found = {end: stage.world.to_screen((x, y)) for end, (x, y, _) in every.items()}
        if not box_item(item).stops:
            found[APART] = _apart(stage)
        return found
    if sort == "motor":
        driven = {points for motor in stage.bench.motors for points in motor.drives}
        free = {points.id: _toe(stage, points.id) for points in stage.bench.point_sets if points.id not in driven}
        return {**free, APART: _apart(stage)} if item == "lever" else free
    if sort == "vehicle":
        return {each.id: _middle(stage, each.id) for each in stage.plan.laid if each.geometry.tracks}
    return {APART: _apart(stage)}


def _apart(stage: Stage) -> Point:
    mat = stage.rooms.mat
    share = 0.54 if stage.below else 0.46
    return mat.x + share * mat.width, mat.bottom - 34 * stage.unit


def _toe(stage: Stage, points: str) -> Point:
    marks = stage.plan.tips(points)
    x = sum(mark.x for mark in marks) / max(1, len(marks))
    y = sum(mark.y for mark in marks) / max(1, len(marks))
    return stage.world.to_screen((x, y))


def _middle(stage: Stage, piece: str) -> Point:
    layout = stage.plan.layout
    x, y, _ = layout.pose(piece, 0, np.array([layout.geometry(piece).tracks[0].length_mm / 2]))
    return stage.world.to_screen((float(x[0]), float(y[0])))


def ghost_rails(bench: Bench, item: str, place: str, turns: int) -> tuple[tuple[Point, ...], ...]:
    """The rails of a piece as it would lie at a place, polylines in mm on the bench; empty where it cannot."""
    if sort_of(item) != "track" or place == APART:
        return ()
    piece = laid(bench, item, place, own_end(item, turns))
    try:
        layout = Layout(AddPiece(piece).apply(bench))
    except EditRefused:
        return ()
    where, geometry = layout.placement(piece.id), layout.geometry(piece.id)
    half = geometry.gauge_mm / 2
    out = []
    for path in geometry.tracks:
        stations = np.linspace(0.0, path.length_mm, 25)
        for offset in (half, -half):
            rows = where.points(path.line.beside(stations, offset))
            out.append(tuple((float(x), float(y)) for x, y in rows))
    if not out:
        c, s = math.cos(where.heading), math.sin(where.heading)
        out.append(((where.x - s * half, where.y + c * half), (where.x + s * half, where.y - c * half)))
    return tuple(out)


def standing_near(stage: Stage, snapshot: Snapshot, item: str, point: Point) -> Standing | None:
    """Where a vehicle out of the drawer would stand, nearest to a point; None without track."""
    layout = stage.plan.layout
    scale = layout.scale(stage.bench.tracks[0].id).name if stage.bench.tracks else DEFAULT_SCALE
    axles = tuple((-mm, 0.0, 0.0) for mm in vehicle(stage.bench, VEHICLES[item], scale).axles_mm)
    view = TrainView("", 0.0, 1, 0.0, 0.0, False, False, (VehicleView(VEHICLES[item], axles, (), 0.0),))
    return stand_near(stage, snapshot, view, point)


def edit_for(stage: Stage, snapshot: Snapshot, item: str, place: str, point: Point, turns: int) -> Edit | None:
    """What laying an item at a place comes to; None where there is no place for it."""
    bench = stage.bench
    sort = sort_of(item)
    if sort == "track":
        return AddPiece(laid(bench, item, None if place == APART else place, own_end(item, turns)))
    if sort == "motor":
        return AddMotor(_motor(bench, item, place))
    if sort == "vehicle":
        stand = standing_near(stage, snapshot, item, point)
        if stand is None:
            return None
        return AddTrain(Train(free_name(bench, "V"), (VEHICLES[item],), stand.end, stand.mm))
    if item == "lamp":
        return AddLamp(Lamp(free_name(bench, "L")))
    if item == "polarity":
        return AddPolarity(Polarity(free_name(bench, "Q")))
    taps = bench.bus.taps if bench.bus is not None else {}
    metres = _LATE if not taps else max(taps.values()) + _STEP
    return AddTap("far" if not taps else free_name(bench, "far"), metres)


def _motor(bench: Bench, item: str, place: str) -> Motor:
    """A motor or lever at points, or a switch at `APART`."""
    contacts = tuple(Changeover(*letters) for letters in _LETTERS[: 2 if item == "motor-2" else 1])
    name = free_name(bench, "S" if place == APART else "M")
    motor = Motor(name, () if place == APART else (place,), changeovers=contacts)
    return replace(motor, by_hand=True, seconds=_LEVER_SECONDS) if item == "lever" else motor

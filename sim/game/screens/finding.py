"""A finding of the test on the track: the vehicle where it happens, the loop glowing, or the rails that it is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import numpy as np

from sim.bench.model import Bench, Vehicle
from sim.game.draw.pages.result import Note, Result
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway.vehicle import vehicle
from sim.game.picture.board import board
from sim.game.picture.rolling import train_bodies, trains
from sim.game.shorts.glow import rails_ringed, shorted
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.ways import Axles, Ways
from sim.proof.verdict import Finding
from sim.session.snapshot import Snapshot, TrainView, VehicleView
from sim.track.layout import Layout
from sim.track.walk import Spot, advance
from sim.train.fleet import axle_places, tested, train_vehicles
from sim.wiring.feeds import feeds

__all__ = ["finding_picture"]

_AT = {"normal": 0.0, "throwing": 0.5, "diverging": 1.0}
_INTO_MM = 5.0  # so far into the place the vehicle is shown


def finding_picture(stage: Stage, snapshot: Snapshot, result: Result, note: Note | None) -> list[Sprite]:
    """The bench with what a note is about on it; the bench as it stands without a note."""
    finding = note.finding if note is not None else None
    if finding is None:
        return [*board(stage, snapshot), *([] if note is not None else trains(stage, snapshot))]
    moment = _moment(stage, snapshot, result, finding)
    vehicles = _standing(stage, finding, moment.travel)
    ghosts = [part for model, axles in vehicles for part in _ghost(stage, model, axles)]
    if not finding.loop:
        lit = rails_ringed(stage, moment, finding.touching) if finding.path is None else []
        return [*board(stage, moment), *lit, *ghosts]
    axles = {f"{_TESTED}:{k}": each for k, (_, each) in enumerate(vehicles)}
    ways = Ways(stage, moment, axles, moment.travel)
    return shorted(stage, moment, None, finding.loop, finding.amps or 0.0, ways, ghosts=ghosts)


_TESTED = "test"  # what the test calls the train that it runs


def _moment(stage: Stage, snapshot: Snapshot, result: Result, finding: Finding) -> Snapshot:
    """The bench as it stands for a finding: the levers that matter set so, and the points under its run; no trains."""
    way = next((way for way in result.ways if way.path == finding.path), None)
    points = {**(way.settings if way is not None else {}), **finding.points}
    travel = {**snapshot.travel, **{name: _AT[setting] for name, setting in points.items()}}
    sides = _sides(stage.bench, stage.plan.layout, tuple(sorted(travel.items())))
    return replace(snapshot, trains=(), travel=travel, feeds=sides, fault=None, overload=None)


@lru_cache(maxsize=4)
def _sides(bench: Bench, layout: Layout, travel: tuple[tuple[str, float], ...]) -> Mapping[str, str]:
    """The side of the supply of every rail with nothing on the track."""
    return feeds(bench, layout, dict(travel))


def _standing(stage: Stage, finding: Finding, travel: Mapping[str, float]) -> list[tuple[Vehicle, Axles]]:
    """What is run, vehicle by vehicle, with its axles where the finding begins on its way; nothing without a place."""
    if finding.path is None or finding.vehicle is None or finding.from_mm is None or finding.to_mm is None:
        return []
    layout = stage.plan.layout
    piece, first = finding.path[0].rsplit(".", 1)
    ends = first, finding.path[1].rsplit(".", 1)[1]
    number = next(k for k, path in enumerate(layout.geometry(piece).tracks) if path.ends == ends)
    forward = finding.direction != "backward"
    length = finding.to_mm - finding.from_mm
    into = min(_INTO_MM, length / 2)
    lead = Spot(piece, number, finding.from_mm + into if forward else finding.to_mm - into, forward)
    out = []
    vehicles = _vehicles(stage.bench, finding.vehicle, layout.scale(piece).name)
    for model, places in zip(vehicles, axle_places(vehicles), strict=True):
        axles = []
        for place in places:
            spot = advance(layout, lead, -place, travel)
            x, y, heading = layout.pose(spot.piece, spot.path, np.array([spot.s_mm]))
            axles.append((float(x[0]), float(y[0]), float(heading[0]) + (0.0 if spot.forward else np.pi)))
        out.append((model, tuple(axles)))
    return out


def _vehicles(bench: Bench, name: str, scale: str) -> tuple[Vehicle, ...]:
    """A vehicle that is run alone, or those of a train."""
    alone = next((each for each in tested(bench, scale) if each.name == name), None)
    if alone is not None:
        return (alone,)
    train = next((each for each in bench.trains if each.id == name), None)
    return train_vehicles(bench, train, scale) if train is not None else ()


def _ghost(stage: Stage, model: Vehicle, axles: Axles) -> list[Sprite]:
    train = TrainView("", 0.0, 1, 0.0, 0.0, False, False, (VehicleView(model.name, axles, (), 0.0),))
    return [
        vehicle(body, round(bearing, 3), stage.world.scale, (0.0, 0.0), stage.unit, stage.theme, 3).moved(
            round(x), round(y)
        )
        for body, bearing, (x, y) in train_bodies(stage, train)
    ]

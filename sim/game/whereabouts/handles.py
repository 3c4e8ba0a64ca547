"""Where the things lie that can be taken in hand: probes, screws, a train on the track."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from sim.game.paper.view import Point
from sim.game.whereabouts.fixtures import Spot
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import ViewState
from sim.session.snapshot import Snapshot, TrainView

__all__ = ["Standing", "nearest_screw", "nearest_spot", "probe_angle", "probe_tip", "screws", "stand_near"]

_LEAN = math.radians(-62)


def _held(view: ViewState, name: str) -> bool:
    return view.hand is not None and view.hand.what == "probe" and view.hand.name == name


def probe_tip(stage: Stage, snapshot: Snapshot, view: ViewState, name: str) -> Point:
    """Where a probe's tip is, px: in hand, on its terminal, or parked beside the meter. `name`: "red" or "black"."""
    if _held(view, name) and view.hand is not None:
        return view.hand.at
    red = name == "red"
    terminal = snapshot.meter.red if red else snapshot.meter.black
    if terminal is not None and terminal in stage.fixtures.spots:
        mm = view.red_mm if red else view.black_mm
        spot = stage.fixtures.spots[terminal][0]
        if mm is not None and spot.fixture == "tab":
            return stage.world.to_screen(mm)
        if mm is not None:  # one of several screws
            return nearest_screw(stage, terminal, stage.world.to_screen(mm))
        return spot.probe_x, spot.probe_y
    rect = stage.rooms.meter
    down = 36 * stage.unit if stage.below else 0.0  # from below the supply's cables run there
    upper, lower = (42, 59) if stage.rooms.narrow else (49, 69)  # above the cable of the upper bar
    aside = 48 if stage.rooms.narrow and stage.below else 0  # for the sheet that lies there from below
    return (
        stage.rooms.mat.right - ((110 if red else 96) - aside) * stage.unit,
        rect.y + down + (upper if red else lower) * stage.unit,
    )


def probe_angle(snapshot: Snapshot, view: ViewState, name: str) -> float:
    """Which way a probe's handle points, radians: parked to the right, else up and to the right."""
    terminal = snapshot.meter.red if name == "red" else snapshot.meter.black
    return _LEAN if _held(view, name) or terminal is not None else 0.0


def nearest_spot(stage: Stage, terminal: str, point: Point) -> Spot:
    """The screw of a terminal that is nearest to a point."""
    return min(
        stage.fixtures.spots[terminal], key=lambda spot: math.hypot(spot.probe_x - point[0], spot.probe_y - point[1])
    )


def screws(stage: Stage, spot: Spot) -> tuple[Point, ...]:
    """Where a tip finds the metal of a spot, px: a motor's terminal has two screws, one above its letter, one below."""
    block = next((place for place in stage.fixtures.blocks if place.motor == spot.fixture), None)
    first = (spot.probe_x, spot.probe_y)
    return (first,) if block is None else (first, (spot.x, block.lower))


def nearest_screw(stage: Stage, terminal: str, point: Point) -> Point:
    """The screw or tab of a terminal that is nearest to a point, px."""
    every = (place for spot in stage.fixtures.spots[terminal] for place in screws(stage, spot))
    return min(every, key=lambda place: math.dist(place, point))


class Standing(NamedTuple):
    """A place for a train: its leading axle `mm` inwards from `end`; every axle there (x mm, y mm, heading)."""

    end: str
    mm: float
    axles: tuple[tuple[float, float, float], ...]


def stand_near(stage: Stage, snapshot: Snapshot, train: TrainView, point: Point) -> Standing | None:
    """The place on the track nearest to a point (px) for a train's middle, facing as now; None without track."""
    at = np.array([stage.world.to_bench(point)])
    layout = stage.plan.layout
    every = [axle for vehicle in train.vehicles for axle in vehicle.axles]
    lead = np.array(every[0][:2])
    offsets = np.array([float(np.hypot(*(np.array(axle[:2]) - lead))) for axle in every])
    facing = every[0][2]
    half = float(offsets[-1]) / 2
    best: tuple[float, str, int, float] | None = None
    for laid in stage.plan.laid:
        c, s = math.cos(-laid.heading), math.sin(-laid.heading)
        local = (at - np.array([laid.x, laid.y])) @ np.array([[c, s], [-s, c]])
        travel = layout.travel(laid.id, snapshot.travel)
        for number, path in enumerate(laid.geometry.tracks):
            stations, away = path.line.seen(local)
            station = min(max(float(stations[0]), 0.0), path.length_mm)
            reach = abs(float(away[0])) + abs(float(stations[0]) - station)
            if not path.open_at(travel):
                reach += 4.0
            if best is None or reach < best[0]:
                best = (reach, laid.id, number, station)
    if best is None:
        return None
    _, piece, number, station = best
    path = stage.plan.by_id[piece].geometry.tracks[number]
    x, y, heading = layout.pose(piece, number, np.array([station]))
    onward = math.cos(float(heading[0]) - facing) >= 0
    lead_at = station + half if onward else station - half
    lead_at = min(max(lead_at, 1.0), path.length_mm - 1.0)
    end = path.ends[1] if onward else path.ends[0]
    mm = path.length_mm - lead_at if onward else lead_at
    stations = lead_at - offsets if onward else lead_at + offsets
    x, y, heading = layout.pose(piece, number, stations)
    turn = 0.0 if onward else math.pi
    axles = tuple((float(a), float(b), float(h) + turn) for a, b, h in zip(x, y, heading, strict=True))
    return Standing(f"{piece}.{end}", round(mm, 1), axles)

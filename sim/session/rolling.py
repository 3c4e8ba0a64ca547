"""A train on the track: where each axle is, what its wheels touch, and how it runs on, stops or comes off.

Every axle is a spot on a path, walked by its vehicle's displacement; so a turnout thrown under a train takes effect as
it would at the layout. An axle that has not come to the blades yet goes by where they are when it comes to them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.bench.model import Bench, Train
from sim.session.ground import Ground
from sim.track.layout import Layout
from sim.track.walk import Spot, advance, distance_to_stop, spot_at
from sim.track.wheels import Wheel, wheel
from sim.train.fleet import axle_places, meter_ohms, overhang, supply_kind, train_vehicles
from sim.train.motion import TrainMotion
from sim.train.standard import overhang_of
from sim.wiring.names import section_of
from sim.wiring.wheels import Standing, load_ohms

__all__ = ["Derailed", "Pose", "Rolling"]

_SIGHT_MM = 60.0  # from an end axle, how far a stop is looked for; HO, more than an overhang and a step
_IDLE_AMPS = 0.02  # a decoder at rest; from memory
_PICKED = 0.3  # of its opening lets a flange in behind a blade: HO 0.77 of 2.58 mm, a flange is 0.76 (RP-25 code 110)
_PARTED = 0.2  # of the gauge, between two roads that the axles of one train are on: no vehicle bends so; our choice
_BODY_HALF = 0.9  # half a vehicle's width over its overhang, for two trains that meet; our choice

Pose = tuple[float, float, float]
"""x, y in mm and heading in radians, in the bench's frame."""

Touches = tuple[tuple[frozenset[str], frozenset[str]], ...]


@dataclass(frozen=True, slots=True)
class Derailed:
    """Where a train came off, and whether its axles were parted on two roads or one was led wrong."""

    piece: str
    parted: bool


class Rolling:
    """One train of the bench, from where the file or a hand has put it."""

    def __init__(self, bench: Bench, train: Train, ground: Ground) -> None:
        """Set the train down at rest. Raises ValueError where there is no track, or no vehicle of that name."""
        if not bench.tracks:
            raise ValueError(f"there is no track for train {train.id} to stand on")
        self.train = train
        self.kind = supply_kind(bench)
        self.supply_volts = bench.supplies[0].volts if bench.supplies else 0.0
        self.throttle = train.throttle
        self.direction = 1
        self.derailed: Derailed | None = None
        end = train.end or f"{bench.tracks[0].id}.{bench.tracks[0].ENDS[0]}"
        lead = spot_at(ground.layout, end, train.mm, ground.travel)
        scale = ground.layout.scale(lead.piece)
        self.vehicles = train_vehicles(bench, train, scale.name)
        self.wheels = tuple(wheel(each.wheel, scale) for each in self.vehicles)
        self.motion = TrainMotion(self.vehicles, self.kind)
        self.volts = (0.0,) * len(self.vehicles)
        self.spots = [
            [advance(ground.layout, lead, -place, ground.travel) for place in places]
            for places in axle_places(self.vehicles)
        ]
        self.touches: tuple[Touches, ...] = ()
        self._poses: tuple[tuple[Pose, ...], ...] | None = None
        self.look(ground)

    @property
    def lead(self) -> Spot:
        """Where its leading axle is."""
        return self.spots[0][0]

    @property
    def name(self) -> str:
        """What the train is called in a sentence: its leading vehicle's name."""
        return self.vehicles[0].name

    @property
    def asked(self) -> bool:
        """True while its throttle asks it to run."""
        return self.throttle > 0.0 and self.derailed is None

    @property
    def running(self) -> bool:
        """An engine of it has the volts, or the stored energy, to drive it."""
        return self.asked and any(self.motion.alive)

    @property
    def starved(self) -> bool:
        """No engine of it has the volts to work from, nor energy in store: it stalls, or coasts to where it has."""
        engines = [k for k, vehicle in enumerate(self.vehicles) if vehicle.draws_amps > 0]
        stored = self.motion.stored_joules
        return bool(engines) and all(
            abs(self.volts[k]) < self.vehicles[k].works_from_volts and stored[k] <= 0.0 for k in engines
        )

    def joins_sides(self, feeds: Mapping[str, str]) -> bool:
        """Whether one wheel, or the pick-up wheels of one vehicle on a side, stand on side A and on side B.

        feeds: the side of every section with nothing on the track.
        """
        for vehicle, touches in zip(self.vehicles, self.touches, strict=True):
            for side, axles in enumerate((vehicle.pickup_left, vehicle.pickup_right)):
                wheels = [touched[side] for touched in touches]
                collected = frozenset().union(*(wheels[axle - 1] for axle in axles))
                for metal in (*wheels, collected):
                    if {"A", "B"} <= {feeds.get(section_of(node), "none") for node in metal}:
                        return True
        return False

    def look(self, ground: Ground) -> bool:
        """See what the wheels touch now; True if that has changed."""
        self.spots = [[ground.settled(spot) for spot in axles] for axles in self.spots]
        self._poses = None
        touches = tuple(
            tuple(ground.touching(spot, size) for spot in axles)
            for axles, size in zip(self.spots, self.wheels, strict=True)
        )
        changed = touches != self.touches
        self.touches = touches
        return changed

    def poses(self, layout: Layout) -> tuple[tuple[Pose, ...], ...]:
        """Where each axle of each vehicle is in the bench's frame."""
        if self._poses is None:
            spots = [spot for axles in self.spots for spot in axles]
            found = iter(_posed(layout, spots))
            self._poses = tuple(tuple(next(found) for _ in axles) for axles in self.spots)
        return self._poses

    def standing(self, *, metered: bool = False) -> tuple[Standing, ...]:
        """The vehicles as the wiring meets them: running loads, or what a meter's small current sees."""
        found = []
        for k, (vehicle, touches) in enumerate(zip(self.vehicles, self.touches, strict=True)):
            ohms = meter_ohms(vehicle, self.kind) if metered else self._load(k)
            found.append(Standing(f"{self.train.id}:{k}", vehicle, touches, ohms))
        return tuple(found)

    def _load(self, index: int) -> float:
        vehicle = self.vehicles[index]
        ohms = load_ohms(vehicle, self.supply_volts)
        if self.kind == "dcc" and math.isfinite(ohms) and not self.asked:
            return max(ohms, self.supply_volts / _IDLE_AMPS)
        return ohms

    def step(self, ticks: int, ground: Ground, others: Sequence[Rolling]) -> bool:
        """Let so many ticks of motion pass; True if the train moved. An axle that is led wrong stops it all."""
        if self.derailed is not None or not (self.motion.moving or any(self._forces())):
            return False
        sight = _SIGHT_MM * overhang(self.vehicles[0]) / overhang_of("HO")
        lead, last = self.spots[0][0], self.spots[-1][-1]
        turned = replace(last, forward=not last.forward)
        ahead, behind = (
            min([_stop(ground, spot, sight), *(_room(ground.layout, other, spot) for other in others)])
            for spot in (lead, turned)
        )
        moved = self.motion.step(
            ticks, self._felt(), throttle=self.throttle, direction=self.direction, ahead_mm=ahead, behind_mm=behind
        )
        for k, mm in enumerate(moved):
            if mm:
                self.spots[k] = [self._walk(ground, spot, mm, self.wheels[k]) for spot in self.spots[k]]
        if any(moved):
            self._part(ground)
        return any(moved)

    def _felt(self) -> tuple[float, ...]:
        """Volts as the motors feel them: sizes on digital supplies; on DC positive drives to the leading end."""
        if self.kind == "dc":
            # NMRA S-9, from memory: positive on the right-hand rail drives forward
            return tuple(-volts for volts in self.volts)
        return tuple(abs(volts) for volts in self.volts)

    def _forces(self) -> tuple[bool, ...]:
        """Which vehicles might start to move by themselves."""
        if self.kind == "dc":
            return tuple(volts != 0.0 for volts in self.volts)
        stored = self.motion.stored_joules
        return tuple(
            bool(vehicle.draws_amps)
            and (self.throttle > 0.0 or vehicle.stored_joules > 0.0)
            and (abs(volts) >= vehicle.works_from_volts or left > 0.0 or alive)
            for vehicle, volts, left, alive in zip(self.vehicles, self.volts, stored, self.motion.alive, strict=True)
        )

    def _walk(self, ground: Ground, spot: Spot, mm: float, size: Wheel) -> Spot:
        new = advance(ground.layout, spot, mm, ground.travel)
        if self._comes_off(ground, spot, new, mm if spot.forward else -mm, size):
            self._off(spot.piece, parted=False)
        return new

    def _off(self, piece: str, *, parted: bool) -> None:
        self.derailed = Derailed(piece, parted)
        self.motion.halt()

    def _part(self, ground: Ground) -> None:
        """Come off where two axles in a row have been led on two roads that are too far apart already."""
        axles = [spot for each in self.spots for spot in each]
        for one, other in itertools.pairwise(axles):
            if one.piece == other.piece and one.path != other.path:
                station = min(one.s_mm, other.s_mm)
                (ax, ay, _), (bx, by, _) = _posed(
                    ground.layout, [replace(one, s_mm=station), replace(other, s_mm=station)]
                )
                if math.hypot(ax - bx, ay - by) > _PARTED * ground.layout.scale(one.piece).gauge_mm:
                    self._off(one.piece, parted=True)

    def _comes_off(self, ground: Ground, old: Spot, new: Spot, along: float, size: Wheel) -> bool:
        """Whether an axle is led wrong between two spots, going `along` mm of its path."""
        fork = ground.fork(old)
        if fork is None:
            return False
        after = old.s_mm + along if new.piece != old.piece or new.path != old.path else new.s_mm
        if along > 0:
            return old.s_mm < fork <= after and ground.between(old, _PICKED)
        trap = ground.trap(old, size)
        return trap is not None and after <= trap < old.s_mm


def _stop(ground: Ground, spot: Spot, sight: float) -> float:
    """Millimetres from an axle, the way it looks, to a stop; infinite where none is in sight."""
    way = distance_to_stop(ground.layout, spot, ground.travel, sight)
    return way if way < sight else math.inf


def _room(layout: Layout, other: Rolling, spot: Spot) -> float:
    """Millimetres from an axle, the way it looks, to where another train's nearest axle makes a stop."""
    ((x, y, heading),) = _posed(layout, [spot])
    nearest = math.inf
    for vehicle, axles in zip(other.vehicles, other.poses(layout), strict=True):
        reach = overhang(vehicle)
        for ox, oy, _ in axles:
            along = (ox - x) * math.cos(heading) + (oy - y) * math.sin(heading)
            across = abs((oy - y) * math.cos(heading) - (ox - x) * math.sin(heading))
            if along > 0 and across < _BODY_HALF * reach:
                nearest = min(nearest, along - reach)
    return nearest


def _posed(layout: Layout, spots: Sequence[Spot]) -> list[Pose]:
    """The poses of axles, their vehicles' leading ends ahead; those on one path in one go."""
    paths: dict[tuple[str, int], list[int]] = {}
    for k, spot in enumerate(spots):
        paths.setdefault((spot.piece, spot.path), []).append(k)
    poses: list[Pose] = [(0.0, 0.0, 0.0)] * len(spots)
    for (piece, path), members in paths.items():
        x, y, heading = layout.pose(piece, path, np.array([spots[k].s_mm for k in members]))
        for row, k in enumerate(members):
            turn = 0.0 if spots[k].forward else math.pi
            poses[k] = (float(x[row]), float(y[row]), math.remainder(float(heading[row]) + turn, math.tau))
    return poses

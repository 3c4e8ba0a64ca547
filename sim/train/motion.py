"""How a train moves: bodies with mass along the arc length of the track, in a pymunk space of its own.

Frame: x runs along the track, positive towards the train's leading end; x = 0 is where the leading axle stood when
the train was set down. Millimetres, seconds, grams; forces in g mm/s2. Each vehicle is a body whose x is that of its
own leading axle. The space integrates the bodies and lets them meet the buffer stops; this module gives the forces:
motor, rolling resistance, couplings. Every tick has the same length, so the same inputs give the same run, bit for
bit, on one machine.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import pymunk

from sim.bench.model import Vehicle
from sim.train.fleet import axle_places, overhang
from sim.train.motor import Motor, MotorState, digital, motor_of, ramp, straight
from sim.train.standard import SupplyKind, overhang_of

__all__ = ["TICK", "Energy", "TrainMotion"]

TICK = 0.001  # seconds; a coupling of 1 N/mm between wagons of 10 g turns over in about 14 of them

_GRAVITY = 9806.65  # mm/s2, standard gravity
_ROLLING = 0.02  # a free-rolling wagon starts on a slope of about 2 in 100 (common practice, no source)
_SLACK_HO = 0.8  # mm of play each way before a coupling pulls or pushes (common practice, no source)
_STIFFNESS = 1e6  # g/s2: 1 N/mm, a sprung plastic coupling (from memory)
_STEADY = 0.1  # of mass over tick squared: the stiffest coupling that a tick can follow, for the lightest vehicles
_DAMPING = 0.15  # of critical, while a coupling is drawn or pressed; our choice
_STOP_REBOUND = 0.1  # of the speed kept on meeting a buffer stop; our choice
_STOP_THICK = 50.0  # mm
_FAR = 1e6  # mm: no stop in sight
_INSIDE = 0.5  # mm by which a stop may be pressed in before it counts as standing where the train already is
_STOPPED = 1e-6  # mm/s
_HAND_SPEED = 60.0  # mm/s with which a hand pushes a train along; our choice


@dataclass(frozen=True, slots=True)
class Energy:
    """Joules since the train was set down: from the motors' terminals, into heat, and what the train holds now.

    supplied = winding + friction + kinetic + couplings, but for what buffer stops, hands and damping took.
    """

    supplied: float
    winding: float
    friction: float
    kinetic: float
    couplings: float


class _Vehicle:
    """One vehicle's body and what its drive remembers."""

    __slots__ = ("asked", "body", "drag", "held", "mass", "motor", "state", "stored")

    def __init__(self, vehicle: Vehicle, kind: SupplyKind, start: float) -> None:
        self.motor: Motor | None = motor_of(vehicle, kind)
        weight = float(vehicle.grams)
        self.mass = weight + (self.motor.flywheel_grams if self.motor is not None else 0.0)
        self.drag = self.motor.drag if self.motor is not None else _ROLLING * weight * _GRAVITY
        self.asked = 0.0
        self.held = 0.0
        self.stored = 0.0
        self.state = MotorState(0.0, 0.0, 0.0, 0.0, False)
        self.body = pymunk.Body(self.mass, math.inf)
        self.body.position = (-start, 0.0)


class TrainMotion:
    """A train's dynamics. It is told volts, throttle and where the stops are, and says how far each vehicle went."""

    def __init__(self, vehicles: Sequence[Vehicle], kind: SupplyKind) -> None:
        """Set a train down at rest, couplings easy; `vehicles` run from the leading end back."""
        self.vehicles = tuple(vehicles)
        self.kind = kind
        places = axle_places(self.vehicles)
        self._easy = tuple(places[k + 1][0] - places[k][0] for k in range(len(places) - 1))
        self._front = overhang(self.vehicles[0])
        self._rear = self.vehicles[-1].axles_mm[-1] + overhang(self.vehicles[-1])
        self._slack = _SLACK_HO * overhang(self.vehicles[0]) / overhang_of("HO")
        self._space = pymunk.Space()
        self._space.gravity = (0.0, 0.0)
        self._space.collision_slop = 0.001  # mm; the library's own 0.1 would show
        self._space.iterations = 4
        self._cars = [_Vehicle(v, kind, p[0]) for v, p in zip(self.vehicles, places, strict=True)]
        for car, vehicle in zip(self._cars, self.vehicles, strict=True):
            reach = overhang(vehicle)
            self._space.add(car.body, _box(car.body, -vehicle.axles_mm[-1] - reach, reach))
        self._stiff = tuple(
            min(_STIFFNESS, _STEADY * min(one.mass, other.mass) / TICK**2)
            for one, other in itertools.pairwise(self._cars)
        )
        self._stops = tuple(pymunk.Body(body_type=pymunk.Body.STATIC) for _ in range(2))
        for stop in self._stops:
            self._space.add(stop, _box(stop, -_STOP_THICK / 2, _STOP_THICK / 2, stop=True))
        self._stand(_FAR, -_FAR)
        self._hand = 0.0
        self._supplied = self._winding = self._friction = 0.0

    @property
    def speed_mm_s(self) -> float:
        """Speed of the leading vehicle, positive towards the leading end."""
        return float(self._cars[0].body.velocity.x)

    @property
    def moving(self) -> bool:
        """True while any vehicle moves or is being pushed by hand."""
        return self._hand != 0.0 or any(abs(car.body.velocity.x) > _STOPPED for car in self._cars)

    @property
    def places_mm(self) -> tuple[float, ...]:
        """Where each vehicle's own leading axle is, in the train's frame."""
        return tuple(float(car.body.position.x) for car in self._cars)

    @property
    def alive(self) -> tuple[bool, ...]:
        """Which vehicles' drives have volts, or stored energy, to work from."""
        return tuple(car.state.alive for car in self._cars)

    @property
    def stored_joules(self) -> tuple[float, ...]:
        """What is left in each vehicle's store."""
        return tuple(car.stored for car in self._cars)

    @property
    def drive_watts(self) -> tuple[float, ...]:
        """Watts that each vehicle's drive took at the last tick, from the rails or from its store."""
        return tuple(car.state.watts for car in self._cars)

    @property
    def energy(self) -> Energy:
        """Where the energy went."""
        kinetic = sum(0.5 * car.mass * car.body.velocity.x**2 for car in self._cars) * 1e-9
        held = sum(0.5 * stiff * self._drawn(k) ** 2 for k, stiff in enumerate(self._stiff)) * 1e-9
        return Energy(self._supplied, self._winding, self._friction, kinetic, held)

    def coupling_mm(self, index: int) -> float:
        """How far the coupling behind vehicle `index` is from standing easy, positive when drawn out."""
        return float(self._cars[index].body.position.x - self._cars[index + 1].body.position.x - self._easy[index])

    def push(self, mm: float) -> None:
        """Let a hand push the train by so many mm, from now on, at a hand's pace."""
        self._hand += mm

    def halt(self) -> None:
        """Bring every vehicle to rest where it is: it is off the rails, or a hand holds it."""
        self._hand = 0.0
        for car in self._cars:
            car.body.velocity = (0.0, 0.0)

    def step(
        self,
        ticks: int,
        volts: Sequence[float],
        *,
        throttle: float,
        direction: int,
        ahead_mm: float = math.inf,
        behind_mm: float = math.inf,
    ) -> tuple[float, ...]:
        """Let `ticks` times TICK pass; returns by how many mm each vehicle moved, positive towards the leading end.

        Args:
            volts: at the pick-ups of each vehicle; sizes on digital supplies, signed on DC, positive when they
                drive it towards its leading end.
            throttle, direction: of the decoder, 0 to 1 and +1 or -1; on DC they act through the volts alone.
            ahead_mm, behind_mm: from the train's leading axle forward, and from its last axle back, to a stop.
        """
        before = self.places_mm
        last = self._cars[-1].body.position.x - self.vehicles[-1].axles_mm[-1]
        self._stand(before[0] + ahead_mm, last - behind_mm)
        for _ in range(ticks):
            if self._hand:
                self._carry()
            else:
                self._tick(volts, throttle, direction)
        return tuple(b - a for a, b in zip(before, self.places_mm, strict=True))

    # -- one tick --------------------------------------------------------------------------------------------

    def _tick(self, volts: Sequence[float], throttle: float, direction: int) -> None:
        forces = [0.0] * len(self._cars)
        for k in range(len(self._easy)):
            pull = self._pull(k)
            forces[k] -= pull
            forces[k + 1] += pull
        for car, force, at in zip(self._cars, forces, volts, strict=True):
            speed = car.body.velocity.x
            force += self._drive(car, at, throttle, direction, speed)
            free = speed + force / car.mass * TICK
            limit = car.drag / car.mass * TICK
            after = 0.0 if abs(free) <= limit else free - math.copysign(limit, free)
            if after == 0.0 and abs(speed) < _STOPPED:
                car.body.velocity = (0.0, 0.0)
                speed = 0.0
            net = (after - speed) / TICK * car.mass
            car.body.force = (net, 0.0)
            mean = (speed + after) / 2
            heat = car.state.amps**2 * car.motor.ohms if car.motor is not None else 0.0
            self._winding += heat * TICK
            self._supplied += (heat + car.state.force * mean * 1e-9) * TICK
            self._friction += (force - net) * mean * 1e-9 * TICK
        self._space.step(TICK)

    def _drive(self, car: _Vehicle, volts: float, throttle: float, direction: int, speed: float) -> float:
        motor = car.motor
        if motor is None:
            return 0.0
        if self.kind == "dc":
            state = straight(motor, volts, speed)
        else:
            if volts >= motor.works_from_volts:
                car.held = volts
            # a decoder that wakes finds its motor turning and goes on from there
            asked = car.asked if car.state.alive else motor.volts_per_speed * speed / motor.full_emf
            car.asked = ramp(asked, throttle * direction, TICK)
            state = digital(motor, volts, car.held, car.stored, car.asked, speed, TICK)
        car.state = state
        car.stored = state.stored
        return state.force

    def _drawn(self, k: int, ahead: float = 0.0) -> float:
        """Millimetres by which a coupling is drawn out (or, negative, pressed in) beyond its slack.

        ahead: seconds from now for which it is told, at the present speeds.
        """
        out = self.coupling_mm(k)
        if ahead:
            out += (self._cars[k].body.velocity.x - self._cars[k + 1].body.velocity.x) * ahead
        return math.copysign(max(abs(out) - self._slack, 0.0), out)

    def _pull(self, k: int) -> float:
        # The space moves bodies before it changes their speeds, so the force is that at the end of the tick: the
        # order in which a spring keeps its energy.
        drawn = self._drawn(k, TICK)
        if not drawn:
            return 0.0
        front, rear = self._cars[k], self._cars[k + 1]
        shared = front.mass * rear.mass / (front.mass + rear.mass)
        rate = front.body.velocity.x - rear.body.velocity.x
        stiff = self._stiff[k]
        force = stiff * drawn + 2 * _DAMPING * math.sqrt(stiff * shared) * rate
        # a hook does not push and a buffer does not pull
        return max(force, 0.0) if drawn > 0 else min(force, 0.0)

    @property
    def _room_ahead(self) -> float:
        return self._ahead - float(self._cars[0].body.position.x) - self._front

    @property
    def _room_behind(self) -> float:
        return float(self._cars[-1].body.position.x) - self._rear - self._behind

    def _carry(self) -> None:
        """One tick of being pushed by hand: every vehicle alike, as far as the stops allow."""
        wanted = math.copysign(min(abs(self._hand), _HAND_SPEED * TICK), self._hand)
        room = max(self._room_ahead if wanted > 0 else self._room_behind, 0.0)
        way = math.copysign(min(abs(wanted), room), wanted)
        for car in self._cars:
            car.body.position = (car.body.position.x + way, 0.0)
            car.body.velocity = (0.0, 0.0)
        self._hand = self._hand - way if way == wanted and abs(self._hand - way) > 1e-9 else 0.0

    def _stand(self, ahead: float, behind: float) -> None:
        """Set the faces of the stops; one out of sight stands far off, one inside the train touches it."""
        front = float(self._cars[0].body.position.x) + self._front
        rear = float(self._cars[-1].body.position.x) - self._rear
        self._ahead = front if front - ahead > _INSIDE else min(ahead, _FAR)
        self._behind = rear if behind - rear > _INSIDE else max(behind, -_FAR)
        places = (self._ahead + _STOP_THICK / 2, self._behind - _STOP_THICK / 2)
        for stop, x in zip(self._stops, places, strict=True):
            if abs(stop.position.x - x) > 1e-6:
                stop.position = (x, 0.0)
                self._space.reindex_shapes_for_body(stop)


def _box(body: pymunk.Body, low: float, high: float, *, stop: bool = False) -> pymunk.Poly:
    """A body's outline; vehicles meet stops, not one another (their couplings keep them apart)."""
    shape = pymunk.Poly(body, [(low, -10.0), (high, -10.0), (high, 10.0), (low, 10.0)])
    shape.friction = 0.0
    shape.elasticity = 1.0 if stop else _STOP_REBOUND
    shape.filter = pymunk.ShapeFilter(categories=2, mask=1) if stop else pymunk.ShapeFilter(categories=1, mask=2)
    return shape

"""An engine's motor and what drives it: a decoder on digital supplies, the rails themselves on DC.

Volts, amperes, ohms, watts and joules; speeds in mm/s at the rail; forces in g mm/s2 (micronewtons), which is what
bodies measured in grams and millimetres need.
"""

from __future__ import annotations

from dataclasses import dataclass

from sim.bench.model import Vehicle
from sim.train.standard import RATIOS, SupplyKind

__all__ = ["Motor", "MotorState", "digital", "motor_of", "ramp", "straight"]

_MICRO = 1e9  # a motor constant in V s/mm times amperes is kN; in g mm/s2 that is 1e9

# What a small geared motor does, common practice without a source unless named:
_RATED_VOLTS = 12.0  # full throttle on DC, trade.md E1
_STALL_OVER_RUNNING = 4.0  # HO runs on 0.1-0.4 A and stalls at 0.5-1.5 A, trade.md E2
_FULL_SPEED_HO = 200.0  # mm/s on the level at 12 V: 39 scale mph (5.1 mm/s each, trade.md E5)
_COASTS_HO = 25.0  # mm from full speed once the current is gone: rotor and small flywheel against worm and brushes
_GAIN = 8.0  # how hard a load-compensating decoder corrects a motor that runs slow
_DECODER_DROP = 1.0  # V lost in a decoder's rectifier and bridge; from memory
_IDLE_AMPS = 0.02  # what the decoder itself takes; from memory
_CHARGE_AMPS = 0.1  # with which a store behind the decoder is filled; from memory
_RAMP_SECONDS = 0.5  # from rest to full speed, as a decoder is usually set
_STOPPED = 1e-6  # mm/s below which a speed is rest


@dataclass(frozen=True, slots=True)
class Motor:
    """The constants of one engine's motor and gear, seen at the rail.

    volts_per_speed: back EMF, V s/mm; ohms: winding; drag: force of gears and brushes when turning, g mm/s2;
    starts_volts: volts that turn it from rest; flywheel_grams: rotor and flywheel as a mass at the rail;
    full_emf: back EMF at full speed, V.
    """

    volts_per_speed: float
    ohms: float
    drag: float
    starts_volts: float
    flywheel_grams: float
    full_emf: float
    works_from_volts: float
    stored_joules: float


@dataclass(frozen=True, slots=True)
class MotorState:
    """What the drive did in one tick: force at the rail, amps in the winding, watts taken, energy left in the store."""

    force: float
    amps: float
    watts: float
    stored: float
    alive: bool


def motor_of(vehicle: Vehicle, kind: SupplyKind) -> Motor | None:
    """The motor of an engine, or None for a vehicle that draws nothing.

    From what it draws at full speed follow winding and drag; from the distance that it coasts the inertia of
    rotor and flywheel: drag x distance = kinetic energy.
    """
    if vehicle.draws_amps <= 0:
        return None
    larger = RATIOS["HO"] / RATIOS.get(vehicle.scale, RATIOS["HO"])
    full_speed = _FULL_SPEED_HO * larger
    full_emf = _RATED_VOLTS * (1 - 1 / _STALL_OVER_RUNNING)
    constant = full_emf / full_speed
    ohms = _RATED_VOLTS / (_STALL_OVER_RUNNING * vehicle.draws_amps)
    drag = constant * vehicle.draws_amps * _MICRO
    running_volts = _RATED_VOLTS / _STALL_OVER_RUNNING
    starts = max(vehicle.works_from_volts, running_volts) if kind == "dc" else running_volts
    flywheel = 2 * drag * _COASTS_HO * larger / full_speed**2
    return Motor(constant, ohms, drag, starts, flywheel, full_emf, vehicle.works_from_volts, vehicle.stored_joules)


def ramp(asked: float, wanted: float, tick: float) -> float:
    """The speed that a decoder asks for after a tick, as a share of full speed: it follows the throttle in time."""
    most = tick / _RAMP_SECONDS
    return asked + min(max(wanted - asked, -most), most)


def digital(
    motor: Motor, volts: float, held: float, stored: float, asked: float, speed: float, tick: float
) -> MotorState:
    """One tick on a digital supply.

    Args:
        volts: size of the volts at the pick-ups now; held: at the last moment at which they sufficed.
        stored: joules in the store, which carries the decoder while the rails do not.
        asked: the speed that the decoder asks for, as a share of full speed, signed.
        speed: mm/s, signed; tick: seconds.

    A decoder compares the back EMF with what is asked for and drives, or brakes, by the difference.
    """
    fed = volts >= motor.works_from_volts
    if not fed and stored <= 0.0:
        return MotorState(0.0, 0.0, 0.0, 0.0, False)
    sense = 1 if asked >= 0.0 else -1
    reach = max((volts if fed else held) - _DECODER_DROP, 0.0)
    emf = motor.volts_per_speed * speed * sense
    wanted = abs(asked) * motor.full_emf
    applied = min(max(wanted + _GAIN * (wanted - emf), 0.0), reach) if asked else 0.0
    amps = (applied - emf) / motor.ohms
    watts = max(applied * amps, 0.0) + (volts if fed else held) * _IDLE_AMPS
    stored = min(motor.stored_joules, stored + volts * _CHARGE_AMPS * tick) if fed else max(stored - watts * tick, 0.0)
    return MotorState(motor.volts_per_speed * amps * _MICRO * sense, amps, watts, stored, True)


def straight(motor: Motor, volts: float, speed: float) -> MotorState:
    """One tick on DC: the rails' volts are the motor's; a controller gives current and takes none back."""
    sense = 1 if volts >= 0 else -1
    emf = motor.volts_per_speed * speed * sense
    amps = max(abs(volts) - emf, 0.0) / motor.ohms if volts else 0.0
    at_rest = abs(speed) <= _STOPPED
    alive = abs(volts) >= (motor.starts_volts if at_rest else 0.0) and bool(volts)
    force = motor.volts_per_speed * amps * _MICRO * sense if alive else 0.0
    return MotorState(force, amps, abs(volts) * amps, 0.0, alive)

"""A bench and its track made into one circuit: the only place where track meets electricity.

Nothing is assumed to be joined: every wire, contact, touching blade, bond, jumper, gap, joiner and length of rail is a
part with its ohms, or infinite ohms where it is open (values: model.md section 4, sim.electric.conditions).
"""

from __future__ import annotations

import itertools
import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from sim.bench.levers import mover
from sim.bench.model import Bench, Changeover, Motor
from sim.bench.piece import Piece
from sim.bench.point_set import full_id
from sim.electric.conditions import BLADE_OHMS, BOND_OHMS, CONTACT_OHMS, GAP_OHMS, JOINT_OHMS, UNIT_OHMS
from sim.electric.parts import Lamp, Part, PartRef, Resistor, Source
from sim.electric.rail import ohms as rail_ohms
from sim.electric.wire import AMPS_PER_MM2
from sim.electric.wire import ohms as wire_ohms
from sim.track.layout import Layout
from sim.wiring.names import place_ref, tabs

__all__ = ["Position", "Rating", "Switch", "elements", "made_outers", "ratings"]

_LEAST_OHMS = 1e-6  # of a wire of no length


@dataclass(frozen=True, slots=True)
class Rating:
    """A part that has a rated current: its name and its amperes."""

    ref: PartRef
    amps: float


Position = float | str
"""Of points and switches: their travel; of an automatic polarity unit: "a" or "b"."""


@dataclass(frozen=True, slots=True)
class Switch:
    """A part that makes and breaks: as it is when made, what moves it (points, a switch or a unit, by id), and when.

    ``edges``: places of the travel at which it may change over.
    """

    part: Part
    mover: str
    makes: Callable[[Position], bool]
    edges: tuple[float, ...] = ()


def made_outers(motor: Motor, contact: Changeover, travel: float) -> tuple[str, ...]:
    """The outers ("normal", "diverging") that the common is joined to at this blade travel; both, one or none.

    With the motor turned round its outers change places: what was made with the points normal is made diverging. One
    that is stuck stays on its outer.
    """
    if contact.stuck is not None:
        return (contact.stuck,)
    first, second = contact.travel
    made = (travel <= first, travel >= second)
    if motor.turned:
        made = made[::-1]
    return tuple(word for word, on in zip(("normal", "diverging"), made, strict=True) if on)


def _supplies(bench: Bench, volts: Mapping[str, float | None] | None) -> Iterator[Part]:
    for supply in bench.supplies:
        level = supply.volts if volts is None else volts.get(supply.id, supply.volts)
        if level is not None:
            yield Source(PartRef("supply", supply.id), supply.a, supply.b, level, supply.source_ohms)


def _bus(bench: Bench) -> Iterator[Part]:
    if bench.bus is None:
        return
    reached, before = 0.0, "bus"
    for tap, metres in sorted(bench.bus.taps.items(), key=lambda item: (item[1], item[0])):
        ohms = max(wire_ohms(bench.bus.mm2, metres - reached), _LEAST_OHMS)
        for side in "AB":
            yield Resistor(PartRef("bus", tap, (side,)), f"{before}.{side}", f"{tap}.{side}", ohms)
        reached, before = metres, tap


def _motors(bench: Bench) -> Iterator[Switch]:
    for motor in bench.motors:
        for k, contact in enumerate(motor.changeovers):
            for outer, screw in (("normal", contact.normal), ("diverging", contact.diverging)):
                part = Resistor(
                    PartRef("contact", motor.id, (k, outer)),
                    f"{motor.id}.{contact.common}",
                    f"{motor.id}.{screw}",
                    CONTACT_OHMS[contact.condition],
                )
                yield Switch(part, mover(motor), partial(_outer_made, motor, contact, outer), contact.travel)


def _outer_made(motor: Motor, contact: Changeover, outer: str, travel: Position) -> bool:
    return outer in made_outers(motor, contact, float(travel))


def _track(bench: Bench, layout: Layout) -> Iterator[Part | Switch]:
    for piece in bench.tracks:
        for place in piece.places():
            ohms = GAP_OHMS[place.state] if place.kind == "gap" else BOND_OHMS[place.state]
            yield Resistor(place_ref(place.name), place.a, place.b, ohms)
        ohms = BLADE_OHMS[layout.blade_condition(piece.id)]
        for blade in layout.geometry(piece.id).topology.blades:
            ref = PartRef("blade", piece.id, (blade.name,))
            part = Resistor(ref, f"{piece.id}.{blade.blade}", f"{piece.id}.{blade.stock}", ohms)
            edge = abs(blade.closed_at - blade.touch)
            points = full_id(piece.id, blade.points)
            yield Switch(part, points, partial(_touches, blade.closed_at, blade.touch), (edge,))
        yield from _lengths(piece, layout)


def _touches(closed_at: float, within: float, travel: Position) -> bool:
    return abs(float(travel) - closed_at) <= within


def _lengths(piece: Piece, layout: Layout) -> Iterator[Part]:
    """Long rail of plain track: its lengths, from the middle of one to the middle of the next."""
    for one, other in itertools.pairwise(piece.nodes()):
        section, _, k = one.partition("/")
        if k and other.startswith(f"{section}/"):
            ref = PartRef("rail", piece.id, (one.removeprefix(f"{piece.id}."),))
            yield Resistor(ref, one, other, rail_ohms(layout.rail(piece.id), layout.node_mm(piece.id)))


def _joints(layout: Layout) -> Iterator[Part]:
    for joint in layout.joints:
        piece, _, end = joint.end.partition(".")
        for side, one, other, state in joint.sides:
            rail = sum(_half_ohms(layout, node.partition(".")[0]) for node in (one, other))
            yield Resistor(PartRef("joint", piece, (end, side)), one, other, JOINT_OHMS[state] + rail)


def _half_ohms(layout: Layout, piece: str) -> float:
    """From the middle of a piece's last length of rail to its end, by its own section."""
    half_mm = layout.node_mm(piece) / 2
    return rail_ohms(layout.rail(piece), half_mm) if half_mm else 0.0


def _wired(bench: Bench) -> Iterator[Part | Switch]:
    node = tabs(bench)
    for k, wire in enumerate(bench.wires):
        one, other = (node.get(end, end) for end in wire.ends)
        yield Resistor(PartRef("wire", "", (k,)), one, other, max(wire_ohms(wire.area_mm2, wire.metres), _LEAST_OHMS))
    for unit in bench.polarities:
        for end, out, throw in unit.contacts:
            part = Resistor(PartRef("unit", unit.id, (end,)), f"{unit.id}.{end}", f"{unit.id}.{out}", UNIT_OHMS)
            yield Switch(part, unit.id, partial(operator.eq, throw))
    for lamp in bench.lamps:
        yield Lamp(PartRef("lamp", lamp.id), f"{lamp.id}.1", f"{lamp.id}.2", lamp.volts, lamp.watts)


def elements(
    bench: Bench, layout: Layout, volts: Mapping[str, float | None] | None = None
) -> Iterator[Part | Switch]:
    """Every part and every switch of a bench, in a fixed order.

    Args:
        volts: of each supply; 0.0 is off but plugged in, None joins nothing; left out: as if every supply were on.
    """
    yield from _supplies(bench, volts)
    yield from _bus(bench)
    yield from _motors(bench)
    yield from _track(bench, layout)
    yield from _joints(layout)
    yield from _wired(bench)


def ratings(bench: Bench) -> tuple[Rating, ...]:
    """Rated currents: of every contact that states one, and of every wire by its cross-section."""
    contacts = [
        Rating(PartRef("contact", motor.id, (k, outer)), contact.rating_amps)
        for motor in bench.motors
        for k, contact in enumerate(motor.changeovers)
        for outer in ("normal", "diverging")
    ]
    return (
        *contacts,
        *(Rating(PartRef("wire", "", (k,)), wire.area_mm2 * AMPS_PER_MM2) for k, wire in enumerate(bench.wires)),
    )

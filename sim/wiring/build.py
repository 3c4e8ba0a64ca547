"""A bench and its track made into one circuit: the only place where track meets electricity.

Nothing is assumed to be joined: every wire, contact, touching blade, bond, jumper, gap, joiner and length of rail is a
part with its ohms, or infinite ohms where it is open (values: model.md section 4, sim.electric.conditions).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from sim.bench.model import Bench, Changeover, Motor
from sim.bench.piece import Piece
from sim.electric.circuit import Circuit
from sim.electric.conditions import BLADE_OHMS, BOND_OHMS, CONTACT_OHMS, GAP_OHMS, JOINT_OHMS, RELAY_OHMS
from sim.electric.parts import Lamp, Part, Resistor, Source
from sim.electric.rail import ohms as rail_ohms
from sim.electric.wire import AMPS_PER_MM2
from sim.electric.wire import ohms as wire_ohms
from sim.track.layout import Layout
from sim.wiring.names import tabs
from sim.wiring.wheels import Standing, standing_parts

__all__ = ["Rating", "circuit", "made_outers", "ratings"]

_LEAST_OHMS = 1e-6  # of a wire of no length


@dataclass(frozen=True, slots=True)
class Rating:
    """A part that has a rated current: its name and its amperes."""

    ref: str
    amps: float


def made_outers(motor: Motor, contact: Changeover, travel: float) -> tuple[str, ...]:
    """The outers ("normal", "diverging") that the common is joined to at this blade travel; both, one or none.

    With the motor turned round its outers change places: what was made with the points normal is made diverging.
    """
    first, second = contact.travel
    made = (travel <= first, travel >= second)
    if motor.turned:
        made = made[::-1]
    return tuple(word for word, on in zip(("normal", "diverging"), made, strict=True) if on)


def _supplies(bench: Bench, volts: Mapping[str, float | None] | None) -> Iterator[Part]:
    for supply in bench.supplies:
        level = supply.volts if volts is None else volts.get(supply.id, supply.volts)
        if level is not None:
            yield Source(f"supply:{supply.id}", supply.a, supply.b, level, supply.source_ohms)


def _bus(bench: Bench) -> Iterator[Part]:
    if bench.bus is None:
        return
    reached, before = 0.0, "bus"
    for tap, metres in sorted(bench.bus.taps.items(), key=lambda item: (item[1], item[0])):
        ohms = max(wire_ohms(bench.bus.mm2, metres - reached), _LEAST_OHMS)
        for side in "AB":
            yield Resistor(f"bus:{tap}.{side}", f"{before}.{side}", f"{tap}.{side}", ohms)
        reached, before = metres, tap


def _motors(bench: Bench, travel: Mapping[str, float]) -> Iterator[Part]:
    for motor in bench.motors:
        at = travel[motor.drives]
        for k, contact in enumerate(motor.changeovers):
            made = made_outers(motor, contact, at)
            for outer, screw in (("normal", contact.normal), ("diverging", contact.diverging)):
                ohms = CONTACT_OHMS[contact.condition] if outer in made else math.inf
                yield Resistor(
                    f"contact:{motor.id}:{k}:{outer}", f"{motor.id}.{contact.common}", f"{motor.id}.{screw}", ohms
                )


def _track(bench: Bench, layout: Layout, travel: Mapping[str, float]) -> Iterator[Part]:
    for piece in bench.tracks:
        for place in piece.places():
            ohms = GAP_OHMS[place.state] if place.kind == "gap" else BOND_OHMS[place.state]
            yield Resistor(f"{place.kind}:{place.name}", place.a, place.b, ohms)
        for blade in layout.geometry(piece.id).topology.blades:
            closed = abs(travel[piece.id] - blade.closed_at) <= layout.touch(piece.id)
            ohms = BLADE_OHMS[layout.blade_condition(piece.id)] if closed else math.inf
            side = blade.blade.rpartition(".")[2]
            yield Resistor(f"blade:{piece.id}.{side}", f"{piece.id}.{blade.blade}", f"{piece.id}.{blade.stock}", ohms)
        yield from _lengths(piece, layout)


def _lengths(piece: Piece, layout: Layout) -> Iterator[Part]:
    """Long rail of plain track: its lengths, from the middle of one to the middle of the next."""
    for one, other in itertools.pairwise(piece.nodes()):
        section, _, k = one.partition("/")
        if k and other.startswith(f"{section}/"):
            yield Resistor(f"rail:{one}", one, other, rail_ohms(layout.rail(piece.id), layout.node_mm(piece.id)))


def _joints(layout: Layout) -> Iterator[Part]:
    for joint in layout.joints:
        for side, one, other, state in joint.sides:
            half_mm = sum(layout.node_mm(node.partition(".")[0]) / 2 * ("." in node) for node in (one, other))
            ohms = JOINT_OHMS[state] + rail_ohms(layout.rail(one.partition(".")[0]), half_mm)
            yield Resistor(f"joint:{joint.end}.{side}", one, other, ohms)


def _wired(bench: Bench, relays: Mapping[str, str]) -> Iterator[Part]:
    node = tabs(bench)
    for k, wire in enumerate(bench.wires):
        one, other = (node.get(end, end) for end in wire.ends)
        yield Resistor(f"wire:{k}", one, other, max(wire_ohms(wire.area_mm2, wire.metres), _LEAST_OHMS))
    for relay in bench.polarities:
        throw = relays.get(relay.id, "a")
        for outer in "ab":
            ohms = RELAY_OHMS if throw == outer else math.inf
            yield Resistor(f"relay:{relay.id}:{outer}", f"{relay.id}.{outer}", f"{relay.id}.out", ohms)
    for lamp in bench.lamps:
        yield Lamp(f"lamp:{lamp.id}", f"{lamp.id}.1", f"{lamp.id}.2", lamp.volts, lamp.watts)


def circuit(
    bench: Bench,
    layout: Layout,
    travel: Mapping[str, float],
    *,
    volts: Mapping[str, float | None] | None = None,
    relays: Mapping[str, str] | None = None,
    standing: Sequence[Standing] = (),
    opened: Collection[str] = (),
) -> Circuit:
    """The circuit of a bench with its blades at these places.

    Args:
        travel: blade travel of every piece with blades, 0.0 normal to 1.0 diverging.
        volts: volts of each supply; 0.0 is off but plugged in, None joins nothing (unplugged, or its breaker open);
            left out: as if every supply were on, its breaker held closed.
        relays: "a" (rest) or "b" for each automatic polarity relay.
        standing: vehicles on the track.
        opened: names of parts that are taken to be broken: they join nothing, whatever the bench says.
    """
    parts: list[Part] = [
        *_supplies(bench, volts),
        *_bus(bench),
        *_motors(bench, travel),
        *_track(bench, layout, travel),
        *_joints(layout),
        *_wired(bench, relays or {}),
    ]
    if opened:
        parts = [_broken(part) if part.ref in opened else part for part in parts]
    nodes = {node for piece in bench.tracks for node in piece.nodes()}
    nodes |= {end for supply in bench.supplies for end in (supply.a, supply.b)}
    vehicles: list[str] = []
    for one in standing:
        more, extra = standing_parts(one)
        vehicles += more
        parts += extra
    ends = {end for part in parts for end in part.stamp()[:2]}
    return Circuit(tuple(sorted(nodes | ends | set(vehicles))), tuple(parts))


def _broken(part: Part) -> Part:
    branch = part.stamp()
    return Resistor(part.ref, branch.a, branch.b, math.inf)


def ratings(bench: Bench) -> tuple[Rating, ...]:
    """Rated currents: of every contact that states one, and of every wire by its cross-section."""
    contacts = [
        Rating(f"contact:{motor.id}:{k}:{outer}", contact.rating_amps)
        for motor in bench.motors
        for k, contact in enumerate(motor.changeovers)
        for outer in ("normal", "diverging")
    ]
    return (*contacts, *(Rating(f"wire:{k}", wire.area_mm2 * AMPS_PER_MM2) for k, wire in enumerate(bench.wires)))

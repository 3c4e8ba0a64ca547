"""A bench and its track made into one circuit: the only place where track meets electricity.

Nothing is assumed to be joined: every wire, contact, touching blade, bond, jumper, gap, joiner and length of rail is a
part with its ohms, or infinite ohms where it is open (values: model.md section 4, sim.electric.conditions).
"""

from __future__ import annotations

import itertools
import math
import operator
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from sim.bench.model import Bench, Changeover, Motor
from sim.bench.piece import Piece
from sim.bench.point_set import full_id
from sim.electric.circuit import Circuit
from sim.electric.conditions import BLADE_OHMS, BOND_OHMS, CONTACT_OHMS, GAP_OHMS, JOINT_OHMS, RELAY_OHMS
from sim.electric.parts import Lamp, Part, Resistor, Source
from sim.electric.rail import ohms as rail_ohms
from sim.electric.wire import AMPS_PER_MM2
from sim.electric.wire import ohms as wire_ohms
from sim.track.layout import Layout
from sim.wiring.names import tabs
from sim.wiring.wheels import Standing, standing_parts

__all__ = ["Harness", "Rating", "circuit", "made_outers", "ratings", "with_standing"]

_LEAST_OHMS = 1e-6  # of a wire of no length


@dataclass(frozen=True, slots=True)
class Rating:
    """A part that has a rated current: its name and its amperes."""

    ref: str
    amps: float


Position = float | str
"""Of a set of points: its blade travel; of a relay: "a" or "b"."""


@dataclass(frozen=True, slots=True)
class _Switch:
    """A part that makes and breaks: as it is when made, the set of points or relay that moves it, where it is made."""

    part: Part
    mover: str
    makes: Callable[[Position], bool]


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


def _motors(bench: Bench) -> Iterator[_Switch]:
    for motor in bench.motors:
        for k, contact in enumerate(motor.changeovers):
            for outer, screw in (("normal", contact.normal), ("diverging", contact.diverging)):
                part = Resistor(
                    f"contact:{motor.id}:{k}:{outer}",
                    f"{motor.id}.{contact.common}",
                    f"{motor.id}.{screw}",
                    CONTACT_OHMS[contact.condition],
                )
                yield _Switch(part, motor.drives, partial(_outer_made, motor, contact, outer))


def _outer_made(motor: Motor, contact: Changeover, outer: str, travel: Position) -> bool:
    return outer in made_outers(motor, contact, float(travel))


def _track(bench: Bench, layout: Layout) -> Iterator[Part | _Switch]:
    for piece in bench.tracks:
        for place in piece.places():
            ohms = GAP_OHMS[place.state] if place.kind == "gap" else BOND_OHMS[place.state]
            yield Resistor(f"{place.kind}:{place.name}", place.a, place.b, ohms)
        ohms = BLADE_OHMS[layout.blade_condition(piece.id)]
        for blade in layout.geometry(piece.id).topology.blades:
            ref = f"blade:{piece.id}.{blade.name}"
            part = Resistor(ref, f"{piece.id}.{blade.blade}", f"{piece.id}.{blade.stock}", ohms)
            yield _Switch(part, full_id(piece.id, blade.points), partial(_touches, blade.closed_at, blade.touch))
        yield from _lengths(piece, layout)


def _touches(closed_at: float, within: float, travel: Position) -> bool:
    return abs(float(travel) - closed_at) <= within


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


def _wired(bench: Bench) -> Iterator[Part | _Switch]:
    node = tabs(bench)
    for k, wire in enumerate(bench.wires):
        one, other = (node.get(end, end) for end in wire.ends)
        yield Resistor(f"wire:{k}", one, other, max(wire_ohms(wire.area_mm2, wire.metres), _LEAST_OHMS))
    for relay in bench.polarities:
        for outer in "ab":
            part = Resistor(f"relay:{relay.id}:{outer}", f"{relay.id}.{outer}", f"{relay.id}.out", RELAY_OHMS)
            yield _Switch(part, f"relay:{relay.id}", partial(operator.eq, outer))
    for lamp in bench.lamps:
        yield Lamp(f"lamp:{lamp.id}", f"{lamp.id}.1", f"{lamp.id}.2", lamp.volts, lamp.watts)


class Harness:
    """The circuit of a bench, made once; a setting only makes and breaks its switches: contacts, touching blades.

    A setting is told by the places, among the parts, of the switches that are made in it. Settings with the same
    switches made are one circuit.
    """

    def __init__(
        self,
        bench: Bench,
        layout: Layout,
        *,
        volts: Mapping[str, float | None] | None = None,
        opened: Collection[str] = (),
        more: Collection[str] = (),
    ) -> None:
        """`more`: nodes that nothing touches yet. For the others see `circuit`."""
        self._switches: dict[str, list[tuple[int, _Switch]]] = {}
        self._closed: dict[int, Part] = {}
        self._made: dict[tuple[str, Position], frozenset[int]] = {}
        self._circuits: dict[frozenset[int], Circuit] = {}
        parts: list[Part] = []
        for item in (
            *_supplies(bench, volts),
            *_bus(bench),
            *_motors(bench),
            *_track(bench, layout),
            *_joints(layout),
            *_wired(bench),
        ):
            part = item.part if isinstance(item, _Switch) else item
            if part.ref in opened:
                part = _broken(part)
            elif isinstance(item, _Switch):
                self._switches.setdefault(item.mover, []).append((len(parts), item))
                self._closed[len(parts)] = part
                part = _broken(part)
            parts.append(part)
        nodes = {node for piece in bench.tracks for node in piece.nodes()}
        nodes |= {end for supply in bench.supplies for end in (supply.a, supply.b)}
        nodes |= {end for part in parts for end in part.stamp()[:2]}
        self._broken = Circuit(tuple(sorted(nodes.union(more))), tuple(parts))
        self._at_rest = {f"relay:{relay.id}": "a" for relay in bench.polarities}

    def made(self, travel: Mapping[str, float], relays: Mapping[str, str] | None = None) -> frozenset[int]:
        """The switches that are made with blades and relays there; see `circuit`."""
        positions: dict[str, Position] = {
            **travel,
            **self._at_rest,
            **{f"relay:{name}": throw for name, throw in (relays or {}).items()},
        }
        found = (self._made_by(mover, positions[mover]) for mover in self._switches)
        return frozenset().union(*found)

    def _made_by(self, mover: str, position: Position) -> frozenset[int]:
        key = (mover, position)
        if key not in self._made:
            self._made[key] = frozenset(place for place, one in self._switches[mover] if one.makes(position))
        return self._made[key]

    def circuit(self, made: frozenset[int]) -> Circuit:
        """The circuit with these switches made, and no others."""
        if made not in self._circuits:
            self._circuits[made] = self._broken.closed(self.switches(made))
        return self._circuits[made]

    def switches(self, made: frozenset[int] | None = None) -> dict[int, Part]:
        """Those switches as they are when made, by their places; left out: all switches."""
        return {place: self._closed[place] for place in (self._closed if made is None else sorted(made))}


def with_standing(bare: Circuit, standing: Sequence[Standing]) -> Circuit:
    """The circuit with vehicles on the track."""
    nodes, parts = set(bare.nodes), list(bare.parts)
    for one in standing:
        more, extra = standing_parts(one)
        nodes.update(more)
        parts += extra
    return Circuit(tuple(sorted(nodes)), tuple(parts))


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
        travel: blade travel of every set of points, 0.0 normal to 1.0 diverging.
        volts: volts of each supply; 0.0 is off but plugged in, None joins nothing (unplugged, or its breaker open);
            left out: as if every supply were on, its breaker held closed.
        relays: "a" (rest) or "b" for each automatic polarity relay.
        standing: vehicles on the track.
        opened: names of parts that are taken to be broken: they join nothing, whatever the bench says.
    """
    harness = Harness(bench, layout, volts=volts, opened=opened)
    bare = harness.circuit(harness.made(travel, relays))
    return with_standing(bare, standing) if standing else bare


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

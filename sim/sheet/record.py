"""What a builder writes down of a bench: its wires, its turnouts with the readings to expect, its contacts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sim.bench.levers import mover
from sim.bench.model import Bench, Changeover, Motor, Wire
from sim.bench.piece import Piece
from sim.coach.readings import must_match
from sim.session.frogs import frog_pieces
from sim.track.layout import Layout
from sim.wiring.build import made_outers
from sim.wiring.feeds import Feeds
from sim.wiring.positions import filed_travel, points_of, positions, with_setting
from sim.wiring.switched import SwitchedCircuit
from sim.wiring.telling import listed

__all__ = ["Card", "Contact", "Line", "Match", "cards", "contacts", "lines", "numbered"]

_SETTINGS = ("normal", "diverging")


@dataclass(frozen=True)
class Line:
    """A wire of the table.

    ``number``: on its sleeve, or its place in the list; ``said``: the rails at its ends in words, empty where an end is
    no rail; ``carries``: which side, in words.
    """

    number: str
    ends: tuple[str, str]
    said: tuple[str, str]
    colour: str
    size: str
    metres: float
    carries: str
    note: str


@dataclass(frozen=True)
class Match:
    """A setting of a turnout: the stock rail that the closed blade leans on, and that its frog must match."""

    setting: str
    side: str


@dataclass(frozen=True)
class Card:
    """A turnout: what it is, its places as they are, and what its frog must match in each setting.

    ``places``: each in words, its state, and whether that is as such a piece comes.
    """

    piece: str
    said: str
    frog: bool
    matches: tuple[Match, ...]
    places: tuple[tuple[str, str, bool], ...]
    moved_by: str


@dataclass(frozen=True)
class Contact:
    """A changeover contact; its letters are empty where the player must still find them.

    ``said``: whose it is, in words: "M1", "M1 of T1 and T2", "Switch S1".
    """

    said: str
    number: int
    screws: tuple[str, ...]
    common: str
    normal: str
    diverging: str


def numbered(bench: Bench) -> tuple[str, ...]:
    """What is written on each wire's sleeves: its own number, else the first free ones from 1, in the bench's order."""
    own = {wire.number for wire in bench.wires if wire.number}
    free = (str(k) for k in range(1, 2 * len(bench.wires) + 2) if str(k) not in own)
    return tuple(wire.number or next(free) for wire in bench.wires)


def _rail_words(bench: Bench, end: str) -> str:
    rails = (rail for piece in bench.tracks for rail in piece.rails())
    return next((rail.words for rail in rails if rail.name == end), "")


def _size(wire: Wire) -> str:
    return f"AWG {wire.awg}" if wire.awg is not None else f"{wire.mm2:g} mm²"


def _carried(bench: Bench, layout: Layout) -> list[str]:
    """What each wire carries, over all settings in which one set of points at a time is thrown."""
    switched = SwitchedCircuit(bench, layout)
    feeds = Feeds(bench, switched)
    rows = [(points_of(travel), feeds.wires(switched.made(travel))) for travel in positions(bench)]
    return [_carries([(points, sides[k]) for points, sides in rows]) for k in range(len(bench.wires))]


def _carries(rows: list[tuple[dict[str, str], str]]) -> str:
    said = {"A": "side A", "B": "side B", "both": "both sides: a short", "none": "no feed"}
    (points, first), *others = rows
    with_it = [piece for other, side in others for piece in points if other[piece] != points[piece] and side != first]
    if not with_it:
        return said[first]
    seen = [side for _, side in rows]
    if set(seen) <= {"A", "B"}:
        return f"changes with {' and '.join(with_it)}"
    return "; ".join(dict.fromkeys(said[side] for side in seen))


def lines(bench: Bench, layout: Layout) -> tuple[Line, ...]:
    """Every wire of the bench, in its order."""
    return tuple(
        Line(
            number,
            wire.ends,
            (_rail_words(bench, wire.ends[0]), _rail_words(bench, wire.ends[1])),
            wire.colour or "",
            _size(wire),
            wire.metres,
            carries,
            wire.note or "",
        )
        for number, wire, carries in zip(numbered(bench), bench.wires, _carried(bench, layout), strict=True)
    )


def cards(bench: Bench, layout: Layout) -> tuple[Card, ...]:
    """Every piece with blades, in the bench's order."""
    with_frog = frog_pieces(bench)
    return tuple(_card(bench, layout, piece, piece.id in with_frog) for piece in bench.tracks if piece.point_sets)


def _card(bench: Bench, layout: Layout, piece: Piece, frog: bool) -> Card:
    motor = bench.motor_of(piece.id)
    found = [Match(setting, must_match(layout, piece.id, setting) or "") for setting in _SETTINGS]
    places = tuple(
        (place.words, place.state, place.state == (place.usual or place.state))
        for place in piece.places()
    )
    by = "nothing" if motor is None else f"hand lever {motor.id}" if motor.by_hand else f"motor {motor.id}"
    others = [points for points in motor.drives if points != piece.id] if motor is not None else []
    if others:
        by += f" together with {listed(others)}"
    return Card(piece.id, _piece_words(piece, layout), frog, tuple(found) if frog else (), places, by)


def _piece_words(piece: Piece, layout: Layout) -> str:
    """ "right-hand turnout number 6, frog isolated, HO with code 83 rail"."""
    return f"{layout.pieces[piece.id].build_words}, {layout.scale(piece.id).name} with {layout.rail(piece.id)} rail"


def contacts(bench: Bench) -> tuple[Contact, ...]:
    """Every changeover contact, as it stands on its motor (a turned motor has its outers exchanged).

    In a job whose letters are to be found by meter, and are not printed on the strip, they are left open.
    """
    start = filed_travel(bench)
    return tuple(
        _contact(bench, start, motor, number, contact)
        for motor in bench.motors
        for number, contact in enumerate(motor.changeovers, 1)
    )


def _contact(bench: Bench, start: Mapping[str, float], motor: Motor, number: int, contact: Changeover) -> Contact:
    screws = tuple(sorted(contact.letters))
    if bench.level is not None and not contact.marked:
        return Contact(_whose(motor), number, screws, "", "", "")
    letter = {"normal": contact.normal, "diverging": contact.diverging}
    made = [
        " and ".join(
            letter[outer]
            for outer in made_outers(motor, contact, with_setting(start, (mover(motor),), setting)[mover(motor)])
        )
        for setting in _SETTINGS
    ]
    return Contact(_whose(motor), number, screws, contact.common, made[0], made[1])


def _whose(motor: Motor) -> str:
    if motor.is_switch:
        return f"Switch {motor.id}"
    return f"{motor.id} of {listed(motor.drives)}" if len(motor.drives) > 1 else motor.id

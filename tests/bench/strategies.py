"""Benches of every sort for the property tests, made as code makes them and not as a file is read.

What can be made once stands outside the functions: hypothesis looks a strategy over again each time that it is made.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Any, TypeVar

from hypothesis import strategies as st

from sim.bench.level import (
    GOALS,
    SETTINGS,
    Allow,
    Level,
    PlaceStep,
    PlugStep,
    PowerStep,
    ProbeStep,
    Step,
    ThrowStep,
    TurnStep,
    UnwireStep,
    WireStep,
)
from sim.bench.model import (
    CONDITIONS,
    Bench,
    Bus,
    Changeover,
    Lamp,
    Motor,
    Polarity,
    Supply,
    Train,
    Vehicle,
    WheelSize,
    Wire,
)
from sim.bench.piece import JOINTS, Piece
from sim.bench.prompt import SPOTS, AsSolved, Condition, Joined, Live, Over, Passed, Prompt, Read, Shorted, Unplugged
from sim.bench.shapes import is_name, is_seen
from sim.bench.table import Table
from sim.bench.terminals import terminals
from sim.bench.vocabulary import RAILS, SCALES, STANDARD_VEHICLES, WHEELS
from sim.track.formations import End, Plain, Turnout

__all__ = ["benches", "names", "texts", "wires"]

T = TypeVar("T")

# Whatever a file can hold: all of Unicode but the halves of surrogate pairs, which UTF-8 has not.
_CHARACTERS = st.characters(exclude_categories=["Cs"])
names = st.text(_CHARACTERS, min_size=1, max_size=8).filter(is_name)


def texts(longest: int = 40, *, empty: bool = True) -> st.SearchStrategy[str]:
    made = st.text(_CHARACTERS, max_size=longest)
    return made if empty else made.filter(is_seen)


def numbers(low: float, high: float, *, above: bool = False) -> st.SearchStrategy[float]:
    return st.floats(low, high, exclude_min=above, allow_subnormal=False).map(lambda value: value + 0.0)


def some(values: st.SearchStrategy[T]) -> st.SearchStrategy[T | None]:
    return st.none() | values


def tables(keys: Sequence[str], values: st.SearchStrategy[T]) -> st.SearchStrategy[Table[str, T]]:
    return st.dictionaries(st.sampled_from(keys), values).map(lambda items: Table(items))


supplies = st.builds(
    Supply,
    id=st.just("bus"),
    kind=st.sampled_from(["dcc", "dc"]),
    volts=some(numbers(0, 60, above=True)),
    source_ohms=some(numbers(0.001, 1000)),
    trip_amps=some(numbers(0, 100, above=True)),
    trip_seconds=some(numbers(0, 60)),
    limit_amps=some(numbers(0, 1000, above=True)),
    retry_seconds=numbers(0, 3600),
    on=st.booleans(),
    plugged=st.booleans(),
)
_SIDES = ("left", "right")
_side, _setting, _condition, _scale = (st.sampled_from(words) for words in (_SIDES, SETTINGS, CONDITIONS, SCALES))
_piece_names = names.filter(lambda name: name != "bus")
_vehicle_names = names.filter(lambda name: name not in STANDARD_VEHICLES)
_several_names = st.lists(_piece_names, min_size=12, max_size=12, unique=True)
_turnout_kind, _frog, _rail = (
    st.sampled_from(words) for words in (("turnout", "wye"), ("isolated", "live", "dead"), RAILS[3:7])
)
_some_rail, _some_side = some(_rail), some(_side)
_GAPS = ("closure.left", "closure.right", "exit.left", "exit.right")
_gaps, _gaps_of_dead = (
    tables(_GAPS, st.sampled_from(states)) for states in (("cut", "closed", "leaking"), ("cut",))
)
_bonds = tables(_SIDES, st.sampled_from(("made", "open")))
_joints = tables(_SIDES, st.sampled_from(JOINTS))
_frog_number, _gap_mm, _touch, _toe_mm, _leg_mm = (
    numbers(5, 8), numbers(0.1, 1), numbers(0.01, 0.4), numbers(20, 200), numbers(200, 400)
)  # fmt: skip
_share, _amps, _volts, _metres = numbers(0, 1), numbers(0, 20), numbers(0, 60), numbers(0, 1000)


@st.composite
def turnouts(draw: st.DrawFn, piece_id: str, scale: str) -> Turnout:
    kind = draw(_turnout_kind)
    frog = draw(_frog)
    return Turnout(
        id=piece_id,
        kind=kind,
        scale=scale,
        rail=draw(_some_rail),
        hand=None if kind == "wye" else draw(_side),
        number=draw(_frog_number),
        frog=frog,
        set=draw(_setting),
        gaps=draw(_gaps_of_dead if frog == "dead" else _gaps),
        bonds=draw(_bonds),
        jumpers=draw(_bonds),
        gap_mm=draw(_gap_mm),
        blade_touch=draw(_touch),
        blade_contact=draw(_condition),
        toe_mm=draw(_toe_mm),
        leg_mm=draw(_leg_mm),
    )


_piece_sort = st.sampled_from(("turnout", "turnout", "plain", "end"))
_given_scale = st.booleans()
_radius_mm, _length_mm = numbers(300, 2000), numbers(5, 1500)


@st.composite
def tracks(draw: st.DrawFn, ids: Sequence[str]) -> tuple[Piece, ...]:
    """Pieces of one scale, joined in a chain as far as there are ends; some give their scale, some leave it out."""
    scale = draw(_scale)
    pieces: list[Piece] = []
    free: list[str] = []
    for piece_id in ids:
        sort = draw(_piece_sort)
        own = scale if draw(_given_scale) else None
        if sort == "turnout":
            piece: Piece = draw(turnouts(piece_id, scale))
        elif sort == "plain":
            turns = draw(_some_side)
            radius = None if turns is None else draw(_radius_mm)
            length = draw(_length_mm)
            piece = Plain(id=piece_id, kind="plain", scale=own, length_mm=length, radius_mm=radius, turns=turns)
        else:
            piece = End(id=piece_id, kind="end", scale=own)
        ends = list(piece.ENDS)
        joins: dict[str, str] = {}
        for _ in range(draw(st.integers(0, min(len(free), len(ends))))):
            joins[ends.pop(draw(st.integers(0, len(ends) - 1)))] = free.pop(draw(st.integers(0, len(free) - 1)))
        joint = draw(_joints) if joins else Table()
        free += [f"{piece_id}.{end}" for end in ends]
        changed: dict[str, Any] = {"joins": Table(joins), "joint": joint}
        pieces.append(dataclasses.replace(piece, **changed))
    return tuple(pieces)


_letters = st.lists(names, max_size=6, unique=True)
_rating, _seconds = numbers(0, 100, above=True), numbers(0.1, 600)
_some_setting = some(_setting)
_stuck = st.sampled_from((None, *SETTINGS))


@st.composite
def motors(draw: st.DrawFn, motor_id: str, drives: tuple[str, ...]) -> Motor:
    letters = draw(_letters)
    contacts = [
        Changeover(
            letters[i],
            letters[i + 1],
            letters[i + 2],
            travel=(draw(_share), draw(_share)),
            condition=draw(_condition),
            rating_amps=draw(_rating),
            marked=draw(st.booleans()),
            stuck=draw(_stuck),
        )
        for i in range(0, len(letters) - 2, 3)
    ]
    return Motor(
        motor_id,
        drives,
        draw(_seconds),
        draw(st.booleans()),
        tuple(contacts),
        by_hand=not drives or draw(st.booleans()),
        set=None if drives else draw(_some_setting),
    )


_awg, _mm2 = st.integers(0, 40), numbers(0.01, 100)
_some_label, _some_note = some(texts(60, empty=False)), some(texts())


@st.composite
def wires(draw: st.DrawFn, ends: Sequence[str]) -> Wire:
    pair = draw(st.lists(st.sampled_from(ends), min_size=2, max_size=2, unique=True))
    size: dict[str, Any] = (
        {"awg": draw(_awg)} if draw(st.booleans()) else {"mm2": draw(_mm2)}
    )
    return Wire(
        (pair[0], pair[1]),
        **size,
        metres=draw(_metres),
        colour=draw(_some_label),
        number=draw(_some_label),
        note=draw(_some_note),
    )


_axle_steps = st.lists(numbers(1, 40), max_size=5)
_wheel = st.sampled_from(WHEELS) | st.builds(
    WheelSize, numbers(1, 200), numbers(0.05, 0.9), numbers(1, 50), numbers(0.5, 200)
)
_joules, _grams = numbers(0, 1000), numbers(0, 20_000, above=True)


@st.composite
def vehicles(draw: st.DrawFn, name: str) -> Vehicle:
    steps = draw(_axle_steps)
    axles = [0.0]
    for step in steps:
        axles.append(axles[-1] + step)
    collects = st.lists(st.integers(1, len(axles)), unique=True).map(tuple)
    return Vehicle(
        name=name,
        scale=draw(_scale),
        axles_mm=tuple(axles),
        wheel=draw(_wheel),
        pickup_left=draw(collects),
        pickup_right=draw(collects),
        draws_amps=draw(_amps),
        works_from_volts=draw(_volts),
        stored_joules=draw(_joules),
        grams=draw(_grams),
    )


_long_text, _prompt_words = texts(200), texts(150, empty=False)
_several_hints = st.lists(texts(empty=False), max_size=3)
_goals = st.lists(st.sampled_from(GOALS), unique=True)
_some_limit = some(st.integers(0, 10_000))
_above_or_below = st.sampled_from(("above", "below"))
_untils: tuple[st.SearchStrategy[Condition], ...] = (
    st.builds(Read, st.integers(1, 1000)),
    st.builds(Unplugged, st.booleans()),
    st.builds(Live, st.booleans()),
    st.builds(Shorted, st.booleans()),
    st.builds(AsSolved, st.booleans()),
    st.builds(Passed, st.booleans()),
)


@st.composite
def levels(draw: st.DrawFn, bench: Bench) -> Level:
    points = [each.id for each in bench.point_sets]
    motors_there = [motor.id for motor in bench.motors]
    places = [place for piece in bench.tracks for place in piece.places()]
    ends = st.lists(st.sampled_from(terminals(bench)), min_size=2, max_size=2, unique=True).map(
        lambda two: (two[0], two[1])
    )
    steps: list[st.SearchStrategy[Step]] = [
        st.builds(cls, ends) for cls in (ProbeStep, WireStep, UnwireStep)
    ]  # fmt: skip
    steps += [st.builds(PowerStep, st.booleans()), st.builds(PlugStep, st.booleans())]
    if points or motors_there:
        steps.append(st.builds(ThrowStep, st.sampled_from([*points, *motors_there]), _some_setting))
    if places:
        place = draw(st.sampled_from(places))
        steps.append(st.builds(PlaceStep, st.just(place.name), st.sampled_from(place.states)))
    if bench.motors:
        steps.append(st.builds(TurnStep, st.sampled_from(motors_there)))

    spots = st.sampled_from([*SPOTS, *terminals(bench)])
    untils: list[st.SearchStrategy[Condition]] = [
        st.builds(Joined, ends),
        *_untils,
    ]
    if points:
        untils.append(st.builds(Over, st.sampled_from(points), _setting))

    def listed(*kinds: str) -> st.SearchStrategy[bool | tuple[str, ...]]:
        found = [place.name for place in places if place.kind in kinds]
        return st.booleans() | (st.lists(st.sampled_from(found), unique=True).map(tuple) if found else st.just(()))

    return Level(
        chapter=draw(names),
        rank=draw(some(st.integers(1, 1000))),
        minutes=draw(some(st.integers(1, 600))),
        line=draw(texts(100)),
        task=draw(texts(200)),
        brief=draw(_long_text),
        goals=tuple(draw(_goals)),
        predict=tuple(draw(st.lists(st.sampled_from(points), unique=True))) if points else (),
        readings=draw(st.integers(0, 1000)),
        allow=Allow(
            wires=draw(st.booleans()),
            gaps=draw(listed("gap")),
            bonds=draw(listed("bond", "jumper")),
            motor=draw(st.booleans()),
            wire_limit=draw(_some_limit),
        ),
        hints=tuple(draw(_several_hints)),
        teaches=draw(_long_text),
        prompts=tuple(draw(st.lists(st.builds(Prompt, _prompt_words, spots, st.one_of(untils)), max_size=3))),
        solution=tuple(draw(st.lists(st.one_of(steps), max_size=6))),
        seen=draw(_above_or_below),
    )


_named_vehicles = st.lists(_vehicle_names, max_size=2, unique=True)
_polarities = st.sampled_from([(), (Polarity("relay 1", 2.5, 0.0, 2),), (Polarity("relay 1"),)])
_lamps = st.sampled_from([(), (Lamp("lamp 1", 6.0, 1.5),), (Lamp("lamp 1"),)])
_bus_metres, _train_mm = numbers(0.01, 100), numbers(0, 100_000)


@st.composite
def benches(draw: st.DrawFn) -> Bench:
    """A bench that a file can describe, with every sort of thing on it."""
    taken = draw(_several_names)
    several = draw(st.booleans())
    pieces = draw(tracks(taken[: draw(st.integers(0, 5))]))
    points = [each.id for piece in pieces for each in piece.point_sets]
    first, second = sorted(draw(st.tuples(st.integers(0, len(points)), st.integers(0, len(points)))))
    driven: tuple[tuple[str, ...], ...] = (tuple(points[:first]), tuple(points[first:second]))
    setting = {name: draw(_setting) for name in driven}
    alike = {one: setting[moved] for moved in driven for one in moved}
    pieces = tuple(piece.with_setting(alike[piece.id]) if piece.id in alike else piece for piece in pieces)
    driven = driven[: draw(st.integers(0, 2))]
    vehicle_names = draw(_named_vehicles)
    any_vehicle = st.sampled_from([*STANDARD_VEHICLES, *vehicle_names])
    one = draw(supplies)
    bench = Bench(
        title=draw(_long_text),
        supplies=(Supply(taken[10], "dc"), Supply(taken[11], "dcc", volts=9.0)) if several else (one,),
        bus=None if several else draw(some(st.builds(Bus, _bus_metres, tables(taken[8:10], _metres)))),
        tracks=pieces,
        motors=tuple(draw(motors(taken[5 + i], moved)) for i, moved in enumerate(driven)),
        polarities=draw(_polarities),
        lamps=draw(_lamps),
        vehicles=tuple(draw(vehicles(name)) for name in vehicle_names),
        test=draw(some(st.lists(any_vehicle, min_size=1, unique=True).map(tuple))),
    )
    ends = [f"{piece.id}.{end}" for piece in pieces for end in piece.ENDS if len(piece.ENDS) > 1]
    own = [each.name for each in bench.vehicles if all(piece.scale == each.scale for piece in pieces)]
    fitting = st.sampled_from([*STANDARD_VEHICLES, *own])
    changed: dict[str, Any] = {"wires": tuple(draw(st.lists(wires(terminals(bench)), max_size=5)))}
    if ends:
        train = st.builds(
            Train,
            st.just(taken[7]),
            st.lists(fitting, min_size=1, max_size=4).map(tuple),
            st.sampled_from(ends),
            _train_mm,
        )
        changed["trains"] = tuple(draw(st.lists(train, max_size=1)))
    if draw(st.booleans()):
        changed["level"] = draw(levels(bench))
    return dataclasses.replace(bench, **changed)

"""Benches of every sort for the property tests, made as code makes them and not as a file is read."""

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


@st.composite
def turnouts(draw: st.DrawFn, piece_id: str, scale: str) -> Turnout:
    kind = draw(st.sampled_from(["turnout", "wye"]))
    frog = draw(st.sampled_from(["isolated", "live", "dead"]))
    gaps = ("closure.left", "closure.right", "exit.left", "exit.right")
    made = st.sampled_from(["made", "open"])
    return Turnout(
        id=piece_id,
        kind=kind,
        scale=scale,
        rail=draw(some(st.sampled_from(RAILS[3:7]))),
        hand=None if kind == "wye" else draw(st.sampled_from(["left", "right"])),
        number=draw(numbers(5, 8)),
        frog=frog,
        set=draw(st.sampled_from(SETTINGS)),
        gaps=draw(tables(gaps, st.sampled_from(["cut"] if frog == "dead" else ["cut", "closed", "leaking"]))),
        bonds=draw(tables(_SIDES, made)),
        jumpers=draw(tables(_SIDES, made)),
        gap_mm=draw(numbers(0.1, 1)),
        blade_touch=draw(numbers(0.01, 0.4)),
        blade_contact=draw(st.sampled_from(CONDITIONS)),
        toe_mm=draw(numbers(20, 200)),
        leg_mm=draw(numbers(200, 400)),
    )


@st.composite
def tracks(draw: st.DrawFn, ids: Sequence[str]) -> tuple[Piece, ...]:
    """Pieces of one scale, joined in a chain as far as there are ends; some give their scale, some leave it out."""
    scale = draw(st.sampled_from(SCALES))
    pieces: list[Piece] = []
    free: list[str] = []
    for piece_id in ids:
        sort = draw(st.sampled_from(["turnout", "turnout", "plain", "end"]))
        own = draw(some(st.just(scale)))
        if sort == "turnout":
            piece: Piece = draw(turnouts(piece_id, scale))
        elif sort == "plain":
            turns = draw(some(st.sampled_from(_SIDES)))
            radius = None if turns is None else draw(numbers(300, 2000))
            length = draw(numbers(5, 1500))
            piece = Plain(id=piece_id, kind="plain", scale=own, length_mm=length, radius_mm=radius, turns=turns)
        else:
            piece = End(id=piece_id, kind="end", scale=own)
        ends = list(piece.ENDS)
        joins: dict[str, str] = {}
        for _ in range(draw(st.integers(0, min(len(free), len(ends))))):
            joins[ends.pop(draw(st.integers(0, len(ends) - 1)))] = free.pop(draw(st.integers(0, len(free) - 1)))
        joint = draw(tables(_SIDES, st.sampled_from(JOINTS))) if joins else Table()
        free += [f"{piece_id}.{end}" for end in ends]
        changed: dict[str, Any] = {"joins": Table(joins), "joint": joint}
        pieces.append(dataclasses.replace(piece, **changed))
    return tuple(pieces)


@st.composite
def motors(draw: st.DrawFn, motor_id: str, drives: tuple[str, ...]) -> Motor:
    letters = draw(st.lists(names, max_size=6, unique=True))
    contacts = [
        Changeover(
            letters[i],
            letters[i + 1],
            letters[i + 2],
            travel=(draw(numbers(0, 1)), draw(numbers(0, 1))),
            condition=draw(st.sampled_from(CONDITIONS)),
            rating_amps=draw(numbers(0, 100, above=True)),
            marked=draw(st.booleans()),
            stuck=draw(st.sampled_from((None, "normal", "diverging"))),
        )
        for i in range(0, len(letters) - 2, 3)
    ]
    return Motor(
        motor_id,
        drives,
        draw(numbers(0.1, 600)),
        draw(st.booleans()),
        tuple(contacts),
        by_hand=not drives or draw(st.booleans()),
        set=None if drives else draw(some(st.sampled_from(SETTINGS))),
    )


@st.composite
def wires(draw: st.DrawFn, ends: Sequence[str]) -> Wire:
    pair = draw(st.lists(st.sampled_from(ends), min_size=2, max_size=2, unique=True))
    size: dict[str, Any] = (
        {"awg": draw(st.integers(0, 40))} if draw(st.booleans()) else {"mm2": draw(numbers(0.01, 100))}
    )
    return Wire(
        (pair[0], pair[1]),
        **size,
        metres=draw(numbers(0, 1000)),
        colour=draw(some(texts(60, empty=False))),
        number=draw(some(texts(60, empty=False))),
        note=draw(some(texts())),
    )


@st.composite
def vehicles(draw: st.DrawFn, name: str) -> Vehicle:
    steps = draw(st.lists(numbers(1, 40), max_size=5))
    axles = [0.0]
    for step in steps:
        axles.append(axles[-1] + step)
    collects = st.lists(st.integers(1, len(axles)), unique=True).map(tuple)
    wheel = st.builds(WheelSize, numbers(1, 200), numbers(0.05, 0.9), numbers(1, 50), numbers(0.5, 200))
    return Vehicle(
        name=name,
        scale=draw(st.sampled_from(SCALES)),
        axles_mm=tuple(axles),
        wheel=draw(st.sampled_from(WHEELS) | wheel),
        pickup_left=draw(collects),
        pickup_right=draw(collects),
        draws_amps=draw(numbers(0, 20)),
        works_from_volts=draw(numbers(0, 60)),
        stored_joules=draw(numbers(0, 1000)),
        grams=draw(numbers(0, 20_000, above=True)),
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
        steps.append(st.builds(ThrowStep, st.sampled_from([*points, *motors_there]), some(st.sampled_from(SETTINGS))))
    if places:
        place = draw(st.sampled_from(places))
        steps.append(st.builds(PlaceStep, st.just(place.name), st.sampled_from(place.states)))
    if bench.motors:
        steps.append(st.builds(TurnStep, st.sampled_from(motors_there)))

    spots = st.sampled_from([*SPOTS, *terminals(bench)])
    untils: list[st.SearchStrategy[Condition]] = [
        st.builds(Joined, ends),
        st.builds(Read, st.integers(1, 1000)),
        st.builds(Unplugged, st.booleans()),
        st.builds(Live, st.booleans()),
        st.builds(Shorted, st.booleans()),
        st.builds(AsSolved, st.booleans()),
        st.builds(Passed, st.booleans()),
    ]
    if points:
        untils.append(st.builds(Over, st.sampled_from(points), st.sampled_from(SETTINGS)))

    def listed(*kinds: str) -> st.SearchStrategy[bool | tuple[str, ...]]:
        found = [place.name for place in places if place.kind in kinds]
        return st.booleans() | (st.lists(st.sampled_from(found), unique=True).map(tuple) if found else st.just(()))

    return Level(
        chapter=draw(names),
        brief=draw(texts(200)),
        goals=tuple(draw(st.lists(st.sampled_from(GOALS), unique=True))),
        predict=tuple(draw(st.lists(st.sampled_from(points), unique=True))) if points else (),
        readings=draw(st.integers(0, 1000)),
        allow=Allow(
            wires=draw(st.booleans()),
            gaps=draw(listed("gap")),
            bonds=draw(listed("bond", "jumper")),
            motor=draw(st.booleans()),
            wire_limit=draw(some(st.integers(0, 10_000))),
        ),
        hints=tuple(draw(st.lists(texts(empty=False), max_size=3))),
        teaches=draw(texts(200)),
        prompts=tuple(draw(st.lists(st.builds(Prompt, texts(150, empty=False), spots, st.one_of(untils)), max_size=3))),
        solution=tuple(draw(st.lists(st.one_of(steps), max_size=6))),
        seen=draw(st.sampled_from(("above", "below"))),
    )


@st.composite
def benches(draw: st.DrawFn) -> Bench:
    """A bench that a file can describe, with every sort of thing on it."""
    taken = draw(st.lists(names.filter(lambda name: name != "bus"), min_size=12, max_size=12, unique=True))
    several = draw(st.booleans())
    pieces = draw(tracks(taken[: draw(st.integers(0, 5))]))
    points = [each.id for piece in pieces for each in piece.point_sets]
    first, second = sorted(draw(st.tuples(st.integers(0, len(points)), st.integers(0, len(points)))))
    driven: tuple[tuple[str, ...], ...] = (tuple(points[:first]), tuple(points[first:second]))
    setting = {name: draw(st.sampled_from(SETTINGS)) for name in driven}
    alike = {one: setting[moved] for moved in driven for one in moved}
    pieces = tuple(piece.with_setting(alike[piece.id]) if piece.id in alike else piece for piece in pieces)
    driven = driven[: draw(st.integers(0, 2))]
    vehicle_names = draw(st.lists(names.filter(lambda name: name not in STANDARD_VEHICLES), max_size=2, unique=True))
    any_vehicle = st.sampled_from([*STANDARD_VEHICLES, *vehicle_names])
    one = draw(supplies)
    bench = Bench(
        title=draw(texts(200)),
        supplies=(Supply(taken[10], "dc"), Supply(taken[11], "dcc", volts=9.0)) if several else (one,),
        bus=None if several else draw(some(st.builds(Bus, numbers(0.01, 100), tables(taken[8:10], numbers(0, 1000))))),
        tracks=pieces,
        motors=tuple(draw(motors(taken[5 + i], moved)) for i, moved in enumerate(driven)),
        polarities=draw(st.sampled_from([(), (Polarity("unit 1", 2.5, 0.0, 2),), (Polarity("unit 1"),)])),
        lamps=draw(st.sampled_from([(), (Lamp("lamp 1", 6.0, 1.5),), (Lamp("lamp 1"),)])),
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
            numbers(0, 100_000),
        )
        changed["trains"] = tuple(draw(st.lists(train, max_size=1)))
    if draw(st.booleans()):
        changed["level"] = draw(levels(bench))
    return dataclasses.replace(bench, **changed)

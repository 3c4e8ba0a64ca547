"""Turnouts, plain track and buffer stops as pieces of a bench."""

from __future__ import annotations

import dataclasses
import itertools

import pytest

from sim.bench.faults import BenchFaults
from sim.bench.fields import plain as plain_table
from sim.bench.reading import parse
from sim.bench.table import Table
from sim.track.formations import FORMATIONS, KINDS, End, Plain, Turnout
from sim.track.geometry import Geometry
from sim.track.rails import RailSection, rail_section
from sim.track.standards import SCALES
from tests.track.making import HANDS, every_default, shape, turnout

SEVEN = ("stock.left", "stock.right", "blade.left", "blade.right", "frog", "exit.left", "exit.right")

# model.md section 1, the table of places: what each joins, and its state by frog (isolated, live, dead).
PLACES = {
    "gap.closure.left": ("blade.left", "frog", ("cut", "closed", "cut")),
    "gap.closure.right": ("blade.right", "frog", ("cut", "closed", "cut")),
    "gap.exit.left": ("frog", "exit.left", ("cut", "closed", "cut")),
    "gap.exit.right": ("frog", "exit.right", ("cut", "closed", "cut")),
    "bond.left": ("blade.left", "stock.left", ("made", "open", "made")),
    "bond.right": ("blade.right", "stock.right", ("made", "open", "made")),
    "jumper.left": ("exit.left", "blade.right", ("made", "open", "made")),
    "jumper.right": ("exit.right", "blade.left", ("made", "open", "made")),
}
FROGS = ("isolated", "live", "dead")


def read(text: str) -> Turnout:
    bench = parse(f'bench = 1\n[supply]\nkind = "dcc"\n[[track]]\nid = "T1"\n{text}\n', KINDS, name="bench.toml")
    (piece,) = bench.tracks
    if not isinstance(piece, Turnout):
        raise TypeError(piece)
    return piece


def test_every_kind_word_has_its_class_and_ends() -> None:
    assert set(KINDS) == {"turnout", "wye", "plain", "end"}
    for cls, kind in itertools.chain.from_iterable(((cls, kind) for kind in cls.KINDS) for cls in FORMATIONS):
        assert KINDS[kind] is cls
        assert cls.ENDS


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("frog", FROGS)
def test_sections_and_places_are_those_of_the_model(hand: str, frog: str) -> None:
    piece = turnout(hand, frog=frog)
    sections = SEVEN if frog != "dead" else tuple(name for name in SEVEN if name != "frog")
    assert piece.sections() == piece.nodes() == tuple(f"T1.{name}" for name in sections)
    expected = {
        f"T1.{name}": ({f"T1.{a}", f"T1.{b}"}, states[FROGS.index(frog)])
        for name, (a, b, states) in PLACES.items()
        if not (frog == "dead" and name.startswith("gap"))  # a dead frog is no conductor that a gap could join
    }
    assert {place.name: ({place.a, place.b}, place.state) for place in piece.places()} == expected


@pytest.mark.parametrize("frog", FROGS)
def test_every_place_takes_every_state_and_comes_back(frog: str) -> None:
    piece = turnout(frog=frog)
    for place in piece.places():
        for state in place.states:
            changed = piece.with_place(place.name, state)
            assert changed.place(place.name).state == state
            others = [other for other in piece.places() if other.name != place.name]
            assert [changed.place(other.name) for other in others] == others
            assert changed.with_place(place.name, place.state) == piece


def test_a_place_that_is_written_is_read() -> None:
    piece = read(
        'kind = "turnout"\nscale = "HO"\nhand = "left"\nnumber = 5\nfrog = "live"\n'
        'gaps = { "exit.left" = "cut", "closure.right" = "leaking" }\n'
        'bonds = { left = "made" }\njumpers = { right = "made" }'
    )
    states = {place.name.removeprefix("T1."): place.state for place in piece.places()}
    written = {"gap.exit.left": "cut", "gap.closure.right": "leaking", "bond.left": "made", "jumper.right": "made"}
    assert states == {name: written.get(name, of[2][1]) for name, of in PLACES.items()}


def test_unknown_places_states_and_settings_are_refused() -> None:
    piece = turnout()
    with pytest.raises(KeyError):
        piece.with_place("T1.gap.closure.middle", "cut")
    with pytest.raises(ValueError, match="cut or closed or leaking"):
        piece.with_place("T1.gap.closure.left", "made")
    with pytest.raises(ValueError, match="normal or diverging"):
        piece.with_setting("reverse")
    with pytest.raises(KeyError):
        turnout(frog="dead").with_place("T1.gap.exit.left", "cut")


def test_points_are_set() -> None:
    piece = turnout()
    assert [(points.id, points.setting, points.travel) for points in piece.point_sets] == [("T1", "normal", 0.0)]
    assert [points.setting for points in piece.with_setting("diverging").point_sets] == ["diverging"]
    assert piece.with_setting("diverging", "T1") == piece.with_setting("diverging")
    with pytest.raises(KeyError):
        piece.with_setting("diverging", "T1.ab")
    assert piece.with_setting("diverging").with_setting("normal") == piece
    assert Plain(id="P1", kind="plain", length_mm=100.0).point_sets == ()


@pytest.mark.parametrize(("hand", "scale", "number"), list(every_default()))
def test_every_default_turnout_is_free_of_problems(hand: str, scale: str, number: int) -> None:
    assert list(turnout(hand, scale, number).problems()) == []


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('scale = "HO"\nhand = "right"\nnumber = 6\nbranch = "straight-points"', "branch"),
        ('scale = "N"\nhand = "right"\nnumber = 8\nbranch = "straight-points"', "branch"),
        ('scale = "N"\nhand = "right"\nnumber = 5.5\nbranch = "straight-points"', "branch"),
        ('scale = "HO"\nhand = "right"\nnumber = 6\nblade_mm = 190', "blade_mm"),
        ('scale = "HO"\nhand = "right"\nnumber = 6\nblade_opening_mm = 9', "blade_opening_mm"),
        ('scale = "HO"\nhand = "right"\nnumber = 6\nleg_mm = 15', "gap_at_mm.exit"),
        ('scale = "HO"\nhand = "right"\nnumber = 6\ngap_mm = 4\ngap_at_mm = { closure = 1.5 }', "gap_at_mm.closure"),
        ('scale = "HO"\nhand = "right"\nnumber = 6\nfrog = "dead"\ngaps = { "exit.left" = "closed" }', "gaps"),
        ('scale = "HO"\nhand = "right"\nnumber = 13', "number"),
        ('scale = "HO"\nnumber = 6', "hand"),
        ('scale = "HO"\nhand = "right"\nnumber = 6\nrail = "code 84"', "rail"),
    ],
)
def test_what_does_not_fit_is_refused_by_its_key(text: str, key: str) -> None:
    with pytest.raises(BenchFaults) as caught:
        read(f'kind = "turnout"\n{text}')
    assert [fault.path for fault in caught.value.faults] == [f"track[1].{key}"]


def test_straight_points_are_refused_in_words_and_on_wyes() -> None:
    with pytest.raises(BenchFaults, match="9 mm gauge"):
        read('kind = "wye"\nscale = "N"\nnumber = 5\nbranch = "straight-points"')
    with pytest.raises(ValueError, match="9 mm gauge"):
        turnout(branch="straight-points").sizes(SCALES["HO"], rail_section("code 83"))


def test_a_curve_of_more_than_a_circle_is_refused() -> None:
    curve = Plain(id="P1", kind="plain", length_mm=700.0, radius_mm=110.0, turns="left")
    assert [problem.key for problem in curve.problems()] == ["length_mm"]
    assert not list(dataclasses.replace(curve, length_mm=690.0).problems())


@pytest.mark.parametrize(("length", "count"), [(299.0, 1), (300.0, 1), (300.1, 2), (600.0, 2), (601.0, 3), (1500.0, 5)])
def test_long_plain_rail_is_several_nodes(length: float, count: int) -> None:
    piece = Plain(id="P1", kind="plain", length_mm=length)
    assert piece.sections() == ("P1.left", "P1.right")
    nodes = piece.nodes()
    assert len(nodes) == 2 * count
    assert {node.split("/")[0] for node in nodes} == set(piece.sections())
    if count > 1:
        assert [node for node in nodes if node.startswith("P1.left")] == [f"P1.left/{k}" for k in range(count)]
    assert tuple(f"P1.{node}" for node in shape(piece).topology.nodes) == nodes


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("frog", FROGS)
def test_a_piece_and_its_shape_agree_on_names(hand: str, frog: str) -> None:
    piece = turnout(hand, frog=frog)
    geometry = shape(piece)
    assert tuple(f"T1.{name}" for name in geometry.topology.sections) == piece.sections()
    assert {f"T1.{name}" for name in geometry.marks.places} == {place.name for place in piece.places()}
    assert {f"T1.{name}" for name in geometry.marks.tabs} == set(piece.sections())
    assert set(geometry.end_poses) == set(geometry.topology.ends) == set(piece.ENDS)
    metal = {rail.node for rail in geometry.rails(0.0) if rail.metal}
    assert metal == set(geometry.topology.sections)


def test_wiring_leaves_the_shape_the_same_object() -> None:
    one = turnout()
    geometry = shape(one)
    for place in one.places():
        for state in place.states:
            assert shape(one.with_place(place.name, state)) is geometry
    assert shape(dataclasses.replace(one, id="T9", set="diverging", frog="live")) is geometry
    assert shape(turnout(gap_mm=0.7)) is not geometry
    assert shape(turnout(frog="dead")) is not geometry


def test_a_piece_written_out_is_read_back_equal() -> None:
    piece = turnout(
        frog="live", gaps=Table({"exit.left": "cut"}), gap_at_mm=Table({"exit": 25.0}), blade_mm=100.0, toe_mm=60.0
    )
    table = plain_table(piece)
    text = "\n".join(f"{key} = {_toml(value)}" for key, value in table.items() if key != "id")
    assert read(text) == piece


def _toml(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f'"{key}" = {_toml(item)}' for key, item in value.items()) + " }"
    return f'"{value}"' if isinstance(value, str) else repr(value)


def test_a_buffer_stop_has_one_end_and_no_rails() -> None:
    stop = End(id="E1", kind="end")
    geometry: Geometry = stop.geometry(SCALES["HO"], _rail())
    assert (stop.ENDS, stop.sections(), geometry.tracks, geometry.rails(0.0)) == (("a",), (), (), ())


def _rail() -> RailSection:
    return rail_section("code 83")

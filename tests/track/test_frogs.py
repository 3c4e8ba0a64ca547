"""Which rail a frog must match on each track, read off the metal, against the trade's tables."""

from __future__ import annotations

import itertools

import pytest

from sim.track.contact import contacts
from sim.track.formations import End, Plain
from sim.track.frogs import frogs
from sim.track.geometry import Geometry
from sim.track.standards import SCALES
from sim.track.wheels import standard_wheel
from tests.track.making import HANDS, NUMBERS, every_default, shape, shifts, turnout

# The trade's truth table of simple turnouts (trade.md A2; American and British club practice agree): formation and
# route, as the end that it leads to, and the running rail whose polarity the frog must have.
A2 = {
    ("right", "main"): "right",
    ("right", "diverging"): "left",
    ("left", "main"): "left",
    ("left", "diverging"): "right",
    ("wye", "main"): "right",  # the left leg
    ("wye", "diverging"): "left",
}


def told(geometry: Geometry) -> dict[str, str | None]:
    (frog,) = frogs(geometry)
    assert frog.section == "frog"
    return {track.ends[1]: frog.must_match(index) for index, track in enumerate(geometry.tracks)}


@pytest.mark.parametrize(("hand", "scale", "number"), list(every_default()))
def test_the_frog_matches_the_rail_of_the_table(hand: str, scale: str, number: int) -> None:
    geometry = shape(turnout(hand, scale, number))
    assert told(geometry) == {end: A2[hand, end] for end in ("main", "diverging")}


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("frog", ["isolated", "live"])
@pytest.mark.parametrize("number", [4.5, 7.0, 11.0])
def test_neither_its_build_nor_the_place_of_its_gaps_changes_that(hand: str, frog: str, number: float) -> None:
    for gaps in ({}, {"closure": 8.0, "exit": 25.0}, {"closure": 40.0}):
        geometry = shape(turnout(hand, number=number, frog=frog, gap_at_mm=gaps))
        assert told(geometry) == {end: A2[hand, end] for end in ("main", "diverging")}


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("number", [4, 5, 6, 7])
def test_straight_points_have_the_same_frog(hand: str, number: int) -> None:
    geometry = shape(turnout(hand, "N", number, branch="straight-points"))
    assert told(geometry) == {end: A2[hand, end] for end in ("main", "diverging")}


@pytest.mark.parametrize(("hand", "number"), list(itertools.product(HANDS, NUMBERS)))
def test_it_is_the_wheel_that_stands_on_it(hand: str, number: int) -> None:
    """A second way: no wheel of the scale's own wheelset touches the frog but that of the side that it matches."""
    row = SCALES["HO"]
    geometry = shape(turnout(hand, number=number))
    for (index, track), shift in itertools.product(enumerate(geometry.tracks), shifts(row)):
        table = contacts(geometry, index, standard_wheel(row), shift, track.travel)
        sides = {"left": table.left, "right": table.right}
        on_it = {side for side, touches in sides.items() if any(touch.node == "frog" for touch in touches)}
        assert on_it == {told(geometry)[track.ends[1]]}


def test_what_has_no_frog_of_metal_has_none() -> None:
    assert frogs(shape(turnout(frog="dead"))) == ()
    assert frogs(shape(Plain(id="P1", kind="plain", length_mm=100.0))) == ()
    assert frogs(shape(End(id="E1", kind="end"))) == ()

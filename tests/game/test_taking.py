"""What is taken where several things lie over one another: a probe by its tip, an engine over a tab."""

from __future__ import annotations

import math

import pygame
import pytest

from sim.game.desk.hit import under
from sim.game.paper.view import Point
from sim.game.whereabouts.handles import probe_tip
from sim.game.whereabouts.viewstate import Target
from tests.game.playing import Player

SIZES = [((1280, 800), 1.0), ((1920, 1080), 1.5)]


def _tip(player: Player, name: str) -> Point:
    bench = player.bench
    return probe_tip(player.stage, bench.snapshot, bench.view, name)


def _press(player: Player, at: Point) -> None:
    player.point(at)
    player._post(pygame.MOUSEBUTTONDOWN, pos=(round(at[0]), round(at[1])), button=1)


@pytest.mark.parametrize(("size", "scale"), SIZES)
@pytest.mark.parametrize("terminal", ["T1.frog", "M1.p", "bus.A"])
def test_a_probe_is_taken_by_its_tip_and_the_screw_beside_it(
    size: tuple[int, int], scale: float, terminal: str
) -> None:
    player = Player(size=size, scale=scale)
    player.look()
    player.probe("red", terminal)
    x, y = _tip(player, "red")
    unit = player.stage.unit
    assert player.bench.snapshot.meter.red == terminal
    _press(player, (x + 2 * unit, y + 2 * unit))
    player.point((x - 60 * unit, y + 60 * unit))
    hand = player.bench.view.hand
    assert hand is not None
    assert hand.what == "probe"
    player._post(pygame.MOUSEBUTTONDOWN, pos=(0, 0), button=3)
    assert not player.holds()
    _press(player, (x - 6 * unit, y - 4 * unit))
    player.point((x - 60 * unit, y + 60 * unit))
    hand = player.bench.view.hand
    assert hand is not None
    assert (hand.what, hand.name) == ("wire", terminal)


def test_a_wire_ends_on_a_tab_that_a_probe_stands_on() -> None:
    player = Player()
    player.probe("red", "T1.frog")
    player.wire_by_drag("M1.p", "T1.frog")
    assert {wire.ends for wire in player.bench.snapshot.bench.wires} == {("M1.p", "T1.frog")}


def test_a_tip_stays_on_the_very_screw_of_a_bar_it_was_put_on() -> None:
    player = Player()
    for spot in player.stage.fixtures.spots["bus.A"]:
        player.drag(player.place("probe", "black"), (spot.probe_x, spot.probe_y))
        assert player.bench.snapshot.meter.black == "bus.A"
        assert _tip(player, "black") == (spot.probe_x, spot.probe_y)
    assert len(player.stage.fixtures.spots["bus.A"]) > 1


@pytest.mark.parametrize(("size", "scale"), SIZES)
@pytest.mark.parametrize("below", [False, True])
def test_a_wire_begins_and_ends_on_a_bar_between_its_screws(
    size: tuple[int, int], scale: float, below: bool
) -> None:
    player = Player(size=size, scale=scale, watching=False)
    if below:
        player.key(pygame.K_v)
    bar = next(bar for bar in player.stage.fixtures.bars if bar.terminal == "bus.A")
    first, second = sorted(bar.xs)[:2]
    between = (first + second) / 2, bar.y
    player.drag(player.place("terminal", "T1.stock.left"), between)
    assert [wire.ends for wire in player.bench.snapshot.bench.wires] == [("T1.stock.left", "bus.A")]
    player.drag(between, player.place("terminal", "M1.k"))
    assert player.bench.snapshot.bench.wires[-1].ends == ("bus.A", "M1.k")


def _engine_over(player: Player, terminal: str) -> tuple[Point, Point]:
    """Drive the engine by hand until it stands over a tab; that tab's middle, and a place on both beside it."""
    tab = player.stage.fixtures.spots[terminal][0]
    standing = player.bench.snapshot.trains
    train = standing[0].id
    player.drag(player.place("vehicle", train), (tab.x, tab.y))
    middle = player.area("terminal", terminal).rect.center
    unit = player.stage.unit
    for turn in range(24):
        dx, dy = (8.5 * unit * f(math.radians(15 * turn)) for f in (math.cos, math.sin))
        at = middle[0] + dx, middle[1] + dy
        held = [player.area("vehicle", train).holds(at), player.area("terminal", terminal).holds(at)]
        if all(held):
            return (float(middle[0]), float(middle[1])), at
    raise AssertionError("the engine does not stand over the tab")


def test_an_engine_over_a_tab_is_dragged_unless_the_tab_itself_is_met() -> None:
    player = Player()
    standing = player.bench.snapshot.trains
    train = standing[0].id
    middle, beside = _engine_over(player, "T1.frog")
    bench = player.bench
    assert under(player.stage, bench.snapshot, bench.view, middle) == Target("terminal", "T1.frog")
    assert under(player.stage, bench.snapshot, bench.view, beside) == Target("vehicle", train)
    before = bench.snapshot.trains[0].vehicles[0].axles
    player.drag(beside, (beside[0] + 160, beside[1]))
    assert bench.snapshot.trains[0].vehicles[0].axles != before
    assert not bench.snapshot.bench.wires


def test_a_wire_ends_on_a_tab_under_an_engine() -> None:
    player = Player()
    _, beside = _engine_over(player, "T1.frog")
    player.drag(player.place("terminal", "bus.B"), beside)
    assert {wire.ends for wire in player.bench.snapshot.bench.wires} == {("bus.B", "T1.frog")}

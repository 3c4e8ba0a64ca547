"""Both screws of a motor's terminal take a tip, and the ring is round the screw that is pointed at."""

from __future__ import annotations

import math

import pygame
import pytest

from sim.game.items.common.thing import Sight
from sim.game.items.trackside.screws import Terminals
from sim.game.whereabouts.handles import probe_tip
from sim.resources import level_path
from tests.game.playing import Player

UPPER, LOWER = 0, 1


def screw(player: Player, name: str, row: int) -> tuple[float, float]:
    return player.place("terminal", name, row)


def tip(player: Player, name: str) -> tuple[float, float]:
    """Where a tip is, by the end of its handle that can be taken."""
    return probe_tip(player.stage, player.bench.snapshot, player.bench.view, name)


@pytest.mark.parametrize("row", [UPPER, LOWER])
@pytest.mark.parametrize("below", [False, True])
def test_a_tip_rests_on_the_screw_that_it_was_put_on(row: int, below: bool) -> None:
    player = Player(level_path("left-hand"), watching=False)
    if below:
        player.key(pygame.K_v)
    at = screw(player, "M1.m", row)
    player.drag(player.place("probe", "red"), at)
    assert player.bench.snapshot.meter.red == "M1.m"
    assert math.dist(tip(player, "red"), at) < 3


def test_a_tip_is_put_on_a_lower_screw_by_key_too() -> None:
    player = Player(level_path("left-hand"), watching=False)
    at = screw(player, "M1.k", LOWER)
    player.point(at)
    player.key(pygame.K_b)
    assert player.bench.snapshot.meter.black == "M1.k"
    assert math.dist(tip(player, "black"), at) < 3


def test_a_tip_beside_the_screws_says_where_it_goes() -> None:
    player = Player(level_path("left-hand"), watching=False)
    place = player.stage.fixtures.blocks[0]
    player.drag(player.place("probe", "red"), (place.housing.centerx, place.housing.y + 12))
    assert player.bench.snapshot.meter.red is None
    assert player.bench.view.said is not None
    assert player.bench.view.said.lines == ("A tip goes on a screw, a tab or a rail.",)
    player.drag(player.place("probe", "red"), (player.window.rooms.mat.centerx, place.housing.bottom + 60))
    assert player.bench.view.said is None, "a tip laid down on the mat is no mistake"


@pytest.mark.parametrize("row", [UPPER, LOWER])
@pytest.mark.parametrize("hand", ["nothing", "probe", "wire"])
def test_the_ring_is_round_the_screw_that_is_pointed_at(hand: str, row: int) -> None:
    player = Player(level_path("left-hand"), watching=False)
    if hand == "probe":
        player.click(player.place("probe", "red"))
    elif hand == "wire":
        player.click(player.place("terminal", "bus.A"))
    at = screw(player, "M1.m", row)
    player.point(at)
    player.look()
    bench = player.bench
    ringed = [sprite.rect.center for sprite in Terminals().over(Sight(player.stage, bench.snapshot, bench.view))]
    near = {k for k in (UPPER, LOWER) for centre in ringed if math.dist(centre, screw(player, "M1.m", k)) < 4}
    assert near == {row}

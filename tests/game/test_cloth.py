"""A wire keeps the colour it is shown in for its life, whatever else is wired, undone, saved and opened."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from sim.bench.reading import load
from sim.bench.writing import dump
from sim.game.look.new_wire import FROG_CLOTH, SIDE_CLOTHS
from sim.game.picture.board import cloth_of
from sim.resources import level_names, level_path
from sim.session.acts import Plug
from sim.track.formations import KINDS
from tests.game.playing import Player

SHOWN = [name for name in level_names() if load(level_path(name), KINDS).wires]


def shown(player: Player) -> dict[tuple[str, str], str]:
    """The colour of every wire, by its ends."""
    stage = player.stage
    return {run_wire.ends: cloth_of(run_wire, run) for run_wire, run in zip(stage.bench.wires, stage.runs, strict=True)}


def taken_off(player: Player, number: int) -> None:
    """A wire taken off with the keyboard."""
    player.focus("wire", str(number))
    player.key(pygame.K_DELETE)


@pytest.mark.parametrize("name", SHOWN)
def test_no_wire_changes_colour_when_another_is_taken_off_or_brought_back(name: str) -> None:
    player = Player(level_path(name), watching=False)
    first = shown(player)
    gone = player.stage.bench.wires[0].ends
    taken_off(player, 0)
    rest = shown(player)
    assert set(rest) == set(first) - {gone}
    assert all(first[ends] == cloth for ends, cloth in rest.items())
    player.key(pygame.K_z, pygame.KMOD_CTRL)
    assert shown(player) == first
    player.key(pygame.K_z, pygame.KMOD_CTRL | pygame.KMOD_SHIFT)
    assert shown(player) == rest


def test_colours_stay_when_a_wire_is_made_and_when_the_bench_is_saved_and_opened(tmp_path: Path) -> None:
    player = Player(level_path("three-screws"), watching=False)
    first = shown(player)
    player.wire_by_drag("M1.b", "T1.frog")
    after = shown(player)
    assert len(after) == len(first) + 1
    assert all(after[ends] == cloth for ends, cloth in first.items())
    path = tmp_path / "bench.toml"
    path.write_text(dump(player.bench.snapshot.bench), encoding="utf-8")
    assert shown(Player(path, watching=False)) == after


def test_wires_side_by_side_under_a_block_differ() -> None:
    player = Player(level_path("three-screws"), watching=False)
    at_motor = [cloth for ends, cloth in shown(player).items() if any(end.startswith("M1.") for end in ends)]
    assert len(set(at_motor)) == len(at_motor) > 1


def made(player: Player, a: str, b: str) -> str | None:
    """The colour of a wire just taken."""
    player.wire_by_clicks(a, b)
    return player.stage.bench.wires[-1].colour


def test_a_new_wire_has_the_colour_of_the_side_that_it_comes_from() -> None:
    player = Player(level_path("left-hand"), watching=False)
    assert made(player, "bus.A", "T1.stock.left") == SIDE_CLOTHS["A"]
    assert made(player, "T1.stock.right", "bus.B") == SIDE_CLOTHS["B"]
    assert made(player, "M1.m", "T1.stock.left") == SIDE_CLOTHS["A"], "the rail is fed by now"
    assert made(player, "bus.B", "M1.k") == SIDE_CLOTHS["B"]
    assert made(player, "M1.p", "T1.frog") == FROG_CLOTH
    assert len({SIDE_CLOTHS["A"], SIDE_CLOTHS["B"], FROG_CLOTH}) == 3


def test_a_wire_between_what_nothing_feeds_has_none_of_the_three_colours() -> None:
    player = Player(level_path("left-hand"), watching=False)
    assert made(player, "M1.m", "M1.k") not in {*SIDE_CLOTHS.values(), FROG_CLOTH}


def test_a_side_that_is_not_proved_gives_no_colour_away() -> None:
    player = Player(level_path("unmarked"), watching=False)
    assert made(player, "M1.e", "T1.stock.right") not in SIDE_CLOTHS.values()
    player.bench.act(Plug(False))
    player.probe("red", "bus.A")
    player.probe("black", "T1.stock.right")
    player.wait(0.2)
    assert made(player, "M1.g", "T1.stock.right") == SIDE_CLOTHS["A"]


def test_the_players_own_colour_stays_when_an_end_is_moved() -> None:
    player = Player(level_path("left-hand"), watching=False)
    made(player, "bus.A", "T1.stock.left")
    player.click(player.place("wire", "0"))
    player.click(player.place("menu", "rose"))
    player.click(player.place("menu", "end-first"))
    player.click(player.place("terminal", "bus.B"))
    wire = player.stage.bench.wires[0]
    assert (wire.ends, wire.colour) == (("bus.B", "T1.stock.left"), "rose")

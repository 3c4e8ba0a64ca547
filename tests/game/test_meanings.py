"""What the meter shows is explained in one line, the first time that it shows it, and never again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.bench.writing import dump
from sim.coach.meanings import BOTH, MEANINGS
from sim.game.desk.cautioning import names_of
from sim.game.desk.rail_names import rail_line
from sim.resources import level_path
from sim.session.acts import Do, Plug, Power, Predict
from tests.game.lettering import unseen, watching
from tests.game.playing import Player
from tests.session.benches import bench


def measured(player: Player, red: str, black: str) -> str:
    """What is explained after a measurement: the sentence, or nothing."""
    player.probe("red", red)
    player.probe("black", black)
    player.wait(0.1)
    return MEANINGS.get(player.bench.view.meaning, "")


def unplugged(path: Path) -> Player:
    player = Player(path, watching=False)
    player.bench.act(Plug(False))
    return player


def test_buzzer_and_over_the_limit_are_explained_once_each() -> None:
    player = unplugged(level_path("first-frog"))
    assert "O.L: over the limit of 10 megohm" in measured(player, "T1.frog", "T1.stock.left")
    assert "The buzzer sounds below 40 ohm" in measured(player, "bus.B", "T1.stock.right")
    player.key(pygame.K_BACKSPACE)
    assert player.bench.view.meaning == "", "it goes with the next thing that is done"
    assert measured(player, "T1.frog", "T1.stock.left") == ""
    assert measured(player, "bus.B", "T1.stock.right") == ""


def test_so_many_kilohm_are_told_to_be_as_good_as_open(tmp_path: Path) -> None:
    file = tmp_path / "stood.toml"
    file.write_text(dump(bench(frog=None, end="T1.toe", mm=40.0)))
    player = unplugged(file)
    assert "wire and rail read below 2 ohm" in measured(player, "T1.stock.left", "T1.stock.right")
    value = player.bench.snapshot.meter.value
    assert value is not None
    assert value > 10e3


def test_a_zigzag_without_power_is_explained_once_and_by_the_rail_itself() -> None:
    player = Player(level_path("right-hand"), watching=False)
    player.bench.act(Do(MakeWire("bus.A", "T1.stock.left")), Do(MakeWire("bus.B", "T1.stock.left")))
    player.wait(0.1)
    assert player.bench.view.caution is not None, "the caution comes first"
    player.key(pygame.K_ESCAPE)
    player.key(pygame.K_z, pygame.KMOD_CTRL)
    player.key(pygame.K_z, pygame.KMOD_CTRL | pygame.KMOD_SHIFT)
    assert MEANINGS.get(player.bench.view.meaning, "").startswith("Zigzag: ")
    player.key(pygame.K_ESCAPE)
    assert player.bench.view.meaning == ""
    line = max(player.stage.lines["T1.stock.left"], key=len)
    places = [(float(x), float(y)) for x, y in line[:: max(1, len(line) // 40)]]
    said = {rail_line(player.stage, player.bench.snapshot, at) for at in places}
    assert "Left stock rail: joined to both sides, a short once there is power" in said
    bare = {rail_line(player.stage, player.bench.snapshot, at, bare=True) for at in places}
    assert not any("joined to both" in line for line in bare), "what is not shown is not told"


def test_under_power_it_is_a_short_and_no_zigzag_is_explained() -> None:
    player = Player(level_path("right-hand"), watching=False)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    player.key(pygame.K_ESCAPE)
    player.bench.act(Do(MakeWire("bus.A", "T1.stock.left")))
    player.key(pygame.K_ESCAPE)
    player.bench.act(Do(MakeWire("bus.B", "T1.stock.left")))
    player.wait(1.0)
    assert player.bench.snapshot.fault is not None
    assert player.bench.view.meaning == ""


def test_a_zigzag_that_is_left_when_the_plug_is_pulled_after_a_short_is_explained() -> None:
    player = Player(level_path("three-screws"), watching=False)
    player.key(pygame.K_1)
    player.wait(3.0)
    assert player.bench.snapshot.fault is not None
    player.key(pygame.K_u)
    assert MEANINGS.get(player.bench.view.meaning, "").startswith("Zigzag: ")


def test_what_has_been_explained_is_kept_for_the_next_start() -> None:
    player = unplugged(level_path("first-frog"))
    measured(player, "T1.frog", "T1.stock.left")
    assert "over" in names_of(player.window.book.settings()["cautions"])


def test_nothing_is_explained_while_ohms_are_measured_with_the_supply_plugged_in() -> None:
    player = Player(level_path("first-frog"), watching=False)
    player.probe("red", "T1.frog")
    player.probe("black", "T1.stock.left")
    player.wait(0.1)
    assert player.bench.view.meaning == ""


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize("name", MEANINGS)
def test_each_line_is_read_whole(name: str, theme: str, size: tuple[int, int]) -> None:
    player = Player(level_path("right-hand"), size, theme, watching=False)
    if name == BOTH:
        player.bench.act(Do(MakeWire("bus.A", "T1.stock.left")), Do(MakeWire("bus.B", "T1.stock.left")))
    player.bench.view = replace(player.bench.view, meaning=name, caution=None)
    with watching() as lettering:
        shown = player.window.theme
        look = player.bench.sprites(player.window.rooms, shown)
        page = lettering.page(look, player.window.rooms.size, shown.words.of)
    assert not unseen(page, MEANINGS[name])

"""What the meter shows is explained in one line, the first time that it shows it, and never again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim.bench.writing import dump
from sim.coach.meanings import MEANINGS
from sim.game.desk.cautioning import names_of
from sim.resources import level_path
from sim.session.acts import Plug
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
    player.bench.view = replace(player.bench.view, meaning=name)
    with watching() as lettering:
        shown = player.window.theme
        look = player.bench.sprites(player.window.rooms, shown)
        page = lettering.page(look, player.window.rooms.size, shown.words.of)
    assert not unseen(page, MEANINGS[name])

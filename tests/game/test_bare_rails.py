"""In a job that hides the sides of rails they are bare metal until they are proved; the player can ask for it too."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from sim.bench.writing import dump
from sim.game.items.common.commands import SetUp
from sim.resources import level_path
from sim.session.acts import Plug
from tests.game.playing import Player
from tests.session.benches import bench


def tagged(player: Player) -> list[str]:
    """Rails that bear a letter, by the pixels of the mat where it stands: it is amber or violet, the mat is neither."""
    picture, theme = player.picture(), player.window.theme
    found = []
    for section, x, y in player.stage.tags:
        around = [picture.get_at((round(x) + dx, round(y) + dy)) for dx in (-6, 6) for dy in (-5, 5)]
        letters = {tuple(theme[role]) for role in ("side-a", "side-b", "side-a-light")}
        if any(tuple(colour)[:3] in letters for colour in around):
            found.append(section)
    return found


@pytest.mark.parametrize("theme", ["night", "hall"])
def test_a_rail_has_no_letter_before_it_is_measured_against_a_bus_bar(theme: str) -> None:
    player = Player(level_path("unmarked"), theme=theme, watching=False)
    player.bench.act(Plug(False))
    assert tagged(player) == []
    player.probe("red", "bus.A")
    player.probe("black", "T1.stock.right")
    player.wait(0.2)
    assert set(tagged(player)) == {"T1.stock.right"}


def test_jobs_that_show_sides_still_do() -> None:
    assert tagged(Player(level_path("left-hand"), watching=False)) == []  # nothing is wired there
    player = Player(level_path("first-frog"), watching=False)
    assert {"T1.stock.left", "T1.stock.right"} <= set(tagged(player))


def test_the_player_can_have_bare_rails_in_every_job_and_it_is_kept() -> None:
    player = Player(level_path("three-screws"), watching=False)
    player.key(pygame.K_F2)
    player.window.do(SetUp("sides", "proved"))
    assert player.window.book.settings()["sides"] == "proved"
    player.key(pygame.K_F2)
    player.wait(0.1)
    assert tagged(player) == []
    player.window.do(SetUp("sides", "job"))
    player.wait(0.1)
    assert {"T1.stock.left", "T1.stock.right"} <= set(tagged(player))


def test_a_board_from_below_is_bare_too() -> None:
    assert tagged(Player(level_path("from-below"), watching=False)) == []


def test_which_way_an_engine_drives_is_told_on_bare_rails_too(tmp_path: Path) -> None:
    file = tmp_path / "dc.toml"
    file.write_text(dump(bench(kind="dc", supply="on = true")))
    shown, bare = (Player(file, watching=False) for _ in range(2))
    bare.window.do(SetUp("sides", "proved"))
    bare.wait(0.1)
    shown.wait(0.1)
    assert tagged(shown)
    assert tagged(bare) == []
    throttles = [pygame.image.tobytes(p.picture().subsurface(p.window.rooms.throttle), "RGB") for p in (shown, bare)]
    assert throttles[0] == throttles[1]

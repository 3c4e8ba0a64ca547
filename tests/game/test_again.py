"""Beginning a job again: by key or at the sheet, asked first when there is anything to lose."""

from __future__ import annotations

import pygame
import pytest

from sim.game.app.shelf import Shelf
from sim.game.desk.hit import areas, under
from sim.game.items.common.commands import OpenLevel, SetUp
from sim.game.whereabouts.area import middle_of
from sim.game.whereabouts.viewstate import Target
from sim.resources import level_path
from sim.session.acts import Plug, Power, Predict
from tests.game.playing import GOOD_WIRES, Player

CTRL = pygame.KMOD_CTRL


def wires(player: Player) -> int:
    return len(player.bench.snapshot.bench.wires)


def asked(player: Player) -> bool:
    return player.bench.view.begin_asked


def folded(player: Player) -> bool:
    return player.bench.view.folded


def below(player: Player) -> bool:
    return player.stage.below


@pytest.fixture
def player() -> Player:
    """Somebody who has made one wire."""
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[0])
    return player


def test_by_key_it_asks_and_enter_means_yes(player: Player) -> None:
    player.key(pygame.K_r, CTRL)
    assert asked(player)
    assert wires(player) == 1
    player.key(pygame.K_RETURN)
    assert not asked(player)
    assert wires(player) == 0
    assert player.bench.session.record == ()


def test_escape_means_no_and_does_not_leave_the_bench(player: Player) -> None:
    bench = player.bench
    player.key(pygame.K_r, CTRL)
    player.key(pygame.K_ESCAPE)
    assert player.bench is bench
    assert not asked(player)
    assert wires(player) == 1


def test_by_mouse_at_the_sheet(player: Player) -> None:
    player.click(player.place("again", "ask"))
    assert asked(player)
    player.click(player.place("again", "no"))
    assert wires(player) == 1
    player.click(player.place("again", "ask"))
    player.click(player.place("again", "yes"))
    assert wires(player) == 0


def test_while_it_is_asked_nothing_else_can_be_done_and_a_click_beside_means_no(player: Player) -> None:
    plug, screw = player.place("plug", "supply"), player.place("terminal", "M1.k")
    player.key(pygame.K_r, CTRL)
    player.key(pygame.K_u)
    player.key(pygame.K_DELETE)
    assert not player.bench.snapshot.supplies[0].plugged
    player.click(plug)
    assert not player.bench.snapshot.supplies[0].plugged
    assert not asked(player)
    player.key(pygame.K_r, CTRL)
    player.drag(screw, player.place("terminal", "T1.frog"))
    assert wires(player) == 1


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
def test_its_buttons_are_on_the_mat_and_can_be_hit(player: Player, size: tuple[int, int], theme: str) -> None:
    player.window.do(SetUp("theme", theme))
    player.window.resize(size)
    player.key(pygame.K_r, CTRL)
    every = areas(player.stage, player.bench.snapshot, player.bench.view)
    for name in ("yes", "no"):
        area = next(area for area in every if area.target == Target("again", name))
        assert player.stage.rooms.mat.contains(area.rect)
        assert min(area.rect.size) >= 24
        for at in (middle_of(area), (area.rect.x + 2, area.rect.y + 2)):
            assert under(player.stage, player.bench.snapshot, player.bench.view, at) == area.target


def test_where_nothing_was_done_there_is_nothing_to_ask() -> None:
    player = Player()
    before = player.bench
    player.key(pygame.K_r, CTRL)
    assert player.bench is not before
    assert not asked(player)


def test_a_bench_that_was_taken_up_again_asks_too(player: Player) -> None:
    player.key(pygame.K_ESCAPE)
    player.window.opening.shelf = Shelf(player.window.book, player.window.cautioning)
    player.window.do(OpenLevel("right-hand"))
    assert wires(player) == 1
    player.key(pygame.K_r, CTRL)
    assert asked(player)
    player.key(pygame.K_RETURN)
    assert wires(player) == 0


def test_from_a_result_it_asks_on_the_bench(player: Player) -> None:
    player.key(pygame.K_t)
    player.wait_for_result()
    player.key(pygame.K_r, CTRL)
    assert player.bench.result is None
    assert asked(player)


def test_too_late_to_say_it_first_tells_how_to_begin_again() -> None:
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[2])
    player.bench.act(Predict("T1", "normal", "left"), Predict("T1", "diverging", "right"), Plug(True), Power(True))
    player.bench.act(Predict("T1", "normal", "right"))
    assert "begin the job again (Ctrl+R)" in player.bench.snapshot.log[-1]
    player.key(pygame.K_r, CTRL)
    player.key(pygame.K_RETURN)
    player.click(player.place("predict", "normal/right"))
    assert [said.side for said in player.bench.snapshot.predictions] == ["right"]


def test_a_job_under_the_board_opens_from_below_with_its_sheet_to_be_read() -> None:
    player = Player(level_path("from-below"))
    assert below(player)
    assert not folded(player)
    player.click(player.place("predict", "normal/left"))
    assert folded(player)  # at work the bars under it are needed
    player.key(pygame.K_j)
    player.click(player.place("predict", "diverging/right"))
    assert not folded(player)
    player.key(pygame.K_v)
    assert not below(player)
    player.bench.act(Plug(True))
    player.key(pygame.K_r, CTRL)
    player.key(pygame.K_RETURN)
    assert below(player)
    assert not below(Player(level_path("left-hand")))

"""Cautions at the window: each once for a player, never in the way, and all to be read again."""

from __future__ import annotations

import pygame

from sim.coach.cautions import CAUTIONS
from sim.game.app.window import Window
from sim.game.desk.hit import areas
from sim.game.items.common.commands import OpenLevel, Page, SetUp, ShowPage
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.cautions_page import CautionsScreen
from sim.game.screens.marksbook import Forgetful
from sim.game.screens.paging import real_board
from sim.game.screens.settings_page import SettingsScreen
from sim.game.whereabouts.area import Area
from sim.resources import level_path
from tests.game.playing import GOOD_WIRES, LEVEL, Player


def shown(player: Player) -> str:
    """The caution that stands on the bench; empty when none does."""
    caution = player.bench.view.caution
    return "" if caution is None else caution.name


def at_work(book: Forgetful) -> Player:
    """Somebody whose book of marks is that."""
    player = Player()
    player.window = Window((1280, 800), LEVEL, book)
    player.look()
    return player


def test_each_stands_where_it_belongs_and_goes_with_the_next_act() -> None:
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[0])
    assert shown(player) == "solder"
    player.wait(30.0)
    assert shown(player) == "solder"  # it waits to be read, however long that takes
    player.key(pygame.K_u)
    assert shown(player) == "mains"
    player.click(player.place("dial", "buzzer"))
    assert shown(player) == ""
    player.probe("red", "M1.p")
    player.probe("black", "M1.m")
    assert shown(player) == "ohms"
    player.key(pygame.K_BACKSPACE)
    assert shown(player) == ""


def test_a_click_beside_everything_puts_it_away() -> None:
    player = Player()
    player.key(pygame.K_u)
    assert shown(player) == "mains"
    mat = player.stage.rooms.mat
    player.click((mat.centerx, mat.centery - 20))
    assert shown(player) == ""


def test_it_blocks_no_hand() -> None:
    """What lies under the slip can be taken as if it were not there."""
    player = Player()
    before = {(a.target, tuple(a.rect)) for a in _areas(player)}
    player.wire_by_drag(*GOOD_WIRES[0])
    assert shown(player) == "solder"
    now = {(a.target, tuple(a.rect)) for a in _areas(player)}
    assert before - now <= {row for row in before if row[0].kind in {"top", "probe"}}
    player.wire_by_drag(*GOOD_WIRES[1])
    assert len(player.bench.snapshot.bench.wires) == 2


def _areas(player: Player) -> list[Area]:
    return areas(player.stage, player.bench.snapshot, player.bench.view)


def test_once_for_a_player_and_not_once_for_a_bench_or_a_start() -> None:
    book = Forgetful()
    player = at_work(book)
    player.wire_by_drag(*GOOD_WIRES[0])
    assert shown(player) == "solder"
    player.wire_by_drag(*GOOD_WIRES[1])
    assert shown(player) == ""
    player.window.do(OpenLevel("left-hand"))
    player.look()
    player.wire_by_drag("bus.A", "T1.stock.left")
    assert shown(player) == ""
    assert book.settings()["cautions"] == "solder"
    later = at_work(book)
    later.wire_by_drag(*GOOD_WIRES[0])
    assert shown(later) == ""
    later.key(pygame.K_u)
    assert shown(later) == "mains"
    assert book.settings()["cautions"] == "mains,solder"
    stranger = at_work(Forgetful())
    stranger.wire_by_drag(*GOOD_WIRES[0])
    assert shown(stranger) == "solder"


def test_a_kept_line_that_makes_no_sense_is_as_if_there_were_none() -> None:
    book = Forgetful()
    book.set("cautions", "solder ,,lamps,mains")
    player = at_work(book)
    player.wire_by_drag(*GOOD_WIRES[0])
    assert shown(player) == "solder"
    player.key(pygame.K_u)
    assert shown(player) == ""


def test_a_short_is_cautioned_too() -> None:
    player = Player(level_path("three-screws"))
    for _ in range(3):
        player.key(pygame.K_1)
        player.wait(2.0)
        if player.bench.snapshot.fault is not None:
            break
    assert player.bench.snapshot.fault is not None
    assert shown(player) == "short"


def test_all_can_be_read_again_by_mouse_and_by_keys() -> None:
    player = Player()
    player.key(pygame.K_F2)
    settings = player.window.screen
    assert isinstance(settings, SettingsScreen)
    spot = settings.arranged(player.window.rooms, player.window.theme).places["", "cautions"].center
    player._post(pygame.MOUSEBUTTONDOWN, pos=spot, button=1)
    assert player.on(CautionsScreen)
    player.key(pygame.K_ESCAPE)
    assert player.on(SettingsScreen)
    player.key(pygame.K_ESCAPE)
    assert player.on(BenchScreen)
    player.key(pygame.K_F2)
    for _ in range(2):
        player.key(pygame.K_TAB, pygame.KMOD_SHIFT)
    player.key(pygame.K_RETURN)
    assert player.on(CautionsScreen)
    player.key(pygame.K_RETURN)
    assert player.on(SettingsScreen)


def test_the_page_holds_every_one_at_every_size() -> None:
    for size in ((1024, 720), (1280, 800), (1920, 1080)):
        for theme in ("night", "hall"):
            player = Player(None, size, watching=False)
            player.window.do(SetUp("theme", theme))
            player.window.do(ShowPage(Page.CAUTIONS))
            rooms = player.window.rooms
            sheet = player.window.screen.sprites(rooms, player.window.theme)[-1]
            assert sheet.y + sheet.surface.get_height() <= rooms.size[1] + 12 * rooms.unit
            assert len(CAUTIONS) == 5


def says_it(player: Player) -> bool:
    """Whether the slip about the real board is on the screen."""
    slip = real_board(player.stage).surface
    sprites = player.bench.sprites(player.window.rooms, player.window.theme)
    return any(sprite.surface is slip for sprite in sprites)


def test_a_pass_says_what_it_is_not_worth() -> None:
    player = Player()
    for wire in GOOD_WIRES:
        player.wire_by_clicks(*wire)
    player.key(pygame.K_t)
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    assert result.passed
    assert says_it(player)
    player.key(pygame.K_ESCAPE)
    player.key(pygame.K_z, pygame.KMOD_CTRL)
    player.key(pygame.K_t)
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    assert not result.passed
    assert not says_it(player)

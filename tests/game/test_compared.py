"""Two wirings of the test track compared: kept, laid out again, left and forgotten."""

from __future__ import annotations

import pygame
import pytest

from sim.bench.edits import MakeWire, RemoveWire, SetPlace
from sim.game.desk.hit import areas
from sim.game.items.cards.drawer import KEPT_WORDS
from sim.resources import test_track_path as start_path
from sim.session.acts import Do
from tests.game.lettering import Page, unseen, watching
from tests.game.playing import Player
from tests.game.yard import CTRL, bench, track, wait_for, wire


def test_two_wirings_are_compared_and_either_is_laid_out_again() -> None:
    player = track()
    wire(player)
    first = bench(player)
    player.key(pygame.K_k)
    assert player.bench.view.first == first
    for edit in (RemoveWire(3), RemoveWire(3), MakeWire("bus.A", "M1.m"), MakeWire("bus.B", "M1.p")):
        player.bench.act(Do(edit))
    second = bench(player)
    player.click(player.place("button", "compare"))
    wait_for(player, "compared")
    player.look()
    compared = player.bench.view.compared
    assert compared is not None
    found = compared[2]
    assert (found.first.passed, found.second.passed) == (True, False)
    assert len(found.differences) == 4
    assert {a.target.kind for a in areas(player.stage, player.bench.snapshot, player.bench.view)} == {"compare"}
    player.click(player.place("compare", "first"))
    assert bench(player) == first
    assert player.bench.view.compared is None
    player.key(pygame.K_z, CTRL)
    assert bench(player) == second


def laid_open() -> Player:
    """The sheet of two wirings, one of them with a bond less."""
    player = track()
    wire(player)
    player.key(pygame.K_k)
    player.bench.act(Do(SetPlace("T1.bond.left", "open")))
    player.key(pygame.K_k)
    wait_for(player, "compared")
    return player


def test_the_sheet_is_left_by_keys_and_the_first_forgotten() -> None:
    player = laid_open()
    player.key(pygame.K_p)
    assert not player.switched_on(), "nothing under the sheet is reached"
    player.key(pygame.K_ESCAPE)
    assert player.bench.view.compared is None
    player.key(pygame.K_k)
    wait_for(player, "compared")
    player.focus("compare", "forget")
    player.key(pygame.K_RETURN)
    assert (player.bench.view.compared, player.bench.view.first) == (None, None)


def test_while_the_sheet_lies_open_keys_do_nothing_under_it() -> None:
    player = laid_open()
    before = player.bench.view
    for key in (pygame.K_o, pygame.K_w, pygame.K_LEFTBRACKET, pygame.K_c, pygame.K_l, pygame.K_f, pygame.K_a):
        player.key(key)
        now = player.bench.view
        assert (now.work, now.sleeves, now.pace, now.lens, now.slip, now.folded) == (
            before.work, before.sleeves, before.pace, before.lens, before.slip, before.folded
        ), pygame.key.name(key)  # fmt: skip
    player.key(pygame.K_k)
    assert (player.bench.view.compared, player.bench.view.work) == (None, None), "K goes back"


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_keeping_a_wiring_as_the_first_is_said_until_the_bench_changes(size: tuple[int, int], theme: str) -> None:
    player = Player(start_path(), size, theme)
    wire(player)
    player.key(pygame.K_a)  # also with the drawer folded away
    player.key(pygame.K_k)
    assert not unseen(page_of(player), KEPT_WORDS)
    player.bench.act(Do(RemoveWire(3)))
    assert unseen(page_of(player), KEPT_WORDS)


def page_of(player: Player) -> Page:
    """What is written on the screen now."""
    rooms, theme = player.window.rooms, player.window.theme
    with watching() as lettering:
        return lettering.page(player.bench.sprites(rooms, theme), rooms.size, theme.words.of)

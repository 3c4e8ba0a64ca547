"""The lid over a motor's contacts: off once the meter has found them, or always where the player wants that."""

from __future__ import annotations

import pygame
import pytest

from sim.game.items.common.commands import SetUp
from sim.game.picture.mounted import contacts_seen
from sim.resources import level_path
from tests.game.lettering import watching
from tests.game.playing import Player


def seen(player: Player) -> tuple[int, ...]:
    """Numbers of the contacts of the motor that lie open on the screen."""
    shot = player.bench.snapshot
    return contacts_seen(shot, shot.bench.motors[0], player.bench.view.lids_off)


def motor_picture(player: Player) -> bytes:
    place = player.stage.fixtures.blocks[0]
    lid = pygame.Rect(place.housing.x, place.housing.y, place.housing.width, place.face.y - place.housing.y)
    player.key(pygame.K_BACKSPACE)
    player.point((5, 795))
    player.look()
    return pygame.image.tobytes(player.surface.subsurface(lid), "RGB")


def test_the_meter_takes_the_lid_off() -> None:
    player = Player()
    closed = motor_picture(player)
    assert seen(player) == ()
    player.probe("red", "M1.p")
    player.probe("black", "M1.m")
    player.wait(0.1)
    assert seen(player) == ()
    player.click(player.place("lever", "T1"))
    player.wait(2.0)
    player.probe("black", "M1.k")
    player.wait(0.1)
    assert seen(player) == (0,)  # the other one has not been looked for
    found = motor_picture(player)
    assert found != closed
    player.click(player.place("lever", "T1"))
    player.wait(2.0)
    assert motor_picture(player) != found  # its arm is seen to change over


def test_marked_contacts_have_no_lid() -> None:
    assert seen(Player(level_path("left-hand"))) == (0,)


def test_a_short_shows_the_contact_that_it_goes_through_and_no_other() -> None:
    player = Player()
    player.drive_into_a_short()
    assert seen(player) == (0,)


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
def test_the_lid_can_be_off_always(theme: str) -> None:
    player = Player()
    player.key(pygame.K_F2)
    player.window.do(SetUp("theme", theme))
    player.window.do(SetUp("contacts", "always"))
    assert player.window.book.settings()["contacts"] == "always"
    player.key(pygame.K_F2)
    player.wait(0.1)
    assert seen(player) == (0, 1)
    assert Player().window.settings.lids_off is False
    player.window.do(SetUp("contacts", "found"))
    player.wait(0.1)
    assert seen(player) == ()


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("contacts", ["found", "always"])
def test_a_motors_name_is_read_on_it_with_the_lid_on_and_off(
    contacts: str, theme: str, size: tuple[int, int]
) -> None:
    player = Player(level_path("first-frog"), size, theme, watching=False)
    player.window.do(SetUp("contacts", contacts))
    player.wait(0.1)
    for _ in range(2):
        with watching() as lettering:
            shown, look = player.window.theme, player.bench.sprites(player.window.rooms, player.window.theme)
            page = lettering.page(look, size, shown.words.of)
        housing = player.stage.fixtures.blocks[0].housing
        named = [text for text in page.texts if text.words == "Motor M1" and housing.contains(text.box)]
        assert len(named) == 1
        assert not named[0].cut
        player.key(pygame.K_v)  # and from below

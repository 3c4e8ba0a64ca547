"""Levers at the window: one for all that a motor moves, one for each switch; switches laid, changed and taken away."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pygame
import pytest

from sim.bench.levers import filed_settings
from sim.game.desk.naming import name_words
from sim.game.draw.instruments.throttle import LEVERS, Stand, throttle
from sim.game.draw.pen.panel import box_of
from sim.game.items.cards.piece_choices import piece_edit, piece_title
from sim.game.items.panels.throttle_panel import levers
from sim.game.look.theme import theme_names
from sim.game.picture.mounted import mounted
from sim.game.whereabouts.viewstate import Target
from sim.resources import test_track_path as start_path
from tests.game.lettering import watching
from tests.game.playing import Player
from tests.session.levers import YARD


@pytest.fixture
def player(tmp_path: Path) -> Player:
    """At the yard: a crossover under M1, a wye T3 without a motor, switch S1."""
    file = tmp_path / "yard.toml"
    file.write_text(YARD)
    return Player(file)


def _drives(player: Player) -> tuple[str, ...]:
    return player.bench.snapshot.bench.motors[0].drives


def _stand(player: Player) -> dict[str, str]:
    return filed_settings(player.bench.snapshot.bench)


def test_what_is_thrown_together_has_one_lever_with_its_names(player: Player) -> None:
    every = levers(player.stage, player.bench.snapshot)
    assert [(lever.piece, lever.names) for lever in every] == [("T1", ("T1+T2", "M1")), ("T3", ()), ("S1", ())]
    assert len(every) <= LEVERS
    for name, told in (
        ("T1", "Lever: throws the points of T1 and T2. Key 1"),
        ("T3", "Lever: throws the points of T3. Key 2"),
        ("S1", "Lever: switch S1. Key 3"),
    ):
        assert name_words(player.stage, player.bench.snapshot, player.bench.view, Target("lever", name)) == told
    blades = Target("blade", "T2")
    told = name_words(player.stage, player.bench.snapshot, player.bench.view, blades)
    assert told == "Blades of T2: a click throws T1 and T2. Key 1"


def test_a_click_on_the_lever_or_on_any_of_its_blades_throws_them_all(player: Player) -> None:
    player.click(player.place("lever", "T1"))
    assert set(player.bench.snapshot.throwing) == {"T1", "T2"}
    player.wait(1.2)
    assert _stand(player) == {"T1": "diverging", "T2": "diverging", "T3": "normal", "S1": "normal"}
    player.click(player.place("blade", "T2"))
    player.wait(1.2)
    assert _stand(player) == {"T1": "normal", "T2": "normal", "T3": "normal", "S1": "normal"}


def test_a_switch_is_thrown_by_its_lever_and_by_its_key(player: Player) -> None:
    player.click(player.place("lever", "S1"))
    player.wait(0.4)
    assert _stand(player) == {"T1": "normal", "T2": "normal", "T3": "normal", "S1": "diverging"}
    assert player.bench.snapshot.feeds["T3.frog"] == "B"
    player.key(pygame.K_3)
    player.wait(0.4)
    assert _stand(player)["S1"] == "normal"


def test_a_thrown_switch_looks_otherwise(player: Player) -> None:
    def boxes() -> list[bytes]:
        place = next(place for place in player.stage.fixtures.blocks if place.motor == "S1")
        parts = mounted(player.stage, player.bench.snapshot, lids_off=False)
        own = (part for part in parts if place.housing.collidepoint(part.rect.center))
        return [pygame.image.tobytes(part.surface, "RGBA") for part in own]

    before = boxes()
    player.click(player.place("lever", "S1"))
    player.wait(0.4)
    after = boxes()
    assert before
    assert before != after


def test_a_lever_out_of_the_drawer_by_itself_is_a_switch_and_can_be_taken_away() -> None:
    player = Player(start_path())
    player.click(player.place("drawer", "lever"))
    motors = player.bench.snapshot.bench.motors
    assert [(motor.id, motor.is_switch) for motor in motors] == [("M1", False), ("S1", True)]
    assert player.bench.snapshot.log[-1] == "Switch S1 put on the panel."
    player.drag(player.place("drawer", "lever"), (620.0, 420.0))
    assert player.bench.snapshot.bench.motors[2].id == "S2"
    player.click(player.place("motor", "S1"))
    assert piece_title(player.bench.snapshot.bench, "S1") == "Switch S1"
    player.click(player.place("piece-slip", "remove"))
    assert [motor.id for motor in player.bench.snapshot.bench.motors] == ["M1", "S2"]


def test_a_motors_slip_gives_it_further_points_and_takes_them_away(player: Player) -> None:
    player.click(player.place("motor", "M1"))
    player.click(player.place("piece-slip", "moves:T3"))
    assert _drives(player) == ("T1", "T2", "T3")
    for points in ("T1", "T2"):
        player.click(player.place("piece-slip", f"moves:{points}"))
    assert _drives(player) == ("T3",)
    assert piece_edit(player.bench.snapshot.bench, "M1", "moves:T3") is None, "a motor has to move something"


def test_a_lever_whose_last_points_are_taken_is_a_switch_that_stands_as_they_did(player: Player) -> None:
    player.click(player.place("motor", "M1"))
    for choice in ("by:hand", "moves:T2"):
        player.click(player.place("piece-slip", choice))
    player.click(player.place("lever", "T1"))
    player.wait(1.2)
    player.click(player.place("motor", "M1"))
    player.click(player.place("piece-slip", "moves:T1"))
    motor = player.bench.snapshot.bench.motors[0]
    assert (motor.is_switch, motor.set) == (True, "diverging")
    assert piece_edit(player.bench.snapshot.bench, "M1", "by:motor") is None
    player.click(player.place("piece-slip", "moves:T1"))
    assert player.bench.snapshot.bench.motors[0].drives == ("T1",)


@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize("size", [(1024, 720), (1366, 768), (1920, 1080)])
def test_under_each_of_several_levers_stands_how_it_lies(tmp_path: Path, size: tuple[int, int], light: str) -> None:
    file = tmp_path / "yard.toml"
    file.write_text(YARD)
    player = Player(file, size, light, watching=False)
    player.click(player.place("lever", "T3"))
    player.wait(1.2)
    panel = box_of(player.stage.rooms.throttle)
    stand = Stand("", 0, 1, True)
    every = tuple(levers(player.stage, player.bench.snapshot))
    with watching() as lettering:
        drawn = throttle(panel, player.stage.unit, player.window.theme, stand, every, 0)
        page = lettering.page([drawn.sprite], size, str)
    under = sorted(
        (text.box.centerx, text.words) for text in page.texts if text.words in {"normal", "diverging", "N", "D"}
    )
    assert [words[0].upper() for _, words in under] == ["N", "D", "N"]
    assert not any(one[0] == other[0] for one, other in pairwise(under))

"""Hints on the job sheet: asked for by button or key, told further each time, gone when their step is done."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from sim.game.draw.slips.sheet import Page
from sim.game.items.panels.job_sheet import page_of
from sim.game.whereabouts.viewstate import Target
from sim.resources import level_path
from tests.game.playing import Player


@pytest.fixture
def player() -> Player:
    return Player(level_path("right-hand"))


def told(player: Player) -> tuple[int, str] | None:
    hint = player.bench.view.hint
    return None if hint is None else (hint.stage, hint.text)


def test_the_button_tells_a_question_then_a_place_then_the_change(player: Player) -> None:
    hint = None
    for stage in (1, 2, 3, 3):
        player.click(player.place("button", "hint"))
        hint = told(player)
        assert hint is not None
        assert hint[0] == stage
        assert (player.bench.view.pointed is not None) == (stage > 1)
    assert hint is not None
    assert hint[1] == "Say: right, with the points normal."


def test_the_thing_that_is_pointed_out_can_be_clicked_and_the_hint_goes_when_it_is_done(player: Player) -> None:
    for _ in range(3):
        player.key(pygame.K_h)
    pointed = player.bench.view.pointed
    assert pointed is not None
    assert pointed.targets == (Target("predict", "normal/right"),)
    player.click(player.place(*pointed.targets[0]))
    assert player.bench.snapshot.predictions
    assert told(player) is None
    assert player.bench.view.pointed is None


def test_the_next_hint_begins_again_with_a_question(player: Player) -> None:
    for _ in range(3):
        player.key(pygame.K_h)
    player.click(player.place("predict", "normal/right"))
    player.key(pygame.K_h)
    hint = told(player)
    assert hint is not None
    assert hint[0] == 1
    assert hint[1].endswith("?")


def test_an_act_that_does_not_do_it_leaves_the_hint_open(player: Player) -> None:
    player.key(pygame.K_h)
    before = told(player)
    player.key(pygame.K_d)
    player.wait(0.2)
    assert told(player) == before


def test_escape_puts_the_hint_away_before_it_leaves_the_bench(player: Player) -> None:
    player.key(pygame.K_h)
    player.key(pygame.K_ESCAPE)
    assert told(player) is None
    assert player.bench.session.steps > 0


def test_a_hint_unfolds_the_sheet(player: Player) -> None:
    player.key(pygame.K_j)
    assert player.bench.view.folded
    player.key(pygame.K_h)
    assert not player.bench.view.folded


def test_a_bench_of_ones_own_says_that_a_hint_needs_a_job(tmp_path: Path) -> None:
    text = level_path("right-hand").read_text(encoding="utf-8").split("[level]")[0]
    file = tmp_path / "own.toml"
    file.write_text(text, encoding="utf-8")
    own = Player(file)
    own.key(pygame.K_h)
    said = own.bench.view.said
    assert said is not None
    assert "job" in said.lines[0]
    assert told(own) is None, "nothing lies open that is not seen"


def test_a_hint_asked_for_in_a_short_is_read_in_place_of_the_loop_which_comes_back_when_it_is_put_away() -> None:
    player = Player(watching=False)
    player.drive_into_a_short()
    player.wait(2.0)
    loop = sheet(player).story
    assert loop
    player.key(pygame.K_h)
    hint = told(player)
    assert hint is not None
    assert hint[0] == 1
    assert not sheet(player).story
    shown = sheet(player).hint
    assert shown is not None
    assert hint[1] in shown[1]
    player.key(pygame.K_ESCAPE)
    assert told(player) is None
    assert sheet(player).story == loop


def test_a_hint_that_lies_open_makes_room_for_a_short() -> None:
    player = Player(watching=False)
    player.key(pygame.K_h)
    player.drive_into_a_short()
    assert told(player) is None
    assert sheet(player).story


def sheet(player: Player) -> Page:
    """What stands on the job sheet."""
    return page_of(player.stage, player.bench.snapshot, player.bench.view)

"""Bench files opened lately stand on the list of jobs, the last one first; a file that has gone can be taken off."""

from __future__ import annotations

import os
from pathlib import Path

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.bench.reading import load
from sim.game.app.window import Window
from sim.game.items.common.commands import SaveTo, Unlist
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.progress import Progress
from sim.resources import level_path
from sim.session.acts import Do
from sim.track.formations import KINDS
from sim.words import plain
from tests.game.playing import Player


@pytest.fixture
def files(tmp_path: Path) -> list[Path]:
    text = level_path("right-hand").read_text(encoding="utf-8").split("[level]")[0]
    out = [tmp_path / "yard throat.toml", tmp_path / "dock.toml"]
    for file in out:
        file.write_text(text, encoding="utf-8")
    return out


@pytest.fixture
def player(tmp_path: Path) -> Player:
    player = Player(None, watching=False)
    player.window = Window((1280, 800), None, Progress(tmp_path / "marks.sqlite"))
    return player


def lines(player: Player) -> list[str]:
    """The benches of one's own on the list."""
    assert isinstance(player.window.screen, JobsScreen)
    return [job.title for job in player.window.screen.jobs if job.own]


def drop(player: Player, file: Path) -> None:
    player.window.handle(pygame.event.Event(pygame.DROPFILE, {"file": str(file)}))
    assert isinstance(player.window.screen, BenchScreen)
    player.key(pygame.K_ESCAPE)


def choose(player: Player, title: str) -> None:
    """Go down the list with the key until that line is chosen."""
    screen = player.window.screen
    assert isinstance(screen, JobsScreen)
    for _ in range(len(screen.jobs) + 1):
        player.key(pygame.K_DOWN)
        if screen.jobs[screen.chosen].title == title:
            return
    raise AssertionError(f"no line {title}")


def test_the_test_track_is_a_line_of_its_own(player: Player) -> None:
    assert lines(player) == ["Test track"]
    choose(player, "Test track")
    player.key(pygame.K_RETURN)
    assert player.bench.snapshot.bench.level is None
    player.key(pygame.K_ESCAPE)
    assert lines(player) == ["Test track"]  # it comes with the program: no file of one's own


def test_files_opened_lately_are_listed_and_open_again(player: Player, files: list[Path]) -> None:
    for file in files:
        drop(player, file)
    assert lines(player) == ["Test track", "dock.toml", "yard throat.toml"]
    choose(player, "yard throat.toml")
    player.key(pygame.K_RETURN)
    assert plain(player.bench.view.chapter) == "yard throat.toml"
    player.key(pygame.K_ESCAPE)
    assert lines(player) == ["Test track", "yard throat.toml", "dock.toml"]


def test_a_file_that_has_gone_is_told_and_can_be_taken_off(player: Player, files: list[Path]) -> None:
    drop(player, files[1])
    files[1].unlink()
    choose(player, "dock.toml")
    screen = player.window.screen
    assert isinstance(screen, JobsScreen)
    assert "no longer" in JobsScreen(None, "", [str(files[1])]).jobs[-1].brief
    player.key(pygame.K_DELETE)
    assert lines(player) == ["Test track"]


def test_levels_are_counted_without_them(player: Player, files: list[Path]) -> None:
    screen = JobsScreen(None, "", [str(file) for file in files])
    assert sum(not job.own for job in screen.jobs) == 9
    assert [job.chapter for job in screen.jobs][-3:] == ["Your own benches"] * 3


def test_a_file_that_has_gone_is_taken_off_by_the_mouse(player: Player, files: list[Path]) -> None:
    drop(player, files[1])
    files[1].unlink()
    for answer, left in ((0, ["Test track", "dock.toml"]), (1, ["Test track"])):
        choose(player, "dock.toml")
        player.key(pygame.K_RETURN)
        question = player.window.question
        assert question is not None
        assert plain(question.title) == "dock.toml"
        player.click(question.arranged(player.window.rooms, player.window.theme).places[answer].center)
        assert lines(player) == left


def test_a_bench_that_was_left_unsaved_says_so(player: Player, files: list[Path]) -> None:
    drop(player, files[0])
    choose(player, files[0].name)
    player.key(pygame.K_RETURN)
    player.bench.act(Do(MakeWire("M1.k", "T1.frog")))
    player.wait(0.1)
    player.click(player.place("top", "jobs"))
    assert brief(player) == f"as you left it, not saved; in {files[0].parent}"
    choose(player, files[0].name)
    player.key(pygame.K_RETURN)
    player.window.do(SaveTo(files[0], over=True))
    player.key(pygame.K_ESCAPE)
    assert brief(player) == str(files[0].parent)


def brief(player: Player) -> str:
    """What the list says of the last bench."""
    assert isinstance(player.window.screen, JobsScreen)
    return player.window.screen.jobs[-1].brief


@pytest.mark.parametrize("name", [b"g\xfcterschuppen.toml", b"\xe2\x80\xae\xe2\x80\x8b.toml", b"a\nb.toml"])
def test_a_file_of_any_name_is_listed_and_stands_as_it_was_left(
    player: Player, files: list[Path], tmp_path: Path, name: bytes
) -> None:
    file = tmp_path / os.fsdecode(name)
    files[0].rename(file)

    def look() -> None:
        player.window.frame(pygame.Surface(player.window.rooms.size))

    drop(player, file)
    choose(player, file.name)
    look()
    player.key(pygame.K_RETURN)
    player.bench.act(Do(MakeWire("M1.k", "T1.frog")))
    player.wait(0.1)
    look()
    assert player.window.told == ""
    assert player.window.title
    player.click(player.place("top", "jobs"))
    assert brief(player) == f"as you left it, not saved; in {file.parent}"
    player.window = Window((1280, 800), None, Progress(tmp_path / "marks.sqlite"))
    choose(player, file.name)
    player.key(pygame.K_RETURN)
    assert [wire.ends for wire in player.bench.snapshot.bench.wires] == [("M1.k", "T1.frog")]
    player.key(pygame.K_o, pygame.KMOD_CTRL)
    look()
    player.key(pygame.K_ESCAPE)
    player.key(pygame.K_s, pygame.KMOD_CTRL)
    assert player.window.told.startswith("Saved: ")
    look()
    assert [wire.ends for wire in load(file, KINDS).wires] == [("M1.k", "T1.frog")]
    player.key(pygame.K_ESCAPE)
    file.unlink()
    choose(player, file.name)
    player.key(pygame.K_RETURN)
    look()
    player.window.do(Unlist(file))
    assert lines(player) == ["Test track"]

"""A bench that is left, or whose program is killed, stands as it was when it is opened again."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pygame
import pytest

from sim.game.app.bookkeeper import Bookkeeper
from sim.game.app.window import Window
from sim.progress import Progress
from sim.resources import level_path
from tests.game.playing import Player

LEVEL = level_path("right-hand")


@pytest.fixture
def book(tmp_path: Path) -> Progress:
    return Progress(tmp_path / "marks.sqlite")


def player_with(book: Progress, target: Path = LEVEL) -> Player:
    """Someone at a window whose book is kept."""
    player = Player(None)
    player.window = Window((1280, 800), target, Bookkeeper(book))  # as the real window has it
    player.look()
    return player


def wire(player: Player, a: str, b: str) -> None:
    player.click(player.place("terminal", a))
    player.click(player.place("terminal", b))


def test_wires_and_what_was_said_are_there_at_the_next_start(book: Progress) -> None:
    player = player_with(book)
    player.click(player.place("predict", "normal/right"))
    wire(player, "M1.k", "T1.frog")
    again = player_with(Progress(book.path)).bench.snapshot
    assert [wire.ends for wire in again.bench.wires] == [("M1.k", "T1.frog")]
    assert [(said.setting, said.side) for said in again.predictions] == [("normal", "right")]
    assert again.log[0] == "The bench stands as you left it."


def test_it_is_written_at_once_and_not_when_the_window_closes(book: Progress) -> None:
    player = player_with(book)
    assert book.left("level right-hand") is None
    wire(player, "M1.k", "T1.frog")
    left = Progress(book.path).left("level right-hand")
    assert left is not None
    assert '["M1.k", "T1.frog"]' in left.bench


def test_begun_again_it_is_as_filed_also_at_the_next_start(book: Progress) -> None:
    player = player_with(book)
    wire(player, "M1.k", "T1.frog")
    player.key(pygame.K_r, pygame.KMOD_CTRL)
    player.key(pygame.K_RETURN)
    assert player.bench.snapshot.bench.wires == ()
    assert player_with(Progress(book.path)).bench.snapshot.bench.wires == ()


def test_the_hints_still_know_what_was_filed(book: Progress) -> None:
    """A wire across the supply is in the way of the job, not part of the bench that the job began with."""
    player = player_with(book, level_path("from-below"))
    player.click(player.place("predict", "normal/left"))
    player.click(player.place("predict", "diverging/right"))
    wire(player, "bus.A", "bus.B")
    again = player_with(Progress(book.path), level_path("from-below"))
    for _ in range(3):
        again.key(pygame.K_h)
    hint = again.bench.view.hint
    assert hint is not None
    assert hint.text == "Take off the wire from bus A to bus B."


def test_a_bench_of_ones_own_comes_back_by_its_file(book: Progress, tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(LEVEL.read_text(encoding="utf-8").split("[level]")[0], encoding="utf-8")
    player = player_with(book, file)
    wire(player, "M1.m", "T1.frog")
    assert len(player_with(Progress(book.path), file).bench.snapshot.bench.wires) == 1
    assert len(player_with(Progress(book.path)).bench.snapshot.bench.wires) == 0


@pytest.mark.parametrize(("bench", "facts"), [("bench = 1\n[supply", "{}"), ("bench = 1", "{}"), ("", "")])
def test_a_bench_that_cannot_be_set_up_any_more_is_as_filed(book: Progress, bench: str, facts: str) -> None:
    book.leave("level right-hand", bench, facts)
    now = player_with(book).bench.snapshot.bench
    assert now.wires == ()
    assert [piece.id for piece in now.tracks] == ["T1"]


def test_a_book_that_cannot_be_written_lets_the_play_go_on(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    player = player_with(Progress(tmp_path / "file" / "marks.sqlite"))
    wire(player, "M1.k", "T1.frog")
    assert len(player.bench.snapshot.bench.wires) == 1
    assert player.window.told.startswith("Nothing is kept: ")
    player.click(player.place("top", "jobs"))
    assert "cannot be kept" in getattr(player.window.screen, "note", "")


KILLS = 6  # of the whole window; those of the book alone are in tests/test_progress.py
ROOT = Path(__file__).parents[2]
WIRES = (1, 2, 3, 4, 3, 2, 1, 0)  # how many stand after each act of the round that the player below plays

_PLAYER = """
import sys
from pathlib import Path
from tests.game.playing import Player
from sim.game.app.bookkeeper import Bookkeeper
from sim.game.app.window import Window
from sim.progress import Progress
from sim.resources import level_path
player = Player(None)
book = Bookkeeper(Progress(Path(sys.argv[1]), wait_seconds=0.0))
player.window = Window((1024, 720), level_path("right-hand"), book)
player.look()
ends = [("M1.k", "T1.frog"), ("M1.m", "bus.A"), ("M1.p", "bus.B"), ("bus.A", "T1.stock.left")]
number = 0
while True:
    if number % 8 < 4:
        for end in ends[number % 8]:
            player.click(player.place("terminal", end))
    else:
        player.click(player.place("top", "undo"))
    print("done", number, len(player.bench.snapshot.bench.wires), flush=True)
    number += 1
"""


@pytest.mark.parametrize("kills", [1, pytest.param(KILLS, marks=pytest.mark.slow)])
def test_the_program_killed_while_it_is_played_loses_no_finished_act(kills: int, tmp_path: Path) -> None:
    chance = random.Random(11)
    for number in range(kills):
        path = tmp_path / f"{number}.sqlite"
        with subprocess.Popen(
            [sys.executable, "-c", _PLAYER, str(path)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        ) as player:
            assert player.stdout is not None
            for line in player.stdout:
                if line.startswith("done"):
                    break
            time.sleep(chance.uniform(0.0, 1.0))
            player.send_signal(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
            rest = player.stdout.read()
        told = [row for row in [line, *rest.splitlines(keepends=True)] if row.startswith("done") and row.endswith("\n")]
        _, act, count = told[-1].split()
        assert int(count) == WIRES[int(act) % 8]
        stands = len(player_with(Progress(path)).bench.snapshot.bench.wires)
        assert stands in {WIRES[int(act) % 8], WIRES[(int(act) + 1) % 8]}  # the next act may have been finished, untold

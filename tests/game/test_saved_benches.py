"""Benches are saved at the window: whole, never over what was not meant, never where no file can be."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pygame
import pytest

from sim import resources
from sim.bench.reading import load
from sim.game.app import filing
from sim.game.items.common.commands import SaveTo
from sim.game.screens.jobs_page import JobsScreen
from sim.progress import Progress
from sim.resources import level_path
from sim.session.acts import Nudge
from sim.track.formations import KINDS
from sim.words import plain
from tests.game.filing import (
    CTRL,
    HAND_WRITTEN,
    SHIFT,
    answer,
    at,
    click,
    layouts,
    name_of,
    page,
    typed,
    wire,
    wires,
    write,
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return layouts(tmp_path, monkeypatch)


def test_saving_writes_the_bench_as_it_stands_and_undo_goes_on(folder: Path) -> None:
    player = at(folder / "yard.toml")
    assert player.window.title == "yard.toml"
    wire(player)
    assert player.window.title == "• yard.toml"
    assert name_of(player) == "• yard.toml"
    player.key(pygame.K_s, CTRL)
    assert wires(folder / "yard.toml") == [("M1.k", "T1.frog")]
    assert player.window.title == name_of(player) == "yard.toml"
    assert player.window.told == f"Saved: {folder / 'yard.toml'}"
    player.key(pygame.K_z, CTRL)
    assert player.bench.snapshot.bench.wires == ()
    assert player.window.title == "• yard.toml"
    player.key(pygame.K_z, CTRL | SHIFT)
    player.wait(0.1)
    assert player.window.title == "yard.toml"


def test_a_train_is_saved_where_it_stands_now(folder: Path) -> None:
    player = at(folder / "yard.toml")
    shunter = player.bench.snapshot.trains[0]
    player.bench.act(Nudge(shunter.id, -60.0))
    player.wait(3.0)
    stands = player.bench.snapshot.trains[0].vehicles[0].axles
    assert stands != shunter.vehicles[0].axles
    assert player.window.title == "yard.toml"  # to have driven is nothing to save
    player.key(pygame.K_s, CTRL)
    again = at(folder / "yard.toml").bench.snapshot.trains[0].vehicles[0].axles
    for one, other in zip(again, stands, strict=True):
        assert one == pytest.approx(other, abs=0.01)


def test_saved_elsewhere_the_bench_is_that_files_now(folder: Path) -> None:
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    assert page(player).files.name.text == "yard.toml"
    player.key(pygame.K_HOME)
    typed(player, "New ")
    player.key(pygame.K_RETURN)
    assert player.window.title == "New yard.toml"
    assert wires(folder / "New yard.toml") == [("M1.k", "T1.frog")]
    assert wires(folder / "yard.toml") == []
    player.key(pygame.K_z, CTRL)
    player.key(pygame.K_s, CTRL)
    assert wires(folder / "New yard.toml") == []


def test_what_is_there_is_replaced_only_when_that_was_meant(folder: Path) -> None:
    player = at(folder / "yard.toml")
    wire(player)
    for words, after in (("Keep it", []), ("Replace it", [("M1.k", "T1.frog")])):
        player.key(pygame.K_s, CTRL | SHIFT)
        click(player, "row 1")
        assert page(player).files.name.text == "harbour.toml"
        player.key(pygame.K_RETURN)
        answer(player, words)
        assert wires(folder / "harbour.toml") == after
        if words == "Keep it":
            player.key(pygame.K_ESCAPE)
    assert player.window.title == "harbour.toml"


@pytest.mark.parametrize("name", ["right-hand", "wye"])
def test_a_job_stays_a_job_and_its_file_as_it_is(folder: Path, name: str) -> None:
    before = level_path(name).read_bytes()
    player = at(level_path(name))
    player.key(pygame.K_s, CTRL)
    assert "never changed" in page(player).note
    player.key(pygame.K_RETURN)
    copies = [path for path in folder.iterdir() if path.name not in ("old", "harbour.toml", "yard.toml")]
    assert len(copies) == 1
    assert load(copies[0], KINDS).tracks == load(level_path(name), KINDS).tracks
    assert player.bench.name == name
    assert level_path(name).read_bytes() == before


@pytest.mark.parametrize("path", [level_path("right-hand"), resources.test_track_path()])
def test_the_programs_own_files_are_never_written(folder: Path, path: Path) -> None:
    before = path.read_bytes()
    player = at(folder / "yard.toml")
    player.window.do(SaveTo(path))
    assert "belongs to the program" in player.window.told
    player.window.do(SaveTo(path, over=True))
    assert path.read_bytes() == before


def test_the_test_track_is_saved_and_begins_anew(folder: Path, tmp_path: Path) -> None:
    book = Progress(tmp_path / "marks.sqlite")
    player = at(resources.test_track_path(), book)
    supply = player.bench.snapshot.bench.tracks
    player.click(player.place("top", "save"))
    typed(player, " one")
    player.key(pygame.K_RETURN)
    assert player.window.title.endswith(".toml")
    (made,) = set(folder.iterdir()) - {folder / name for name in ("old", "harbour.toml", "yard.toml")}
    assert load(made, KINDS).tracks == supply
    assert book.recent() == (str(made),)
    assert book.standing() == ()


def test_remarks_of_a_file_written_by_hand_are_not_lost_unasked(folder: Path) -> None:
    write(folder / "hand.toml", HAND_WRITTEN)
    before = (folder / "hand.toml").read_text(encoding="utf-8")
    player = at(folder / "hand.toml")
    wire(player)
    player.key(pygame.K_s, CTRL)
    assert player.window.question is not None
    assert player.window.question.words == filing.REMARKS
    player.key(pygame.K_ESCAPE)
    assert (folder / "hand.toml").read_text(encoding="utf-8") == before
    player.key(pygame.K_s, CTRL)
    answer(player, "Save elsewhere")
    page(player)
    player.key(pygame.K_ESCAPE)
    player.key(pygame.K_s, CTRL)
    answer(player, "Save over it")
    assert wires(folder / "hand.toml") == [("M1.k", "T1.frog")]
    player.key(pygame.K_z, CTRL)
    player.key(pygame.K_s, CTRL)  # not asked again
    assert wires(folder / "hand.toml") == []


def test_a_place_that_cannot_be_written_is_told_and_the_dialogue_stays(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(path: Path, text: str) -> None:
        raise OSError(28, "No space left on device")

    player = at(folder / "yard.toml")
    wire(player)
    monkeypatch.setattr(filing, "write_file", no_room)
    player.key(pygame.K_s, CTRL)
    assert player.window.told == "The bench cannot be saved as yard.toml: the disk is full."
    player.key(pygame.K_s, CTRL | SHIFT)
    typed(player, "2")
    player.key(pygame.K_RETURN)
    assert plain(page(player).fault) == "The bench cannot be saved as yard2.toml: the disk is full."
    assert player.window.title == "• yard.toml"


@pytest.fixture
def _no_waiting() -> Iterator[None]:
    """What would wait for ever ends the test."""
    signal.alarm(60)
    yield
    signal.alarm(0)


@pytest.mark.usefixtures("_no_waiting")
@pytest.mark.parametrize("kind", ["pipe", "device", "link that leads round"])
def test_saving_to_what_is_no_file_is_refused_at_once(folder: Path, kind: str) -> None:
    target = folder / "odd.toml"
    if kind == "pipe":
        os.mkfifo(target)
    else:
        target.symlink_to("/dev/null" if kind == "device" else target)
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    for _ in "yard":
        player.key(pygame.K_BACKSPACE)
    typed(player, "odd")
    player.key(pygame.K_RETURN)
    if player.window.question is not None:
        answer(player, "Replace it")
    assert plain(page(player).fault).startswith("The bench cannot be saved as odd.toml: ")
    assert target.is_fifo() or target.is_symlink()
    assert player.window.title == "• yard.toml"
    assert sorted(path.name for path in folder.iterdir()) == ["harbour.toml", "odd.toml", "old", "yard.toml"]


def test_a_name_longer_than_any_disk_takes_is_told(folder: Path) -> None:
    player = at(folder / "yard.toml")
    player.key(pygame.K_s, CTRL | SHIFT)
    typed(player, "線" * 110)
    player.key(pygame.K_RETURN)
    assert plain(page(player).fault).endswith("the name is too long.")


def test_a_link_that_leads_round_is_told_when_it_is_dropped_on_the_window(folder: Path) -> None:
    (folder / "round.toml").symlink_to(folder / "round.toml")
    player = at(None)
    player.window.handle(pygame.event.Event(pygame.DROPFILE, {"file": str(folder / "round.toml")}))
    assert isinstance(player.window.screen, JobsScreen)
    assert "cannot be read" in player.window.screen.note


def test_where_the_disk_ends_the_old_bench_stays(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    before = (folder / "yard.toml").read_bytes()
    player = at(folder / "yard.toml")
    wire(player)
    monkeypatch.setattr(os, "fsync", full)
    player.key(pygame.K_s, CTRL)
    assert player.window.told == "The bench cannot be saved as yard.toml: the disk is full."
    assert (folder / "yard.toml").read_bytes() == before
    assert sorted(path.name for path in folder.iterdir()) == ["harbour.toml", "old", "yard.toml"]
    monkeypatch.undo()
    player.key(pygame.K_s, CTRL)
    assert wires(folder / "yard.toml") == [("M1.k", "T1.frog")]

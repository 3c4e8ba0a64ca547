"""Benches are opened at the window, by keys alone and by the mouse; and what the page of files lists."""

from __future__ import annotations

import os
from pathlib import Path

import pygame
import pytest

from sim import resources
from sim.game.app import filing
from sim.game.draw.pages.files import Entry
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.files_page import FilesScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.progress import Progress
from tests.game.filing import CTRL, OWN, SHIFT, at, click, layouts, name_of, page, save_page, typed, wire, write


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return layouts(tmp_path, monkeypatch)


def test_a_bench_is_opened_by_keys_alone(folder: Path) -> None:
    player = at(None)
    player.key(pygame.K_o, CTRL)
    assert page(player).files.listing.folder == folder
    typed(player, "old")
    player.key(pygame.K_RETURN)
    assert page(player).files.listing.folder == folder / "old"
    player.key(pygame.K_BACKSPACE)
    assert page(player).files.entry == Entry("old", True)
    typed(player, "ya")
    player.key(pygame.K_RETURN)
    assert name_of(player) == "yard.toml"
    assert player.window.title == "yard.toml"


def test_a_bench_is_opened_with_the_mouse(folder: Path) -> None:
    player = at(None)
    screen = player.window.screen
    assert isinstance(screen, JobsScreen)
    player.click(screen.places(player.window.rooms, player.window.theme)["open"].center)
    click(player, "row 0")
    assert page(player).files.listing.folder == folder / "old"
    click(player, "up")
    click(player, "row 1")
    assert isinstance(player.window.screen, FilesScreen)
    click(player, "row 1")
    assert name_of(player) == "harbour.toml"


def test_escape_leads_back_to_where_one_was(folder: Path) -> None:
    for target, kind in ((None, JobsScreen), (folder / "yard.toml", BenchScreen)):
        player = at(target)
        player.key(pygame.K_o, CTRL)
        player.key(pygame.K_o, CTRL)
        page(player)
        player.key(pygame.K_ESCAPE)
        assert isinstance(player.window.screen, kind)


def test_a_file_that_is_no_bench_is_told_where_it_was_chosen(folder: Path) -> None:
    (folder / "broken.toml").write_text("bench = 1\n[supply", encoding="utf-8")
    player = at(None)
    player.key(pygame.K_o, CTRL)
    typed(player, "bro")
    player.key(pygame.K_RETURN)
    assert page(player).fault.startswith("broken.toml: line 2, the last: found a heading")
    player.key(pygame.K_UP)
    assert page(player).fault == ""


def test_a_name_that_will_not_do_is_told(folder: Path) -> None:
    player = at(folder / "yard.toml")
    player.key(pygame.K_s, CTRL | SHIFT)
    for _ in range(20):
        player.key(pygame.K_BACKSPACE)
        player.key(pygame.K_DELETE)
    player.key(pygame.K_RETURN)
    assert page(player).fault == "Type a name first."
    typed(player, "a/b")
    assert page(player).fault == ""
    player.key(pygame.K_RETURN)
    assert page(player).fault == "A name has no / in it."


def test_letters_in_a_name_are_letters_and_no_keys(folder: Path) -> None:
    player = at(folder / "yard.toml")
    player.key(pygame.K_s, CTRL | SHIFT)
    typed(player, "sav")
    assert page(player).files.name.text == "yardsav.toml"
    assert player.window.settings.sound


def test_a_file_changed_by_another_hand_is_shown_as_it_is_filed(folder: Path, tmp_path: Path) -> None:
    book = Progress(tmp_path / "marks.sqlite")
    player = at(folder / "yard.toml", book)
    wire(player)
    left = book.left(str(folder / "yard.toml"))
    assert left is not None
    assert len(at(folder / "yard.toml", Progress(book.path)).bench.snapshot.bench.wires) == 1
    os.utime(folder / "yard.toml", (left.left_at + 10, left.left_at + 10))
    assert at(folder / "yard.toml", Progress(book.path)).bench.snapshot.bench.wires == ()


def test_thousands_of_files_are_turned_quickly_in_small_pictures(folder: Path) -> None:
    for k in range(5000):
        (folder / "old" / f"bench {k:04}.toml").write_text("")
    player = at(None)
    player.key(pygame.K_o, CTRL)
    typed(player, "old")
    player.key(pygame.K_RETURN)
    assert len(page(player).files.listing.entries) == 5001
    player.key(pygame.K_END)
    assert page(player).files.entry == Entry("first.toml")
    places = page(player).arranged(player.window.rooms, player.window.theme).places
    shown = sum(name.startswith("row ") for name in places)
    assert 5 < shown < 40
    player.window.handle(pygame.event.Event(pygame.MOUSEWHEEL, y=1, x=0))
    assert page(player).files.first == 5001 - shown - 3
    assert player.look() != []


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("purpose", [0, SHIFT])
def test_everything_is_large_enough_apart_and_on_the_page(folder: Path, size: tuple[int, int], purpose: int) -> None:
    player = at(folder / "yard.toml")
    player.window.resize(size)
    player.key(pygame.K_s if purpose else pygame.K_o, CTRL | purpose)
    places = page(player).arranged(player.window.rooms, player.window.theme).places
    whole = pygame.Rect((0, 0), player.window.rooms.size)
    for name, place in places.items():
        assert whole.contains(place), name
        assert min(place.size) >= 24, name
    rest = [place for name, place in places.items() if name != "list"]
    assert all(one.collidelist(rest[k + 1 :]) < 0 for k, one in enumerate(rest))


def test_started_in_the_programs_own_folder_it_begins_in_the_documents(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(resources.levels_folder().parent)
    monkeypatch.setattr(filing, "user_documents_path", lambda: tmp_path / "papers")
    for there, begins in ((False, tmp_path), (True, tmp_path / "papers")):
        if there:
            (tmp_path / "papers").mkdir()
        player = at(resources.test_track_path())
        assert save_page(player).files.listing.folder == begins
        player = at(folder / "yard.toml")
        assert save_page(player).files.listing.folder == folder  # beside the open file all the same


def test_a_folder_lists_only_what_may_be_a_bench(folder: Path) -> None:
    write(folder / "pyproject.toml", '[project]\nname = "x"\n')
    write(folder / "benches.toml", "benches = 3\n")
    write(folder / "broken.toml", "# mine\nbench = 1\n[supply")
    write(folder / "long.toml", "# a long story\n" * 900 + OWN)
    (folder / "old.toml").write_bytes(b"\xef\xbb\xbf" + OWN.encode())
    player = at(None)
    player.key(pygame.K_o, CTRL)
    names = [entry.name for entry in page(player).files.listing.entries]
    assert names == ["old", "broken.toml", "harbour.toml", "long.toml", "old.toml", "yard.toml"]


@pytest.mark.parametrize("where", ["place 0", "row 0", "up", "list"])
def test_typing_goes_to_the_name_wherever_was_clicked_before(folder: Path, where: str) -> None:
    (folder / "a folder").mkdir()
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    click(player, where)
    here = page(player).files.listing.folder
    player.key(pygame.K_a, CTRL)
    typed(player, "my own yard")
    assert page(player).files.name.text == "my own yard"
    player.key(pygame.K_BACKSPACE)
    assert page(player).files.name.text == "my own yar"
    assert page(player).files.listing.folder == here, "a letter rubbed out leads to no other folder"
    player.key(pygame.K_RETURN)
    assert (here / "my own yar.toml").exists()


@pytest.mark.parametrize("stop", ["up", "list", "cancel", "go"])
def test_typing_goes_to_the_name_wherever_the_focus_is(folder: Path, stop: str) -> None:
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    for _ in range(12):
        if page(player).files.focus == stop:
            break
        player.key(pygame.K_TAB)
    assert page(player).files.focus == stop
    player.key(pygame.K_a, CTRL)
    typed(player, "x y")
    assert page(player).files.name.text == "x y"
    assert page(player).files.focus == "name"

"""F12 keeps a picture, Ctrl P the wiring sheet, under names of their own; told is where, or why it cannot be."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.game.app.keeping import as_png, file_stem, keep
from sim.game.app.window import Window
from sim.game.look.settings import Settings
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.files_page import FilesScreen
from sim.session.acts import Do
from sim.session.session import Session
from tests.game.playing import LEVEL


def press(window: Window, key: int, mod: int = 0) -> None:
    window.handle(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod))


def shown(window: Window) -> bytes:
    surface = pygame.Surface(window.rooms.size)
    window.compositor.forget()
    window.frame(surface)
    return pygame.image.tobytes(surface, "RGB")


def moves(window: Window) -> bool:
    return window.lively


def test_the_picture_is_what_the_window_shows_and_nothing_is_overwritten(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "there"
    window = Window((1280, 800), LEVEL, pictures=folder)
    seen = shown(window)
    for _ in range(3):
        press(window, pygame.K_F12)
    assert isinstance(window.screen, BenchScreen)
    stem = file_stem(window.screen.snapshot.bench.title)
    assert [path.name for path in sorted(folder.iterdir())] == [f"frogbench-{stem}-{k}.png" for k in (1, 2, 3)]
    for path in folder.iterdir():  # the label that tells of the first is not on the second
        assert pygame.image.tobytes(pygame.image.load(path), "RGB") == seen


def test_the_label_says_where_and_goes_away(tmp_path: Path) -> None:
    window = Window((1280, 800), LEVEL, pictures=tmp_path)
    window.tick(0.1)
    for _ in range(90):
        window.tick(1 / 60)
    plain = shown(window)
    assert not moves(window)
    press(window, pygame.K_F12)
    assert window.told == f"Picture kept: {next(tmp_path.iterdir())}"
    assert shown(window) != plain
    assert moves(window)
    for _ in range(600):
        window.tick(1 / 60)
    assert window.told == ""
    assert shown(window) == plain


def test_a_folder_that_takes_no_picture_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    window = Window((1280, 800), None, pictures=tmp_path / "file")
    press(window, pygame.K_F12)
    assert window.told.startswith(f"The picture cannot be kept in {tmp_path / 'file'}: ")
    window = Window((1280, 800))
    press(window, pygame.K_F12)
    assert window.told == "There is no folder for a picture."


def test_half_a_picture_is_taken_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    halves: list[Path] = []

    def full(handle: int) -> None:
        """The disk has no room for the rest."""
        halves.extend(tmp_path.iterdir())
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        keep(as_png(pygame.Surface((600, 400))), tmp_path, "a", ".png")
    assert len(halves) == 1
    assert list(tmp_path.iterdir()) == []


def test_a_picture_never_takes_the_name_of_another_file(tmp_path: Path) -> None:
    (tmp_path / "frogbench-a-1.png").write_text("mine")
    (tmp_path / "frogbench-a-2.png").mkdir()
    os.mkfifo(tmp_path / "frogbench-a-3.png")
    (tmp_path / "frogbench-a-4.png").symlink_to(tmp_path / "frogbench-a-1.png")
    assert keep(b"new", tmp_path, "a", ".png").name == "frogbench-a-5.png"
    assert (tmp_path / "frogbench-a-1.png").read_text() == "mine"


def test_ctrl_p_keeps_the_wiring_sheet_of_the_bench_as_it_stands(tmp_path: Path) -> None:
    window = Window((1280, 800), LEVEL, papers=tmp_path)
    press(window, pygame.K_p, pygame.KMOD_CTRL)
    assert isinstance(window.screen, BenchScreen)
    (path,) = tmp_path.iterdir()
    assert window.told == f"Wiring sheet kept: {path}"
    assert path.suffix == ".html"
    before = path.read_text(encoding="utf-8")
    assert "Nothing is wired yet." in before
    window.screen.session.step(Session.DT, (Do(MakeWire("bus.A", "T1.stock.left", colour="salmon")),))
    press(window, pygame.K_p, pygame.KMOD_CTRL)
    after = next(each for each in tmp_path.iterdir() if each != path).read_text(encoding="utf-8")
    assert "salmon" in after
    assert "salmon" not in before


def test_the_wiring_sheet_is_in_the_words_that_are_set_up(tmp_path: Path) -> None:
    pages = {}
    for words in ("us", "uk"):
        window = Window((1280, 800), LEVEL, papers=tmp_path / words)
        window.set_up(Settings(words=words))
        press(window, pygame.K_p, pygame.KMOD_CTRL)
        pages[words] = next((tmp_path / words).iterdir()).read_text(encoding="utf-8")
    assert "left bond<" in pages["us"]
    assert "left bonding wire<" in pages["uk"]
    assert "house current side" in pages["us"]
    assert "mains side" in pages["uk"]


def test_without_a_bench_or_a_folder_no_sheet_is_kept(tmp_path: Path) -> None:
    window = Window((1280, 800), None, papers=tmp_path)
    press(window, pygame.K_p, pygame.KMOD_CTRL)
    assert window.told == "Open a bench first, then print its wiring sheet."
    window = Window((1280, 800), LEVEL)
    press(window, pygame.K_p, pygame.KMOD_CTRL)
    assert window.told == "There is no folder for a wiring sheet."
    assert list(tmp_path.iterdir()) == []


def test_ctrl_n_opens_the_test_track_but_not_from_under_a_dialogue() -> None:
    window = Window((1280, 800), LEVEL)
    press(window, pygame.K_o, pygame.KMOD_CTRL)
    press(window, pygame.K_n, pygame.KMOD_CTRL)
    seen: list[object] = [window.screen]
    press(window, pygame.K_ESCAPE)
    press(window, pygame.K_n, pygame.KMOD_CTRL)
    assert isinstance(seen[0], FilesScreen)
    assert isinstance(window.screen, BenchScreen)
    assert window.screen.snapshot.bench.level is None


@pytest.mark.parametrize(
    ("title", "stem"),
    [
        ("Right hand, alone", "right-hand-alone"),
        ("", "bench"),
        ("../../etc/passwd", "etc-passwd"),
        ("Güterschuppen 2", "güterschuppen-2"),
        ("?*|", "bench"),
        ("CON\0nul\n", "con-nul"),
    ],
)
def test_a_name_is_made_of_the_title(title: str, stem: str) -> None:
    assert file_stem(title) == stem


@pytest.mark.parametrize("title", ["x" * 400, "ü" * 400, "a " * 400])
def test_a_long_title_makes_a_name_that_any_disk_takes(tmp_path: Path, title: str) -> None:
    path = keep(b"", tmp_path, title, ".png")
    assert len(path.name.encode()) < 90
    assert file_stem(title)[0] in path.name

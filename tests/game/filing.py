"""A hand on the page of files: a folder of benches, what is typed, clicked and answered there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.bench.reading import load
from sim.bench.writing import dump
from sim.game.app.window import Window
from sim.game.screens.files_page import FilesScreen
from sim.progress import Progress
from sim.resources import level_path
from sim.session.acts import Do
from sim.track.formations import KINDS
from sim.words import plain
from tests.game.playing import Player

__all__ = [
    "CTRL", "HAND_WRITTEN", "OWN", "SHIFT", "answer", "at", "click", "layouts", "name_of", "page", "save_page", "typed",
    "wire", "wires", "write",
]  # fmt: skip

CTRL, SHIFT = pygame.KMOD_CTRL, pygame.KMOD_SHIFT
OWN = dump(replace(load(level_path("right-hand"), KINDS), level=None))  # without remarks
HAND_WRITTEN = "# our yard\n" + OWN


def layouts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of benches, in which the program is started."""
    place = tmp_path / "layouts"
    (place / "old").mkdir(parents=True)
    write(place / "harbour.toml", OWN)
    write(place / "yard.toml", OWN)
    write(place / "old" / "first.toml", OWN)
    monkeypatch.chdir(place)
    monkeypatch.setenv("HOME", str(tmp_path))
    return place


def write(path: Path, text: str) -> None:
    """A file of that text."""
    path.write_text(text, encoding="utf-8")


def at(target: Path | None, book: Progress | None = None) -> Player:
    """Someone at the window, which is open on that."""
    player = Player(None)
    player.window = Window((1280, 800), target, book)
    player.look()
    return player


def page(player: Player) -> FilesScreen:
    """The page of files that is open."""
    assert isinstance(player.window.screen, FilesScreen)
    return player.window.screen


def typed(player: Player, text: str) -> None:
    """Type letters."""
    for sign in text:
        player.window.handle(pygame.event.Event(pygame.KEYDOWN, key=ord(sign.lower()), mod=0))
        player.window.handle(pygame.event.Event(pygame.TEXTINPUT, text=sign))


def wire(player: Player) -> None:
    """Take a wire, so that there is something to save."""
    player.bench.act(Do(MakeWire("M1.k", "T1.frog")))
    player.wait(0.1)


def answer(player: Player, words: str) -> None:
    """Click an answer to the question that is asked."""
    question = player.window.question
    assert question is not None
    number = [each.words for each in question.answers].index(words)
    player.click(question.arranged(player.window.rooms, player.window.theme).places[number].center)


def click(player: Player, name: str) -> None:
    """Click something on the page of files."""
    player.click(page(player).arranged(player.window.rooms, player.window.theme).places[name].center)


def wires(path: Path) -> list[tuple[str, str]]:
    """The ends of the wires in a file."""
    return [wire.ends for wire in load(path, KINDS).wires]


def name_of(player: Player) -> str:
    """What the bench is called on its sheet."""
    return plain(player.bench.view.chapter)


def save_page(player: Player) -> FilesScreen:
    """The page on which a bench is saved under a name."""
    player.key(pygame.K_s, CTRL | SHIFT)
    return page(player)

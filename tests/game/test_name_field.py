"""The field for a name on the page of files: marked, pasted into, and its caret."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from sim.game.look.clipboard import clipboard_text
from tests.game.filing import CTRL, at, layouts, save_page, typed


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return layouts(tmp_path, monkeypatch)


def test_ctrl_a_marks_the_whole_name_and_what_is_typed_takes_its_place(folder: Path) -> None:
    player = at(folder / "yard.toml")
    dialogue = save_page(player)
    player.key(pygame.K_a, CTRL)
    assert dialogue.files.name.marked
    player.look()
    typed(player, "quay")
    assert dialogue.files.name.text == "quay"
    player.key(pygame.K_a, CTRL)
    player.key(pygame.K_BACKSPACE)
    assert dialogue.files.name.text == ""
    typed(player, "pier")
    player.key(pygame.K_a, CTRL)
    player.key(pygame.K_LEFT)  # only looked at: nothing is lost
    typed(player, "s")
    assert dialogue.files.name.text == "piesr"


def test_a_marked_name_is_seen_to_be_marked(folder: Path) -> None:
    player = at(folder / "yard.toml")
    dialogue = save_page(player)
    player.key(pygame.K_END)
    field = dialogue.arranged(player.window.rooms, player.window.theme).places["name"]
    plain_field = player.surface.subsurface(field).copy()
    player.key(pygame.K_a, CTRL)
    marked = player.surface.subsurface(field)
    assert marked.get_at((14, 13)) != plain_field.get_at((14, 13))


@pytest.mark.parametrize(
    ("lies", "name"), [("harbour wall", "harbour wallyard.toml"), ("a\tb", "abyard.toml"), ("", "yard.toml")]
)
def test_ctrl_v_puts_in_what_lies_on_the_clipboard(folder: Path, lies: str, name: str) -> None:
    player = at(folder / "yard.toml")
    dialogue = save_page(player)
    dialogue._paste = lambda: lies
    player.key(pygame.K_HOME)
    player.key(pygame.K_v, CTRL)
    assert dialogue.files.name.text == name


def test_a_desktop_without_a_clipboard_pastes_nothing(folder: Path) -> None:
    player = at(folder / "yard.toml")
    dialogue = save_page(player)
    player.key(pygame.K_v, CTRL)  # the real reader, with no clipboard there
    assert dialogue.files.name.text == "yard.toml"


class _Scrap:
    """The clipboard as one of the two libraries offers it: by the kinds of what lies there, as bytes."""

    def __init__(self, lies: dict[str, bytes]) -> None:
        self._lies, self._open = lies, False

    def get_init(self) -> bool:
        return self._open

    def init(self) -> None:
        self._open = True

    def get(self, kind: str) -> bytes | None:
        if not self._open:
            raise pygame.error("scrap system not initialized.")
        return self._lies.get(kind)


class _NewScrap(_Scrap):
    """As the other offers it: as text."""

    def get_text(self) -> str:
        return self._lies["text"].decode()


@pytest.mark.parametrize(
    "scrap",
    [
        _Scrap({"text/plain;charset=utf-8": "Größe\nmore".encode()}), _Scrap({"UTF8_STRING": "Größe\0".encode()}),
        _Scrap({"text/plain": "Größe".encode("latin-1")}), _NewScrap({"text": "  Größe\r\n".encode()}),
    ],
)  # fmt: skip
def test_the_first_line_is_pasted_whichever_way_the_library_gives_it(
    monkeypatch: pytest.MonkeyPatch, scrap: _Scrap
) -> None:
    monkeypatch.setattr(pygame, "scrap", scrap)
    assert clipboard_text() == "Größe"


def test_the_caret_hides_no_sign(folder: Path) -> None:
    """With it between two signs the text parts there: the columns under it are otherwise as bare as the paper."""
    player = at(folder / "yard.toml")
    dialogue = save_page(player)
    player.key(pygame.K_a, CTRL)
    typed(player, "HHH")
    field = dialogue.arranged(player.window.rooms, player.window.theme).places["name"]
    inked = {}
    for caret, key in (("end", pygame.K_END), ("between", pygame.K_LEFT)):
        player.key(key)
        picture = player.surface.subsurface(field.inflate(-8, -8))
        rows = pygame.surfarray.array3d(picture).astype(int).sum(axis=2)
        inked[caret] = int((rows < rows.max() * 0.5).sum())
    assert abs(inked["end"] - inked["between"]) <= 2
